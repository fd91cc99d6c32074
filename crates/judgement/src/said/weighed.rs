//! What is weighed beside the readings themselves: the wirings a find may have, what to repeat, what to read next.

use super::Caution;
use serde::Serialize;

/// What the wiring may be: as recorded, or one slip away from it.
#[derive(Debug, Clone, Serialize)]
pub struct CandidatesSaid {
    /// One or two sentences: decided for which, or undecided between which.
    pub summary: String,
    /// How many ways were looked at.
    pub considered: usize,
    /// Whether one stands above 0.95.
    pub decided: bool,
    /// Whether the most probable is the one recorded.
    pub as_recorded: bool,
    /// The candidates that count, most probable first.
    pub ranked: Vec<CandidateSaid>,
}

/// One candidate.
#[derive(Debug, Clone, Serialize)]
pub struct CandidateSaid {
    /// "T5's secondary stands reversed".
    pub words: String,
    /// Its posterior probability.
    pub probability: f64,
    /// The one recorded.
    pub as_recorded: bool,
    /// What to look at to know: "follow both leads from T1 to where they end".
    pub look_at: Option<String>,
    /// What speaks against it, for losers: "reading 29: 26.35 V read, 22.1 ± 0.5 V expected".
    pub against: Option<String>,
}

/// The reading to repeat first.
#[derive(Debug, Clone, Serialize)]
pub struct RepeatSaid {
    /// 24.
    pub number: u32,
    /// Why, as a sentence.
    pub why: String,
}

/// What to read next.
#[derive(Debug, Clone, Serialize)]
pub struct NextSaid {
    /// The question that matters now: "which wiring", "the ratio of T4".
    pub question: String,
    /// One sentence: what the proposals are for, that it is settled, or that nothing within reach decides.
    pub summary: String,
    /// Readings, best first.
    pub proposals: Vec<ProposalSaid>,
}

/// One reading to take.
#[derive(Debug, Clone, Serialize)]
pub struct ProposalSaid {
    /// Number of the setup; one beyond the last where it is new.
    pub setup: u32,
    /// Whether it has to be set up first.
    pub new_setup: bool,
    /// The setup in a sentence.
    pub setup_words: String,
    /// What has to be set up, piece by piece, for a form; `None` for a setup that was made.
    pub set_up: Option<NewSetup>,
    /// "T4:2.1 to T4:2.2".
    pub place: String,
    /// Its terminals, for a form.
    pub terminals: Vec<String>,
    /// "AC voltage".
    pub measured: String,
    /// "P1"; empty where no instrument is recorded.
    pub instrument: String,
    /// "dead" or "low"; never live.
    pub class: &'static str,
    /// Why that class: the place and the value that decide it.
    pub class_why: String,
    /// Why this reading, with what it can be expected to tell in plain words.
    pub why: String,
    /// Expected information about the question, nats.
    pub information: f64,
    /// What each candidate expects.
    pub expected: Vec<ExpectedSaid>,
    /// The cautions of this step.
    pub cautions: Vec<Caution>,
}

/// What one candidate expects of a proposed reading.
#[derive(Debug, Clone, Serialize)]
pub struct ExpectedSaid {
    /// The candidate.
    pub words: String,
    /// Its probability now.
    pub probability: f64,
    /// "26.3 ± 0.2 V", or that nothing there proves anything.
    pub value: String,
}

/// A setup that has to be made first.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct NewSetup {
    /// What is fed; `None` for a dead test.
    pub fed: Option<FedSaid>,
    /// Sliders: what they are called, where they stand.
    pub sliders: Vec<(String, String)>,
    /// Terminals clipped together.
    pub joined: Vec<Vec<String>>,
    /// Terminals whose leads are lifted.
    pub lifted: Vec<String>,
    /// Fuses and switches that stand open.
    pub open: Vec<String>,
    /// Those that stand closed where they stood open.
    pub closed: Vec<String>,
}

/// What is fed where.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct FedSaid {
    /// Two terminals, or L1, L2, L3.
    pub to: Vec<String>,
    /// Where the source's star point lands.
    pub neutral: Option<String>,
    /// Volts, as text; these at most.
    pub volts: String,
    /// The kit's source; empty where none is named.
    pub source: String,
}
