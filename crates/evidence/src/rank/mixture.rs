//! The density of one reading that may be good or a slip, about the prediction at hand.
//!
//! `p = (1 - π) good + π Σ share · slip`, with the slips of `slips` told about the current prediction. Where the leads may have been
//! on another place, that place's density is a background: reckoned once in a while (see `climb`), constant between. The curvature
//! told is the one of expectation-maximisation: each part's own, weighed by its probability; never negative.

use crate::fitting::log_norm;
use crate::posed::{Felt, Posed};
use crate::search::KEPT_SHARE;
use crate::slips::{Expected, slips};

/// A reading nearer than this, in its standard uncertainties, is not asked whether it is a slip: its own density is a thousand times
/// that of all slips together, but near zero volts, where both say the same.
const NEAR: f64 = 2.5;
/// Step of the differences that give a slip's slope, as a share of the prediction and of the reading's standard uncertainty,
/// whichever is less: a twentieth of the narrowest slip.
const STEP: (f64, f64) = (1.5e-4, 0.05);

/// What a reading adds to the cost at the z last felt.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Score {
    /// `-ln p`.
    pub(super) cost: f64,
    /// Its derivative to the prediction.
    pub(super) gradient: f64,
    /// Its curvature to the prediction, not below zero.
    pub(super) curvature: f64,
    /// Probability that it is a slip.
    pub(super) slipped: f64,
}

/// Prior probability that a reading is a slip.
fn prior(posed: &Posed, reading: usize) -> f64 {
    let kept = posed.problem.observations[reading].kept;
    posed.problem.slip_probability * if kept { KEPT_SHARE } else { 1.0 }
}

/// Scores a reading; `elsewhere` is the density of what was shown at its other places, shares included.
pub(super) fn score(posed: &Posed, reading: usize, elsewhere: f64) -> Score {
    let prior = prior(posed, reading);
    let norm = log_norm(posed, reading);
    let here = match posed.here.felt[reading] {
        // Anything may be shown there, slipped or not.
        Felt::Floating => {
            return Score {
                cost: -norm,
                ..Score::default()
            };
        }
        Felt::Open => {
            let bad = prior * (slipped(posed, reading, Expected::Open) + elsewhere);
            let good = (1.0 - prior) * norm.exp();
            return Score {
                cost: -(good + bad).max(f64::MIN_POSITIVE).ln(),
                slipped: bad / (good + bad).max(f64::MIN_POSITIVE),
                ..Score::default()
            };
        }
        Felt::Value(value) => value,
    };
    let Some((residual, slope)) = posed.residual(reading, 1.0) else {
        return Score::default();
    };
    let log_good = (-prior).ln_1p() + norm - 0.5 * residual * residual;
    if residual.abs() < NEAR || prior <= 0.0 {
        return Score {
            cost: -log_good,
            gradient: residual * slope,
            curvature: slope * slope,
            slipped: 0.0,
        };
    }
    let bad = |value: f64| {
        let told = slipped(
            posed,
            reading,
            Expected::Value {
                value,
                variance: 0.0,
            },
        );
        (told + elsewhere).max(f64::MIN_POSITIVE).ln() + prior.ln()
    };
    let sigma = posed.sigma[reading];
    let step = (STEP.0 * here.abs())
        .min(STEP.1 * sigma)
        .max(1e-3 * STEP.1 * sigma);
    let (below, at, above) = (bad(here - step), bad(here), bad(here + step));
    let bad_gradient = -(above - below) / (2.0 * step);
    let bad_curvature = ((2.0 * at - above - below) / (step * step)).max(0.0);
    let most = at.max(log_good);
    let log = most + ((at - most).exp() + (log_good - most).exp()).ln();
    let slipped = (at - log).exp();
    let good = 1.0 - slipped;
    Score {
        cost: -log,
        gradient: good * residual * slope + slipped * bad_gradient,
        curvature: good * slope * slope + slipped * bad_curvature,
        slipped,
    }
}

/// Density of what was shown if it slipped, other places apart.
fn slipped(posed: &Posed, reading: usize, here: Expected) -> f64 {
    let observation = &posed.problem.observations[reading];
    let there = vec![Expected::Open; observation.other_places.len()];
    slips(
        observation,
        posed.sigma[reading],
        gain(posed, reading),
        here,
        &there,
    )
    .iter()
    .filter(|slip| slip.place.is_none())
    .map(|slip| slip.weight)
    .sum()
}

/// Density of what was shown if the leads were elsewhere, shares included.
pub(super) fn elsewhere(posed: &Posed, reading: usize, there: &[Expected]) -> f64 {
    let observation = &posed.problem.observations[reading];
    let sigma = posed.sigma[reading];
    slips(
        observation,
        sigma,
        gain(posed, reading),
        Expected::Floating,
        there,
    )
    .iter()
    .filter(|slip| slip.place.is_some())
    .map(|slip| slip.weight)
    .sum()
}

/// Standard uncertainty of the meter's gain, where it is a parameter of its own: another range has another gain.
fn gain(posed: &Posed, reading: usize) -> f64 {
    posed.problem.observations[reading]
        .gain
        .map_or(0.0, |gain| posed.problem.parameters[gain].width)
}
