//! Who writes next: whoever has waited longest. A plain lock lets a thread that just wrote push in again, and then one of eight waits long.

use crate::open::locked;
use std::sync::{Condvar, Mutex, PoisonError};

/// A queue in front of the writer.
#[derive(Debug, Default)]
pub(crate) struct Turns {
    /// The number given to the next who comes, and the number whose turn it is.
    numbers: Mutex<(u64, u64)>,
    over: Condvar,
}

/// One's turn; over when dropped.
pub(crate) struct Turn<'a>(&'a Turns);

impl Turns {
    /// Waits for one's turn.
    pub(crate) fn wait(&self) -> Turn<'_> {
        let mut numbers = locked(&self.numbers);
        let mine = numbers.0;
        numbers.0 += 1;
        while numbers.1 != mine {
            numbers = self
                .over
                .wait(numbers)
                .unwrap_or_else(PoisonError::into_inner);
        }
        Turn(self)
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        locked(&self.0.numbers).1 += 1;
        self.0.over.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_came_first_goes_first_and_a_lost_thread_holds_nobody_up() {
        let turns = Turns::default();
        let order = Mutex::new(Vec::new());
        std::thread::scope(|scope| {
            let first = turns.wait();
            for n in 0..5 {
                let (turns, order) = (&turns, &order);
                scope.spawn(move || {
                    let _turn = turns.wait();
                    locked(order).push(n);
                });
                // The next one comes only when this one stands in the queue.
                while locked(&turns.numbers).0 < n + 2 {
                    std::thread::yield_now();
                }
            }
            drop(first);
        });
        assert_eq!(*locked(&order), [0, 1, 2, 3, 4]);
        let lost = std::thread::scope(|scope| {
            let gone = scope.spawn(|| {
                let _turn = turns.wait();
                panic!("on purpose");
            });
            gone.join().is_err()
        });
        assert!(lost);
        drop(turns.wait());
    }
}
