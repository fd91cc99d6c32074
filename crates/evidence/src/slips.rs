//! The recognisable slips: how often each, and what each would show.
//!
//! One table for all. A slip's density is told about the prediction that leaves the reading out, with that prediction's own
//! variance. Shares and densities are our choice, from what people at benches report (common practice); the judgement hardly feels
//! a factor of two in any of them.

mod density;

use crate::{Observation, SlipKind};
use density::Density;
pub(crate) use density::display_sigma;
use network::Question;
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
    /// This share of m, the share spread so far.
    Share(f64, f64),
    /// Any volts a lead in the air picks up.
    Ghost,
    /// m before it settled: ln of it off by half a normal of that width, ohms and volts upwards, amperes downwards.
    Unsettled(f64),
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
const TABLE: [Line; 21] = [
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
    Line {
        kind: SlipKind::PeakForRms,
        share: 0.02,
        shows: Shows::Factor(std::f64::consts::SQRT_2),
        word: "peak instead of RMS",
    },
    Line {
        kind: SlipKind::RmsForPeak,
        share: 0.02,
        shows: Shows::Factor(std::f64::consts::FRAC_1_SQRT_2),
        word: "RMS taken for a peak",
    },
    Line {
        // 8 % low at crest factor 1.7, 23 % at 2.1 (third and fifth harmonic, reckoned as CHECKS M1 does).
        kind: SlipKind::AverageResponding,
        share: 0.06,
        shows: Shows::Share(0.85, 0.04),
        word: "an average-responding meter on a peaky current",
    },
    Line {
        kind: SlipKind::ClampBoth,
        share: 0.06,
        shows: Shows::NextToNothing(0.01),
        word: "the clamp around both conductors",
    },
    Line {
        kind: SlipKind::TwoTurns,
        share: 0.03,
        shows: Shows::Factor(2.0),
        word: "two turns through the clamp",
    },
    Line {
        kind: SlipKind::HalvedTurns,
        share: 0.02,
        shows: Shows::Factor(0.5),
        word: "halved for two turns that were one",
    },
    Line {
        kind: SlipKind::GhostVolts,
        share: 0.04,
        shows: Shows::Ghost,
        word: "a lead that did not touch, ghost volts",
    },
    Line {
        kind: SlipKind::LeftOnDc,
        share: 0.05,
        shows: Shows::NextToNothing(0.01),
        word: "left on DC",
    },
    Line {
        kind: SlipKind::NotSettled,
        share: 0.10,
        shows: Shows::Unsettled(0.5),
        word: "not settled yet",
    },
];

/// The kinds [`SlipKind::befalling`] knows: those of the trials' reference set-up, the first twelve of the table.
const COMMON: usize = 12;

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

    /// The twelve common kinds, those that can befall a reading in this unit; the others need to know the meter and the place, as
    /// [`crate::model`] does. Those of another place apply only where such places are listed, and test leads only to ohms taken with two
    /// leads.
    pub fn befalling(unit: Unit, two_wire: bool) -> Vec<SlipKind> {
        let volts = unit == Unit::Volt;
        let ohms = unit == Unit::Ohm;
        Self::all()
            .take(COMMON)
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

/// What a slip typically shows of a reading that should show `m`; `there` is what stands at the other place, if it is one. Nothing of
/// [`SlipKind::Gross`], which shows anything.
pub(crate) fn typical(
    observation: &Observation,
    kind: SlipKind,
    m: f64,
    there: Option<f64>,
) -> Option<f64> {
    /// Middle of a half-normal in units of its width.
    const MIDDLE: f64 = 0.674_489_750_196_081_7;
    Some(match line(kind).shows {
        Shows::Decade(factor) | Shows::Factor(factor) | Shows::Share(factor, _) => factor * m,
        Shows::OtherPlace => there?,
        Shows::More(more, _) => m + more,
        Shows::NextToNothing(share) => share * m,
        Shows::Steps(steps) => m + steps * observation.step,
        Shows::Ghost => 0.5 / crate::fitting::FLOATING_DENSITY,
        Shows::Unsettled(width) => match observation.question {
            Question::Current { .. } => m * (-MIDDLE * width).exp(),
            _ => m * (MIDDLE * width).exp(),
        },
        Shows::Anything(_) => return None,
    })
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Shares among the kinds of the reference set-up, which the trials draw from: they stay as they are.
    #[test]
    fn befalling_asks_for_the_common_kinds_only() {
        let volts = SlipKind::befalling(Unit::Volt, false);
        let ohms = SlipKind::befalling(Unit::Ohm, true);
        assert_eq!((volts.len(), ohms.len()), (11, 6));
        let sum = |kinds: &[SlipKind]| kinds.iter().map(|kind| kind.share()).sum::<f64>();
        assert!((sum(&volts) - 1.05).abs() < 1e-12 && (sum(&ohms) - 0.67).abs() < 1e-12);
    }

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
