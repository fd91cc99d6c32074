//! Draws a find from a world that is not as drawn, and poses it as the judgement supposes it.

use super::cause::{Causes, Truth as Reality};
use super::supposed::Supposed;
use crate::chance::Chance;
use crate::draw::{Find, Ranges, STARTS, Slipping, Truth, kinds, observation, shown};
use crate::instruments::{Gains, INSTRUMENTS, V};
use crate::readings::{Planned, READINGS};
use crate::world::{World, p, parameters};
use evidence::Problem;
use network::{Answer, NetworkError};

/// What the judgement supposes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Supposing {
    /// The drawing and nothing else: linear cores, one value a supply, stated meters.
    Plain,
    /// The drawing, and that the supply moves.
    Drift,
    /// What usually departs from it, all of it.
    Usual,
}

/// Draws a find of the first `count` readings.
/// # Errors
/// The network's own.
pub fn draw(
    plain: &World,
    supposed: &Supposed,
    causes: &Causes,
    supposing: Supposing,
    (seed, count, slipping): (u64, usize, Slipping),
) -> Result<Find, NetworkError> {
    let mut chance = Chance::new(seed);
    let count = count.min(READINGS.len());
    let reality = causes.draw(&mut chance, &supposed.parameters, supposed, count);
    let gains = Gains::worse(&mut chance, &reality.meters);
    let slipped: Vec<bool> = match slipping {
        Slipping::Each(probability) => (0..count).map(|_| chance.happens(probability)).collect(),
        Slipping::Exactly(number) => {
            let chosen = chance.different(number, count);
            (0..count)
                .map(|reading| chosen.contains(&reading))
                .collect()
        }
    };
    let (world, mut parameters) = match supposing {
        Supposing::Plain | Supposing::Drift => (plain.clone(), parameters()),
        Supposing::Usual => (supposed.world.clone(), supposed.parameters.clone()),
    };
    let mut truth = supposed.truth.clone();
    let mut ranges = Ranges::default();
    let (mut observations, mut readings) = (vec![], vec![]);
    for (index, planned) in READINGS[..count].iter().enumerate() {
        let places = places(&mut truth, &reality, planned, index)?;
        let at = |place: &str| {
            let found = places.iter().find(|(name, _)| *name == place);
            found.map_or(f64::NAN, |(_, value)| *value)
        };
        let meant = at(planned.quantity);
        // What an average-responding voltmeter has before it is the bent wave.
        let wave = if planned.instrument == V {
            reality.wave
        } else {
            1.0
        };
        let slip = slipped[index].then(|| {
            let kinds = kinds(planned);
            kinds[chance.among(&kinds.iter().map(|kind| kind.share()).collect::<Vec<_>>())]
        });
        let felt = |place: &str| wave * at(place);
        let shown = shown(&mut chance, &gains, planned, wave * meant, slip, &felt);
        readings.push(Truth {
            slip,
            material: (shown - meant).abs()
                > 4.0 * INSTRUMENTS[planned.instrument].whole_sigma(meant),
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
    let mut problem = Problem {
        parameters,
        stations: world.stations,
        observations,
        starts: STARTS.iter().map(|&z| vec![(p::SLIDER_A, z)]).collect(),
        ..Problem::default()
    };
    match supposing {
        Supposing::Plain => {}
        Supposing::Drift => Supposed::suppose_drift(&mut problem),
        Supposing::Usual => supposed.suppose(&mut problem),
    }
    Ok(Find {
        problem,
        z: reality.z,
        readings,
    })
}

/// True values of all places of a reading's setup at its moment.
fn places(
    world: &mut World,
    reality: &Reality,
    planned: &Planned,
    reading: usize,
) -> Result<Vec<(&'static str, f64)>, NetworkError> {
    let setup = planned.setup - 1;
    let mut values = reality.values.clone();
    if setup < 5 {
        values[p::VOLTS + setup] *= reality.drift[reading];
    }
    let station = &mut world.stations[setup];
    let bound: Vec<f64> = station
        .bindings
        .iter()
        .map(|it| it.value(&values))
        .collect();
    let (names, questions): (Vec<_>, Vec<_>) = world.places[setup].iter().cloned().unzip();
    let answers = station.solver.answer(&bound, &questions)?;
    let value = |answer: &Answer| match answer {
        Answer::Value { value, .. } => *value,
        _ => f64::NAN,
    };
    Ok(names.into_iter().zip(answers.iter().map(value)).collect())
}
