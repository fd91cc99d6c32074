//! What all the others say of a reading: its prediction without itself, by a rank-one downdate of the peak's covariance.
//!
//! With `w` the reading's standardised slopes, `r` its residual, `C` the covariance and `h = w'Cw`: leaving it out moves the peak
//! by `Cw r/(1 - h)` and widens `C` by `Cw w'C/(1 - h)`. No refit. Where the move is too long for a straight line the network is
//! asked again at the moved place.

use crate::fitting::Peak;
use crate::posed::{Felt, Posed};
use crate::slips::Expected;
use network::NetworkError;

/// A move of the prediction by more than this share of itself asks the network again.
const LONG_MOVE: f64 = 0.1;
/// Least share of a reading that is not its own doing: keeps a reading that alone fixes a parameter from dividing by nothing.
const LEAST_REST: f64 = 1e-9;

/// A prediction without the reading, at its place and at its other places.
#[derive(Debug, Clone)]
pub(crate) struct LeftOut {
    pub(crate) here: Expected,
    pub(crate) there: Vec<Expected>,
}

/// The measure of one reading at a peak.
struct Influence {
    /// `Cw`.
    pull: Vec<f64>,
    /// `L⁻¹ w`.
    half: Vec<f64>,
    /// `1 - h`.
    rest: f64,
    /// `r`.
    residual: f64,
}

/// Predictions of the readings asked for, each without itself, at a peak. Leaves the posed problem felt somewhere else.
pub(crate) fn leave_out(
    posed: &mut Posed,
    peak: &Peak,
    misread: &[bool],
    readings: &[usize],
) -> Result<Vec<LeftOut>, NetworkError> {
    posed.feel(&peak.z)?;
    if readings
        .iter()
        .any(|&reading| !posed.problem.observations[reading].other_places.is_empty())
    {
        posed.feel_others(&peak.z)?;
    }
    let influences: Vec<Option<Influence>> = readings
        .iter()
        .map(|&reading| {
            if misread[reading] {
                None
            } else {
                influence(posed, peak, reading)
            }
        })
        .collect();
    let mut left: Vec<LeftOut> = readings
        .iter()
        .zip(&influences)
        .map(|(&reading, influence)| straight(posed, peak, reading, influence.as_ref()))
        .collect();
    for ((&reading, influence), left) in readings.iter().zip(&influences).zip(&mut left) {
        if let Some(influence) = influence {
            let before = posed.here.felt[reading];
            if let (Expected::Value { value, .. }, Felt::Value(felt)) = (left.here, before)
                && (value - felt).abs() > LONG_MOVE * felt.abs()
                && let Some(again) = asked_again(posed, peak, reading, influence)
            {
                left.here = again;
            }
        }
    }
    Ok(left)
}

fn influence(posed: &Posed, peak: &Peak, reading: usize) -> Option<Influence> {
    let (residual, slope) = posed.residual(reading, 1.0)?;
    let mut half: Vec<f64> = posed
        .here
        .slopes(reading)
        .iter()
        .map(|value| value * slope)
        .collect();
    peak.factor.forward(&mut half);
    let leverage: f64 = half.iter().map(|value| value * value).sum();
    let mut pull = half.clone();
    peak.factor.backward(&mut pull);
    Some(Influence {
        pull,
        half,
        rest: (1.0 - leverage).max(LEAST_REST),
        residual,
    })
}

/// Variance of a functional with these slopes, without the reading.
fn variance(peak: &Peak, slopes: &[f64], influence: Option<&Influence>) -> f64 {
    let mut half = slopes.to_vec();
    peak.factor.forward(&mut half);
    let with: f64 = half.iter().map(|value| value * value).sum();
    let widened = influence.map_or(0.0, |influence| {
        dot(&half, &influence.half).powi(2) / influence.rest
    });
    with + widened
}

fn straight(posed: &Posed, peak: &Peak, reading: usize, influence: Option<&Influence>) -> LeftOut {
    let moved =
        |slopes: &[f64]| influence.map_or(0.0, |it| dot(slopes, &it.pull) * it.residual / it.rest);
    let expected = |felt: Felt, slopes: &[f64]| match felt {
        Felt::Floating => Expected::Floating,
        Felt::Open => Expected::Open,
        Felt::Value(value) => Expected::Value {
            value: value + moved(slopes),
            variance: variance(peak, slopes, influence),
        },
    };
    let from = posed.others_from[reading];
    let there = (0..posed.problem.observations[reading].other_places.len())
        .map(|place| {
            expected(
                posed.there.felt[from + place],
                posed.there.slopes(from + place),
            )
        })
        .collect();
    LeftOut {
        here: expected(posed.here.felt[reading], posed.here.slopes(reading)),
        there,
    }
}

fn asked_again(
    posed: &mut Posed,
    peak: &Peak,
    reading: usize,
    influence: &Influence,
) -> Option<Expected> {
    let share = influence.residual / influence.rest;
    let moved: Vec<f64> = peak
        .z
        .iter()
        .zip(&influence.pull)
        .map(|(z, pull)| z + pull * share)
        .collect();
    let answer =
        posed
            .feel_reading(reading, &moved)
            .ok()
            .and_then(|()| match posed.here.felt[reading] {
                Felt::Value(value) => Some(Expected::Value {
                    value,
                    variance: variance(peak, posed.here.slopes(reading), Some(influence)),
                }),
                Felt::Floating | Felt::Open => None,
            });
    // The other readings of this station are still to be compared at the peak.
    posed.feel_reading(reading, &peak.z).ok()?;
    answer
}

fn dot(left: &[f64], right: &[f64]) -> f64 {
    left.iter()
        .zip(right)
        .map(|(left, right)| left * right)
        .sum()
}
