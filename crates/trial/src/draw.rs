//! Draws a find: truth, gains, readings as shown, slips; and poses it as a problem.

use crate::chance::Chance;
use crate::instruments::{Gains, INSTRUMENTS, Instrument};
use crate::readings::{Planned, READINGS};
use crate::world::{World, p, parameters};
use evidence::{Observation, OtherPlace, Parameter, Problem, Shown, SlipKind, Transform};
use network::{Answer, NetworkError};
use quantity::Unit;

/// How many readings slip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slipping {
    /// Exactly so many.
    Exactly(usize),
    /// Each with this probability.
    Each(f64),
}

/// What really happened to one reading.
#[derive(Debug, Clone)]
pub struct Truth {
    /// The kind of slip, if it slipped.
    pub slip: Option<SlipKind>,
    /// Whether what is shown lies more than four standard uncertainties from the true value.
    pub material: bool,
}

/// A find: the problem and the truth behind it.
#[derive(Debug, Clone)]
pub struct Find {
    /// As the judgement sees it.
    pub problem: Problem,
    /// z of the 20 parameters.
    pub z: Vec<f64>,
    /// Of each reading.
    pub readings: Vec<Truth>,
}

/// Slider positions the search also begins from, in z of the first slider: below and above the tap.
pub(crate) const STARTS: [f64; 2] = [-0.7, 2.4];

/// Draws a find of the first `count` readings.
/// # Errors
/// The network's own.
pub fn draw(
    world: &World,
    seed: u64,
    count: usize,
    slipping: Slipping,
) -> Result<Find, NetworkError> {
    let mut chance = Chance::new(seed);
    let mut world = world.clone();
    let mut parameters = parameters();
    let z: Vec<f64> = parameters.iter().map(|_| chance.normal()).collect();
    let values: Vec<f64> = parameters
        .iter()
        .zip(&z)
        .map(|(parameter, &z)| parameter.value(z))
        .collect();
    let truths = truths(&mut world, &values)?;
    let gains = Gains::draw(&mut chance);
    let count = count.min(READINGS.len());
    let slipped: Vec<bool> = match slipping {
        Slipping::Each(probability) => (0..count).map(|_| chance.happens(probability)).collect(),
        Slipping::Exactly(number) => {
            let chosen = chance.different(number, count);
            (0..count)
                .map(|reading| chosen.contains(&reading))
                .collect()
        }
    };
    let (mut observations, mut readings) = (vec![], vec![]);
    let mut ranges = Ranges::default();
    for (index, planned) in READINGS[..count].iter().enumerate() {
        let at = |place: &str| {
            truths[planned.setup - 1]
                .iter()
                .find(|(name, _)| *name == place)
                .map_or(f64::NAN, |(_, value)| *value)
        };
        let meant = at(planned.quantity);
        let slip = slipped[index].then(|| {
            let kinds = kinds(planned);
            kinds[chance.among(&kinds.iter().map(|kind| kind.share()).collect::<Vec<_>>())]
        });
        let shown = shown(&mut chance, &gains, planned, meant, slip, &at);
        let whole = INSTRUMENTS[planned.instrument].whole_sigma(meant);
        readings.push(Truth {
            slip,
            material: (shown - meant).abs() > 4.0 * whole,
        });
        observations.push(observation(
            &world,
            &mut parameters,
            &mut ranges,
            index,
            planned,
            shown,
        ));
    }
    let problem = Problem {
        parameters,
        stations: world.stations,
        observations,
        starts: STARTS.iter().map(|&z| vec![(p::SLIDER_A, z)]).collect(),
        ..Problem::default()
    };
    Ok(Find {
        problem,
        z,
        readings,
    })
}

/// True values of all places of all setups.
fn truths(
    world: &mut World,
    values: &[f64],
) -> Result<Vec<Vec<(&'static str, f64)>>, NetworkError> {
    let mut all = vec![];
    for (station, places) in world.stations.iter_mut().zip(&world.places) {
        let bound: Vec<f64> = station
            .bindings
            .iter()
            .map(|binding| binding.value(values))
            .collect();
        let questions: Vec<_> = places
            .iter()
            .map(|(_, question)| question.clone())
            .collect();
        let answers = station.solver.answer(&bound, &questions)?;
        let value = |answer: &Answer| {
            if let Answer::Value { value, .. } = answer {
                *value
            } else {
                f64::NAN
            }
        };
        all.push(
            places
                .iter()
                .zip(&answers)
                .map(|((name, _), answer)| (*name, value(answer)))
                .collect(),
        );
    }
    Ok(all)
}

/// The slips that can befall a planned reading.
pub(crate) fn kinds(planned: &Planned) -> Vec<SlipKind> {
    let it = &INSTRUMENTS[planned.instrument];
    let mut kinds = SlipKind::befalling(it.unit, it.two_wire);
    kinds.retain(|kind| match kind {
        SlipKind::OtherHalf => planned.other_half.is_some(),
        SlipKind::WrongTerminal => !planned.wrong_terminals.is_empty(),
        _ => true,
    });
    kinds
}

/// What is shown of a reading that was meant to be `meant`.
pub(crate) fn shown(
    chance: &mut Chance,
    gains: &Gains,
    planned: &Planned,
    meant: f64,
    slip: Option<SlipKind>,
    at: &dyn Fn(&str) -> f64,
) -> f64 {
    let it: &Instrument = &INSTRUMENTS[planned.instrument];
    let shown_of = |chance: &mut Chance, value: f64| gains.shown(chance, planned.instrument, value);
    let Some(slip) = slip else {
        return shown_of(chance, meant);
    };
    match slip {
        SlipKind::TenTimes => 10.0 * shown_of(chance, meant),
        SlipKind::Tenth => shown_of(chance, meant) / 10.0,
        SlipKind::ThousandTimes => 1000.0 * shown_of(chance, meant),
        SlipKind::Thousandth => shown_of(chance, meant) / 1000.0,
        SlipKind::LineForPhase => shown_of(chance, meant * 3f64.sqrt()),
        SlipKind::PhaseForLine => shown_of(chance, meant / 3f64.sqrt()),
        SlipKind::OtherHalf => shown_of(chance, planned.other_half.map_or(meant, at)),
        SlipKind::WrongTerminal => {
            let place = planned.wrong_terminals[chance.below(planned.wrong_terminals.len())];
            shown_of(chance, at(place))
        }
        SlipKind::LeadsNotZeroed => {
            let leads = chance.uniform(0.15, 0.6);
            shown_of(chance, meant + leads)
        }
        SlipKind::DeadContact => {
            let rest = chance.uniform(0.0, 0.02);
            shown_of(chance, meant * rest)
        }
        SlipKind::CoarseRange => {
            let coarse = 100.0 * it.step(meant);
            let off = chance.below(5) as f64 - 2.0;
            (((meant / coarse).round() + off) * coarse).max(0.0)
        }
        SlipKind::Gross => shown_of(chance, meant) * chance.normal().exp(),
        // Rarer kinds do not befall these readings ([`SlipKind::befalling`]).
        _ => shown_of(chance, meant),
    }
}

/// Gains already given to ranges, as parameters.
#[derive(Default)]
pub(crate) struct Ranges(Vec<((usize, usize), usize)>);

impl Ranges {
    fn gain(&mut self, parameters: &mut Vec<Parameter>, instrument: usize, range: usize) -> usize {
        if let Some((_, known)) = self.0.iter().find(|(key, _)| *key == (instrument, range)) {
            return *known;
        }
        parameters.push(Parameter {
            name: format!("gain of instrument {instrument}, range {range}"),
            unit: Unit::One,
            transform: Transform::Linear,
            centre: 0.0,
            width: INSTRUMENTS[instrument].gain / 3f64.sqrt(),
            basis: "bounds of the meter".into(),
            auxiliary: true,
        });
        self.0.push(((instrument, range), parameters.len() - 1));
        parameters.len() - 1
    }
}

pub(crate) fn observation(
    world: &World,
    parameters: &mut Vec<Parameter>,
    ranges: &mut Ranges,
    index: usize,
    planned: &Planned,
    shown: f64,
) -> Observation {
    let it = &INSTRUMENTS[planned.instrument];
    let volts = it.unit == Unit::Volt;
    let other = |kind: SlipKind, place: &str| {
        world
            .question(planned.setup, place)
            .map(|question| OtherPlace {
                kind,
                place: place.into(),
                question: question.clone(),
            })
    };
    let halves = planned
        .other_half
        .iter()
        .filter(|_| volts)
        .filter_map(|place| other(SlipKind::OtherHalf, place));
    let wrong = planned
        .wrong_terminals
        .iter()
        .filter_map(|place| other(SlipKind::WrongTerminal, place));
    Observation {
        number: u32::try_from(index + 1).unwrap_or(0),
        station: planned.setup - 1,
        question: world
            .question(planned.setup, planned.quantity)
            .cloned()
            .unwrap_or(network::Question::Resistance {
                a: network::circuit::Node(0),
                b: network::circuit::Node(0),
            }),
        shown: Shown::Value {
            value: shown,
            sigma: it.sigma(shown),
        },
        gain: Some(ranges.gain(parameters, planned.instrument, it.range(shown))),
        shared_gain: None,
        offset: None,
        drift: None,
        slips: kinds(planned),
        other_places: halves.chain(wrong).collect(),
        step: it.step(shown),
        ranges: it.ranges(),
        kept: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_planned_place_is_there() {
        let world = World::new().unwrap_or_else(|error| panic!("{error:?}"));
        for planned in &READINGS {
            for place in planned
                .wrong_terminals
                .iter()
                .chain(&planned.other_half)
                .chain([&planned.quantity])
            {
                assert!(
                    world.question(planned.setup, place).is_some(),
                    "setup {} has no {place}",
                    planned.setup
                );
            }
        }
    }
}
