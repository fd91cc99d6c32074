//! How soon the next passphrase may be tried: later after every wrong one, counted by address and over all.
//!
//! An attempt counts as wrong from its beginning, so that many at once are not checked for the price of one. Time is handed in. Devices
//! that are in already, and the machine itself, never come here: nobody can be locked out of what they have by a stranger's guessing.

use std::collections::HashMap;
use std::net::IpAddr;
use std::time::{Duration, Instant};

/// Slips of the finger that cost nothing.
const FREE: u32 = 3;
/// Longest wait of one address.
const LONGEST: Duration = Duration::from_secs(15 * 60);
/// Wrong ones from everywhere that cost nobody else anything.
const FREE_OVER_ALL: u32 = 20;
/// Longest wait of all: somebody with many addresses may not keep the owner's new phone out for good.
const LONGEST_OVER_ALL: Duration = Duration::from_secs(60);
/// Quiet for so long, and the count begins anew.
const FORGOTTEN: Duration = Duration::from_secs(24 * 3600);
/// Addresses remembered; beyond, the one quiet for longest is dropped. The count over all stays.
const MOST: usize = 4096;

#[derive(Debug, Clone, Copy)]
struct Count {
    wrong: u32,
    last: Instant,
    next: Instant,
}

impl Count {
    fn new(now: Instant) -> Self {
        Self {
            wrong: 0,
            last: now,
            next: now,
        }
    }

    fn charge(&mut self, now: Instant, free: u32, longest: Duration) {
        if now >= self.last + FORGOTTEN {
            self.wrong = 0;
        }
        self.wrong = self.wrong.saturating_add(1);
        self.last = now;
        let beyond = self.wrong.saturating_sub(free).min(20);
        if beyond > 0 {
            self.next = now + Duration::from_secs(1 << (beyond - 1)).min(longest);
        }
    }
}

/// What was tried so far.
#[derive(Debug, Default)]
pub(crate) struct Throttle {
    by_address: HashMap<IpAddr, Count>,
    over_all: Option<Count>,
}

impl Throttle {
    /// Begins an attempt, or says how long to wait before one. The attempt is counted as wrong until [`Throttle::right`] says otherwise.
    pub(crate) fn begin(&mut self, from: IpAddr, now: Instant) -> Result<(), Duration> {
        let waits = [self.by_address.get(&from), self.over_all.as_ref()];
        let next = waits.into_iter().flatten().map(|count| count.next).max();
        if let Some(next) = next.filter(|next| now < *next) {
            return Err(next - now);
        }
        if self.by_address.len() >= MOST
            && !self.by_address.contains_key(&from)
            && let Some(quiet) = self
                .by_address
                .iter()
                .min_by_key(|(_, count)| count.last)
                .map(|(address, _)| *address)
        {
            self.by_address.remove(&quiet);
        }
        self.by_address
            .entry(from)
            .or_insert(Count::new(now))
            .charge(now, FREE, LONGEST);
        self.over_all
            .get_or_insert(Count::new(now))
            .charge(now, FREE_OVER_ALL, LONGEST_OVER_ALL);
        Ok(())
    }

    /// The attempt begun was right after all.
    pub(crate) fn right(&mut self, from: IpAddr, now: Instant) {
        self.by_address.remove(&from);
        if let Some(count) = &mut self.over_all {
            count.wrong = count.wrong.saturating_sub(1);
            count.next = now;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: Duration = Duration::from_secs(24 * 3600);

    fn address(n: u32) -> IpAddr {
        IpAddr::from((0x0A00_0000 + n).to_be_bytes())
    }

    /// How long somebody needs who tries again the moment it is allowed.
    fn takes(attempts: u32, from: impl Fn(u32) -> IpAddr) -> Duration {
        let start = Instant::now();
        let mut now = start;
        let mut throttle = Throttle::default();
        for n in 0..attempts {
            while let Err(wait) = throttle.begin(from(n), now) {
                now += wait;
            }
        }
        now - start
    }

    #[test]
    fn ten_thousand_from_one_address_take_months_and_from_everywhere_days() {
        assert!(takes(10_000, |_| address(1)) > 100 * DAY);
        assert!(takes(10_000, address) > 6 * DAY);
    }

    #[test]
    fn a_few_slips_cost_nothing_and_the_right_one_clears_them() {
        let now = Instant::now();
        let mut throttle = Throttle::default();
        for _ in 0..FREE {
            assert_eq!(throttle.begin(address(1), now), Ok(()));
        }
        assert_eq!(throttle.begin(address(1), now), Ok(()));
        assert_eq!(throttle.begin(address(1), now), Err(Duration::from_secs(1)));
        // Another address is not held up by it.
        assert_eq!(throttle.begin(address(2), now), Ok(()));
        let later = now + Duration::from_secs(1);
        assert_eq!(throttle.begin(address(1), later), Ok(()));
        throttle.right(address(1), later);
        assert_eq!(throttle.begin(address(1), later), Ok(()));
    }

    #[test]
    fn many_at_once_are_not_checked_for_the_price_of_one() {
        let now = Instant::now();
        let mut throttle = Throttle::default();
        let let_through = (0..1000)
            .filter(|_| throttle.begin(address(1), now).is_ok())
            .count();
        assert_eq!(let_through, 4);
    }

    #[test]
    fn the_memory_of_addresses_is_bounded() {
        let start = Instant::now();
        let mut throttle = Throttle::default();
        for n in 0..10_000 {
            let _ = throttle.begin(address(n), start + DAY * (n + 1));
        }
        assert!(throttle.by_address.len() <= MOST);
    }
}
