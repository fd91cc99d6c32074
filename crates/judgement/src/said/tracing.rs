//! What is said of an unmarked part: its leads sorted as far as the readings go, and the next test.

use super::NewSetup;
use serde::Serialize;

/// An unmarked part.
#[derive(Debug, Clone, Serialize)]
pub struct TracedSaid {
    /// "T1".
    pub part: String,
    /// How far it is sorted, in one sentence.
    pub summary: String,
    /// Windings found: name, and its row in words ("1 - 5 - 3, start 1, 12.3 Ω").
    pub windings: Vec<(String, String)>,
    /// Phases of a three-phase part: name, its halves in words.
    pub phases: Vec<(String, String)>,
    /// Leads that stand in no winding yet.
    pub unplaced: Vec<String>,
    /// Readings that cannot all be right, in sentences.
    pub contradictions: Vec<String>,
    /// Remarks, in sentences.
    pub remarks: Vec<String>,
    /// The next test.
    pub next: Option<TestSaid>,
    /// Tests left at worst, the next one included.
    pub left: u32,
    /// Whether leads, order, ratios and starts are all told.
    pub settled: bool,
}

/// The next test on an unmarked part.
#[derive(Debug, Clone, Serialize)]
pub struct TestSaid {
    /// "ohms from 3 against 1, 5 and 7 clipped together".
    pub what: String,
    /// Why this one, as a sentence.
    pub why: String,
    /// "dead" or "low"; never live.
    pub class: &'static str,
    /// Why that class.
    pub class_why: String,
    /// Number of the setup; one beyond the last where it is new.
    pub setup: u32,
    /// The setup in a sentence.
    pub setup_words: String,
    /// What has to be set up; `None` for a setup that was made.
    pub set_up: Option<NewSetup>,
    /// Its terminals, for a form.
    pub terminals: Vec<String>,
    /// "resistance".
    pub measured: String,
    /// The cautions of this step, in plain words.
    pub cautions: Vec<String>,
}
