//! The fewest readings of volts that do at worst, for any way of asking, with a meter that may be off: a game against an adversary.
//!
//! One winding is fed and read, and counts as 1. Every other lead of the others stands some signed length from its winding's first lead;
//! all of them are to be told. A reading is taken across any string: of each winding at most one stretch, either way round, the fed one
//! too. The adversary says what the meter shows, out of a few values of very different size; a reading that follows from earlier ones
//! tells two answers apart only where they differ by more than a meter may be off twice. His windings, put in order of their volts, fall
//! to no less than a twelfth each, so that each start can be told against the next greater winding. Where he wins, no way of asking does
//! with so many readings, for he could say more than these few values; where he loses nothing is proved. Order and starts are in it, for
//! the ohms of thick windings tell neither. A reading is a test, however many are taken in one setup.

/// Most unknown lengths.
const MOST: usize = 4;
/// Share of a reading within which two answers show alike: a meter 1.5 % off, twice (the share the sorting of volts allows it).
const ALIKE: f64 = 0.03;
/// What the adversary may say, over the fed winding's volts: like it, or smaller by tens. Tried in this order.
const SAID: [f64; 6] = [0.1, 1.0, 0.01, 0.001, 2.0, 10.0];

/// Least volts of a winding over the next greater one, of a stretch over its winding.
const LEAST: f64 = 0.08;

/// Stretches in a string: of the fed winding first, then a factor for every unknown length.
type Across = [f64; MOST + 1];

/// The windings besides the fed one: first unknown length and leads (2 or 3) of each.
struct Part {
    windings: Vec<(usize, usize)>,
    unknown: usize,
    strings: Vec<Across>,
}

/// What was read: independent strings, and every answer that fits, as what each string shows with its sign.
#[derive(Clone)]
struct Known {
    read: Vec<Across>,
    answers: Vec<[f64; MOST]>,
}

/// Readings below which he wins, the fed winding's own in them; besides the fed winding there are `pairs` windings of two leads and
/// `triples` with a tap.
pub(super) fn fewest(pairs: usize, triples: usize) -> u32 {
    let known = (1 + pairs + 2 * triples) as u32;
    (known..)
        .find(|readings| !too_few(pairs, triples, *readings))
        .unwrap_or(known)
}

/// Whether the adversary wins against `readings` readings.
fn too_few(pairs: usize, triples: usize, readings: u32) -> bool {
    let windings = (0..pairs)
        .map(|i| (i, 2))
        .chain((0..triples).map(|i| (pairs + 2 * i, 3)));
    let mut part = Part {
        windings: windings.collect(),
        unknown: pairs + 2 * triples,
        strings: Vec::new(),
    };
    part.list(0, [0.0; MOST + 1]);
    for fed in [1.0, -1.0] {
        let without = part.strings.clone();
        let with = without.iter().filter(|s| s[0] == 0.0).map(|s| {
            let mut s = *s;
            s[0] = fed;
            s
        });
        let with: Vec<Across> = with.collect();
        part.strings.extend(with);
    }
    let nothing = Known {
        read: Vec::new(),
        answers: vec![[0.0; MOST]],
    };
    !part.told(&nothing, readings.saturating_sub(1))
}

impl Part {
    /// Every string of the windings from the `next` on, one of each string and its reverse.
    fn list(&mut self, next: usize, string: Across) {
        let Some((first, leads)) = self.windings.get(next).copied() else {
            if string.iter().find(|s| **s != 0.0).is_some_and(|s| *s > 0.0) {
                self.strings.push(string);
            }
            return;
        };
        let stretches: &[(f64, f64)] = match leads {
            2 => &[(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0)],
            _ => &[
                (0.0, 0.0),
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.0, 1.0),
                (0.0, -1.0),
                (1.0, -1.0),
                (-1.0, 1.0),
            ],
        };
        for (one, other) in stretches {
            let mut string = string;
            string[first + 1] = *one;
            if leads == 3 {
                string[first + 2] = *other;
            }
            self.list(next + 1, string);
        }
    }

    /// Whether all is told at worst after so many more readings.
    fn told(&self, known: &Known, readings: u32) -> bool {
        let missing = (self.unknown - known.read.len()) as u32;
        let open = known.answers.len() > 1 || missing > 0;
        if !open || readings < missing + 1 {
            return !open;
        }
        let mut strings = self.strings.iter().filter(|s| self.fresh(known, s));
        strings.any(|string| match follows(&known.read, string) {
            Some(by) => self.told_apart(known, &by, readings),
            None => SAID.iter().all(|said| {
                let mut next = known.clone();
                next.read.push(*string);
                let at = known.read.len();
                let both = known
                    .answers
                    .iter()
                    .flat_map(|a| [1.0, -1.0].map(|s| (a, s)));
                next.answers = both
                    .map(|(a, sign)| {
                        let mut a = *a;
                        a[at] = sign * said;
                        a
                    })
                    .collect();
                if next.read.len() == self.unknown {
                    next.answers.retain(|a| self.can_be(&next.read, a));
                    // What no part shows he may not say.
                    if next.answers.is_empty() {
                        return true;
                    }
                }
                self.told(&next, readings - 1)
            }),
        })
    }

    /// Whether the windings of an answer can be told by someone.
    fn can_be(&self, read: &[Across], answer: &[f64; MOST]) -> bool {
        let length = |unknown: usize| {
            let mut alone = [0.0; MOST + 1];
            alone[unknown + 1] = 1.0;
            follows(read, &alone).map_or(0.0, |by| shows(&by, answer))
        };
        let mut wholes = vec![1.0];
        for (first, leads) in &self.windings {
            let one = length(*first);
            let other = if *leads == 3 { length(first + 1) } else { 0.0 };
            let stretches = [one.abs(), other.abs(), (one - other).abs()];
            let whole = stretches.iter().fold(0.0, |a, x| f64::max(a, *x));
            if *leads == 3 && stretches.iter().any(|s| *s < LEAST * whole) {
                return false;
            }
            wholes.push(whole);
        }
        wholes.sort_by(f64::total_cmp);
        wholes.windows(2).all(|w| w[0] >= LEAST * w[1])
    }

    /// A reading that follows from earlier ones, but for their signs: the adversary leaves any answers that show alike.
    fn told_apart(&self, known: &Known, by: &Across, readings: u32) -> bool {
        if known.answers.len() < 2 {
            return false;
        }
        let with = |a: &[f64; MOST]| (shows(by, a).abs(), *a);
        let mut shown: Vec<(f64, [f64; MOST])> = known.answers.iter().map(with).collect();
        shown.sort_by(|a, b| a.0.total_cmp(&b.0));
        (0..shown.len()).all(|first| {
            let alike = shown[first..]
                .iter()
                .take_while(|(v, _)| v - shown[first].0 <= ALIKE * v + 1e-9);
            let answers: Vec<[f64; MOST]> = alike.map(|(_, a)| *a).collect();
            if answers.len() == shown.len() {
                return false;
            }
            let read = known.read.clone();
            self.told(&Known { read, answers }, readings - 1)
        })
    }

    /// Windings not read yet are like each other and like their reverse: only one string of all such is looked at.
    fn fresh(&self, known: &Known, string: &Across) -> bool {
        let in_it = |s: &Across, (first, leads): (usize, usize)| {
            s[first + 1..first + leads].iter().any(|x| *x != 0.0)
        };
        let mut skipped = [false; 4];
        for w in &self.windings {
            if known.read.iter().any(|r| in_it(r, *w)) {
                continue;
            }
            if !in_it(string, *w) {
                skipped[w.1] = true;
                continue;
            }
            if skipped[w.1] || string[w.0 + 1] != 1.0 || (w.1 == 3 && string[w.0 + 2] != 0.0) {
                return false;
            }
        }
        true
    }
}

/// Volts across a string by how it follows from those read.
fn shows(by: &Across, answer: &[f64; MOST]) -> f64 {
    by[0] + answer.iter().zip(&by[1..]).map(|(a, b)| a * b).sum::<f64>()
}

/// How a string follows from those read: a share of the fed winding and a factor for each.
fn follows(read: &[Across], string: &Across) -> Option<Across> {
    let n = read.len();
    let mut rows = [[0.0; MOST + 1]; MOST];
    for (r, row) in rows.iter_mut().enumerate() {
        for (c, s) in read.iter().enumerate() {
            row[c] = s[r + 1];
        }
        row[n] = string[r + 1];
    }
    for c in 0..n {
        let pivot = (c..MOST).find(|r| rows[*r][c].abs() > 1e-9)?;
        rows.swap(c, pivot);
        let lead = rows[c][c];
        rows[c].iter_mut().for_each(|x| *x /= lead);
        let row = rows[c];
        for (r, other) in rows.iter_mut().enumerate() {
            let factor = other[c];
            if r != c && factor != 0.0 {
                other
                    .iter_mut()
                    .zip(row)
                    .for_each(|(x, y)| *x -= factor * y);
            }
        }
    }
    if rows[n..].iter().any(|row| row[n].abs() > 1e-9) {
        return None;
    }
    let mut by = [0.0; MOST + 1];
    by[0] = string[0];
    for (c, s) in read.iter().enumerate() {
        by[c + 1] = rows[c][n];
        by[0] -= rows[c][n] * s[0];
    }
    Some(by)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One winding besides the fed one wants its own reading and one of both, linked: three in all, by hand. Every further one wants as
    /// many, and a tap one for its length and one for its side: what the sorting takes, leads less one and a reading for each tap.
    #[test]
    fn every_winding_wants_two_readings_and_every_tap_two() {
        assert_eq!(fewest(1, 0), 3);
        assert_eq!(fewest(2, 0), 5);
        assert_eq!(fewest(3, 0), 7);
        assert_eq!(fewest(0, 1), 5);
        assert_eq!(fewest(1, 1), 7);
    }
}
