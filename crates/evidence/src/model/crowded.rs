//! Meters whose readings ask for more error than their bound allows.

use super::{FindProblem, Key, usual};
use crate::Posterior;
use crate::tails::log_normal_cdf;
use gear::{Designation, Measured};

/// A meter that crowds its bound on one range.
#[derive(Debug, Clone, PartialEq)]
pub struct Crowded {
    /// The meter; `None` for one not named.
    pub instrument: Option<Designation>,
    /// What it measured.
    pub measured: Measured,
    /// Number of the range among those that measure this, rising, from 0.
    pub range: usize,
    /// Its gain error there as the readings have it, a fraction: 0.02 reads 2 % high.
    pub error: f64,
    /// Standard uncertainty of that.
    pub uncertainty: f64,
    /// The bound it states, a fraction.
    pub bound: f64,
    /// Probability that the error is beyond the bound.
    pub beyond: f64,
}

/// Meters whose gain error is more probably beyond their stated bound than within it, the worst first. The error is what the other
/// meters, and what is known of the find, leave for it: a meter that is alone can hardly be found out.
pub fn crowded(made: &FindProblem, posterior: &Posterior) -> Vec<Crowded> {
    let mut found: Vec<Crowded> = made
        .registry
        .keys()
        .filter_map(|(key, index)| {
            let Key::Gain(instrument, measured, range) = key else {
                return None;
            };
            let width = made.registry.parameters.get(index)?.width;
            let (mean, spread) = posterior.z(index);
            let (error, uncertainty) = (width * mean, width * spread);
            let bound = width / usual::gain(1.0);
            let below = |limit: f64| log_normal_cdf((limit - error) / uncertainty).0.exp();
            Some(Crowded {
                instrument: instrument.clone(),
                measured: *measured,
                range: *range,
                error,
                uncertainty,
                bound,
                beyond: 1.0 - below(bound) + below(-bound),
            })
        })
        .filter(|crowded| crowded.beyond > 0.5)
        .collect();
    found.sort_by(|a, b| {
        let worse = b.beyond.total_cmp(&a.beyond);
        worse.then_with(|| {
            (&a.instrument, a.measured, a.range).cmp(&(&b.instrument, b.measured, b.range))
        })
    });
    found
}
