//! What the judgement supposes of a find: the drawing alone, or the drawing and what usually departs from it.
//!
//! The figures are `evidence::model::usual`'s, which real finds are judged with.

use crate::instruments::V;
use crate::readings::READINGS;
use crate::world::{Beyond, CORE_VOLTS, World, parameters};
use evidence::model::usual;
use evidence::{Observation, Parameter, Problem};
use network::NetworkError;
use quantity::Unit;

/// Readings (by index) of a setup among the first so many: one a minute, in the order of the list.
pub(super) fn minutes(setup: usize, count: usize) -> Vec<usize> {
    (0..count)
        .filter(|&reading| READINGS[reading].setup == setup)
        .collect()
}

/// The circuits and parameters of a world that need not be as drawn. The truth stands in the same circuits with its own values.
#[derive(Debug, Clone)]
pub struct Supposed {
    /// Circuits.
    pub world: World,
    /// The twenty, what is beyond, and the wave; meters' gains come after.
    pub parameters: Vec<Parameter>,
    pub(super) beyond: Beyond,
    wave: usize,
}

impl Supposed {
    /// Builds it.
    /// # Errors
    /// The network's own; there is none in these circuits.
    pub fn new() -> Result<Self, NetworkError> {
        let mut all = parameters();
        let mut add = |name: &str, unit: Unit, prior: evidence::model::Prior| {
            all.push(Parameter {
                auxiliary: true,
                ..prior.named(name.to_owned(), unit)
            });
            all.len() - 1
        };
        let exponents = ["autotransformer", "booster"].map(|core| {
            let of = |what: &str| format!("{what} of the {core}");
            (
                add(&of("current exponent"), Unit::One, usual::current_exponent()),
                add(&of("watts exponent"), Unit::One, usual::watts_exponent()),
            )
        });
        // Under power nothing was noted; the ohms were taken cold and called 20 °C.
        let warm = [1, 2, 3, 4, 5].map(|setup| {
            add(&format!("warmth in setup {setup}"), Unit::One, usual::warmth(None))
        });
        let cold = add("warmth in setup 6", Unit::One, usual::warmth(Some(20.0)));
        let mut undrawn = usual::undrawn();
        undrawn.centre /= CORE_VOLTS[0] * CORE_VOLTS[0];
        let beyond = Beyond {
            exponents,
            warmth: [warm[0], warm[1], warm[2], warm[3], warm[4], cold],
            undrawn: [
                add("undrawn on the line", Unit::Siemens, undrawn.clone()),
                add("undrawn on the output", Unit::Siemens, undrawn),
            ],
            slider: add("slider in setup 3", Unit::One, usual::slider_offset()),
        };
        let wave = add("wave", Unit::One, usual::wave());
        Ok(Self {
            world: World::beyond(&beyond)?,
            parameters: all,
            beyond,
            wave,
        })
    }

    /// Lets a plainly posed problem know what usually departs from the drawing.
    pub(super) fn suppose(&self, problem: &mut Problem) {
        for gain in &mut problem.parameters[self.parameters.len()..] {
            gain.width *= usual::gain(3f64.sqrt());
        }
        let count = problem.observations.len();
        let mut drift: Vec<Vec<f64>> = vec![];
        for setup in 1..=5 {
            let readings = minutes(setup, count);
            if readings.len() < 2 {
                continue;
            }
            let at: Vec<f64> = (0..readings.len()).map(|minute| minute as f64).collect();
            let from = drift.len();
            let size = from + at.len();
            drift.iter_mut().for_each(|row| row.resize(size, 0.0));
            for (row, &reading) in usual::mains(&at).into_iter().zip(&readings) {
                let moment = drift.len();
                let mut whole = vec![0.0; from];
                whole.extend(row);
                drift.push(whole);
                let observation = &mut problem.observations[reading];
                observation.drift = Some((moment, power(observation)));
            }
        }
        problem.drift = drift;
        for observation in &mut problem.observations {
            if READINGS[observation.number as usize - 1].instrument == V {
                observation.shared_gain = Some(self.wave);
            }
        }
    }
}

/// How a reading follows the supply.
fn power(observation: &Observation) -> f64 {
    match observation.question {
        network::Question::Power { .. } => 2.0,
        _ => 1.0,
    }
}
