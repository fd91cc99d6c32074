//! Expected information of one possible reading about which candidate is the true one.
//!
//! Each candidate expects a mixture of normals, from draws of its posterior pushed through the network ([`components`]); what a reading
//! is worth is the mean of `ln p(y | candidate) - ln Σ w p(y | any)` over candidates and what they expect ([`expected`]). Nothing here
//! knows safety, effort or time.

use evidence::{Posterior, Prediction, Problem, pushed};
use network::{NetworkError, Question};

/// What one candidate expects of one possible reading: a mixture.
#[derive(Debug, Clone, Default)]
pub struct Expectation {
    /// Its components; the weights sum to 1.
    pub components: Vec<Component>,
}

/// One component of an expectation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Component {
    /// A value about `mean` with standard uncertainty `sigma`, the meter's included.
    Value {
        /// Weight.
        weight: f64,
        /// Mean.
        mean: f64,
        /// Standard uncertainty.
        sigma: f64,
    },
    /// The place floats: anything may be shown.
    Floating {
        /// Weight.
        weight: f64,
    },
    /// No path: nothing but over range is shown.
    Open {
        /// Weight.
        weight: f64,
    },
}

/// Nodes and weights of nine-point Gauss-Hermite quadrature from the middle outwards: `∫ exp(-x²) f(x) dx ≈ Σ w f(x)`.
/// M. Abramowitz, I. A. Stegun, *Handbook of Mathematical Functions*, formula 25.4.46 and table 25.10.
const HERMITE: [(f64, f64); 5] = [
    (0.0, 7.202352156061e-1),
    (0.723551018752838, 4.326515590026e-1),
    (1.468553289216668, 8.847452739438e-2),
    (2.266580584531843, 4.943624275537e-3),
    (3.190993201781528, 3.960697726326e-5),
];
/// Share of any expectation that lies anywhere: a slip shows what nobody expects.
const ANYWHERE: f64 = 0.02;
/// Highest value a ghost reading at a floating place shows, and so what its density is spread over. Our choice.
const GHOST: f64 = 100.0;
/// Points at which the ghost's spread is looked at.
const GHOST_POINTS: usize = 32;
/// Chance that over range is shown where a value is expected: a clip that slid off.
const OPEN_ANYWHERE: f64 = 0.1;
/// Candidates less probable than this teach nothing worth a look.
const LEAST_CANDIDATE: f64 = 1e-4;
/// Further off than this, in standard uncertainties, a normal density is nothing.
const FAR: f64 = 9.0;

/// What one candidate expects of every question of one station. `meter` gives the standard uncertainty (gain, digits, scatter) with
/// which the k-th question's answer would be shown, by the answer's size.
/// # Errors
/// The network's own, if no draw of the posterior has an answer.
pub fn components(
    problem: &mut Problem,
    posterior: &Posterior,
    station: usize,
    questions: &[Question],
    meter: &dyn Fn(usize, f64) -> f64,
) -> Result<Vec<Expectation>, NetworkError> {
    let told = pushed(problem, posterior, station, questions)?;
    let expectation = |(question, told): (usize, Vec<(f64, Prediction)>)| {
        let component = |(weight, prediction)| match prediction {
            Prediction::Value { value, uncertainty } => Component::Value {
                weight,
                mean: value,
                sigma: meter(question, value).hypot(uncertainty),
            },
            Prediction::Floating => Component::Floating { weight },
            Prediction::Open => Component::Open { weight },
        };
        Expectation {
            components: told.into_iter().map(component).collect(),
        }
    };
    Ok(told.into_iter().enumerate().map(expectation).collect())
}

/// Expected information in nats about which candidate holds, `weights` being their probabilities now (brought to 1 here). Never below 0.
pub fn expected(weights: &[f64], expectations: &[Expectation]) -> f64 {
    let total: f64 = weights
        .iter()
        .filter(|weight| **weight >= LEAST_CANDIDATE)
        .sum();
    let candidates: Vec<(f64, &Expectation)> = weights
        .iter()
        .zip(expectations)
        .filter(|(weight, expectation)| {
            **weight >= LEAST_CANDIDATE && !expectation.components.is_empty()
        })
        .map(|(weight, expectation)| (weight / total, expectation))
        .collect();
    let field = Field::new(&candidates);
    let mut densities = vec![0.0; candidates.len()];
    let mut sum = 0.0;
    for (index, (weight, _)) in candidates.iter().enumerate() {
        sum += weight * field.gain_of(index, &mut densities);
    }
    sum.max(0.0)
}

/// A value component of any candidate.
struct Peak {
    candidate: usize,
    mean: f64,
    inverse: f64,
    /// Weight over `σ √(2π)`.
    height: f64,
    weight: f64,
}

/// All that is expected of one place.
struct Field {
    /// In rising order of mean.
    peaks: Vec<Peak>,
    /// Greatest standard uncertainty.
    widest: f64,
    /// Of each candidate: its weight, the weight of floating and of open.
    weights: Vec<(f64, f64, f64)>,
    /// Density of what lies anywhere.
    anywhere: f64,
}

impl Field {
    fn new(candidates: &[(f64, &Expectation)]) -> Self {
        let mut field = Self {
            peaks: vec![],
            widest: 0.0,
            weights: candidates
                .iter()
                .map(|(weight, _)| (*weight, 0.0, 0.0))
                .collect(),
            anywhere: 0.0,
        };
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for (candidate, (_, expectation)) in candidates.iter().enumerate() {
            for component in &expectation.components {
                match *component {
                    Component::Value {
                        weight,
                        mean,
                        sigma,
                    } => {
                        field.peaks.push(Peak {
                            candidate,
                            mean,
                            inverse: 1.0 / sigma,
                            height: weight / (sigma * (2.0 * std::f64::consts::PI).sqrt()),
                            weight,
                        });
                        field.widest = field.widest.max(sigma);
                        low = low.min(mean - 4.0 * sigma);
                        high = high.max(mean + 4.0 * sigma);
                    }
                    Component::Floating { weight } => {
                        field.weights[candidate].1 += weight;
                        (low, high) = (low.min(0.0), high.max(GHOST));
                    }
                    Component::Open { weight } => field.weights[candidate].2 += weight,
                }
            }
        }
        field
            .peaks
            .sort_by(|one, other| one.mean.total_cmp(&other.mean));
        // What lies anywhere is spread over twice what is expected.
        field.anywhere = if high > low { 0.5 / (high - low) } else { 0.0 };
        field
    }

    /// Mean of `ln p(y | candidate) - ln Σ w p(y)` over what a candidate expects.
    fn gain_of(&self, candidate: usize, densities: &mut [f64]) -> f64 {
        let (_, floating, open) = self.weights[candidate];
        let mut sum = 0.0;
        for peak in self.peaks.iter().filter(|peak| peak.candidate == candidate) {
            for (number, (node, share)) in HERMITE.iter().enumerate() {
                let off = std::f64::consts::SQRT_2 * node / peak.inverse;
                let share = peak.weight * share / std::f64::consts::PI.sqrt();
                sum += share * self.told_by(peak.mean + off, candidate, densities);
                if number > 0 {
                    sum += share * self.told_by(peak.mean - off, candidate, densities);
                }
            }
        }
        if floating > 0.0 {
            for point in 0..GHOST_POINTS {
                let shown = GHOST * (point as f64 + 0.5) / GHOST_POINTS as f64;
                sum += floating / GHOST_POINTS as f64 * self.told_by(shown, candidate, densities);
            }
        }
        if open > 0.0 {
            let chance = |open: f64| (1.0 - ANYWHERE) * open + ANYWHERE * OPEN_ANYWHERE;
            let any: f64 = self
                .weights
                .iter()
                .map(|(weight, _, open)| weight * chance(*open))
                .sum();
            sum += open * (chance(open) / any).ln();
        }
        sum
    }

    /// `ln p(y | candidate) - ln Σ w p(y)` of a shown value.
    fn told_by(&self, shown: f64, candidate: usize, densities: &mut [f64]) -> f64 {
        let ghost = if (0.0..=GHOST).contains(&shown) {
            1.0 / GHOST
        } else {
            0.0
        };
        for (density, (_, floating, _)) in densities.iter_mut().zip(&self.weights) {
            *density = floating * ghost;
        }
        let reach = FAR * self.widest;
        let from = self.peaks.partition_point(|peak| peak.mean < shown - reach);
        for peak in &self.peaks[from..] {
            if peak.mean > shown + reach {
                break;
            }
            let off = (shown - peak.mean) * peak.inverse;
            if off.abs() < FAR {
                densities[peak.candidate] += peak.height * (-0.5 * off * off).exp();
            }
        }
        let floor = ANYWHERE * self.anywhere;
        let any: f64 = densities
            .iter()
            .zip(&self.weights)
            .map(|(density, (weight, ..))| weight * density)
            .sum();
        (((1.0 - ANYWHERE) * densities[candidate] + floor) / ((1.0 - ANYWHERE) * any + floor)).ln()
    }
}

#[cfg(test)]
mod tests {
    use super::{Component, Expectation, expected};

    fn at(values: &[(f64, f64, f64)]) -> Expectation {
        let component = |&(weight, mean, sigma): &(f64, f64, f64)| Component::Value {
            weight,
            mean,
            sigma,
        };
        Expectation {
            components: values.iter().map(component).collect(),
        }
    }

    #[test]
    fn two_candidates_far_apart_are_worth_the_entropy_of_their_choice() {
        // T. M. Cover, J. A. Thomas, Elements of Information Theory, 2nd edition, 2.1 and 2.4: the mutual information of a choice and an
        // outcome that tells it is the choice's entropy. A slip takes next to nothing of it.
        let told = expected(
            &[0.5, 0.5],
            &[at(&[(1.0, 10.0, 0.1)]), at(&[(1.0, 200.0, 1.0)])],
        );
        assert!((told - 2f64.ln()).abs() < 2e-3, "{told}");
        let told = expected(
            &[0.9, 0.1],
            &[at(&[(1.0, 10.0, 0.1)]), at(&[(1.0, 200.0, 1.0)])],
        );
        let entropy = -(0.9 * 0.9f64.ln() + 0.1 * 0.1f64.ln());
        assert!((told - entropy).abs() < 5e-3, "{told} {entropy}");
    }

    #[test]
    fn candidates_that_expect_the_same_are_worth_nothing() {
        let same = at(&[(0.5, 10.0, 0.1), (0.5, 20.0, 2.0)]);
        assert!(expected(&[0.3, 0.7], &[same.clone(), same]).abs() < 1e-12);
        let floats = Expectation {
            components: vec![Component::Floating { weight: 1.0 }],
        };
        assert!(expected(&[0.3, 0.7], &[floats.clone(), floats]).abs() < 1e-12);
        assert!(expected(&[], &[]).abs() < 1e-12);
    }

    #[test]
    fn over_range_against_a_value_tells_them_apart() {
        let open = Expectation {
            components: vec![Component::Open { weight: 1.0 }],
        };
        let told = expected(&[0.5, 0.5], &[open, at(&[(1.0, 1.2, 0.01)])]);
        assert!(told > 0.6 && told < 2f64.ln() + 1e-9, "{told}");
    }

    /// Brute force: outcomes drawn from the very mixtures by a plain congruential sequence, the mean of the log ratio.
    #[test]
    fn quadrature_agrees_with_brute_force() {
        let candidates = [
            at(&[(0.6, 100.0, 3.0), (0.4, 108.0, 2.0)]),
            at(&[(1.0, 105.0, 4.0)]),
            at(&[(0.5, 96.0, 1.5), (0.5, 120.0, 6.0)]),
        ];
        let weights = [0.5, 0.3, 0.2];
        // 0.02 of anything anywhere, spread over twice of what is expected: 90 to 144.
        let flat = 0.02 * 0.5 / (144.0 - 90.0);
        let density = |candidate: &Expectation, y: f64| -> f64 {
            let of = |component: &Component| match *component {
                Component::Value {
                    weight,
                    mean,
                    sigma,
                } => {
                    let off: f64 = (y - mean) / sigma;
                    weight * (-0.5 * off * off).exp()
                        / (sigma * (2.0 * std::f64::consts::PI).sqrt())
                }
                _ => 0.0,
            };
            0.98 * candidate.components.iter().map(of).sum::<f64>() + flat
        };
        let (mut seed, mut sum, count) = (7_u64, 0.0, 400_000);
        let mut uniform = || {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        };
        let pick = |shares: &[f64], mut left: f64| {
            shares.iter().position(|share| {
                left -= share;
                left < 0.0
            })
        };
        for _ in 0..count {
            let candidate = pick(&weights, uniform()).unwrap_or(2);
            let parts: Vec<f64> = candidates[candidate]
                .components
                .iter()
                .map(|component| {
                    if let Component::Value { weight, .. } = component {
                        *weight
                    } else {
                        0.0
                    }
                })
                .collect();
            let part = pick(&parts, uniform()).unwrap_or(0);
            let Component::Value { mean, sigma, .. } = candidates[candidate].components[part]
            else {
                continue;
            };
            let normal =
                (-2.0 * uniform().ln()).sqrt() * (2.0 * std::f64::consts::PI * uniform()).cos();
            let y = mean + sigma * normal;
            let any: f64 = weights
                .iter()
                .zip(&candidates)
                .map(|(weight, it)| weight * density(it, y))
                .sum();
            sum += (density(&candidates[candidate], y) / any).ln();
        }
        let (brute, told) = (sum / f64::from(count), expected(&weights, &candidates));
        assert!((brute - told).abs() < 4e-3, "{brute} {told}");
    }
}
