//! What a posterior expects of questions nobody has answered yet: draws from each of its modes, pushed through the network.
//!
//! A straight line from the mode is not good enough while a slider's position is open; draws are. The same draws of the standard normal
//! are used for every mode and problem, so that two candidates are compared at like places.

use crate::posed::SMOOTH_VOLTS;
use crate::posterior::Chance;
use crate::{Posterior, Prediction, Problem, normal::Cholesky};
use network::{Answer, NetworkError, Question};

/// Draws of each mode: enough to see a mixture's shape. Our choice.
const DRAWS: usize = 12;
/// Modes less probable than this are not asked.
const LEAST_MODE: f64 = 0.01;
/// Seed of the draws.
const SEED: u64 = 12;

/// What is expected of each question in one station: for every draw its weight (all sum to 1) and what the network answers there,
/// `uncertainty` being how far each draw stands for its neighbours, and within which volts a magnitude near zero cannot be told. No
/// meter's error, no drift. A draw at which the network has no answer is left out.
/// # Errors
/// The network's own, if no draw has an answer.
pub fn pushed(
    problem: &mut Problem,
    posterior: &Posterior,
    station: usize,
    questions: &[Question],
) -> Result<Vec<Vec<(f64, Prediction)>>, NetworkError> {
    let mut told = vec![vec![]; questions.len()];
    let mut failure = None;
    let (mut values, mut bound, mut answers) = (vec![], vec![], vec![]);
    let mut weights = 0.0;
    for (number, mode) in posterior.modes.iter().enumerate() {
        if number > 0 && mode.probability < LEAST_MODE {
            continue;
        }
        let from = told.first().map_or(0, Vec::len);
        for z in draws(&mode.z, &mode.covariance) {
            values.clear();
            values.extend(
                problem
                    .parameters
                    .iter()
                    .zip(&z)
                    .map(|(parameter, &z)| parameter.value(z)),
            );
            let station = &mut problem.stations[station];
            bound.clear();
            bound.extend(
                station
                    .bindings
                    .iter()
                    .map(|binding| binding.value(&values)),
            );
            if let Err(error) = station.solver.answer_into(&bound, questions, &mut answers) {
                failure.get_or_insert(error);
                continue;
            }
            weights += mode.probability;
            for ((told, answer), question) in told.iter_mut().zip(&answers).zip(questions) {
                told.push((mode.probability, prediction(answer, question)));
            }
        }
        told.iter_mut().for_each(|told| spread(&mut told[from..]));
    }
    if let (true, Some(error)) = (weights == 0.0, failure) {
        return Err(error);
    }
    told.iter_mut()
        .flatten()
        .for_each(|(weight, _)| *weight /= weights);
    Ok(told)
}

/// Lets each draw of a mode stand for its neighbours: a dozen spikes of two candidates never meet, whatever they have in common, and a
/// place would seem to tell them apart that does not. The width is Silverman's for a normal kernel (B. W. Silverman, *Density Estimation
/// for Statistics and Data Analysis*, 1986, equation 3.28).
fn spread(draws: &mut [(f64, Prediction)]) {
    let value = |prediction: &Prediction| match prediction {
        Prediction::Value { value, .. } => Some(*value),
        Prediction::Floating | Prediction::Open => None,
    };
    let values: Vec<f64> = draws.iter().filter_map(|(_, it)| value(it)).collect();
    let count = values.len() as f64;
    if values.len() < 2 {
        return;
    }
    let mean = values.iter().sum::<f64>() / count;
    let square: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    let width = 1.06 * (square / (count - 1.0)).sqrt() * count.powf(-0.2);
    for (_, prediction) in draws {
        if let Prediction::Value { uncertainty, .. } = prediction {
            *uncertainty = uncertainty.hypot(width);
        }
    }
}

fn prediction(answer: &Answer, question: &Question) -> Prediction {
    match (answer, question) {
        (Answer::Floating, _) => Prediction::Floating,
        (Answer::Open, _) => Prediction::Open,
        (Answer::Value { value, .. }, Question::Voltage { .. }) => {
            let smoothed = value.hypot(SMOOTH_VOLTS);
            Prediction::Value {
                value: smoothed,
                uncertainty: smoothed - value,
            }
        }
        (Answer::Value { value, .. }, _) => Prediction::Value {
            value: *value,
            uncertainty: 0.0,
        },
    }
}

/// Draws about a mode, in pairs that mirror each other: their mean is the mode itself.
fn draws(centre: &[f64], covariance: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let size = centre.len();
    let lower = covariance.iter().flatten().copied().collect();
    let Some(root) = Cholesky::of(lower, size) else {
        return vec![centre.to_vec()];
    };
    let mut chance = Chance(SEED);
    let mut drawn = Vec::with_capacity(DRAWS);
    while drawn.len() < DRAWS {
        let u: Vec<f64> = (0..size).map(|_| chance.normal()).collect();
        let off: Vec<f64> = (0..size)
            .map(|row| {
                (0..=row)
                    .map(|column| root.entry(row, column) * u[column])
                    .sum()
            })
            .collect();
        for sign in [1.0, -1.0] {
            drawn.push(
                centre
                    .iter()
                    .zip(&off)
                    .map(|(at, off)| at + sign * off)
                    .collect(),
            );
        }
    }
    drawn
}
