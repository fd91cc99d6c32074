//! Straight lines at the most probable mode: what the network answers there and how it follows the parameters.
//!
//! Good enough to tell which readings are worth a closer look, and for what one quantity gains.

use evidence::Posterior;
use evidence::model::Candidate;
use network::{Answer, Question};

/// What the network answers to one question.
pub(crate) enum Row {
    /// A value with its slopes to every z.
    Value(f64, Vec<f64>),
    /// Nothing joins the two places.
    Floating,
    /// No path.
    Open,
}

/// Covariance of two linear forms in z, at the most probable mode.
pub(crate) fn spread(posterior: &Posterior, one: &[f64], other: &[f64]) -> f64 {
    let Some(mode) = posterior.modes.first() else {
        return 0.0;
    };
    one.iter()
        .enumerate()
        .filter(|(_, a)| **a != 0.0)
        .map(|(i, a)| {
            let along: f64 = mode.covariance[i]
                .iter()
                .zip(other)
                .map(|(c, b)| c * b)
                .sum();
            a * along
        })
        .sum()
}

/// Answers at the most probable mode; none where the network has no answer there.
pub(crate) fn answers(
    candidate: &mut Candidate,
    posterior: &Posterior,
    station: usize,
    questions: &[Question],
) -> Vec<Row> {
    let problem = &mut candidate.problem.problem;
    let Some(mode) = posterior.modes.first() else {
        return Vec::new();
    };
    let z = &mode.z;
    let values: Vec<f64> = problem
        .parameters
        .iter()
        .zip(z)
        .map(|(p, z)| p.value(*z))
        .collect();
    let station = &mut problem.stations[station];
    let bound: Vec<f64> = station.bindings.iter().map(|b| b.value(&values)).collect();
    let Ok(answers) = station.solver.answer(&bound, questions) else {
        return Vec::new();
    };
    answers
        .into_iter()
        .map(|answer| match answer {
            Answer::Value { value, gradient } => {
                let mut slopes = vec![0.0; values.len()];
                for (binding, along) in station.bindings.iter().zip(&gradient) {
                    if *along != 0.0 {
                        binding.slopes(&values, |index, slope| {
                            slopes[index] +=
                                along * slope * problem.parameters[index].slope(z[index]);
                        });
                    }
                }
                Row::Value(value, slopes)
            }
            Answer::Floating => Row::Floating,
            Answer::Open => Row::Open,
        })
        .collect()
}
