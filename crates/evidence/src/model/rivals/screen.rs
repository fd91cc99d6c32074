//! One look at a neighbour: what it expects at the posterior of the find as recorded, and how near a straight line could bring it to
//! the readings.
//!
//! With standardised priors the best point of a straight-line model follows from a matrix as large as there are readings: `x = -J'W½ (I +
//! W½ J J' W½)⁻¹ W½ b`, `b` the residuals less what the start already is away from the priors' centres. The weights `W` are those of
//! Student's t, found by a few rounds, so that slips do not count against a neighbour more than against the find as recorded.

use super::carried;
use crate::model::{FindProblem, Nominal};
use crate::normal::Cholesky;
use crate::posed::{Felt, Posed};
use wiring::{Variant, VariantKind};

/// Degrees of freedom of Student's t.
const FREEDOM: f64 = 2.0;
/// Rounds of weights.
const ROUNDS: usize = 4;
/// Most a single reading counts against a neighbour, in ln: further off it is a slip.
const MOST_AGAINST: f64 = 9.0;

/// A neighbour after the first look.
pub(super) struct Screened {
    pub(super) variant: Variant,
    pub(super) problem: FindProblem,
    /// Where to begin to fit it.
    pub(super) starts: Vec<Vec<f64>>,
    /// Readings its wiring makes impossible.
    pub(super) impossible: usize,
    /// ln of its evidence by the straight line, prior apart.
    pub(super) log_likelihood: f64,
    /// The same with its prior.
    pub(super) log: f64,
    /// What it expects of each reading at the start.
    expected: Vec<Felt>,
    /// Every slip it stands for, the plainest first.
    alternatives: Vec<String>,
}

/// Slips named one by one; more are only counted.
const NAMED: usize = 2;

/// The slips no reading tells apart, in words.
fn in_words(alternatives: &[String]) -> String {
    let named = alternatives[..alternatives.len().min(NAMED)].join(", or ");
    match alternatives.len().saturating_sub(NAMED) {
        0 => named,
        1 => format!("{named}, or one other slip that comes to the same"),
        more => format!("{named}, or one of {more} other slips that come to the same"),
    }
}

impl Screened {
    /// Whether two neighbours expect the same of every reading.
    pub(super) fn expects_as(&self, other: &Self) -> bool {
        let alike = |pair: (&Felt, &Felt)| match pair {
            (Felt::Value(one), Felt::Value(two)) => {
                (one - two).abs() <= 1e-4 * one.abs().max(two.abs()) + 1e-6
            }
            (one, two) => one == two,
        };
        self.impossible == other.impossible
            && self.expected.len() == other.expected.len()
            && self.expected.iter().zip(&other.expected).all(alike)
    }

    /// Takes in a neighbour that no reading tells from this one.
    pub(super) fn absorb(&mut self, other: Self) {
        let total = self.variant.weight + other.variant.weight;
        if other.variant.weight > self.variant.weight {
            self.variant.find = other.variant.find;
            self.problem = other.problem;
            self.starts = other.starts;
        }
        self.alternatives.extend(other.alternatives);
        self.alternatives.sort_by_key(String::len);
        self.variant.what = in_words(&self.alternatives);
        if !self.variant.remedy.contains(&other.variant.remedy) {
            self.variant.remedy = format!("{}; {}", self.variant.remedy, other.variant.remedy);
        }
        self.log += (total / self.variant.weight).ln();
        self.variant.weight = total;
    }
}

/// Looks at a neighbour once from each known point of the find as recorded.
pub(super) fn look(
    variant: Variant,
    nominal: Nominal,
    base: &FindProblem,
    known: &[&[f64]],
) -> Screened {
    let mut problem = if variant.kind == VariantKind::AsRecorded {
        base.clone()
    } else {
        FindProblem::new(&variant.find, nominal)
    };
    let impossible = base
        .problem
        .observations
        .len()
        .saturating_sub(problem.problem.observations.len());
    let points: Vec<Vec<f64>> = known
        .iter()
        .take(2)
        .map(|z| carried(z, base, &problem))
        .collect();
    let mut best = f64::NEG_INFINITY;
    let mut expected = vec![];
    let mut starts = vec![];
    let mut posed = Posed::new(&mut problem.problem);
    for point in points {
        if posed.feel(&point).is_err() {
            continue;
        }
        let Some((log, reached)) = straight(&posed, &point) else {
            continue;
        };
        if log > best {
            best = log;
            expected.clone_from(&posed.here.felt);
        }
        starts.push(reached);
        starts.push(point);
    }
    let log_likelihood = best + impossible as f64 * super::IMPOSSIBLE;
    Screened {
        alternatives: vec![variant.what.clone()],
        log: log_likelihood + variant.weight.ln(),
        log_likelihood,
        variant,
        problem,
        starts,
        impossible,
        expected,
    }
}

/// ln of the evidence by the straight line through a point, and where it leads, no further than three widths in any z.
fn straight(posed: &Posed, point: &[f64]) -> Option<(f64, Vec<f64>)> {
    let told: Vec<(usize, f64, f64)> = (0..posed.readings())
        .filter_map(|reading| {
            let (residual, factor) = posed.residual(reading, 1.0)?;
            Some((reading, residual, factor))
        })
        .collect();
    let nothing: f64 = (0..posed.readings())
        .map(|reading| crate::fitting::log_norm(posed, reading))
        .sum();
    let count = told.len();
    let rows: Vec<Vec<f64>> = told
        .iter()
        .map(|&(reading, _, factor)| {
            let slopes = posed.here.slopes(reading);
            slopes.iter().map(|slope| slope * factor).collect()
        })
        .collect();
    let dot = |one: &[f64], two: &[f64]| -> f64 { one.iter().zip(two).map(|(a, b)| a * b).sum() };
    let mut gram = vec![0.0; count * count];
    for row in 0..count {
        for column in 0..=row {
            gram[row * count + column] = dot(&rows[row], &rows[column]);
            gram[column * count + row] = gram[row * count + column];
        }
    }
    let away: Vec<f64> = told
        .iter()
        .zip(&rows)
        .map(|((_, residual, _), row)| residual - dot(row, point))
        .collect();
    let mut weights = vec![1.0_f64; count];
    let mut best: Option<(f64, Vec<f64>)> = None;
    for _ in 0..ROUNDS {
        let roots: Vec<f64> = weights.iter().map(|w| w.sqrt()).collect();
        let mut system = gram.clone();
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
        let scaled: Vec<f64> = pull.iter().zip(&roots).map(|(p, w)| p * w).collect();
        let mut reached = vec![0.0; point.len()];
        for (row, scaled) in rows.iter().zip(&scaled) {
            for (x, slope) in reached.iter_mut().zip(row) {
                *x -= slope * scaled;
            }
        }
        let prior = 0.5 * dot(&reached, &reached);
        let mut against = 0.0;
        for (number, row) in rows.iter().enumerate() {
            let left = away[number] + dot(row, &reached);
            against += (0.5 * left * left).min(MOST_AGAINST);
            weights[number] = (FREEDOM + 1.0) / (FREEDOM + left * left);
        }
        let log = nothing - prior - against - 0.5 * factor.log_determinant();
        if best.as_ref().is_none_or(|(most, _)| log > *most) {
            best = Some((log, reached));
        }
    }
    let (log, mut reached) = best?;
    for (x, from) in reached.iter_mut().zip(point) {
        *x = from + (*x - from).clamp(-3.0, 3.0);
    }
    Some((log, reached))
}
