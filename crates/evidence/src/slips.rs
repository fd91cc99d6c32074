//! The recognisable slips: how often each, and what each would show.
//!
//! One table for all. A slip's density is told about the prediction that leaves the reading out, with that prediction's own
//! variance. Shares and densities are our choice, from what people at benches report (common practice); the judgement hardly feels
//! a factor of two in any of them.

use crate::fitting::{FLOATING_DENSITY, LEAKAGE_OHMS};
use crate::tails::log_normal_cdf;
use crate::{Observation, Shown, SlipKind};
use quantity::Unit;

/// What a slip shows instead of the prediction m.
#[derive(Debug, Clone, Copy)]
enum Shows {
    /// `factor * m`.
    Factor(f64),
    /// What another place shows.
    OtherPlace,
    /// m and so much more, with that spread: ohms of the leads.
    More(f64, f64),
    /// Next to nothing: this share of m, give or take as much.
    NextToNothing(f64),
    /// m on a range so coarse that it is off by about so many steps.
    Steps(f64),
    /// Anything: ln of it spread so far about ln m.
    Anything(f64),
}

/// One line of the table.
struct Line {
    kind: SlipKind,
    /// Share among the slips that apply to a reading, before they are brought to 1.
    share: f64,
    shows: Shows,
    /// In words.
    word: &'static str,
}

const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// The table, in the order of [`SlipKind`].
const TABLE: [Line; 12] = [
    Line {
        kind: SlipKind::TenTimes,
        share: 0.16,
        shows: Shows::Factor(10.0),
        word: "decimal point, ten times too much",
    },
    Line {
        kind: SlipKind::Tenth,
        share: 0.16,
        shows: Shows::Factor(0.1),
        word: "decimal point, a tenth",
    },
    Line {
        kind: SlipKind::ThousandTimes,
        share: 0.06,
        shows: Shows::Factor(1e3),
        word: "prefix, a thousand times too much",
    },
    Line {
        kind: SlipKind::Thousandth,
        share: 0.06,
        shows: Shows::Factor(1e-3),
        word: "prefix, a thousandth",
    },
    Line {
        kind: SlipKind::LineForPhase,
        share: 0.07,
        shows: Shows::Factor(SQRT_3),
        word: "line to line instead of line to neutral",
    },
    Line {
        kind: SlipKind::PhaseForLine,
        share: 0.05,
        shows: Shows::Factor(1.0 / SQRT_3),
        word: "line to neutral instead of line to line",
    },
    Line {
        kind: SlipKind::OtherHalf,
        share: 0.10,
        shows: Shows::OtherPlace,
        word: "the other half of the winding",
    },
    Line {
        kind: SlipKind::WrongTerminal,
        share: 0.18,
        shows: Shows::OtherPlace,
        word: "leads on another terminal",
    },
    Line {
        kind: SlipKind::LeadsNotZeroed,
        share: 0.15,
        shows: Shows::More(0.375, 0.13),
        word: "test leads not zeroed",
    },
    Line {
        kind: SlipKind::DeadContact,
        share: 0.08,
        shows: Shows::NextToNothing(0.01),
        word: "no contact, or AC on a DC range",
    },
    Line {
        kind: SlipKind::CoarseRange,
        share: 0.05,
        shows: Shows::Steps(145.0),
        word: "a range far too coarse",
    },
    Line {
        kind: SlipKind::Gross,
        share: 0.08,
        shows: Shows::Anything(1.0),
        word: "something else",
    },
];

fn line(kind: SlipKind) -> &'static Line {
    &TABLE[kind as usize]
}

impl SlipKind {
    /// All kinds, in the order of the table.
    pub fn all() -> impl Iterator<Item = SlipKind> {
        TABLE.iter().map(|line| line.kind)
    }

    /// The slip in a few words.
    pub fn word(self) -> &'static str {
        line(self).word
    }

    /// Its share among all slips, before those that do not apply to a reading are left out.
    pub fn share(self) -> f64 {
        line(self).share
    }

    /// The kinds that can befall a reading in this unit. Those of another place apply only where such places are listed, and test
    /// leads only to ohms taken with two leads.
    pub fn befalling(unit: Unit, two_wire: bool) -> Vec<SlipKind> {
        let volts = unit == Unit::Volt;
        let ohms = unit == Unit::Ohm;
        Self::all()
            .filter(|kind| match kind {
                SlipKind::LineForPhase
                | SlipKind::PhaseForLine
                | SlipKind::OtherHalf
                | SlipKind::WrongTerminal
                | SlipKind::CoarseRange => volts,
                SlipKind::LeadsNotZeroed => ohms && two_wire,
                SlipKind::DeadContact => !ohms,
                _ => true,
            })
            .collect()
    }
}

/// A prediction that leaves the reading out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Expected {
    Value { value: f64, variance: f64 },
    Floating,
    Open,
}

/// One way a reading may have come about, with its density.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Slip {
    pub(crate) kind: SlipKind,
    /// Which of the reading's other places.
    pub(crate) place: Option<usize>,
    /// Share times density (or, of a bound, chance).
    pub(crate) weight: f64,
}

/// Every slip that applies to a reading, each with share times density of what was shown; the shares sum to 1. `gain` is the
/// standard uncertainty of the meter's gain, for predictions that do not hold it.
pub(crate) fn slips(
    observation: &Observation,
    sigma: f64,
    gain: f64,
    here: Expected,
    there: &[Expected],
) -> Vec<Slip> {
    let mut found = vec![];
    let places = |kind: SlipKind| {
        observation
            .other_places
            .iter()
            .enumerate()
            .filter(move |(_, place)| place.kind == kind)
    };
    let applies = |kind: SlipKind| match line(kind).shows {
        Shows::OtherPlace => places(kind).next().is_some(),
        _ => true,
    };
    let mut kinds: Vec<SlipKind> = observation
        .slips
        .iter()
        .copied()
        .filter(|&kind| applies(kind))
        .collect();
    if kinds.is_empty() {
        kinds.push(SlipKind::Gross);
    }
    let total: f64 = kinds.iter().map(|kind| kind.share()).sum();
    let density = Density {
        shown: observation.shown,
        sigma,
        gain,
        step: observation.step,
    };
    for kind in kinds {
        let share = kind.share() / total;
        if let Shows::OtherPlace = line(kind).shows {
            let count = places(kind).count() as f64;
            for (place, _) in places(kind) {
                found.push(Slip {
                    kind,
                    place: Some(place),
                    weight: share / count * density.of(Shows::Factor(1.0), there[place]),
                });
            }
        } else {
            found.push(Slip {
                kind,
                place: None,
                weight: share * density.of(line(kind).shows, here),
            });
        }
    }
    found
}

/// Densities of what was shown.
struct Density {
    shown: Shown,
    sigma: f64,
    gain: f64,
    step: f64,
}

impl Density {
    fn of(&self, shows: Shows, expected: Expected) -> f64 {
        match expected {
            Expected::Value { value, variance } => self.about(shows, value, variance),
            Expected::Floating => self.shown_value().map_or(0.5, |_| FLOATING_DENSITY),
            Expected::Open => match (self.shown, shows) {
                (Shown::AtLeast { .. }, _) => 1.0,
                // No path: only a misreading that comes from nowhere can have made a number, or a beep, of it.
                (Shown::Value { value, .. }, Shows::Anything(_)) => {
                    0.05 / value.abs().max(self.sigma)
                }
                (Shown::AtMost { .. }, Shows::Anything(_)) => 0.5,
                (Shown::Value { value, .. }, _) if value.abs() >= LEAKAGE_OHMS => 0.1 / value.abs(),
                _ => 0.0,
            },
        }
    }

    fn shown_value(&self) -> Option<f64> {
        match self.shown {
            Shown::Value { value, .. } => Some(value),
            Shown::AtLeast { .. } | Shown::AtMost { .. } => None,
        }
    }

    fn about(&self, shows: Shows, m: f64, variance: f64) -> f64 {
        // What the display itself blurs at the size shown; the gain beside it, as the true reading was on a range of its own.
        let display = self.sigma.powi(2);
        let (mean, spread) = match shows {
            Shows::Factor(factor) => (
                factor * m,
                display + factor.powi(2) * (variance + (self.gain * m).powi(2)),
            ),
            Shows::More(more, spread) => (m + more, display + variance + spread.powi(2)),
            Shows::NextToNothing(share) => (share * m, (share * m).powi(2) + display),
            Shows::Steps(steps) => (m, display + variance + (steps * self.step).powi(2)),
            Shows::OtherPlace => return 0.0,
            Shows::Anything(width) => return self.anything(m, variance, width),
        };
        let spread = spread.sqrt();
        match self.shown {
            Shown::Value { value, .. } => normal_density(value, mean, spread),
            Shown::AtLeast { limit, .. } => log_normal_cdf((mean - limit) / spread).0.exp(),
            Shown::AtMost { limit, .. } => log_normal_cdf((limit - mean) / spread).0.exp(),
        }
    }

    fn anything(&self, m: f64, variance: f64, width: f64) -> f64 {
        let Some(value) = self.shown_value() else {
            return 0.5;
        };
        // Nothing finer than half a step, or than the display's own blur, can be told of a value near zero.
        let floor = (0.5 * self.step)
            .max(1e-3 * self.sigma)
            .max(f64::MIN_POSITIVE);
        let (value, m) = (value.abs().max(floor), m.abs().max(floor));
        let spread = width.powi(2) + display_share(self.sigma, m) + (variance / m.powi(2)).min(4.0);
        normal_density(value.ln(), m.ln(), spread.sqrt()) / value
    }
}

/// Square of the display's blur as a share of m, no more than one.
fn display_share(sigma: f64, m: f64) -> f64 {
    (sigma / m).powi(2).min(1.0)
}

fn normal_density(at: f64, mean: f64, spread: f64) -> f64 {
    let off = (at - mean) / spread;
    (-0.5 * off * off).exp() / (spread * (2.0 * std::f64::consts::PI).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_stands_in_the_order_of_the_kinds_and_sums_to_its_shares() {
        for (number, line) in TABLE.iter().enumerate() {
            assert_eq!(line.kind as usize, number);
            assert!(line.share > 0.0 && !line.word.is_empty());
        }
        let mut words: Vec<_> = TABLE.iter().map(|line| line.word).collect();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), TABLE.len());
    }
}
