//! One fit: the peak of the posterior for one set of readings held to be misread, from one start.
//!
//! Robust from the start: standard uncertainties begin thirty times too wide and narrow in stages, so that no reading pulls the fit
//! into a corner before all have been heard; a first fit under Student's t names the readings that stand far off.

use crate::linear::Linear;
use crate::normal::dot;
use crate::optimise::{Equations, Objective, Options, Outcome, minimise};
use crate::posed::{Felt, Posed};
use crate::{Problem, Shown, tails};
use network::NetworkError;

/// Factors on the standard uncertainties, stage by stage. From the study beforehand; one stage fewer loses mirror modes.
const STAGES: [f64; 3] = [30.0, 8.0, 2.0];
/// Rounds at each widened stage: enough to follow, too few to dig in.
const STAGE_ROUNDS: usize = 4;
/// Rounds at the last stage.
const LAST_ROUNDS: usize = 60;
/// Rounds of the robust fit at the true uncertainties: it only names who stands far off and where to begin.
const ROBUST_ROUNDS: usize = 10;
/// A stage ends when a full step would gain less than this in ln of the evidence: it only brings the next one near.
const ENOUGH_FOR_NOW: f64 = 1e-2;
/// A refit ends when a full step would gain less than this in ln of the evidence: nothing a verdict could feel.
const ENOUGH: f64 = 1e-4;
/// A mode that is handed out ends here.
const ENOUGH_TO_KEEP: f64 = 1e-13;
/// Longest step in any z: further than this a straight line is no guide to a slider.
const STEP_LIMIT: f64 = 1.5;
/// Degrees of freedom of Student's t in the robust stages: heavy enough to let a slip go.
const FREEDOM: f64 = 2.0;
/// Readings further off than this many standard uncertainties in the robust fit are held to be misread to begin with.
const FAR_OFF: f64 = 4.0;
/// Two peaks are one if they stand closer than this, squared, in units of their own curvature.
const SAME_PEAK: f64 = 4.0;
/// Two searches are one if they stand closer than this, squared, in units of their own curvature.
const MET: f64 = 0.1;
/// Density of a reading at a floating place, per unit: it may show anything up to some hundred volts. Our choice.
pub(crate) const FLOATING_DENSITY: f64 = 0.01;
/// Ohms above which a meter may well show a path where the drawing has none: insulation and fingers. Common practice.
pub(crate) const LEAKAGE_OHMS: f64 = 1e5;
/// Chance that a reading shows a path where there is none.
pub(crate) const PATH_WHERE_NONE_IS: f64 = 1e-6;

/// Which residuals a search sees.
struct Stage<'s, 'a> {
    posed: &'s mut Posed<'a>,
    misread: &'s [bool],
    scale: f64,
    robust: bool,
}

impl Objective<Linear> for Stage<'_, '_> {
    type Error = NetworkError;

    fn unknowns(&self) -> usize {
        self.posed.unknowns
    }

    fn evaluate(&mut self, z: &[f64], linear: &mut Linear) -> Result<(), NetworkError> {
        self.posed.feel(z)?;
        linear.begin(z);
        for reading in 0..self.posed.readings() {
            if self.misread[reading] {
                continue;
            }
            let Some((mut residual, mut factor)) = self.posed.residual(reading, self.scale) else {
                continue;
            };
            if self.robust {
                let (told, slope) = tails::student(residual, FREEDOM);
                residual = told;
                factor *= slope;
            }
            linear.add(residual, self.posed.here.slopes(reading), factor);
        }
        Ok(())
    }
}

/// A peak of the posterior for one set of misread readings.
#[derive(Debug, Clone)]
pub(crate) struct Peak {
    pub(crate) z: Vec<f64>,
    pub(crate) linear: Linear,
    /// Of each row of `linear`, whose it is.
    pub(crate) readings: Vec<usize>,
    /// Logarithm of the evidence of the readings not misread.
    pub(crate) log_evidence: f64,
}

impl Peak {
    /// Whether two peaks are one.
    pub(crate) fn is_same(&self, other: &Peak) -> bool {
        is_near(&self.linear, &self.z, &other.z) || is_near(&other.linear, &self.z, &other.z)
    }
}

/// Whether two places belong to one peak, in the measure of this curvature.
fn is_near(linear: &Linear, left: &[f64], right: &[f64]) -> bool {
    let apart: Vec<f64> = left
        .iter()
        .zip(right)
        .map(|(left, right)| left - right)
        .collect();
    dot(&apart, &apart) < SAME_PEAK && linear.length_squared(&apart) < SAME_PEAK
}

/// One search at one scale; ends where it ends.
fn search(
    posed: &mut Posed,
    start: &[f64],
    misread: &[bool],
    (scale, robust): (f64, bool),
    (rounds, enough, hopeless): (usize, f64, f64),
) -> Result<(Vec<f64>, Linear), NetworkError> {
    let options = Options {
        rounds,
        step_limit: STEP_LIMIT,
        damping: 1e-9,
        relative: 0.0,
        absolute: enough,
        hopeless,
    };
    let found = minimise(
        &mut Stage {
            posed,
            misread,
            scale,
            robust,
        },
        start,
        &options,
    );
    match found.outcome {
        Outcome::Impossible(error) => Err(error),
        _ => Ok((found.at, found.normal)),
    }
}

/// The peak reached from `start` at the true uncertainties, without the misread readings.
pub(crate) fn refit(
    posed: &mut Posed,
    start: &[f64],
    misread: &[bool],
) -> Result<Option<Peak>, NetworkError> {
    climb(posed, start, misread, (ENOUGH, f64::INFINITY))
}

/// The same where a peak of a cost above `hopeless` is not worth reaching: then it ends early, and what it gives weighs nothing.
pub(crate) fn refit_unless(
    posed: &mut Posed,
    start: &[f64],
    misread: &[bool],
    hopeless: f64,
) -> Result<Option<Peak>, NetworkError> {
    climb(posed, start, misread, (ENOUGH, hopeless))
}

/// The same peak to the last digit, for a mode that is handed out.
pub(crate) fn polish(
    posed: &mut Posed,
    peak: &Peak,
    misread: &[bool],
) -> Result<Option<Peak>, NetworkError> {
    let next = peak.linear.clone().full_step_from(&peak.z);
    climb(posed, &next, misread, (ENOUGH_TO_KEEP, f64::INFINITY))
}

fn climb(
    posed: &mut Posed,
    start: &[f64],
    misread: &[bool],
    (enough, hopeless): (f64, f64),
) -> Result<Option<Peak>, NetworkError> {
    let (z, mut linear) = search(
        posed,
        start,
        misread,
        (1.0, false),
        (LAST_ROUNDS, enough, hopeless),
    )?;
    posed.feel_at_peak(&z)?;
    let good = (0..posed.readings()).filter(|&reading| !misread[reading]);
    let norm: f64 = good.clone().map(|reading| log_norm(posed, reading)).sum();
    let readings: Vec<usize> = good
        .filter(|&reading| matches!(posed.here.felt[reading], Felt::Value(_)))
        .collect();
    for reading in posed.leaned() {
        if let Some(row) = readings.iter().position(|&other| other == reading) {
            let factor = posed.sigma[reading].recip();
            linear.lean(row, posed.here.slopes(reading), factor);
        }
    }
    let Some(determinant) = linear.factor().map(|factor| factor.log_determinant()) else {
        return Ok(None);
    };
    Ok(Some(Peak {
        log_evidence: norm - linear.cost() - 0.5 * determinant,
        z,
        linear,
        readings,
    }))
}

/// Places reached from several starts by way of narrowing uncertainties; starts that have come together go on as one.
fn by_stages(
    posed: &mut Posed,
    starts: &[Vec<f64>],
    misread: &[bool],
    robust: bool,
) -> Result<Vec<Vec<f64>>, NetworkError> {
    let mut failure = None;
    let mut places: Vec<Vec<f64>> = starts.to_vec();
    for scale in STAGES {
        let mut reached: Vec<(Vec<f64>, Linear)> = vec![];
        for place in &places {
            let rounds = (STAGE_ROUNDS, ENOUGH_FOR_NOW, f64::INFINITY);
            match search(posed, place, misread, (scale, robust), rounds) {
                Ok((z, linear)) => {
                    let met = reached.iter().any(|(other, _)| has_met(&linear, &z, other));
                    if !met {
                        reached.push((z, linear));
                    }
                }
                Err(error) => {
                    failure.get_or_insert(error);
                }
            }
        }
        places = reached.into_iter().map(|(z, _)| z).collect();
    }
    match failure {
        Some(error) if places.is_empty() => Err(error),
        _ => Ok(places),
    }
}

/// Whether two searches have come to one place: closer than what a stage leaves undone.
fn has_met(linear: &Linear, left: &[f64], right: &[f64]) -> bool {
    let apart: Vec<f64> = left.iter().zip(right).map(|(l, r)| l - r).collect();
    linear.length_squared(&apart) < MET
}

/// The peaks reached from several starts by way of widened uncertainties, but those already known.
pub(crate) fn anneal(
    posed: &mut Posed,
    starts: &[Vec<f64>],
    misread: &[bool],
    known: &[&Peak],
) -> Result<Vec<Peak>, NetworkError> {
    let mut peaks = vec![];
    for z in by_stages(posed, starts, misread, false)? {
        if known.iter().any(|peak| is_near(&peak.linear, &peak.z, &z)) {
            continue;
        }
        peaks.extend(refit(posed, &z, misread).ok().flatten());
    }
    Ok(peaks)
}

/// Where a robust fit landed, and the readings that stand far off there.
pub(crate) type Landed = (Vec<f64>, Vec<bool>);

/// Where robust fits land from these starts, and the readings that stand far off there.
pub(crate) fn robust(posed: &mut Posed, starts: &[Vec<f64>]) -> Result<Vec<Landed>, NetworkError> {
    let none = vec![false; posed.readings()];
    let mut landed = vec![];
    for place in by_stages(posed, starts, &none, true)? {
        let rounds = (ROBUST_ROUNDS, ENOUGH_FOR_NOW, f64::INFINITY);
        let Ok((z, _)) = search(posed, &place, &none, (1.0, true), rounds) else {
            continue;
        };
        posed.feel(&z)?;
        let far = (0..posed.readings())
            .map(|reading| {
                posed
                    .residual(reading, 1.0)
                    .is_some_and(|(residual, _)| residual.abs() > FAR_OFF)
            })
            .collect();
        landed.push((z, far));
    }
    Ok(landed)
}

/// What a good reading's density has beside `exp(-cost)`, as a logarithm, at the z last felt.
pub(crate) fn log_norm(posed: &Posed, reading: usize) -> f64 {
    let shown = posed.problem.observations[reading].shown;
    match (posed.here.felt[reading], shown) {
        (Felt::Value(_), Shown::Value { .. }) => {
            -posed.sigma[reading].ln() - 0.5 * (2.0 * std::f64::consts::PI).ln()
        }
        (Felt::Value(_), _) | (Felt::Open, Shown::AtLeast { .. }) => 0.0,
        (Felt::Floating, Shown::Value { .. }) => FLOATING_DENSITY.ln(),
        (Felt::Floating, _) => 0.5_f64.ln(),
        (Felt::Open, Shown::Value { value, .. }) => open_density(value).ln(),
        (Felt::Open, Shown::AtMost { .. }) => PATH_WHERE_NONE_IS.ln(),
    }
}

/// Density of ohms shown where there is no path: leakage anywhere above [`LEAKAGE_OHMS`], hardly ever below.
fn open_density(ohms: f64) -> f64 {
    let size = ohms.abs().max(1e-3);
    if size >= LEAKAGE_OHMS {
        0.1 / size
    } else {
        PATH_WHERE_NONE_IS / size
    }
}

/// One plain fit: a peak of the posterior, without any search over slips.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// z of each parameter, then of the drift.
    pub z: Vec<f64>,
    /// Covariance in z, row by row: the inverse of `J'J` of readings and priors together.
    pub covariance: Vec<Vec<f64>>,
    /// Half the sum of squares of all residuals, priors among them.
    pub cost: f64,
    /// Steps taken.
    pub rounds: usize,
    /// Whether it converged; else it ended where no step led down, or its rounds were spent.
    pub converged: bool,
}

/// Fits a problem from one start, leaving out the readings in `misread` (by index): the search [`crate::judge`] is made of, alone.
/// The problem must be well-formed ([`Problem::check`]).
/// # Errors
/// The network's own, if it has no answer at the start.
pub fn fit(
    problem: &mut Problem,
    start: &[f64],
    misread: &[usize],
) -> Result<Fitted, NetworkError> {
    let mut posed = Posed::new(problem);
    let misread: Vec<bool> = (0..posed.readings())
        .map(|reading| misread.contains(&reading))
        .collect();
    let options = Options {
        rounds: LAST_ROUNDS,
        step_limit: STEP_LIMIT,
        damping: 1e-9,
        relative: 0.0,
        absolute: ENOUGH_TO_KEEP,
        hopeless: f64::INFINITY,
    };
    let stage = &mut Stage {
        posed: &mut posed,
        misread: &misread,
        scale: 1.0,
        robust: false,
    };
    let mut found = minimise(stage, start, &options);
    if let Outcome::Impossible(error) = found.outcome {
        return Err(error);
    }
    let covariance = found.normal.covariance().unwrap_or_default();
    let converged = found.outcome == Outcome::Converged && !covariance.is_empty();
    Ok(Fitted {
        z: found.at,
        covariance,
        cost: found.normal.cost(),
        rounds: found.rounds,
        converged,
    })
}
