//! From a reading to an observation: what was shown, which errors of the meter it shares with others, which slips it may be.

mod elsewhere;
mod meter;

use super::drift::Moments;
use super::registry::Key;
use super::{Nominal, Registry, usual};
use crate::{Observation, OtherPlace, Parameter, Shown, SlipKind, Transform};
use gear::{Find, Instrument, Measured, PartKind, Place, Reading, Response, Setup, Steadiness};
use meter::Worth;
use network::Model;
use quantity::{Reach, Unit};

/// Scatter of a reading and the network's own small error together, as a share of the value (our choice, as in the study of methods).
const SCATTER: f64 = 0.002;
/// Two-wire ohms carry the leads' own 0.1 to 0.5 Ω (published: 0.2 Ω a pair); nobody zeroes them perfectly. Shared by a meter's readings.
const LEADS: f64 = 0.15;
/// What clips and contacts add to two-wire ohms anew each time (common practice), also to a lead resistance written down.
const CONTACT: f64 = 0.03;
/// A tester beeps below a threshold of 10 to 70 Ω (common practice): the middle in ln, and half the distance to it.
const BEEP: f64 = 26.0;
const BEEP_WIDTH: f64 = 12.0;
/// An average-responding meter on a no-load current near rated volts reads low: 8 % at a crest factor of 1.7, 23 % at 2.1 (third and
/// fifth harmonic, reckoned as CHECKS M1 does). Middle and standard uncertainty.
const PEAKY: (f64, f64) = (-0.15, 0.08 / 1.96);
/// The same below half the rated volts, where the core is far from its knee (our choice: a third of it).
const HARDLY_PEAKY: (f64, f64) = (-0.05, 0.05 / 1.96);

/// A reading with its surroundings.
pub(super) struct Seen<'a> {
    pub(super) find: &'a Find,
    pub(super) nominal: Nominal,
    pub(super) setup: &'a Setup,
    pub(super) reading: &'a Reading,
    pub(super) station: usize,
    pub(super) model: &'a Model,
    /// Whether to look where else the leads may have been.
    pub(super) elsewhere: bool,
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
    let worth = meter::worth(instrument, reading);
    let burden = burden(seen, &worth);
    let question = seen
        .model
        .question(&reading.place, reading.measured, burden)
        .map_err(|e| format!("{}; {}", e.what, e.remedy))?;
    let drift = match reading.measured {
        Measured::AcVoltage | Measured::AcCurrent | Measured::DcVoltage | Measured::DcCurrent => {
            Some(1.0)
        }
        Measured::Power => Some(2.0),
        _ => None,
    };
    let of_two = matches!(reading.measured, Measured::Continuity | Measured::Ratio);
    let other_places = if seen.elsewhere {
        elsewhere::other_places(seen, &question, burden)
    } else {
        vec![]
    };
    let giver = seen.find.moment_giver(reading);
    Ok(Observation {
        number: reading.number,
        station: seen.station,
        shown: shown(reading, &worth)?,
        gain: (!of_two).then(|| gain(registry, reading, instrument, &worth)),
        shared_gain: shared_gain(seen, registry, instrument),
        offset: offset(registry, reading, instrument, &worth),
        drift: drift.map(|power| (moments.index(seen.find, seen.setup, giver), power)),
        slips: slips(reading, instrument, &worth, &other_places),
        question,
        other_places,
        step: worth.step,
        ranges: worth.ranges,
        kept: reading.kept,
    })
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
    let contact = if two_wire(reading, worth) {
        CONTACT
    } else {
        0.0
    };
    let sigma = |value: f64, half_span: f64| {
        worth
            .digits()
            .hypot(worth.scale_scatter)
            .hypot(SCATTER * value)
            .hypot(contact)
            .hypot(half_span / 3f64.sqrt())
            .max(1e-12)
    };
    // How soft a bound is: by what the meter may be off there.
    let softness = |limit: f64| {
        let bound = worth.accuracy.fraction * limit;
        bound.hypot(worth.scale_scatter).max(1e-12)
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
            sigma: softness(limit),
        },
        Reach::AtMost(limit) => Shown::AtMost {
            limit,
            sigma: softness(limit),
        },
        Reach::OverRange => match worth.highest {
            Some(limit) => Shown::AtLeast {
                limit,
                sigma: softness(limit),
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

fn two_wire(reading: &Reading, worth: &Worth) -> bool {
    reading.measured == Measured::Resistance && !worth.four_wire
}

fn name_of(instrument: Option<&Instrument>) -> String {
    instrument.map_or_else(
        || "an unnamed meter".to_owned(),
        |i| i.designation.to_string(),
    )
}

/// An error of a meter, shared by some of its readings.
fn error(name: String, unit: Unit, (centre, width): (f64, f64), basis: &str) -> Parameter {
    Parameter {
        name,
        unit,
        transform: Transform::Linear,
        centre,
        width,
        basis: basis.to_owned(),
        auxiliary: true,
    }
}

/// The meter's gain error on this range: one parameter for all its readings there.
fn gain(
    registry: &mut Registry,
    reading: &Reading,
    instrument: Option<&Instrument>,
    worth: &Worth,
) -> usize {
    let what = reading.measured.word();
    registry.parameter(
        Key::Gain(reading.instrument.clone(), reading.measured, worth.range),
        || {
            let name = name_of(instrument);
            let name = format!("gain error of {name}, {what}, range {}", worth.range + 1);
            let width = usual::gain(worth.accuracy.fraction).max(1e-4);
            let basis = "the meter's bound, divided by √3; meters are worse than stated";
            error(name, Unit::One, (0.0, width), basis)
        },
    )
}

/// What an average-responding meter makes of a wave that is no sine: of the mains', shared by all its readings of that mains; of a no-load
/// current's, shared by the readings of the setup.
fn shared_gain(
    seen: &Seen,
    registry: &mut Registry,
    instrument: Option<&Instrument>,
) -> Option<usize> {
    if instrument?.way_of_response() != Response::Average {
        return None;
    }
    let source = seen.setup.feeds.first().and_then(|f| f.source.as_ref());
    let steady = source.and_then(|name| {
        let mut sources = seen.find.kit.sources.iter();
        sources.find(|s| s.name == *name).map(|s| s.steadiness)
    });
    match seen.reading.measured {
        Measured::AcCurrent if no_load(seen) => {
            let setup = seen.setup.number;
            Some(registry.parameter(Key::PeakyCurrent(setup), || {
                let name = format!("what an average-responding meter misses of the no-load current in setup {setup}");
                error(name, Unit::One, peaky(seen), "crest factors of no-load currents")
            }))
        }
        Measured::AcVoltage | Measured::AcCurrent
            if steady.unwrap_or_default() == Steadiness::Mains =>
        {
            let name = "what an average-responding meter makes of the mains' wave".to_owned();
            Some(
                registry.parameter(Key::Wave(source.cloned()), || Parameter {
                    auxiliary: true,
                    ..usual::wave().named(name, Unit::One)
                }),
            )
        }
        _ => None,
    }
}

/// Nothing drawn takes current but the cores.
fn no_load(seen: &Seen) -> bool {
    let loads = |kind: &PartKind| matches!(kind, PartKind::Load { .. } | PartKind::Resistor { .. });
    seen.setup.loads.is_empty()
        && seen.setup.joined.is_empty()
        && !seen.find.parts.iter().any(|part| loads(&part.kind))
}

fn peaky(seen: &Seen) -> (f64, f64) {
    let mut fed = seen
        .setup
        .feeds
        .iter()
        .filter_map(|f| f.volts.as_ref()?.value());
    match (fed.next(), seen.nominal.volts) {
        (Some(volts), Some(rated)) if volts < 0.5 * rated => HARDLY_PEAKY,
        _ => PEAKY,
    }
}

/// What a meter adds whatever it reads: ohms of its leads (as it showed them with the tips together, where that is written), or half
/// the variance of an analogue scale's class, the half its readings on that scale share.
fn offset(
    registry: &mut Registry,
    reading: &Reading,
    instrument: Option<&Instrument>,
    worth: &Worth,
) -> Option<usize> {
    let name = name_of(instrument);
    if two_wire(reading, worth) {
        let written = instrument.and_then(|i| i.leads.as_ref());
        let key = Key::Leads(reading.instrument.clone());
        return Some(registry.parameter(
            key,
            || match written.and_then(|q| Some((q, q.value()?))) {
                Some((quantity, ohms)) => {
                    let digits = quantity.step().unwrap_or(0.0) / 12f64.sqrt();
                    let name = format!("ohms of {name}'s leads");
                    error(
                        name,
                        Unit::Ohm,
                        (ohms, digits.hypot(CONTACT)),
                        "shown with the tips together",
                    )
                }
                None => {
                    let name = format!("ohms of {name}'s leads, beyond what was zeroed");
                    error(name, Unit::Ohm, (0.0, LEADS), "usual for test leads")
                }
            },
        ));
    }
    (worth.scale_scatter > 0.0).then(|| {
        let key = Key::Scale(reading.instrument.clone(), reading.measured, worth.range);
        registry.parameter(key, || {
            let what = reading.measured.word();
            let name = format!("error of {name}'s scale, {what}, range {}", worth.range + 1);
            let unit = reading.measured.unit().unwrap_or(Unit::One);
            error(
                name,
                unit,
                (0.0, worth.scale_scatter),
                "the class on its dial, divided by √3",
            )
        })
    })
}

/// Which slips a reading may be, by what was measured and with what.
fn slips(
    reading: &Reading,
    instrument: Option<&Instrument>,
    worth: &Worth,
    other_places: &[OtherPlace],
) -> Vec<SlipKind> {
    use SlipKind::{
        AverageResponding, ClampBoth, CoarseRange, DeadContact, GhostVolts, Gross, HalvedTurns,
        LeadsNotZeroed, LeftOnDc, LineForPhase, NotSettled, PeakForRms, PhaseForLine, RmsForPeak,
        TenTimes, Tenth, ThousandTimes, Thousandth, TwoTurns,
    };
    if matches!(reading.measured, Measured::Continuity | Measured::Ratio) {
        return vec![Gross];
    }
    let mut kinds = vec![TenTimes, Tenth, ThousandTimes, Thousandth, Gross];
    match reading.measured {
        Measured::AcVoltage => kinds.extend([
            LineForPhase,
            PhaseForLine,
            DeadContact,
            CoarseRange,
            PeakForRms,
            RmsForPeak,
            GhostVolts,
            LeftOnDc,
        ]),
        Measured::AcCurrent => {
            kinds.extend([DeadContact, PeakForRms, RmsForPeak, LeftOnDc]);
            if instrument.is_none_or(|i| i.way_of_response() != Response::Average) {
                kinds.push(AverageResponding);
            }
            if worth.clamp {
                kinds.extend([ClampBoth, TwoTurns, HalvedTurns]);
            }
        }
        Measured::DcVoltage | Measured::DcCurrent => kinds.extend([DeadContact, NotSettled]),
        Measured::Resistance => {
            // Leads written down are on the reading already.
            if !worth.four_wire && instrument.is_none_or(|i| i.leads.is_none()) {
                kinds.push(LeadsNotZeroed);
            }
            kinds.push(NotSettled);
        }
        _ => kinds.push(DeadContact),
    }
    for place in other_places {
        if !kinds.contains(&place.kind) {
            kinds.push(place.kind);
        }
    }
    kinds
}

#[cfg(test)]
mod tests;
