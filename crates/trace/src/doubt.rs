//! Which reading has likely slipped: what ohms and volts say against each other, and what one reading taken again would mend.
//!
//! A lead whose dead test slipped shows no volts to the winding it was put to; a tap stands elsewhere by ohms than by volts; the fed
//! winding shows other volts than were set. Where readings do not fit, those are named first that would fit if they were ten times too
//! great or too small, the commonest slip (common practice), then all that have a part in it.

use crate::halving::narrow;
use crate::observed::{Seen, What};
use crate::order::{OHMS_LEADS, Ordered, order};
use crate::sorting::{Sorting, by_need, sort};
use crate::three_phase::besides_of;
use crate::volts::{DIGITS, Volts, volts};

/// What a conflict is: readings, the likeliest slip first, and what is wrong.
pub(crate) type Conflict = (Vec<u32>, String);

/// Share a tap may stand elsewhere by ohms than by volts before one of them is doubted (our choice: copper differs along a winding).
const TAP_OFF: f64 = 0.12;
/// Ohms of a winding from which its taps' places by ohms are held against volts.
const OHMS_ENOUGH: f64 = 4.0;
/// Volts of the fed winding over those set, beyond which one of the two is doubted: a dial is no meter.
const SET_OFF: f64 = 2.0;

/// A part's leads and what is known of them.
pub(crate) struct Known<'a> {
    pub(crate) count: usize,
    pub(crate) number: Option<usize>,
    pub(crate) through: &'a [Vec<usize>],
    pub(crate) seen: &'a [Seen],
}

/// Whether a triple may be the star inside a three-phase part.
fn star(order: &Ordered, orders: &[Ordered]) -> bool {
    order.leads.len() == 3 && besides_of(orders) > 0
}

impl Known<'_> {
    /// The leads sorted as far as these readings go.
    pub(crate) fn sorted(&self, seen: &[Seen]) -> Sorting {
        let mut sorting = sort(self.count, seen, self.number);
        narrow(&mut sorting, self.count, self.number, seen);
        sorting
    }

    /// What ohms and volts say against each other.
    pub(crate) fn doubts(&self, orders: &[Ordered], told: &Volts) -> Vec<Conflict> {
        let mut list: Vec<Conflict> = self.set(told).into_iter().collect();
        list.extend(self.no_volts(orders, told));
        list.extend(self.taps(orders, told));
        list
    }

    /// Plain readings of volts with the common feed.
    fn plain<'s>(
        &'s self,
        told: &'s Volts,
    ) -> impl Iterator<Item = (u32, (usize, usize), f64, f64)> + 's {
        self.seen.iter().filter_map(|s| match &s.what {
            What::Volts {
                feed,
                set,
                links,
                at,
                volts,
                step,
            } if links.is_empty()
                && (*feed == told.feed || (feed.1, feed.0) == told.feed)
                && Some(*set) == told.set =>
            {
                Some((s.reading, *at, *volts, *step))
            }
            _ => None,
        })
    }

    /// Once taken again, a reading that is only unlikely is believed.
    fn unless_repeated(&self, conflict: Conflict) -> Option<Conflict> {
        let fresh = |r: &u32| self.seen.iter().any(|s| s.reading == *r && !s.repeated);
        conflict.0.iter().any(fresh).then_some(conflict)
    }

    fn set(&self, told: &Volts) -> Option<Conflict> {
        let set = told.set.filter(|s| *s > 0.0)?;
        let (low, high) = (told.feed.0.min(told.feed.1), told.feed.0.max(told.feed.1));
        let (reading, _, volts, _) = self.plain(told).find(|(_, at, ..)| *at == (low, high))?;
        let off = volts > SET_OFF * set || volts < set / SET_OFF;
        let what =
            format!("reading {reading} shows {volts} V on the winding that is fed with {set} V");
        off.then_some((vec![reading], what))
            .and_then(|c| self.unless_repeated(c))
    }

    /// A lead that shows no volts to its own winding. On a star of a three-phase part two leads stand at nearly the same volts.
    fn no_volts(&self, orders: &[Ordered], told: &Volts) -> Option<Conflict> {
        let one = |(a, b): (usize, usize)| {
            let in_it = |o: &Ordered| o.leads.contains(&a) && o.leads.contains(&b);
            orders.iter().any(|o| in_it(o) && !star(o, orders))
        };
        let (reading, pair, ..) = self
            .plain(told)
            .find(|(_, at, volts, step)| *volts <= DIGITS * step && one(*at))?;
        let mut readings = self.parting(pair);
        readings.push(reading);
        let what =
            format!("reading {reading} shows no volts where the dead tests show one winding");
        Some((by_need(readings, self.seen), what))
    }

    /// Dead tests without any one of which these two leads do not stand in one winding: those that show a path first.
    fn parting(&self, (a, b): (usize, usize)) -> Vec<u32> {
        let together = |g: &Vec<usize>| g.contains(&a) && g.contains(&b);
        self.without(|sorting| !sorting.groups.iter().any(together))
    }

    /// Dead tests that contradict each other: those first without any one of which the others do not.
    pub(crate) fn slipped_dead(&self, named: &[u32]) -> Vec<u32> {
        let mut readings = self.without(|sorting| sorting.conflict.is_none());
        readings.extend(named);
        by_need(readings, self.seen)
    }

    /// Dead tests without any one of which the sorting is as wanted: those that show a path first.
    fn without(&self, wanted: impl Fn(&Sorting) -> bool) -> Vec<u32> {
        let mut list: Vec<(bool, u32)> = Vec::new();
        for one in self.seen {
            let What::Path { path, .. } = one.what else {
                continue;
            };
            let others: Vec<Seen> = self
                .seen
                .iter()
                .filter(|s| s.reading != one.reading)
                .cloned()
                .collect();
            if wanted(&self.sorted(&others)) {
                list.push((!path, one.reading));
            }
        }
        list.sort_unstable();
        list.into_iter().map(|(_, r)| r).collect()
    }

    /// A tap that stands elsewhere by ohms than by volts.
    fn taps(&self, orders: &[Ordered], told: &Volts) -> Option<Conflict> {
        orders
            .iter()
            .zip(&told.windings)
            .find_map(|(order, winding)| {
                let (ohms, volts) = (order.ohms.as_ref()?, winding.volts.as_ref()?);
                let (all, whole) = (*ohms.last()?, *volts.last()?);
                if star(order, orders)
                    || order.leads.len() < 3
                    || ohms.len() != order.leads.len()
                    || all < OHMS_ENOUGH
                    || whole <= 0.0
                {
                    return None;
                }
                let turned = order.leads.first() != winding.leads.first();
                let place = |lead: &usize| {
                    let at = winding.leads.iter().position(|l| l == lead)?;
                    let share = volts[at] / whole;
                    Some(if turned { 1.0 - share } else { share })
                };
                let most = TAP_OFF + 2.0 * OHMS_LEADS / all;
                let off = |(lead, ohms): (&usize, &f64)| {
                    place(lead).is_some_and(|p| (p - ohms / all).abs() > most)
                };
                order.leads.iter().zip(ohms).any(off).then_some(())?;
                let in_it = |l: usize| order.leads.contains(&l);
                let by_volts = self
                    .plain(told)
                    .filter(|(_, (a, b), ..)| in_it(*a) && in_it(*b));
                let mut readings: Vec<u32> = by_volts.map(|(r, ..)| r).collect();
                readings.extend(self.dead_within(&order.leads));
                let what = "a tap stands elsewhere by ohms than by volts".to_owned();
                self.unless_repeated((by_need(readings, self.seen), what))
            })
    }

    /// Dead tests that showed ohms between leads of a winding.
    fn dead_within(&self, leads: &[usize]) -> Vec<u32> {
        let in_it = |s: &&Seen| match &s.what {
            What::Path {
                lead,
                against,
                path: true,
                ..
            } => leads.contains(lead) && against.iter().any(|a| leads.contains(a)),
            _ => false,
        };
        self.seen.iter().filter(in_it).map(|s| s.reading).collect()
    }

    /// Readings of volts that do not fit: those first that would ten times greater or smaller, then those named, then all others, the
    /// dead tests last.
    pub(crate) fn slipped_volts(&self, orders: &[Ordered], named: &[u32]) -> Vec<u32> {
        let fits = |seen: &[Seen]| volts(orders, self.through, seen).conflict.is_none();
        let mut readings = self.tenfold(fits);
        readings.extend(named);
        let is_dead = |s: &&Seen| matches!(s.what, What::Path { .. });
        let fed = self.seen.iter().filter(|s| !is_dead(s));
        readings.extend(fed.map(|s| s.reading));
        let dead = self.seen.iter().filter(is_dead);
        readings.extend(dead.map(|s| s.reading));
        by_need(readings, self.seen)
    }

    /// Likewise of a winding's ohms.
    pub(crate) fn slipped_ohms(&self, group: &[usize], named: &[u32]) -> Vec<u32> {
        let mut readings = self.tenfold(|seen: &[Seen]| order(group, seen).conflict.is_none());
        readings.extend(named);
        readings.extend(self.dead_within(group));
        by_need(readings, self.seen)
    }

    fn tenfold(&self, fits: impl Fn(&[Seen]) -> bool) -> Vec<u32> {
        let mut list = Vec::new();
        for (i, one) in self.seen.iter().enumerate() {
            let mends = [0.1, 10.0].iter().any(|factor| {
                let mut seen = self.seen.to_vec();
                match &mut seen[i].what {
                    What::Volts { volts, .. } => *volts *= factor,
                    What::Path {
                        ohms: Some(ohms), ..
                    } => *ohms *= factor,
                    _ => return false,
                }
                fits(&seen)
            });
            if mends {
                list.push(one.reading);
            }
        }
        list
    }
}
