//! What all the others say of a reading: its prediction without itself, from the peak's own linearisation. No refit.
//!
//! With `K = I + JJ'` of the readings at the peak, `κ` the diagonal of its inverse, `r` the residuals, a functional with slopes `s` and
//! `y = K⁻¹Js`: leaving reading i out moves the functional by `y_i r_i/κ_i` and its variance becomes `s's - (Js)'y + y_i²/κ_i` (what a
//! rank-one downdate of the covariance gives). Where the move is too long for a straight line the network is asked again at the moved
//! place.

use crate::fitting::Peak;
use crate::normal::{Cholesky, dot};
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
    /// Of each other place; [`Expected::Open`] where nobody asked.
    pub(crate) there: Vec<Expected>,
}

/// A peak ready to leave readings out.
pub(crate) struct Leaving<'p> {
    peak: &'p Peak,
    factor: Cholesky,
    /// `K⁻¹`.
    inverse: Vec<Vec<f64>>,
    /// The row of each reading that has one.
    row: Vec<Option<usize>>,
}

/// Predictions of the readings asked for, each without itself, at a peak.
pub(crate) fn leave_out(
    posed: &mut Posed,
    peak: &Peak,
    misread: &[bool],
    readings: &[usize],
) -> Result<Vec<LeftOut>, NetworkError> {
    let Some(leaving) = Leaving::new(peak, misread.len()) else {
        return Err(NetworkError::Singular {
            at: "the fit's covariance".into(),
        });
    };
    posed.feel_at_peak(&peak.z)?;
    posed.feel_others_of(&peak.z, |reading| readings.contains(&reading))?;
    Ok(readings
        .iter()
        .map(|&reading| LeftOut {
            here: leaving.here(posed, reading),
            there: leaving.there(posed, reading),
        })
        .collect())
}

impl<'p> Leaving<'p> {
    /// `None` where the peak's equations have no factor in double precision.
    pub(crate) fn new(peak: &'p Peak, readings: usize) -> Option<Self> {
        let factor = peak.linear.clone().factor()?.clone();
        let mut row = vec![None; readings];
        for (place, &reading) in peak.readings.iter().enumerate() {
            row[reading] = Some(place);
        }
        Some(Self {
            peak,
            inverse: factor.inverse(),
            factor,
            row,
        })
    }

    /// What a functional felt at the peak becomes without this reading.
    fn without(&self, felt: Felt, slopes: &[f64], reading: usize) -> Expected {
        let value = match felt {
            Felt::Floating => return Expected::Floating,
            Felt::Open => return Expected::Open,
            Felt::Value(value) => value,
        };
        let along = self.peak.linear.along(slopes);
        let mut weights = along.clone();
        self.factor.forward(&mut weights);
        let with = dot(slopes, slopes) - dot(&weights, &weights);
        self.factor.backward(&mut weights);
        let (moved, widened) = self.row[reading].map_or((0.0, 0.0), |row| {
            let rest = self.inverse[row][row].max(LEAST_REST);
            let weight = weights[row];
            let residual = self.peak.linear.residual(row);
            (weight * residual / rest, weight * weight / rest)
        });
        Expected::Value {
            value: value + moved,
            variance: (with + widened).max(0.0),
        }
    }

    /// The prediction of a reading without itself; what the readings should show must have been felt at the peak.
    pub(crate) fn here(&self, posed: &mut Posed, reading: usize) -> Expected {
        let felt = posed.here.felt[reading];
        let straight = self.without(felt, posed.here.slopes(reading), reading);
        if let (Expected::Value { value, .. }, Felt::Value(before)) = (straight, felt)
            && (value - before).abs() > LONG_MOVE * before.abs()
            && let Some(row) = self.row[reading]
            && let Some(again) = self.asked_again(posed, reading, row)
        {
            return again;
        }
        straight
    }

    /// The predictions of its other places without it; they must have been felt at the peak.
    pub(crate) fn there(&self, posed: &Posed, reading: usize) -> Vec<Expected> {
        let from = posed.others_from[reading];
        let count = posed.problem.observations[reading].other_places.len();
        (from..from + count)
            .map(|place| self.without(posed.there.felt[place], posed.there.slopes(place), reading))
            .collect()
    }

    fn asked_again(&self, posed: &mut Posed, reading: usize, row: usize) -> Option<Expected> {
        // C Jᵢ = J'K⁻¹eᵢ
        let linear = &self.peak.linear;
        let share = linear.residual(row) / self.inverse[row][row].max(LEAST_REST);
        let mut moved = self.peak.z.clone();
        for (other, weight) in self.inverse[row].iter().enumerate() {
            for (z, slope) in moved.iter_mut().zip(linear.row(other)) {
                *z += slope * weight * share;
            }
        }
        let (felt, slopes) = posed.feel_aside(reading, &moved).ok()?;
        match (felt, self.without(felt, &slopes, reading)) {
            (Felt::Value(value), Expected::Value { variance, .. }) => {
                Some(Expected::Value { value, variance })
            }
            _ => None,
        }
    }
}
