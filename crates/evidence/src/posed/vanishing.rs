//! Readings whose volts vanish at a peak.
//!
//! A magnitude is at its least there and has no slope, so a reading of 0 V would seem to say nothing of what must meet for it: a slider
//! that stands on the tap by coincidence would be as doubtful as before, and believed as if it always stood there. The volts themselves
//! have a slope, and it shows a little aside of the peak, where they stand in phase with what moves them.

use super::{Felt, Posed, STRAIGHT};
use crate::Shown;
use network::NetworkError;

/// How far aside, in z, slopes are taken: enough to leave millivolts of leakage behind, too little to bend anything.
const ASIDE: f64 = 0.01;

/// A place a little aside of this one.
pub(crate) fn aside(z: &[f64]) -> Vec<f64> {
    // Golden section: no two unknowns move alike, so that what two of them do cancels nowhere.
    let step = |unknown: usize| ASIDE * (0.5 + (0.618_034 * unknown as f64).fract());
    z.iter()
        .enumerate()
        .map(|(unknown, z)| z + step(unknown))
        .collect()
}

fn size(slopes: &[f64]) -> f64 {
    slopes.iter().map(|slope| slope * slope).sum()
}

impl Posed<'_> {
    /// Feels what every reading should show at a peak, to look about from there: readings whose volts vanish are given slopes that have
    /// the curvature their own lack, as if their volts had a sign.
    pub(crate) fn feel_at_peak(&mut self, z: &[f64]) -> Result<(), NetworkError> {
        self.feel(z)?;
        let vanishing: Vec<(usize, f64, f64)> = (0..self.readings())
            .filter_map(|reading| Some((reading, self.missing(reading)?)))
            .map(|(reading, share)| (reading, share, size(self.here.slopes(reading))))
            .collect();
        if vanishing.is_empty() {
            return Ok(());
        }
        let mut leaned = vec![];
        if self.feel(&aside(z)).is_ok() {
            for (reading, share, told) in vanishing {
                let mut slopes = self.bare_slopes(reading);
                slopes.iter_mut().for_each(|slope| *slope *= share.sqrt());
                if size(&slopes) > told {
                    leaned.push((reading, slopes));
                }
            }
        }
        self.feel(z)?;
        self.leaned = leaned;
        self.lean();
        Ok(())
    }

    /// Puts the slopes that stand in for others where those are.
    pub(super) fn lean(&mut self) {
        for (reading, slopes) in &self.leaned {
            let from = reading * self.unknowns;
            self.here.slopes[from..from + self.unknowns].copy_from_slice(slopes);
        }
    }

    /// The readings whose slopes stand in for others.
    pub(crate) fn leaned(&self) -> impl Iterator<Item = usize> + '_ {
        self.leaned.iter().map(|(reading, _)| *reading)
    }

    /// Curvature of a good reading's cost to its bare volts, in units of what it would be where they do not vanish; nothing where its
    /// own slope tells it.
    fn missing(&self, reading: usize) -> Option<f64> {
        self.bend(reading)?;
        let (Shown::Value { value: shown, .. }, Felt::Value(value)) = (
            self.problem.observations[reading].shown,
            self.here.felt[reading],
        ) else {
            return None;
        };
        let square = self.here.sharpness[reading].powi(2);
        (value > shown).then(|| square + (1.0 - square) * (1.0 - shown.max(0.0) / value))
    }

    /// Second derivative of a smoothed magnitude to the bare one, where volts vanish; nothing elsewhere.
    pub(crate) fn bend(&self, reading: usize) -> Option<f64> {
        let sharpness = self.here.sharpness[reading];
        match self.here.felt[reading] {
            Felt::Value(value) if value > 0.0 && sharpness < STRAIGHT => {
                Some((1.0 - sharpness * sharpness) / value)
            }
            _ => None,
        }
    }

    /// Slopes of a reading's bare magnitude to the unknowns its network follows: no gain, offset or drift.
    pub(crate) fn bare_slopes(&self, reading: usize) -> Vec<f64> {
        let sharpness = self.here.sharpness[reading];
        let observation = &self.problem.observations[reading];
        let mut slopes = self.here.slopes(reading).to_vec();
        slopes[self.problem.parameters.len()..].fill(0.0);
        let apart = [
            observation.gain,
            observation.shared_gain,
            observation.offset,
        ];
        apart
            .into_iter()
            .flatten()
            .for_each(|other| slopes[other] = 0.0);
        if sharpness > 0.0 {
            slopes.iter_mut().for_each(|slope| *slope /= sharpness);
        }
        slopes
    }
}
