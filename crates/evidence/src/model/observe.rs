//! From a reading to an observation: what the digits are worth, which meter's gain it shares, which slips it may be.

use super::drift::Moments;
use super::{Key, Registry};
use crate::{DisplayRange, Observation, OtherPlace, Parameter, Shown, SlipKind, Transform};
use gear::{Find, Instrument, Measured, Place, Range, Reading, Setup, TerminalRef};
use network::Model;
use quantity::{Accuracy, Reach, Unit};

/// Scatter of a reading and the network's own small error together, as a share of the value (our choice, as in the study of methods).
const SCATTER: f64 = 0.002;
/// Two-wire ohms carry the leads' own 0.1 to 0.5 Ω (published: 0.2 Ω a pair); nobody zeroes them perfectly.
const LEADS: f64 = 0.15;
/// A tester beeps below a threshold of 10 to 70 Ω (common practice): the middle in ln, and half the distance to it.
const BEEP: f64 = 26.0;
const BEEP_WIDTH: f64 = 12.0;
/// Accuracy of a meter of which nothing is said: a plain handheld of the 2 % kind.
const UNKNOWN_METER: Accuracy = Accuracy {
    fraction: 0.02,
    digits: 5.0,
    full_scale: 0.0,
};
/// An average-responding meter's error on a mains wave with its usual harmonics, shared by all its readings (reckoned for 5 % third).
const WAVEFORM: f64 = 0.015 / 1.96;
/// Other places looked at for wrong-pair slips: the nearest ones are enough.
const OTHER_PLACES: usize = 6;

/// A reading with its surroundings.
pub(super) struct Seen<'a> {
    pub(super) find: &'a Find,
    pub(super) setup: &'a Setup,
    pub(super) reading: &'a Reading,
    pub(super) station: usize,
    pub(super) model: &'a Model,
}

/// What a meter on one range is worth.
struct Worth {
    accuracy: Accuracy,
    /// Worth of one step.
    step: f64,
    range: usize,
    /// Its highest full scale, where written.
    highest: Option<f64>,
    /// Its ranges as displays, where scales and counts are written.
    ranges: Vec<DisplayRange>,
    burden: Option<f64>,
    four_wire: bool,
}

pub(super) fn observation(
    seen: &Seen,
    registry: &mut Registry,
    moments: &mut Moments,
) -> Result<Observation, String> {
    let reading = seen.reading;
    let instrument = reading
        .instrument
        .as_ref()
        .and_then(|d| seen.find.instrument(d));
    let worth = worth(instrument, reading);
    let burden = burden(seen, &worth);
    let question = seen
        .model
        .question(&reading.place, reading.measured, burden)
        .map_err(|e| format!("{}; {}", e.what, e.remedy))?;
    let drift = match reading.measured {
        Measured::AcVoltage | Measured::AcCurrent => Some(1.0),
        Measured::Power => Some(2.0),
        _ => None,
    };
    let other_places = other_places(seen, burden);
    Ok(Observation {
        number: reading.number,
        station: seen.station,
        question,
        shown: shown(reading, &worth)?,
        gain: (reading.measured != Measured::Continuity && reading.measured != Measured::Ratio)
            .then(|| gain(registry, reading, instrument, &worth)),
        shared_gain: None,
        offset: None,
        drift: drift.map(|power| (moments.index(seen.find, seen.setup, reading), power)),
        slips: slips(reading, &worth, &other_places),
        other_places,
        step: worth.step,
        ranges: worth.ranges,
        kept: reading.kept,
    })
}

/// The function and range a reading was taken on. A range whose step is the step shown is the one; else the smallest that holds it.
fn worth(instrument: Option<&Instrument>, reading: &Reading) -> Worth {
    let step_shown = reading.shown.as_ref().and_then(quantity::Quantity::step);
    let value = reading
        .shown
        .as_ref()
        .and_then(quantity::Quantity::value)
        .map(f64::abs);
    let plain = Worth {
        accuracy: UNKNOWN_METER,
        step: step_shown.unwrap_or(0.0),
        range: 0,
        highest: None,
        ranges: Vec::new(),
        burden: None,
        four_wire: false,
    };
    let Some(function) =
        instrument.and_then(|i| i.ranges.iter().find(|r| r.measures == reading.measured))
    else {
        return plain;
    };
    let scales: Vec<f64> = function
        .full_scales
        .iter()
        .filter_map(quantity::Quantity::value)
        .collect();
    let step_of = |scale: f64| function.counts.map(|c| nice_step(scale, c));
    let holds = |scale: f64| value.is_none_or(|v| v <= scale * 1.001);
    let by_step = scales.iter().position(|s| {
        holds(*s)
            && step_shown
                .zip(step_of(*s))
                .is_some_and(|(shown, step)| (shown / step - 1.0).abs() < 0.01)
    });
    let range = by_step
        .or_else(|| scales.iter().position(|s| holds(*s)))
        .unwrap_or(scales.len().saturating_sub(1));
    let range_step = scales.get(range).and_then(|s| step_of(*s)).unwrap_or(0.0);
    Worth {
        accuracy: function.accuracy.unwrap_or(UNKNOWN_METER),
        step: step_shown
            .unwrap_or(range_step)
            .max(range_step.min(step_shown.unwrap_or(f64::INFINITY))),
        range,
        highest: scales.last().copied(),
        ranges: displays(function, &scales),
        burden: burden_of(function),
        four_wire: function.four_wire,
    }
}

/// The ranges of a function as displays, rising; none where the counts are not written.
fn displays(function: &Range, scales: &[f64]) -> Vec<DisplayRange> {
    let Some(counts) = function.counts else {
        return Vec::new();
    };
    let digits = function.accuracy.unwrap_or(UNKNOWN_METER).digits;
    let display = |full_scale: &f64| {
        let step = nice_step(*full_scale, counts);
        DisplayRange {
            full_scale: *full_scale,
            step,
            digits: digits * step / 3f64.sqrt(),
        }
    };
    let mut ranges: Vec<DisplayRange> = scales.iter().map(display).collect();
    ranges.sort_by(|a, b| a.full_scale.total_cmp(&b.full_scale));
    ranges
}

/// One count of a range: full scale over counts, to the decade the display has (6000 counts on 60 V show 0.01 V).
fn nice_step(full_scale: f64, counts: u32) -> f64 {
    10f64.powf((full_scale / f64::from(counts)).log10().round())
}

fn burden_of(function: &Range) -> Option<f64> {
    function
        .burden
        .as_ref()
        .and_then(quantity::Quantity::value)
        .filter(|b| *b > 0.0 && !function.clamp)
}

/// Burden as the network wants it: siemens across for volts, ohms in series for amperes. An in-line meter between the supply and
/// the find stays there while the volts are read too, and the supply is what stands behind it, at the find's terminals: no burden.
fn burden(seen: &Seen, worth: &Worth) -> f64 {
    match (seen.reading.measured, worth.burden, &seen.reading.place) {
        (Measured::AcVoltage | Measured::DcVoltage, Some(ohms), _) => 1.0 / ohms,
        (Measured::AcCurrent | Measured::DcCurrent, Some(ohms), Place::Into(at)) => {
            let fed = seen.setup.feeds.iter().flat_map(|f| &f.to);
            let node = seen.model.node(at);
            let in_the_feed = fed.into_iter().any(|t| seen.model.node(t) == node);
            if in_the_feed { 0.0 } else { ohms }
        }
        _ => 0.0,
    }
}

fn shown(reading: &Reading, worth: &Worth) -> Result<Shown, String> {
    if reading.measured == Measured::Continuity {
        return match reading.beep {
            Some(true) => Ok(Shown::AtMost {
                limit: BEEP,
                sigma: BEEP_WIDTH,
            }),
            Some(false) => Ok(Shown::AtLeast {
                limit: BEEP,
                sigma: BEEP_WIDTH,
            }),
            None => Err("it says neither beep nor no beep".into()),
        };
    }
    let quantity = reading.shown.as_ref().ok_or("nothing was shown")?;
    let digits = worth.accuracy.digits.max(0.5) * worth.step / 3f64.sqrt();
    let leads = if reading.measured == Measured::Resistance && !worth.four_wire {
        LEADS
    } else {
        0.0
    };
    let sigma = |value: f64, half_span: f64| {
        digits
            .hypot(SCATTER * value)
            .hypot(leads)
            .hypot(half_span / 3f64.sqrt())
            .max(1e-12)
    };
    Ok(match quantity.reach() {
        Reach::Value { value, .. } => Shown::Value {
            value: value.abs(),
            sigma: sigma(value, 0.0),
        },
        Reach::Span { low, high, .. } | Reach::Illegible { low, high } => Shown::Value {
            value: f64::midpoint(low, high).abs(),
            sigma: sigma(low, (high - low) / 2.0),
        },
        Reach::AtLeast(limit) => Shown::AtLeast {
            limit,
            sigma: (worth.accuracy.fraction * limit).max(1e-12),
        },
        Reach::AtMost(limit) => Shown::AtMost {
            limit,
            sigma: (worth.accuracy.fraction * limit).max(1e-12),
        },
        Reach::OverRange => match worth.highest {
            Some(limit) => Shown::AtLeast {
                limit,
                sigma: (worth.accuracy.fraction * limit).max(1e-12),
            },
            None => {
                return Err(
                    "over range on a meter whose ranges are not written; write it as `> 600 V`"
                        .into(),
                );
            }
        },
    })
}

/// The meter's gain error on this range: one parameter for all its readings there.
fn gain(
    registry: &mut Registry,
    reading: &Reading,
    instrument: Option<&Instrument>,
    worth: &Worth,
) -> usize {
    let name = instrument.map_or_else(
        || "an unnamed meter".to_owned(),
        |i| i.designation.to_string(),
    );
    let alternating = matches!(reading.measured, Measured::AcVoltage | Measured::AcCurrent);
    let average = instrument.is_some_and(|i| i.response == gear::Response::Average);
    let width = (worth.accuracy.fraction / 3f64.sqrt()).hypot(if alternating && average {
        WAVEFORM
    } else {
        0.0
    });
    registry.parameter(
        Key::Gain(reading.instrument.clone(), reading.measured, worth.range),
        || Parameter {
            name: format!(
                "gain error of {name}, {}, range {}",
                reading.measured.word(),
                worth.range + 1
            ),
            unit: Unit::One,
            transform: Transform::Linear,
            centre: 0.0,
            width: width.max(1e-4),
            basis: "the meter's bound, divided by √3".into(),
            auxiliary: true,
        },
    )
}

/// Which slips a reading may be, by what was measured.
fn slips(reading: &Reading, worth: &Worth, other_places: &[OtherPlace]) -> Vec<SlipKind> {
    use SlipKind::{
        CoarseRange, DeadContact, Gross, LeadsNotZeroed, LineForPhase, PhaseForLine, TenTimes,
        Tenth, ThousandTimes, Thousandth,
    };
    if matches!(reading.measured, Measured::Continuity | Measured::Ratio) {
        return vec![Gross];
    }
    let mut kinds = vec![TenTimes, Tenth, ThousandTimes, Thousandth, Gross];
    match reading.measured {
        Measured::AcVoltage => kinds.extend([LineForPhase, PhaseForLine, DeadContact, CoarseRange]),
        Measured::Resistance if !worth.four_wire => kinds.push(LeadsNotZeroed),
        Measured::Resistance => {}
        _ => kinds.push(DeadContact),
    }
    for place in other_places {
        if !kinds.contains(&place.kind) {
            kinds.push(place.kind);
        }
    }
    kinds
}

/// Pairs the leads may have been on instead: each end on another terminal of the same part; for two parts, of either.
fn other_places(seen: &Seen, burden: f64) -> Vec<OtherPlace> {
    let (Place::Between(a, b), Measured::AcVoltage) = (&seen.reading.place, seen.reading.measured)
    else {
        return Vec::new();
    };
    let mut found: Vec<OtherPlace> = Vec::new();
    let nodes = |x: &TerminalRef, y: &TerminalRef| {
        let (p, q) = (seen.model.node(x)?, seen.model.node(y)?);
        Some(if p < q { (p, q) } else { (q, p) })
    };
    let mut taken: Vec<_> = nodes(a, b).into_iter().collect();
    let pairs = neighbours(seen.find, b)
        .into_iter()
        .map(|n| (a.clone(), n))
        .chain(neighbours(seen.find, a).into_iter().map(|n| (n, b.clone())));
    for (x, y) in pairs {
        let Some(pair) = nodes(&x, &y).filter(|(p, q)| p != q) else {
            continue;
        };
        if taken.contains(&pair) || found.len() == OTHER_PLACES {
            continue;
        }
        let place = Place::Between(x.clone(), y.clone());
        if let Ok(question) = seen.model.question(&place, Measured::AcVoltage, burden) {
            taken.push(pair);
            let kind = if on_one_winding(seen.find, a, b) && on_one_winding(seen.find, &x, &y) {
                SlipKind::OtherHalf
            } else {
                SlipKind::WrongTerminal
            };
            found.push(OtherPlace {
                kind,
                place: place.to_string(),
                question,
            });
        }
    }
    found
}

/// Whether two terminals are on one winding: then a slip between them is the other half or another stretch of it.
fn on_one_winding(find: &Find, a: &TerminalRef, b: &TerminalRef) -> bool {
    let windings = find
        .part(&a.part)
        .filter(|_| a.part == b.part)
        .and_then(|p| p.kind.wound())
        .map(|w| &w.windings);
    windings.is_some_and(|w| {
        w.iter().any(|w| {
            [a, b]
                .iter()
                .all(|t| w.terminals().any(|m| m == t.terminal))
        })
    })
}

fn neighbours(find: &Find, terminal: &TerminalRef) -> Vec<TerminalRef> {
    let Some(part) = find.part(&terminal.part) else {
        return Vec::new();
    };
    part.terminals()
        .into_iter()
        .filter(|t| *t != terminal.terminal)
        .map(|t| part.terminal(t))
        .collect()
}
