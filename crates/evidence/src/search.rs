//! The search over sets of readings held to be misread.
//!
//! Each set gets its own refit without those readings and its own evidence, so that two slips that support each other are seen
//! together. Seeds: no reading, and those that stand far off in a robust fit. The best few sets are widened by the readings with
//! the worst odds and narrowed by taking one back, each refit from its parent's peak, until none of the best is unexplored.

use crate::fitting::{Peak, anneal, log_norm, polish, refit, robust};
use crate::leave_out::{LeftOut, leave_out};
use crate::posed::Posed;
use crate::slips::{Expected, Slip, slips};
use crate::{Shown, tails};
use network::NetworkError;
use std::collections::BTreeMap;

/// How many of the best sets are explored.
const WIDTH: usize = 5;
/// How many readings are tried beside each.
const FAN_OUT: usize = 4;
/// Sets this far behind the best in ln of probability are not explored: all their kin together would not move a verdict.
const FAR_BEHIND: f64 = 14.0;
/// Peaks of one set this far behind its best are not followed further.
const PEAK_BEHIND: f64 = 20.0;
/// Peaks below this ln of probability keep the digits they have.
const WORTH_POLISHING: f64 = -7.0;
/// Most peaks kept for a set.
const MOST_PEAKS: usize = 3;
/// A reading its owner looked at again is this much less likely a slip. Our choice.
pub(crate) const KEPT_SHARE: f64 = 0.1;
/// Most sets refitted in one judgement: a bound on time, hardly ever met.
const MOST_SETS: usize = 400;

/// A peak with what its misread readings add.
#[derive(Debug, Clone)]
pub(crate) struct Scored {
    pub(crate) peak: Peak,
    /// Logarithm of evidence, slips and prior together.
    pub(crate) log: f64,
    /// Of each misread reading: its slips.
    pub(crate) slips: Vec<(usize, Vec<Slip>)>,
}

/// A set of readings held to be misread.
#[derive(Debug, Clone)]
pub(crate) struct Candidate {
    pub(crate) members: Vec<usize>,
    pub(crate) misread: Vec<bool>,
    /// Best first; never empty.
    pub(crate) peaks: Vec<Scored>,
    /// Logarithm of the sum over its peaks.
    pub(crate) log: f64,
    explored: bool,
}

/// The search.
pub(crate) struct Search<'s, 'a> {
    pub(crate) posed: &'s mut Posed<'a>,
    pub(crate) candidates: BTreeMap<Vec<usize>, Candidate>,
    starts: Vec<Vec<f64>>,
}

impl<'s, 'a> Search<'s, 'a> {
    pub(crate) fn new(posed: &'s mut Posed<'a>, starts: Vec<Vec<f64>>) -> Self {
        Self {
            posed,
            candidates: BTreeMap::new(),
            starts,
        }
    }

    /// Prior probability that this reading is a slip.
    pub(crate) fn prior(&self, reading: usize) -> f64 {
        let share = if self.posed.problem.observations[reading].kept {
            KEPT_SHARE
        } else {
            1.0
        };
        self.posed.problem.slip_probability * share
    }

    /// Seeds the search from its starts.
    /// # Errors
    /// The network's own, if it fails from every start.
    pub(crate) fn seed(&mut self) -> Result<(), NetworkError> {
        let mut failure = None;
        for start in self.starts.clone() {
            if let Err(error) = self.seed_from(&start) {
                failure.get_or_insert(error);
            }
        }
        match failure {
            Some(error) if self.candidates.is_empty() => Err(error),
            _ => Ok(()),
        }
    }

    fn seed_from(&mut self, start: &[f64]) -> Result<(), NetworkError> {
        let none = vec![false; self.posed.readings()];
        let (landed, far) = robust(self.posed, start)?;
        let first = refit(self.posed, &landed, &none)?;
        self.admit(&none, [first]);
        let count = far.iter().filter(|&&is_far| is_far).count();
        if count > 0 {
            // Where nothing stands far off, this fit would only land where the robust one did.
            let second = anneal(self.posed, start, &none)?;
            self.admit(&none, [second]);
        }
        if count > 0 && 2 * count <= far.len() && self.posed.problem.slip_probability > 0.0 {
            let peak = refit(self.posed, &landed, &far)?;
            self.admit(&far, [peak]);
        }
        Ok(())
    }

    /// Seeds the search with a set and a peak known from before.
    pub(crate) fn seed_known(&mut self, members: &[usize], z: &[f64]) -> Result<(), NetworkError> {
        let mut misread = vec![false; self.posed.readings()];
        members
            .iter()
            .filter(|&&member| member < self.posed.readings())
            .for_each(|&member| misread[member] = true);
        let peak = refit(self.posed, z, &misread)?;
        self.admit(&misread, [peak]);
        Ok(())
    }

    /// Takes peaks of a set into the account; those already known are left out.
    fn admit(&mut self, misread: &[bool], peaks: impl IntoIterator<Item = Option<Peak>>) {
        let members: Vec<usize> = (0..misread.len())
            .filter(|&reading| misread[reading])
            .collect();
        let mut known = self
            .candidates
            .remove(&members)
            .map_or_else(Vec::new, |candidate| candidate.peaks);
        for peak in peaks.into_iter().flatten() {
            if known.iter().any(|other| {
                other.peak.is_same(&peak) && other.peak.log_evidence >= peak.log_evidence - 1e-6
            }) {
                continue;
            }
            if let Ok(scored) = self.score(peak, misread, &members)
                && scored.log.is_finite()
            {
                known.retain(|other| !other.peak.is_same(&scored.peak));
                known.push(scored);
            }
        }
        if known.is_empty() {
            return;
        }
        known.sort_by(|left, right| right.log.total_cmp(&left.log));
        known.truncate(MOST_PEAKS);
        let log = log_sum(known.iter().map(|scored| scored.log));
        let candidate = Candidate {
            members: members.clone(),
            misread: misread.to_vec(),
            peaks: known,
            log,
            explored: false,
        };
        self.candidates.insert(members, candidate);
    }

    fn score(
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

    /// Explores until none of the best sets is unexplored.
    pub(crate) fn explore(&mut self) {
        if self.posed.problem.slip_probability <= 0.0 {
            return;
        }
        while self.candidates.len() < MOST_SETS {
            let mut ranked: Vec<&Candidate> = self.candidates.values().collect();
            ranked.sort_by(|left, right| right.log.total_cmp(&left.log));
            let best = ranked.first().map_or(0.0, |candidate| candidate.log);
            let next = ranked
                .iter()
                .take(WIDTH)
                .enumerate()
                .find(|(_, candidate)| !candidate.explored && candidate.log > best - FAR_BEHIND)
                .map(|(rank, candidate)| (rank, candidate.members.clone()));
            let Some((rank, members)) = next else { break };
            if rank == 0 && !members.is_empty() {
                self.restart(&members);
            }
            self.widen_and_narrow(&members);
        }
    }

    /// Brings every peak worth keeping to its last digit.
    pub(crate) fn polish(&mut self) {
        let total = log_sum(self.candidates.values().map(|candidate| candidate.log));
        for candidate in self.candidates.values_mut() {
            for scored in candidate
                .peaks
                .iter_mut()
                .filter(|scored| scored.log - total > WORTH_POLISHING)
            {
                if let Ok(Some(peak)) = polish(self.posed, &scored.peak, &candidate.misread) {
                    scored.peak = peak;
                }
            }
        }
    }

    /// Searches a set from all starts: a slip may have hidden the other side of a tap as long as it was believed.
    fn restart(&mut self, members: &[usize]) {
        let Some(misread) = self
            .candidates
            .get(members)
            .map(|candidate| candidate.misread.clone())
        else {
            return;
        };
        for start in self.starts.clone() {
            if let Ok(peak) = anneal(self.posed, &start, &misread) {
                self.admit(&misread, [peak]);
            }
        }
    }

    fn widen_and_narrow(&mut self, members: &[usize]) {
        let Some(candidate) = self.candidates.get_mut(members) else {
            return;
        };
        candidate.explored = true;
        let parent = candidate.clone();
        let all: Vec<usize> = (0..self.posed.readings()).collect();
        let Ok(left) = leave_out(self.posed, &parent.peaks[0].peak, &parent.misread, &all) else {
            return;
        };
        let mut odds: Vec<(f64, usize)> = all
            .iter()
            .zip(&left)
            .map(|(&reading, left)| (self.log_odds(reading, left), reading))
            .filter(|(odds, _)| *odds > f64::NEG_INFINITY)
            .collect();
        odds.sort_by(|(left, _), (right, _)| right.total_cmp(left));
        let added = odds
            .iter()
            .filter(|(_, reading)| !parent.misread[*reading])
            .take(FAN_OUT)
            .map(|&(_, reading)| reading);
        let returned = odds
            .iter()
            .rev()
            .filter(|(_, reading)| parent.misread[*reading])
            .take(FAN_OUT)
            .map(|&(_, reading)| reading);
        let best = parent.peaks[0].log;
        for reading in added.chain(returned) {
            let mut misread = parent.misread.clone();
            misread[reading] = !misread[reading];
            let child: Vec<usize> = (0..misread.len())
                .filter(|&reading| misread[reading])
                .collect();
            if 2 * child.len() > misread.len() || self.candidates.contains_key(&child) {
                continue;
            }
            for scored in parent
                .peaks
                .iter()
                .filter(|scored| scored.log > best - PEAK_BEHIND)
            {
                if let Ok(peak) = refit(self.posed, &scored.peak.z, &misread) {
                    self.admit(&misread, [peak]);
                }
            }
        }
    }
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
