//! What a set of misread readings weighs, and what each reading's odds are beside it.

use super::{Scored, Search};
use crate::fitting::{Peak, log_norm};
use crate::leave_out::{LeftOut, leave_out};
use crate::posed::Posed;
use crate::slips::{Expected, Slip, slips};
use crate::{Shown, tails};
use network::NetworkError;

/// Other places of a reading are asked for when they could make the odds of a slip more than this many e-folds of what the reading's
/// own place says: below it they stay under two per cent.
const WORTH_ASKING: f64 = 1.2;
/// A reading its owner looked at again is this much less likely a slip. Our choice.
pub(crate) const KEPT_SHARE: f64 = 0.1;

impl Search<'_, '_> {
    /// Prior probability that this reading is a slip.
    pub(crate) fn prior(&self, reading: usize) -> f64 {
        let share = if self.posed.problem.observations[reading].kept {
            KEPT_SHARE
        } else {
            1.0
        };
        self.posed.problem.slip_probability * share
    }

    /// A peak of a set with what its misread readings add.
    pub(super) fn score(
        &mut self,
        peak: Peak,
        misread: &[bool],
        members: &[usize],
    ) -> Result<Scored, NetworkError> {
        let left = leave_out(self.posed, &peak, misread, members)?;
        let mut log = peak.log_evidence;
        let mut told = vec![];
        for (&reading, left) in members.iter().zip(&left) {
            let slips = self.slips_of(reading, left);
            log += self.prior(reading).ln() + log_weight(&slips);
            told.push((reading, slips));
        }
        log += (0..misread.len())
            .filter(|&reading| !misread[reading])
            .map(|reading| (-self.prior(reading)).ln_1p())
            .sum::<f64>();
        Ok(Scored {
            peak,
            log,
            slips: told,
        })
    }

    /// The slips of a reading about its prediction without it.
    pub(crate) fn slips_of(&self, reading: usize, left: &LeftOut) -> Vec<Slip> {
        let observation = &self.posed.problem.observations[reading];
        let gain = observation
            .gain
            .map_or(0.0, |gain| self.posed.problem.parameters[gain].width);
        slips(
            observation,
            self.posed.sigma[reading],
            gain,
            left.here,
            &left.there,
        )
    }

    /// Logarithm of the odds that a reading is a slip, by its prediction without it; nothing can be said of one that floats.
    pub(crate) fn log_odds(&self, reading: usize, left: &LeftOut) -> f64 {
        let prior = self.prior(reading);
        if prior <= 0.0 || left.here == Expected::Floating {
            return f64::NEG_INFINITY;
        }
        let good = self.log_good(reading, left.here);
        prior.ln() - (-prior).ln_1p() + log_weight(&self.slips_of(reading, left)) - good
    }

    /// Logarithm of the density of a good reading about its prediction.
    fn log_good(&self, reading: usize, here: Expected) -> f64 {
        let Expected::Value { value, variance } = here else {
            return log_norm(self.posed, reading);
        };
        let spread = (self.posed.sigma[reading].powi(2) + variance).sqrt();
        match self.posed.problem.observations[reading].shown {
            Shown::Value { value: shown, .. } => {
                let off = (shown - value) / spread;
                -0.5 * off * off - spread.ln() - 0.5 * (2.0 * std::f64::consts::PI).ln()
            }
            Shown::AtLeast { limit, .. } => tails::log_normal_cdf((value - limit) / spread).0,
            Shown::AtMost { limit, .. } => tails::log_normal_cdf((limit - value) / spread).0,
        }
    }

    /// Of every reading, by its prediction without it.
    pub(super) fn odds(&self, left: &[LeftOut]) -> Vec<f64> {
        left.iter()
            .enumerate()
            .map(|(reading, left)| self.log_odds(reading, left))
            .collect()
    }

    /// What slips and their prior add to a set's evidence.
    pub(super) fn log_of_slips<'l>(
        &self,
        misread: &[bool],
        left: impl Fn(usize) -> &'l LeftOut,
    ) -> f64 {
        (0..misread.len())
            .map(|reading| {
                let prior = self.prior(reading);
                if misread[reading] {
                    prior.ln() + log_weight(&self.slips_of(reading, left(reading)))
                } else {
                    (-prior).ln_1p()
                }
            })
            .sum()
    }
}

/// Whether another place could make this reading's odds of a slip worth telling.
pub(super) fn is_suspect(posed: &Posed, reading: usize, here: Expected) -> bool {
    let Expected::Value { value, variance } = here else {
        return here == Expected::Open;
    };
    let sigma = posed.sigma[reading];
    let spread = (sigma * sigma + variance).sqrt();
    let off = match posed.problem.observations[reading].shown {
        Shown::Value { value: shown, .. } => (shown - value) / spread,
        Shown::AtLeast { limit, .. } => ((limit - value) / spread).max(0.0),
        Shown::AtMost { limit, .. } => ((value - limit) / spread).max(0.0),
    };
    (spread / sigma).ln() + 0.5 * off * off > WORTH_ASKING
}

fn log_weight(slips: &[Slip]) -> f64 {
    slips
        .iter()
        .map(|slip| slip.weight)
        .sum::<f64>()
        .max(f64::MIN_POSITIVE)
        .ln()
}

/// `ln Σ exp`.
pub(crate) fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        most
    } else {
        most + logs.map(|log| (log - most).exp()).sum::<f64>().ln()
    }
}
