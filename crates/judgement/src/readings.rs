//! Readings with their verdicts, in words and rounded figures.

use crate::candidates::AS_READ;
use crate::digits::{self, prefix_of, shown};
use crate::phase;
use crate::said::{Kind, ReadingSaid, Verdict};
use evidence::{Predicted, ReadingEvidence, SlipKind};
use gear::{Find, Measured, Reading};
use quantity::{Decimal, Estimate, Quantity, Reach, Unit};

/// Below: agrees. From here doubtful.
const DOUBTFUL: f64 = 0.1;
/// Ohms below which every continuity tester beeps (thresholds are 10 to 70 Ω: common practice); above it is left open.
const BEEPS_FOR_SURE: f64 = 70.0;
/// Above: contradicts.
const CONTRADICTS: f64 = 0.5;

/// Everything the sentences of one reading hang on.
pub(crate) struct Seen<'a> {
    pub(crate) find: &'a Find,
    pub(crate) phases: u8,
    pub(crate) decimal: Decimal,
}

impl Seen<'_> {
    /// A reading that was judged.
    pub(crate) fn judged(&self, reading: &Reading, evidence: &ReadingEvidence) -> ReadingSaid {
        let mut said = self.bare(reading);
        match evidence.answer {
            Predicted::Value {
                value,
                uncertainty,
                distance,
            } => self.with_prediction(&mut said, reading, evidence, (value, uncertainty, distance)),
            Predicted::Floating => {
                said.verdict = Verdict::Floating;
                said.remark = "not proven dead".into();
                said.argument = Some(
                    "Nothing joins these two places: this number proves nothing. Not proven dead; use a low-impedance two-pole tester.".into(),
                );
            }
            Predicted::Open => self.without_path(&mut said, reading),
        }
        said
    }

    /// A reading nobody could judge, with the reason.
    pub(crate) fn not_judged(&self, reading: &Reading, reason: &str) -> ReadingSaid {
        let mut said = self.bare(reading);
        if said.verdict != Verdict::Struck {
            said.remark = reason.to_owned();
        }
        said
    }

    fn bare(&self, reading: &Reading) -> ReadingSaid {
        let (read, unit) = shown(reading);
        ReadingSaid {
            number: reading.number,
            at: reading
                .at
                .as_ref()
                .map_or_else(String::new, |m| m.clock().to_owned()),
            setup: reading.setup,
            phase: phase::of_place(self.find, &reading.place, self.phases),
            place: reading.place.to_string(),
            what: reading.what.clone().unwrap_or_default(),
            instrument: reading
                .instrument
                .as_ref()
                .map_or_else(String::new, ToString::to_string),
            read,
            unit,
            predicted: None,
            plus_minus: None,
            off_by: None,
            wrong: None,
            verdict: if reading.struck.is_some() {
                Verdict::Struck
            } else {
                Verdict::NotJudged
            },
            remark: reading
                .struck
                .clone()
                .or_else(|| reading.note.clone())
                .unwrap_or_default(),
            argument: None,
            kinds: Vec::new(),
            of_the_drawing: false,
            unnoticed: None,
            struck: reading.struck.clone(),
        }
    }

    fn with_prediction(
        &self,
        said: &mut ReadingSaid,
        reading: &Reading,
        evidence: &ReadingEvidence,
        (value, uncertainty, distance): (f64, f64, f64),
    ) {
        let prefix = reading.shown.as_ref().map_or("", prefix_of);
        let unit = reading.measured.unit().unwrap_or(Unit::Ohm);
        let rounded = Estimate {
            value,
            standard_uncertainty: uncertainty,
            unit,
        }
        .rounded_as(prefix)
        .in_decimals(self.decimal);
        if reading.measured == Measured::Continuity {
            said.predicted = Some(
                if value < BEEPS_FOR_SURE {
                    "a path"
                } else {
                    "no beep"
                }
                .to_owned(),
            );
        } else {
            said.predicted = Some(rounded.value.clone());
            said.plus_minus = (!rounded.plus_minus.is_empty()).then(|| rounded.plus_minus.clone());
        }
        if reading.measured != Measured::Continuity && is_value(reading) {
            said.off_by = Some(self.decimal.set(&off_by(distance)));
        }
        said.wrong = Some(evidence.wrong);
        said.verdict = verdict(evidence.wrong);
        let prediction = format!("{} ± {} {}", rounded.value, rounded.plus_minus, said.unit);
        said.kinds = kinds(evidence);
        said.argument = Some(self.argument(reading, evidence, &prediction));
        if let Some((kind, _, p)) = evidence
            .kinds
            .first()
            .filter(|(k, _, p)| *p > 0.5 && *k != SlipKind::Gross)
            && said.remark.is_empty()
            && *p > 0.5
            && said.verdict != Verdict::Agrees
        {
            said.remark = format!("{}?", short(*kind));
        }
    }

    fn without_path(&self, said: &mut ReadingSaid, reading: &Reading) {
        let open = matches!(
            reading.shown.as_ref().map(Quantity::reach),
            Some(Reach::AtLeast(_) | Reach::OverRange)
        ) || reading.beep == Some(false);
        if open {
            said.verdict = Verdict::Agrees;
            said.wrong = Some(0.0);
            said.predicted = Some("no path".into());
        } else {
            said.verdict = Verdict::Contradicts;
            said.wrong = Some(1.0);
            said.predicted = Some("no path".into());
            said.argument =
                Some("The joins as recorded leave no path between these two places, yet current passed: a join is missing, or the leads were elsewhere.".into());
        }
    }

    fn argument(&self, reading: &Reading, evidence: &ReadingEvidence, prediction: &str) -> String {
        let place = reading
            .what
            .clone()
            .unwrap_or_else(|| place_in_words(reading));
        let mut sentences = vec![match evidence.kinds.first().map(|k| k.0) {
            Some(SlipKind::TenTimes) => format!(
                "Ten times what the other readings leave for {place}: {prediction}. A decimal point?"
            ),
            Some(SlipKind::Tenth) => format!(
                "A tenth of what the other readings leave for {place}: {prediction}. A decimal point?"
            ),
            Some(SlipKind::ThousandTimes | SlipKind::Thousandth) => {
                format!(
                    "A thousand times off what the other readings leave for {place}: {prediction}. A prefix on the display?"
                )
            }
            Some(SlipKind::LineForPhase | SlipKind::PhaseForLine) => {
                format!(
                    "√3 off what the other readings leave for {place}: {prediction}. Taken line to line instead of line to neutral, or back?"
                )
            }
            Some(SlipKind::OtherHalf | SlipKind::WrongTerminal) => {
                match evidence.kinds.first().and_then(|k| k.1.clone()) {
                    Some(other) => format!(
                        "The other readings leave {prediction} for {place}; this is what stands from {other}."
                    ),
                    None => format!(
                        "The other readings leave {prediction} for {place}. Another pair of terminals?"
                    ),
                }
            }
            Some(SlipKind::LeadsNotZeroed) => format!(
                "The other readings leave {prediction} for {place}. The leads' own ohms on top?"
            ),
            Some(SlipKind::DeadContact) => format!(
                "Next to nothing, where the other readings leave {prediction} for {place}. A dead contact, or the wrong function?"
            ),
            Some(SlipKind::PeakForRms | SlipKind::RmsForPeak) => format!(
                "√2 off what the other readings leave for {place}: {prediction}. The peak of the wave for its RMS value, or back?"
            ),
            Some(SlipKind::AverageResponding) => format!(
                "The other readings leave {prediction} for {place}. An average-responding meter reads a peaky no-load current some 15 % low: is this one true RMS?"
            ),
            Some(SlipKind::ClampBoth) => format!(
                "Next to nothing, where the other readings leave {prediction} for {place}. The clamp around both conductors, so that their currents cancelled?"
            ),
            Some(SlipKind::TwoTurns | SlipKind::HalvedTurns) => format!(
                "Twice or half what the other readings leave for {place}: {prediction}. How many turns went through the clamp?"
            ),
            Some(SlipKind::GhostVolts) => format!(
                "The other readings leave {prediction} for {place}. A lead that did not touch shows any volts; nothing is proven dead by it."
            ),
            Some(SlipKind::LeftOnDc) => format!(
                "Next to nothing, where the other readings leave {prediction} for {place}. Was the meter left on DC?"
            ),
            Some(SlipKind::NotSettled) => format!(
                "The other readings leave {prediction} for {place}. Direct current in a winding takes its time: was it read before it settled?"
            ),
            _ => format!("The other readings leave {prediction} for {place}."),
        }];
        if let Some(digits) = reading
            .instrument
            .as_ref()
            .and_then(|d| self.find.instrument(d))
            .and_then(|i| digits::against_range(self.find, i, reading))
        {
            sentences.push(digits);
        }
        sentences.join(" ")
    }
}

fn place_in_words(reading: &Reading) -> String {
    match reading.measured {
        Measured::AcCurrent | Measured::DcCurrent => format!("the current {}", reading.place),
        Measured::Power => format!("the power {}", reading.place),
        _ => reading.place.to_string(),
    }
}

/// The verdict of a probability of being wrong.
pub(crate) fn verdict(wrong: f64) -> Verdict {
    if wrong < DOUBTFUL {
        Verdict::Agrees
    } else if wrong <= CONTRADICTS {
        Verdict::Doubtful
    } else {
        Verdict::Contradicts
    }
}

fn is_value(reading: &Reading) -> bool {
    matches!(
        reading.shown.as_ref().map(Quantity::reach),
        Some(Reach::Value { .. } | Reach::Span { .. } | Reach::Illegible { .. })
    )
}

/// "+0.3", "−12": one decimal below ten.
fn off_by(distance: f64) -> String {
    let sign = if distance < 0.0 { '\u{2212}' } else { '+' };
    if distance.abs() < 9.95 {
        format!("{sign}{:.1}", distance.abs())
    } else {
        format!("{sign}{:.0}", distance.abs())
    }
}

/// Possibilities, alike ones together, most probable first.
fn kinds(evidence: &ReadingEvidence) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    let mut add = |words: String, probability: f64, slip: bool| match kinds
        .iter_mut()
        .find(|k| k.words == words)
    {
        Some(kind) => kind.probability += probability,
        None => kinds.push(Kind {
            words,
            probability,
            slip,
            drawing: false,
        }),
    };
    for (kind, place, probability) in &evidence.kinds {
        let words = match (kind, place) {
            (SlipKind::OtherHalf | SlipKind::WrongTerminal, Some(place)) => {
                format!("{}: {place}", long(*kind))
            }
            _ => long(*kind).to_owned(),
        };
        add(
            words,
            probability * evidence.wrong,
            *kind != SlipKind::Gross,
        );
    }
    add(AS_READ.into(), 1.0 - evidence.wrong, false);
    kinds.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    kinds
}

fn long(kind: SlipKind) -> &'static str {
    match kind {
        SlipKind::TenTimes | SlipKind::Tenth => "the decimal point slipped",
        SlipKind::ThousandTimes | SlipKind::Thousandth => "the prefix was missed",
        SlipKind::LineForPhase => "line to line instead of line to neutral",
        SlipKind::PhaseForLine => "line to neutral instead of line to line",
        SlipKind::OtherHalf => "the other half of the winding",
        SlipKind::WrongTerminal => "another pair of terminals",
        SlipKind::LeadsNotZeroed => "the leads were not zeroed",
        SlipKind::DeadContact => "a dead contact, or the wrong function",
        SlipKind::CoarseRange => "far too coarse a range",
        SlipKind::Gross => "something else, or the drawing is wrong",
        SlipKind::PeakForRms => "the peak instead of the RMS value",
        SlipKind::RmsForPeak => "the RMS value taken for a peak",
        SlipKind::AverageResponding => "an average-responding meter on a peaky current",
        SlipKind::ClampBoth => "the clamp around both conductors",
        SlipKind::TwoTurns => "two turns through the clamp",
        SlipKind::HalvedTurns => "halved for two turns through the clamp that were one",
        SlipKind::GhostVolts => "a lead that did not touch, ghost volts",
        SlipKind::LeftOnDc => "the meter left on DC",
        SlipKind::NotSettled => "read before it settled",
    }
}

fn short(kind: SlipKind) -> &'static str {
    match kind {
        SlipKind::TenTimes | SlipKind::Tenth => "decimal point",
        SlipKind::ThousandTimes | SlipKind::Thousandth => "prefix",
        SlipKind::LineForPhase | SlipKind::PhaseForLine => "line or phase",
        SlipKind::OtherHalf => "other half",
        SlipKind::WrongTerminal => "wrong pair",
        SlipKind::LeadsNotZeroed => "leads",
        SlipKind::DeadContact => "dead contact",
        SlipKind::CoarseRange => "range",
        SlipKind::Gross => "gross",
        SlipKind::PeakForRms | SlipKind::RmsForPeak => "peak or RMS",
        SlipKind::AverageResponding => "average-responding",
        SlipKind::ClampBoth => "both conductors",
        SlipKind::TwoTurns | SlipKind::HalvedTurns => "turns in the clamp",
        SlipKind::GhostVolts => "ghost volts",
        SlipKind::LeftOnDc => "on DC",
        SlipKind::NotSettled => "not settled",
    }
}
