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

/// The circuits and parameters of a world that need not be as drawn.
#[derive(Debug, Clone)]
pub struct Supposed {
    /// Circuits as the judgement supposes them.
    pub world: World,
    /// The same with what stands undrawn on the output, which the judgement knows nothing of: the truth's.
    pub(super) truth: World,
    /// The twenty, what is beyond, and the wave; meters' gains come after.
    pub parameters: Vec<Parameter>,
    pub(super) beyond: Beyond,
    pub(super) wave: usize,
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
                add(
                    &of("current exponent"),
                    Unit::One,
                    usual::current_exponent(),
                ),
                add(&of("watts exponent"), Unit::One, usual::watts_exponent()),
            )
        });
        // Under power nothing was noted; the ohms were taken cold and called 20 °C.
        let warm = [1, 2, 3, 4, 5].map(|setup| {
            add(
                &format!("warmth in setup {setup}"),
                Unit::One,
                usual::warmth(None, true),
            )
        });
        let cold = add(
            "warmth in setup 6",
            Unit::One,
            usual::warmth(Some(20.0), false),
        );
        let mut undrawn = usual::undrawn();
        undrawn.centre /= CORE_VOLTS[0] * CORE_VOLTS[0];
        let line = add("undrawn on the line", Unit::Siemens, undrawn);
        let slider = add("slider in setup 3", Unit::One, usual::slider_offset());
        let wave = add("wave", Unit::One, usual::wave());
        let beyond = Beyond {
            exponents,
            warmth: [warm[0], warm[1], warm[2], warm[3], warm[4], cold],
            // The truth's values hold one more than the judgement's parameters.
            undrawn: [line, wave + 1],
            slider,
        };
        let world = World::beyond(&Beyond {
            undrawn: [line, line],
            ..beyond
        })?;
        Ok(Self {
            world,
            truth: World::beyond(&beyond)?,
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
        Self::suppose_drift(problem);
        for observation in &mut problem.observations {
            if READINGS[observation.number as usize - 1].instrument == V {
                observation.shared_gain = Some(self.wave);
            }
        }
    }

    /// Lets a problem know that the supply moves.
    pub(super) fn suppose_drift(problem: &mut Problem) {
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
    }
}

/// How a reading follows the supply.
fn power(observation: &Observation) -> f64 {
    match observation.question {
        network::Question::Power { .. } => 2.0,
        _ => 1.0,
    }
}
