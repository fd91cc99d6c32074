//! How near a straight line from some point could bring a problem to its readings, and what that costs.
//!
//! With standardised priors the best point of a straight-line model follows from a matrix as large as there are readings: `x = -J'W½ (I +
//! W½ J J' W½)⁻¹ W½ b`, `b` the residuals less what the start already is away from the priors' centres. The weights `W` are those of
//! Student's t, found by a few rounds, so that slips do not count against a neighbour more than against the find as recorded.

use crate::Shown;
use crate::fitting::log_norm;
use crate::normal::{Cholesky, dot};
use crate::posed::Posed;

/// Degrees of freedom of Student's t.
const FREEDOM: f64 = 2.0;
/// Rounds of weights.
const ROUNDS: usize = 4;
/// Most a single reading counts against a neighbour, in ln: further off it is a slip.
const MOST_AGAINST: f64 = 9.0;
/// Readings further off than this, in standard uncertainties, are held to be misread to begin with.
const FAR_OFF: f64 = 4.0;
/// Longest move in any z.
const LONGEST: f64 = 3.0;

/// Where a straight line leads.
pub(super) struct Reached {
    /// ln of the evidence, against readings that all say just what was expected.
    pub(super) log: f64,
    /// What priors and readings cost there, in ln.
    pub(super) cost: f64,
    /// The point, no further than [`LONGEST`] from the start in any z.
    pub(super) z: Vec<f64>,
    /// Readings that stand far off there, by index.
    pub(super) far: Vec<usize>,
}

/// The best point by a straight line through `point`, where the problem was felt last.
pub(super) fn straight(posed: &Posed, point: &[f64]) -> Option<Reached> {
    let told: Vec<(usize, f64, f64)> = (0..posed.readings())
        .filter_map(|reading| {
            let (residual, factor) = posed.residual(reading, 1.0)?;
            Some((reading, residual, factor))
        })
        .collect();
    let rows: Vec<Vec<f64>> = told
        .iter()
        .map(|&(reading, _, factor)| {
            let slopes = posed.here.slopes(reading);
            slopes.iter().map(|slope| slope * factor).collect()
        })
        .collect();
    let away: Vec<f64> = told
        .iter()
        .zip(&rows)
        .map(|((_, residual, _), row)| residual - dot(row, point))
        .collect();
    let gram = gram(&rows);
    let without = without_value(posed);
    let mut weights = vec![1.0_f64; rows.len()];
    let mut best: Option<Reached> = None;
    for _ in 0..ROUNDS {
        let (reached, determinant) = weighted(&rows, &away, &gram, &weights, point.len())?;
        let mut cost = without + 0.5 * dot(&reached, &reached);
        let mut far = vec![];
        for (number, row) in rows.iter().enumerate() {
            let left = away[number] + dot(row, &reached);
            cost += (0.5 * left * left).min(MOST_AGAINST);
            if left.abs() > FAR_OFF {
                far.push(told[number].0);
            }
            weights[number] = (FREEDOM + 1.0) / (FREEDOM + left * left);
        }
        let log = -cost - 0.5 * determinant;
        if best.as_ref().is_none_or(|known| log > known.log) {
            let z = reached;
            best = Some(Reached { log, cost, z, far });
        }
    }
    let mut best = best?;
    for (x, from) in best.z.iter_mut().zip(point) {
        *x = from + (*x - from).clamp(-LONGEST, LONGEST);
    }
    Some(best)
}

/// What readings cost where nothing, or no path, is expected, against a good reading there.
fn without_value(posed: &Posed) -> f64 {
    (0..posed.readings())
        .filter(|&reading| posed.residual(reading, 1.0).is_none())
        .map(|reading| {
            let good = match posed.problem.observations[reading].shown {
                Shown::Value { .. } => {
                    -posed.sigma[reading].ln() - 0.5 * (2.0 * std::f64::consts::PI).ln()
                }
                _ => 0.0,
            };
            (good - log_norm(posed, reading)).clamp(0.0, MOST_AGAINST)
        })
        .sum()
}

fn gram(rows: &[Vec<f64>]) -> Vec<f64> {
    let count = rows.len();
    let mut gram = vec![0.0; count * count];
    for row in 0..count {
        for column in 0..=row {
            let product = dot(&rows[row], &rows[column]);
            gram[row * count + column] = product;
            gram[column * count + row] = product;
        }
    }
    gram
}

/// The best point at these weights, and ln of the determinant.
fn weighted(
    rows: &[Vec<f64>],
    away: &[f64],
    gram: &[f64],
    weights: &[f64],
    unknowns: usize,
) -> Option<(Vec<f64>, f64)> {
    let count = rows.len();
    let roots: Vec<f64> = weights.iter().map(|w| w.sqrt()).collect();
    let mut system = gram.to_vec();
    for row in 0..count {
        for column in 0..count {
            system[row * count + column] *= roots[row] * roots[column];
        }
        system[row * count + row] += 1.0;
    }
    let factor = Cholesky::of(system, count)?;
    let mut pull: Vec<f64> = away.iter().zip(&roots).map(|(b, w)| b * w).collect();
    factor.forward(&mut pull);
    factor.backward(&mut pull);
    let mut reached = vec![0.0; unknowns];
    for ((row, pull), root) in rows.iter().zip(&pull).zip(&roots) {
        let scaled = pull * root;
        for (x, slope) in reached.iter_mut().zip(row) {
            *x -= slope * scaled;
        }
    }
    Some((reached, factor.log_determinant()))
}
