//! The next reading: the one with the greatest expected information about the question that matters now.
//!
//! Among the readings possible with the kit whose setup is *dead* or *low* under everything not yet excluded, [`next`] proposes those that
//! tell most, with what each candidate expects, and stops where nothing within reach can decide. It never proposes a live reading.
//! `setups` lists setups, `places` where to put the meter, `meters` with what, `weigh` what each candidate expects, `quantities` what to
//! ask when the wiring is settled; [`information`] is the sum alone.

pub mod information;
mod linear;
mod meters;
mod next;
mod places;
mod quantities;
mod setups;
mod weigh;

pub use next::next;

use gear::{Designation, Measured, Place, Setup};

/// Readings proposed at most.
pub const MOST_PROPOSALS: usize = 5;
/// Below this much expected information, nats, nothing within reach decides.
pub const LEAST_INFORMATION: f64 = 0.02;

/// One reading to take next.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The setup: an existing one, or a new one numbered one beyond the last.
    pub setup: Setup,
    /// Whether it has to be set up first.
    pub new_setup: bool,
    /// Where.
    pub place: Place,
    /// What.
    pub measured: Measured,
    /// With which instrument; `None` where the find lists none at all.
    pub instrument: Option<Designation>,
    /// Dead or low, with what decides it; never live.
    pub exposure: hazard::Exposure,
    /// Expected information about the question, nats.
    pub information: f64,
    /// What each candidate expects (by index): value and standard uncertainty, or `None` where it floats or is open.
    pub expected: Vec<(usize, Option<(f64, f64)>)>,
    /// Why this one, in a sentence.
    pub why: String,
}

/// What there is to answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// Readings, best first, at most [`MOST_PROPOSALS`].
    Proposals(Vec<Proposal>),
    /// The wiring is settled and nothing else needs asking.
    Settled {
        /// Index of the candidate.
        candidate: usize,
        /// Its probability.
        probability: f64,
    },
    /// Nothing within reach decides.
    Undecidable {
        /// The candidates that cannot be told apart, by index.
        between: Vec<usize>,
        /// What would.
        why: String,
    },
    /// There is nothing to ask, or nothing to ask with.
    NothingToAsk {
        /// Why.
        why: String,
    },
}

/// The question that matters now, and what to read next for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// "which wiring", "the ratio of T4".
    pub question: String,
    /// The answer.
    pub answer: Answer,
}
