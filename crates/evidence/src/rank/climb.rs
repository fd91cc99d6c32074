//! One climb to a peak of a candidate's posterior: robust stages first, then the mixture of good readings and slips.

use super::MISREAD;
use super::mixture::{elsewhere, score};
use crate::normal::{Cholesky, Normal};
use crate::optimise::{Objective, Options, Outcome, minimise};
use crate::posed::{Felt, Posed, aside};
use crate::slips::Expected;
use network::NetworkError;

/// Factors on the standard uncertainties in the robust stages. Without these, one slip pulls ratio or slider off and the mixture then
/// locks in the wrong mode.
pub(super) const STAGES: [f64; 3] = [30.0, 8.0, 2.0];
/// Rounds at each robust stage: enough to follow, too few to dig in.
const STAGE_ROUNDS: usize = 4;
/// Rounds of the mixture.
const MIXTURE_ROUNDS: usize = 40;
/// A climb ends when a full step would gain less than this in ln of the evidence.
const ENOUGH: f64 = 1e-6;
/// Longest step in any z.
const STEP_LIMIT: f64 = 1.5;
/// Degrees of freedom of Student's t in the robust stages.
const FREEDOM: f64 = 2.0;
/// Two peaks are one if they stand closer than this, squared, in units of their own curvature.
const SAME_PEAK: f64 = 4.0;
/// How often the background of other places is brought up to date in one climb.
const BACKGROUNDS: usize = 3;
/// A background that moves the cost by less than this is up to date.
const STEADY: f64 = 1e-3;
/// Readings whose probability of being a slip is above this have their other places looked at.
const SUSPECT: f64 = 1e-3;

/// What a search sees.
enum Hearing<'h> {
    /// All readings under Student's t, standard uncertainties widened by this.
    Robust(f64),
    /// The mixture, with the density of each reading's other places.
    Mixture(&'h [f64]),
}

struct Heard<'s, 'a, 'h> {
    posed: &'s mut Posed<'a>,
    hearing: Hearing<'h>,
}

impl Objective for Heard<'_, '_, '_> {
    type Error = NetworkError;

    fn unknowns(&self) -> usize {
        self.posed.unknowns
    }

    fn evaluate(&mut self, z: &[f64], normal: &mut Normal) -> Result<(), NetworkError> {
        self.posed.feel(z)?;
        for (unknown, &value) in z.iter().enumerate() {
            normal.add_prior(unknown, value);
        }
        for reading in 0..self.posed.readings() {
            match self.hearing {
                Hearing::Robust(scale) => {
                    let Some((residual, factor)) = self.posed.residual(reading, scale) else {
                        continue;
                    };
                    let square = residual * residual;
                    // The curvature of a reweighted fit, above Student's own: whoever is far off pulls, but shortens no step.
                    let weight = ((FREEDOM + 1.0) / (FREEDOM + square)).sqrt();
                    self.add(reading, weight * residual, weight * factor, normal);
                    self.bend(reading, weight * weight * residual * factor, normal);
                    normal.cost += 0.5 * (FREEDOM + 1.0) * (square / FREEDOM).ln_1p()
                        - 0.5 * weight * weight * square;
                }
                Hearing::Mixture(elsewhere) => {
                    let told = score(self.posed, reading, elsewhere[reading]);
                    // As a residual of the same gradient and curvature; what that misses of the cost is put right.
                    let factor = told.curvature.sqrt().max(1e-6 / self.posed.sigma[reading]);
                    let residual = told.gradient / factor;
                    if self.posed.residual(reading, 1.0).is_some() {
                        self.add(reading, residual, factor, normal);
                        self.bend(reading, told.gradient, normal);
                        normal.cost -= 0.5 * residual * residual;
                    }
                    normal.cost += told.cost;
                }
            }
        }
        Ok(())
    }
}

impl Heard<'_, '_, '_> {
    fn add(&self, reading: usize, residual: f64, factor: f64, normal: &mut Normal) {
        let slopes = self.posed.here.slopes(reading);
        normal.add_sparse(residual, &self.posed.support[reading], slopes, factor);
    }

    /// Curvature where volts vanish, which no slope tells. `gradient` is that of the cost to the prediction.
    fn bend(&self, reading: usize, gradient: f64, normal: &mut Normal) {
        if let (true, Some(bend)) = (gradient > 0.0, self.posed.bend(reading)) {
            let slopes = self.posed.bare_slopes(reading);
            let factor = (gradient * bend).sqrt();
            normal.add_sparse(0.0, &self.posed.support[reading], &slopes, factor);
        }
    }
}

/// A point on the way.
#[derive(Debug, Clone)]
pub(super) struct Point {
    pub(super) z: Vec<f64>,
    pub(super) normal: Normal,
}

fn search(
    posed: &mut Posed,
    start: &[f64],
    hearing: Hearing,
    rounds: usize,
) -> Result<Point, NetworkError> {
    let options = Options {
        rounds,
        step_limit: STEP_LIMIT,
        damping: 1e-9,
        relative: 0.0,
        absolute: ENOUGH,
        hopeless: f64::INFINITY,
    };
    let found = minimise(&mut Heard { posed, hearing }, start, &options);
    match found.outcome {
        Outcome::Impossible(error) => Err(error),
        _ => Ok(Point {
            z: found.at,
            normal: found.normal,
        }),
    }
}

/// One robust stage.
pub(super) fn robust(posed: &mut Posed, start: &[f64], scale: f64) -> Result<Point, NetworkError> {
    search(posed, start, Hearing::Robust(scale), STAGE_ROUNDS)
}

/// A peak of the mixture's posterior.
#[derive(Debug, Clone)]
pub(super) struct Summit {
    pub(super) z: Vec<f64>,
    normal: Normal,
    pub(super) factor: Cholesky,
    /// Laplace's logarithm of the evidence under this peak.
    pub(super) log: f64,
    /// Probability of each reading that it is a slip.
    pub(super) slipped: Vec<f64>,
}

impl Summit {
    /// Whether it holds a reading for a slip that is not among these.
    pub(super) fn newly_holds(&self, misread: &[usize]) -> bool {
        let slipped = self.slipped.iter().enumerate();
        slipped
            .filter(|(_, slipped)| **slipped > MISREAD)
            .any(|(reading, _)| !misread.contains(&reading))
    }

    /// Whether two peaks are one.
    pub(super) fn is_same(&self, other: &Summit) -> bool {
        apart(&self.normal, &other.normal, &self.z, &other.z) < SAME_PEAK
    }
}

/// Squared distance of two points in the lesser of their curvatures.
pub(super) fn apart(one: &Normal, other: &Normal, left: &[f64], right: &[f64]) -> f64 {
    let apart: Vec<f64> = left.iter().zip(right).map(|(l, r)| l - r).collect();
    one.length_squared(&apart).min(other.length_squared(&apart))
}

/// The peak reached from `start`; none where the equations cannot be solved there. With `rounds` at 0 the start itself is told.
pub(super) fn climb(
    posed: &mut Posed,
    start: &[f64],
    rounds: Option<usize>,
) -> Result<Option<Summit>, NetworkError> {
    let mut background = vec![0.0; posed.readings()];
    let mut z = start.to_vec();
    for turn in 0..=BACKGROUNDS {
        let hearing = Hearing::Mixture(&background);
        let point = search(posed, &z, hearing, rounds.unwrap_or(MIXTURE_ROUNDS))?;
        z = point.z;
        let mut normal = point.normal;
        narrow(posed, &z, &background, &mut normal)?;
        let Some(factor) = normal.factor(0.0, &[]) else {
            return Ok(None);
        };
        if turn == BACKGROUNDS || !refresh(posed, &z, &factor, &mut background)? {
            return Ok(Some(summit(posed, z, normal, factor, &background)));
        }
    }
    Ok(None)
}

/// Adds the curvature of readings whose volts vanish at the peak. A magnitude is at its least there and has no slope, so a wiring that
/// shows 0 V only by a coincidence of slider and tap would be believed as if it always did. Its slopes are taken a little aside, where
/// the volts stand in phase with what moves them.
fn narrow(
    posed: &mut Posed,
    z: &[f64],
    background: &[f64],
    normal: &mut Normal,
) -> Result<(), NetworkError> {
    posed.feel(z)?;
    let size = |slopes: &[f64]| slopes.iter().map(|slope| slope * slope).sum::<f64>();
    let vanishing: Vec<(usize, f64, f64)> = (0..posed.readings())
        .filter_map(|reading| {
            let bend = posed.bend(reading)?;
            let gradient = score(posed, reading, background[reading]).gradient;
            let told = size(&posed.bare_slopes(reading));
            (gradient > 0.0).then_some((reading, gradient * bend, told))
        })
        .collect();
    if vanishing.is_empty() {
        return Ok(());
    }
    if posed.feel(&aside(z)).is_ok() {
        for (reading, curvature, told) in vanishing {
            let slopes = posed.bare_slopes(reading);
            let missing = 1.0 - told / size(&slopes);
            if missing > 0.0 {
                let factor = (curvature * missing).sqrt();
                normal.add_sparse(0.0, &posed.support[reading], &slopes, factor);
            }
        }
    }
    posed.feel(z)
}

fn summit(
    posed: &Posed,
    z: Vec<f64>,
    normal: Normal,
    factor: Cholesky,
    background: &[f64],
) -> Summit {
    let scores = (0..posed.readings()).map(|reading| score(posed, reading, background[reading]));
    let (costs, slipped): (Vec<f64>, Vec<f64>) = scores.map(|it| (it.cost, it.slipped)).unzip();
    let prior: f64 = 0.5 * z.iter().map(|value| value * value).sum::<f64>();
    Summit {
        log: -costs.iter().sum::<f64>() - prior - 0.5 * factor.log_determinant(),
        z,
        normal,
        factor,
        slipped,
    }
}

/// Brings the background of suspect readings up to date at the z felt; whether that moved anything.
fn refresh(
    posed: &mut Posed,
    z: &[f64],
    factor: &Cholesky,
    background: &mut [f64],
) -> Result<bool, NetworkError> {
    let suspects: Vec<usize> = (0..posed.readings())
        .filter(|&reading| !posed.problem.observations[reading].other_places.is_empty())
        .filter(|&reading| score(posed, reading, background[reading]).slipped > SUSPECT)
        .collect();
    if suspects.is_empty() {
        return Ok(false);
    }
    posed.feel_others(z)?;
    let mut moved = false;
    let mut half = vec![0.0; posed.unknowns];
    for reading in suspects {
        let from = posed.others_from[reading];
        let count = posed.problem.observations[reading].other_places.len();
        let there: Vec<Expected> = (from..from + count)
            .map(|row| match posed.there.felt[row] {
                Felt::Floating => Expected::Floating,
                Felt::Open => Expected::Open,
                Felt::Value(value) => {
                    half.copy_from_slice(posed.there.slopes(row));
                    factor.forward(&mut half);
                    let variance = half.iter().map(|it| it * it).sum();
                    Expected::Value { value, variance }
                }
            })
            .collect();
        let before = score(posed, reading, background[reading]).cost;
        background[reading] = elsewhere(posed, reading, &there);
        let after = score(posed, reading, background[reading]).cost;
        moved |= (before - after).abs() > STEADY;
    }
    Ok(moved)
}
