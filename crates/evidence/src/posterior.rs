//! The posterior: its modes, what it says of any question, and draws from it.
//!
//! A [`Mode`] is a peak in z with its covariance and the readings held to be misread there. Questions are answered by the network
//! at each mode with the exact slopes, and mixed by the modes' probabilities.

use crate::posed::Felt;
use crate::{Parameter, Problem};
use network::{Answer, NetworkError, Question};

/// Modes less probable than this are left out of predictions.
const LEAST_MODE: f64 = 1e-3;
/// Half-width of the 95 % interval in standard uncertainties of a normal distribution.
const NINETY_FIVE: f64 = 1.959_963_984_540_054;

/// One mode of the posterior in z, with its covariance.
#[derive(Debug, Clone)]
pub struct Mode {
    /// z of each parameter at the mode; after them one standard normal unknown for each moment of the supply's drift.
    pub z: Vec<f64>,
    /// Covariance in z, row by row.
    pub covariance: Vec<Vec<f64>>,
    /// Observations held to be misread in it, by index.
    pub misread: Vec<usize>,
    /// Its posterior probability among the modes.
    pub probability: f64,
}

/// The posterior.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// Modes, most probable first; never empty.
    pub modes: Vec<Mode>,
}

/// What the network answers to a question under the posterior: no meter's gain, no drift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Prediction {
    /// A value with its standard uncertainty.
    Value {
        /// Value.
        value: f64,
        /// Standard uncertainty.
        uncertainty: f64,
    },
    /// Nothing joins the two places.
    Floating,
    /// No path.
    Open,
}

/// What was learned of one parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learned {
    /// Value at the posterior's centre.
    pub value: f64,
    /// Standard uncertainty of the value (first order).
    pub uncertainty: f64,
    /// 95 % interval.
    pub interval: (f64, f64),
    /// 95 % interval of the prior.
    pub prior_interval: (f64, f64),
    /// Posterior width over prior width: near 0 well known, near 1 the readings taught nothing.
    pub width_ratio: f64,
}

/// Above this ratio of widths a parameter is *prior only*: the readings taught nothing worth the name.
pub const PRIOR_ONLY: f64 = 0.95;

impl Learned {
    /// Whether the readings taught nothing worth the name.
    pub fn is_prior_only(&self) -> bool {
        self.width_ratio > PRIOR_ONLY
    }
}

impl Posterior {
    /// Mean and standard deviation of a parameter's z over all modes.
    pub fn z(&self, parameter: usize) -> (f64, f64) {
        let mean: f64 = self
            .modes
            .iter()
            .map(|mode| mode.probability * mode.z[parameter])
            .sum();
        let variance: f64 = self
            .modes
            .iter()
            .map(|mode| {
                mode.probability
                    * (mode.covariance[parameter][parameter] + (mode.z[parameter] - mean).powi(2))
            })
            .sum();
        (mean, variance.sqrt())
    }

    /// What was learned of a parameter.
    pub fn learned(&self, parameter: &Parameter, index: usize) -> Learned {
        let (mean, width) = self.z(index);
        let between = |centre: f64, width: f64| {
            (
                parameter.value(centre - NINETY_FIVE * width),
                parameter.value(centre + NINETY_FIVE * width),
            )
        };
        Learned {
            value: parameter.value(mean),
            uncertainty: parameter.slope(mean).abs() * width,
            interval: between(mean, width),
            prior_interval: between(0.0, 1.0),
            width_ratio: width,
        }
    }

    /// What the network answers to a question in a station.
    /// # Errors
    /// The network's own, at the most probable mode.
    pub fn predict(
        &self,
        problem: &mut Problem,
        station: usize,
        question: &Question,
    ) -> Result<Prediction, NetworkError> {
        Ok(self
            .predict_all(problem, station, std::slice::from_ref(question))?
            .remove(0))
    }

    /// What the network answers to many questions in one station: one factorisation a mode for all of them.
    /// # Errors
    /// The network's own, at the most probable mode.
    pub fn predict_all(
        &self,
        problem: &mut Problem,
        station: usize,
        questions: &[Question],
    ) -> Result<Vec<Prediction>, NetworkError> {
        let mut mixed = vec![Mixed::default(); questions.len()];
        for (number, mode) in self.modes.iter().enumerate() {
            if number > 0 && mode.probability < LEAST_MODE {
                continue;
            }
            match answer_at(problem, station, questions, &mode.z) {
                Err(error) if number == 0 => return Err(error),
                Err(_) => continue,
                Ok(rows) => {
                    for (mixed, (felt, slopes)) in mixed.iter_mut().zip(rows) {
                        mixed.add(mode, felt, &slopes);
                    }
                }
            }
        }
        Ok(mixed.into_iter().map(Mixed::prediction).collect())
    }

    /// Draws of z from the posterior, the same for the same seed. Modes get draws in proportion to their probability.
    pub fn draws(&self, count: usize, seed: u64) -> Vec<Vec<f64>> {
        let mut chance = Chance(seed);
        let mut drawn = Vec::with_capacity(count);
        let mut share = 0.0;
        for mode in &self.modes {
            share += mode.probability;
            let upto = ((share * count as f64).round() as usize).min(count);
            let size = mode.z.len();
            let lower = mode.covariance.iter().flatten().copied().collect();
            let Some(root) = crate::normal::Cholesky::of(lower, size) else {
                continue;
            };
            while drawn.len() < upto {
                let u: Vec<f64> = (0..size).map(|_| chance.normal()).collect();
                let z = (0..size).map(|row| {
                    mode.z[row]
                        + (0..=row)
                            .map(|column| root.entry(row, column) * u[column])
                            .sum::<f64>()
                });
                drawn.push(z.collect());
            }
        }
        drawn
    }
}

/// Moments of an answer mixed over modes.
#[derive(Debug, Clone, Default)]
struct Mixed {
    weight: f64,
    first: f64,
    second: f64,
    floating: f64,
    open: f64,
}

impl Mixed {
    fn add(&mut self, mode: &Mode, felt: Felt, slopes: &[f64]) {
        match felt {
            Felt::Floating => self.floating += mode.probability,
            Felt::Open => self.open += mode.probability,
            Felt::Value(value) => {
                let along = |row: &[f64]| {
                    row.iter()
                        .zip(slopes)
                        .map(|(entry, slope)| entry * slope)
                        .sum::<f64>()
                };
                let variance: f64 = mode
                    .covariance
                    .iter()
                    .zip(slopes)
                    .map(|(row, slope)| slope * along(row))
                    .sum();
                self.weight += mode.probability;
                self.first += mode.probability * value;
                self.second += mode.probability * (variance + value * value);
            }
        }
    }

    fn prediction(self) -> Prediction {
        if self.weight >= self.floating && self.weight >= self.open && self.weight > 0.0 {
            let value = self.first / self.weight;
            let uncertainty = (self.second / self.weight - value * value).max(0.0).sqrt();
            Prediction::Value { value, uncertainty }
        } else if self.open > self.floating {
            Prediction::Open
        } else {
            Prediction::Floating
        }
    }
}

/// Answers of a station at some z with their slopes to z (drift apart).
pub(crate) fn answer_at(
    problem: &mut Problem,
    station: usize,
    questions: &[Question],
    z: &[f64],
) -> Result<Vec<(Felt, Vec<f64>)>, NetworkError> {
    let values: Vec<f64> = problem
        .parameters
        .iter()
        .zip(z)
        .map(|(parameter, &z)| parameter.value(z))
        .collect();
    let station = &mut problem.stations[station];
    let bound: Vec<f64> = station
        .bindings
        .iter()
        .map(|binding| binding.value(&values))
        .collect();
    let answers = station.solver.answer(&bound, questions)?;
    Ok(answers
        .into_iter()
        .map(|answer| match answer {
            Answer::Floating => (Felt::Floating, vec![]),
            Answer::Open => (Felt::Open, vec![]),
            Answer::Value { value, gradient } => {
                let mut slopes = vec![0.0; values.len()];
                for (binding, along) in station.bindings.iter().zip(&gradient) {
                    binding.slopes(&values, |parameter, slope| {
                        slopes[parameter] +=
                            along * slope * problem.parameters[parameter].slope(z[parameter]);
                    });
                }
                (Felt::Value(value), slopes)
            }
        })
        .collect())
}

/// Random numbers from a seed: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators",
/// 2014) and the Box-Muller transform. The seed is the caller's, so the same call gives the same draws.
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^= mixed >> 31;
        ((mixed >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    pub(crate) fn normal(&mut self) -> f64 {
        let (radius, turn) = (self.uniform(), self.uniform());
        (-2.0 * radius.ln()).sqrt() * (2.0 * std::f64::consts::PI * turn).cos()
    }
}
