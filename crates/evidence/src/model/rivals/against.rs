//! What speaks against each loser: the one reading it explains worst compared with the best candidate.

use super::Candidate;
use crate::fitting::refit;
use crate::leave_out::leave_out;
use crate::posed::Posed;
use crate::slips::Expected;
use crate::{Problem, Ranked, Shown};

/// Losers told about; the rest are far behind.
const MOST_TOLD: usize = 8;

/// The one reading that speaks most against a candidate, compared with the best.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// The reading's number.
    pub reading: u32,
    /// Its place among the observations.
    pub observation: usize,
    /// What was shown.
    pub shown: f64,
    /// What this candidate expects there, this reading left out; not a number where it floats or there is no path.
    pub expected: f64,
    /// Standard uncertainty of that.
    pub uncertainty: f64,
    /// Distance between the two, in standard uncertainties of both together.
    pub distance: f64,
}

/// Tells of each loser what speaks against it.
pub(super) fn tell(list: &mut [Candidate]) {
    let Some((best, losers)) = list.split_first_mut() else {
        return;
    };
    let of_best = expectations(&mut best.problem.problem, &best.ranked);
    for loser in losers.iter_mut().take(MOST_TOLD) {
        let of_loser = expectations(&mut loser.problem.problem, &loser.ranked);
        let worse = |told: &&Against| {
            let at_best = of_best.iter().find(|b| b.reading == told.reading);
            let there = at_best.map_or(0.0, |b| b.distance.abs());
            told.distance.abs() - there
        };
        let most = of_loser
            .iter()
            .max_by(|one, other| worse(one).total_cmp(&worse(other)));
        loser.against = most.filter(|told| worse(told) > 1.0).cloned();
    }
}

/// What a candidate expects of every reading, that reading left out.
fn expectations(problem: &mut Problem, ranked: &Ranked) -> Vec<Against> {
    let Some(mode) = ranked.posterior.modes.first() else {
        return Vec::new();
    };
    let mut posed = Posed::new(problem);
    let mut misread = vec![false; posed.readings()];
    mode.misread
        .iter()
        .for_each(|&reading| misread[reading] = true);
    let Ok(Some(peak)) = refit(&mut posed, &mode.z, &misread) else {
        return Vec::new();
    };
    let all: Vec<usize> = (0..posed.readings()).collect();
    let Ok(left) = leave_out(&mut posed, &peak, &misread, &all) else {
        return Vec::new();
    };
    all.iter()
        .zip(left)
        .filter_map(|(&reading, left)| {
            let observation = &posed.problem.observations[reading];
            let Shown::Value { value: shown, .. } = observation.shown else {
                return None;
            };
            let (expected, uncertainty, distance) = match left.here {
                Expected::Value { value, variance } => {
                    let both = (posed.sigma[reading].powi(2) + variance).sqrt();
                    (value, variance.sqrt(), (shown - value) / both)
                }
                Expected::Floating => return None,
                Expected::Open => (f64::NAN, f64::NAN, 10.0),
            };
            Some(Against {
                reading: observation.number,
                observation: reading,
                shown,
                expected,
                uncertainty,
                distance,
            })
        })
        .collect()
}
