//! The evidence by importance sampling: slow, and with no assumption on the posterior's shape; what Laplace's is held against.
//!
//! Draws come from the modes, widened, under Student's t; each is weighed with prior and mixture. Source: C. P. Robert, G. Casella,
//! *Monte Carlo Statistical Methods*, 2nd edition, 2004, section 3.3.

use super::mixture::{elsewhere, score};
use crate::normal::Cholesky;
use crate::posed::{Felt, Posed};
use crate::posterior::Chance;
use crate::search::log_sum;
use crate::slips::Expected;
use crate::{Posterior, Problem};
use network::NetworkError;

/// Degrees of freedom of the draws: heavier tails than anything they are weighed with.
const FREEDOM: u32 = 5;
/// How much wider than the modes the draws are.
const WIDER: f64 = 1.2;
/// Share of draws taken from the prior: what no mode covers.
const FROM_PRIOR: f64 = 0.1;

/// A normal or Student's t about a centre.
struct Source {
    share: f64,
    centre: Vec<f64>,
    root: Cholesky,
}

impl Source {
    fn draw(&self, chance: &mut Chance) -> Vec<f64> {
        let size = self.centre.len();
        let u: Vec<f64> = (0..size).map(|_| chance.normal()).collect();
        let square: f64 = (0..FREEDOM).map(|_| chance.normal().powi(2)).sum();
        let wide = (f64::from(FREEDOM) / square).sqrt();
        let along = |row: usize| -> f64 {
            (0..=row)
                .map(|column| self.root.entry(row, column) * u[column])
                .sum()
        };
        (0..size)
            .map(|row| self.centre[row] + wide * along(row))
            .collect()
    }

    /// Logarithm of its density times its share, without what all sources share.
    fn log_density(&self, z: &[f64]) -> f64 {
        let mut off: Vec<f64> = z
            .iter()
            .zip(&self.centre)
            .map(|(z, centre)| z - centre)
            .collect();
        self.root.forward(&mut off);
        let square: f64 = off.iter().map(|it| it * it).sum();
        let (freedom, size) = (f64::from(FREEDOM), z.len() as f64);
        self.share.ln()
            - 0.5 * self.root.log_determinant()
            - 0.5 * (freedom + size) * (square / freedom).ln_1p()
    }
}

/// Logarithm of a candidate's evidence by so many draws; the same for the same seed. Comparable with [`crate::Ranked::log_evidence`].
/// # Errors
/// The network's own, if no draw has an answer.
pub fn sampled(
    problem: &mut Problem,
    posterior: &Posterior,
    draws: usize,
    seed: u64,
) -> Result<f64, NetworkError> {
    let mut posed = Posed::new(problem);
    let sources = sources(&posed, posterior);
    let constant = constant(posed.unknowns);
    let mut chance = Chance(seed);
    let (mut logs, mut failure) = (vec![], None);
    for source in &sources {
        let count = (source.share * draws as f64).round() as usize;
        for _ in 0..count {
            let z = source.draw(&mut chance);
            let any = log_sum(
                sources
                    .iter()
                    .map(|source| source.log_density(&z))
                    .collect::<Vec<_>>()
                    .into_iter(),
            );
            match log_joint(&mut posed, &z) {
                Ok(log) => logs.push(log - any - constant),
                Err(error) => {
                    logs.push(f64::NEG_INFINITY);
                    failure.get_or_insert(error);
                }
            }
        }
    }
    let log = log_sum(logs.iter().copied()) - (logs.len() as f64).ln();
    match failure {
        Some(error) if log == f64::NEG_INFINITY => Err(error),
        _ => Ok(log),
    }
}

fn sources(posed: &Posed, posterior: &Posterior) -> Vec<Source> {
    let size = posed.unknowns;
    let mut sources = vec![];
    let mut unit = vec![0.0; size * size];
    (0..size).for_each(|row| unit[row * size + row] = 1.0);
    sources.extend(Cholesky::of(unit, size).map(|root| Source {
        share: FROM_PRIOR,
        centre: vec![0.0; size],
        root,
    }));
    for mode in posterior.modes.iter().filter(|mode| mode.z.len() == size) {
        let wide = mode
            .covariance
            .iter()
            .flatten()
            .map(|entry| WIDER * WIDER * entry)
            .collect();
        let share = (1.0 - FROM_PRIOR) * mode.probability.max(0.02);
        sources.extend(Cholesky::of(wide, size).map(|root| Source {
            share,
            centre: mode.z.clone(),
            root,
        }));
    }
    let sum: f64 = sources.iter().map(|source| source.share).sum();
    sources.iter_mut().for_each(|source| source.share /= sum);
    sources
}

/// Logarithm of what Student's t of `size` dimensions has beside its shape, and of the standard normal's `(2π)^(size/2)`.
fn constant(size: usize) -> f64 {
    let (freedom, size) = (f64::from(FREEDOM), size as f64);
    let pi = std::f64::consts::PI;
    log_gamma(0.5 * (freedom + size)) - log_gamma(0.5 * freedom) - 0.5 * size * (freedom * pi).ln()
        + 0.5 * size * (2.0 * pi).ln()
}

/// `ln Γ` of a whole or half number.
fn log_gamma(of: f64) -> f64 {
    let (mut sum, mut of) = (0.0, of);
    while of > 1.0 {
        of -= 1.0;
        sum += of.ln();
    }
    if of < 0.75 {
        sum + 0.5 * std::f64::consts::PI.ln()
    } else {
        sum
    }
}

/// Logarithm of prior (without its constant) and likelihood.
fn log_joint(posed: &mut Posed, z: &[f64]) -> Result<f64, NetworkError> {
    posed.feel(z)?;
    let suspect = |posed: &Posed, reading: usize| {
        let slipped = score(posed, reading, 0.0).slipped;
        slipped > 1e-4 && !posed.problem.observations[reading].other_places.is_empty()
    };
    if (0..posed.readings()).any(|reading| suspect(posed, reading)) {
        posed.feel_others(z)?;
    }
    let mut log = -0.5 * z.iter().map(|it| it * it).sum::<f64>();
    for reading in 0..posed.readings() {
        let background = if suspect(posed, reading) {
            let from = posed.others_from[reading];
            let count = posed.problem.observations[reading].other_places.len();
            let there: Vec<Expected> = (from..from + count)
                .map(|row| match posed.there.felt[row] {
                    Felt::Floating => Expected::Floating,
                    Felt::Open => Expected::Open,
                    Felt::Value(value) => Expected::Value {
                        value,
                        variance: 0.0,
                    },
                })
                .collect();
            elsewhere(posed, reading, &there)
        } else {
            0.0
        };
        log -= score(posed, reading, background).cost;
    }
    Ok(log)
}
