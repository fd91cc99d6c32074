//! The recognisable slips: how often each, and what each would show.
//!
//! One table for all. A slip's density is told about the prediction that leaves the reading out, with that prediction's own
//! variance. Shares and densities are our choice, from what people at benches report (common practice); the judgement hardly feels
//! a factor of two in any of them.

use crate::fitting::{FLOATING_DENSITY, LEAKAGE_OHMS};
use crate::tails::log_normal_cdf;
use crate::{DisplayRange, Observation, Shown, SlipKind};
use quantity::Unit;

/// What a slip shows instead of the prediction m.
#[derive(Debug, Clone, Copy)]
enum Shows {
    /// `factor * m`, misread from a display that showed m.
    Decade(f64),
    /// `factor * m`, rightly shown.
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
        shows: Shows::Decade(10.0),
        word: "decimal point, ten times too much",
    },
    Line {
        kind: SlipKind::Tenth,
        share: 0.16,
        shows: Shows::Decade(0.1),
        word: "decimal point, a tenth",
    },
    Line {
        kind: SlipKind::ThousandTimes,
        share: 0.06,
        shows: Shows::Decade(1e3),
        word: "prefix, a thousand times too much",
    },
    Line {
        kind: SlipKind::Thousandth,
        share: 0.06,
        shows: Shows::Decade(1e-3),
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
    let density = Density::new(observation, sigma, gain);
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
struct Density<'a> {
    observation: &'a Observation,
    shown: Shown,
    /// Standard uncertainty at the value shown.
    sigma: f64,
    gain: f64,
    /// Scatter as a share of the value.
    scatter: f64,
}

impl<'a> Density<'a> {
    fn new(observation: &'a Observation, sigma: f64, gain: f64) -> Self {
        let (Shown::Value { value, .. }
        | Shown::AtLeast { limit: value, .. }
        | Shown::AtMost { limit: value, .. }) = observation.shown;
        let digits = range(observation, value).map_or(sigma, |range| range.digits);
        let scatter = if value == 0.0 {
            0.0
        } else {
            (sigma.powi(2) - digits.powi(2)).max(0.0).sqrt() / value.abs()
        };
        Self {
            observation,
            shown: observation.shown,
            sigma,
            gain,
            scatter,
        }
    }

    /// Variance of what the instrument shows of `value`: digits of its range, scatter, gain. Without ranges, `factor` times it is
    /// as fine as what was shown.
    fn display(&self, value: f64, factor: f64) -> f64 {
        let gain = (self.gain * value).powi(2);
        match range(self.observation, value) {
            Some(range) => range.digits.powi(2) + (self.scatter * value).powi(2) + gain,
            None => (self.sigma / factor).powi(2) + gain,
        }
    }

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
        let (mean, spread) = match shows {
            // A decade's slip is made reading the display, so the true reading's blur goes with it; √3 is another voltage, shown anew.
            // Ten times nothing is nothing: a plain zero is as likely slipped as not.
            Shows::Decade(_) if self.shown_value() == Some(0.0) => {
                (m, self.display(m, 1.0) + variance)
            }
            Shows::Decade(factor) => (
                factor * m,
                factor.powi(2) * (self.display(m, factor) + variance),
            ),
            Shows::Factor(factor) => (
                factor * m,
                self.display(factor * m, 1.0) + factor.powi(2) * variance,
            ),
            Shows::More(more, spread) => {
                (m + more, self.display(m, 1.0) + variance + spread.powi(2))
            }
            Shows::NextToNothing(share) => (
                share * m,
                (share * m).powi(2) + self.display(share * m, 1.0),
            ),
            Shows::Steps(steps) => {
                let step =
                    range(self.observation, m).map_or(self.observation.step, |range| range.step);
                (m, self.display(m, 1.0) + variance + (steps * step).powi(2))
            }
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
        // Nothing finer than half a step, or than a thousandth of the display's blur, can be told of a value near zero.
        let floor = (0.5 * self.observation.step)
            .max(1e-3 * self.sigma)
            .max(f64::MIN_POSITIVE);
        let (value, size) = (value.abs().max(floor), m.abs().max(floor));
        let spread = width.powi(2)
            + (self.display(m, 1.0) / size.powi(2)).min(1.0)
            + (variance / size.powi(2)).min(4.0);
        normal_density(value.ln(), size.ln(), spread.sqrt()) / value
    }
}

/// The range a value is shown on: the smallest that holds it, above the last the last.
fn range(observation: &Observation, value: f64) -> Option<&DisplayRange> {
    let ranges = &observation.ranges;
    ranges
        .iter()
        .find(|range| value.abs() <= range.full_scale)
        .or(ranges.last())
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
