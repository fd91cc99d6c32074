//! The words and figures of a judgement: plain data, already rounded, serialised as it stands by `--json`.

use serde::{Deserialize, Serialize};

mod tracing;
mod weighed;

pub use tracing::{TestSaid, TracedSaid};
pub use weighed::{
    CandidateSaid, CandidatesSaid, ExpectedSaid, FedSaid, NewSetup, NextSaid, ProposalSaid,
    RepeatSaid,
};

/// Everything said of a find.
#[derive(Debug, Clone, Serialize)]
pub struct Judgement {
    /// The find's head line.
    pub find: Head,
    /// What the plate says and implies.
    pub plate: PlateSaid,
    /// What is joined, and what speaks against it.
    pub wiring: WiringSaid,
    /// Readings with their verdicts, in order of number.
    pub readings: Vec<ReadingSaid>,
    /// What the wiring may be, ranked by the readings; `None` without readings that a network answers.
    pub candidates: Option<CandidatesSaid>,
    /// The reading to repeat first, where one is worth it.
    pub repeat_first: Option<RepeatSaid>,
    /// The next reading; `None` without readings that a network answers.
    pub next: Option<NextSaid>,
    /// Unmarked parts, sorted as far as their readings go.
    pub tracing: Vec<TracedSaid>,
    /// Parameters: before and after.
    pub learned: Vec<Learned>,
    /// Behaviour against slider position; `None` when there is no network.
    pub behaviour: Option<Behaviour>,
    /// How it works, in plain sentences with this find's numbers.
    pub how_it_works: HowItWorks,
    /// Cautions, each for the section it belongs to.
    pub cautions: Vec<Caution>,
    /// What the next missing fact would unlock, most useful first.
    pub unlocks: Vec<Unlock>,
}

/// Head line.
#[derive(Debug, Clone, Serialize)]
pub struct Head {
    /// "Stabilizer from the creamery".
    pub name: String,
    /// 12.
    pub number: Option<u32>,
    /// "30 kVA, 400 V ± 20 %".
    pub summary: String,
    /// The worst that was found: exit code 1 when a reading contradicts or the plate contradicts itself.
    pub trouble: bool,
}

/// What the plate says and implies.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PlateSaid {
    /// Fields as read: name, as typed, what an illegible figure means.
    pub fields: Vec<(String, String, Option<String>)>,
    /// Words that were not understood, kept.
    pub not_understood: Vec<String>,
    /// Deductions.
    pub deductions: Vec<Deduction>,
    /// Contradictions.
    pub contradictions: Vec<Contradiction>,
    /// What a further legible figure would give.
    pub unlocks: Vec<Unlock>,
}

/// One thing the plate implies.
#[derive(Debug, Clone, Serialize)]
pub struct Deduction {
    /// "line current at rated power".
    pub what: String,
    /// "43.3" (or "40 to 49"), rounded.
    pub value: String,
    /// "A".
    pub unit: String,
    /// In SI without prefix, low and high ends by the plate's rounding; equal when exact.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// How it follows: "30 kVA / (√3 × 400 V)".
    pub how: String,
    /// Source of the rule where it is one: "IEC 60076-1".
    pub source: Option<String>,
}

/// Two things on the plate that do not go together.
#[derive(Debug, Clone, Serialize)]
pub struct Contradiction {
    /// One sentence with the size and what rounding and tolerance would allow.
    pub sentence: String,
    /// Size as a share.
    pub size: f64,
    /// What would be allowed as a share.
    pub allowed: f64,
}

/// What the wiring is.
#[derive(Debug, Clone, Default, Serialize)]
pub struct WiringSaid {
    /// Name of the arrangement, if known.
    pub arrangement: Option<String>,
    /// Joins in words: terminals, state.
    pub joins: Vec<(Vec<String>, String)>,
    /// What keeps the network from being solved, in words with the remedy.
    pub faults: Vec<String>,
}

/// A reading with its verdict.
#[derive(Debug, Clone, Serialize)]
pub struct ReadingSaid {
    /// 24.
    pub number: u32,
    /// "14:09".
    pub at: String,
    /// 5.
    pub setup: u32,
    /// Phase whose drawing it stands on, 0 for none.
    pub phase: u8,
    /// "T4:2.1 to T4:2.2".
    pub place: String,
    /// "booster secondary".
    pub what: String,
    /// "P1".
    pub instrument: String,
    /// As shown: "21.0".
    pub read: String,
    /// "V".
    pub unit: String,
    /// Prediction, rounded, in the unit and prefix of `read`; `None` when floating or not predicted.
    pub predicted: Option<String>,
    /// Its ± (95 %), rounded.
    pub plus_minus: Option<String>,
    /// "+69", in u.
    pub off_by: Option<String>,
    /// Probability that reading or drawing is wrong.
    pub wrong: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// Short remark: "decimal point?".
    pub remark: String,
    /// The argument, for doubtful and contradicting ones.
    pub argument: Option<String>,
    /// Possibilities with their probabilities: "the decimal point slipped", 0.97.
    pub kinds: Vec<Kind>,
    /// Whether another wiring, more probable than the one recorded, takes it as it was read.
    pub of_the_drawing: bool,
    /// Where a slipped decimal point in it would not be noticed: so, and what to take as a cross-check.
    pub unnoticed: Option<String>,
    /// Why it was struck.
    pub struck: Option<String>,
}

/// One possibility with its belief.
#[derive(Debug, Clone, Serialize)]
pub struct Kind {
    /// In words.
    pub words: String,
    /// Probability.
    pub probability: f64,
    /// A recognisable slip of the reading; not "something else", not "as read".
    pub slip: bool,
    /// Not misread: another wiring or setup takes it as it was read.
    pub drawing: bool,
}

/// Verdict of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Probability of being wrong below 0.1.
    Agrees,
    /// To 0.5.
    Doubtful,
    /// Above.
    Contradicts,
    /// No prediction: proves nothing, not even that it is dead.
    Floating,
    /// Not judged: no network, or nothing says what it should be.
    NotJudged,
    /// Struck by the owner.
    Struck,
}

/// What was learned of one parameter.
#[derive(Debug, Clone, Serialize)]
pub struct Learned {
    /// "ratio of T4".
    pub name: String,
    /// "Ω".
    pub unit: String,
    /// Before, rounded with its ±: "2.50 ± 0.08".
    pub before: String,
    /// After.
    pub after: String,
    /// What the prior rests on.
    pub basis: String,
    /// Posterior width over prior width, 0 to 1.
    pub width_ratio: f64,
    /// Where the posterior middle lies in the prior's 95 % interval: 0 low end, 1 high end (may lie outside).
    pub centre: f64,
    /// Prior only: the readings taught (next to) nothing.
    pub prior_only: bool,
}

/// How the find behaves along the travel.
#[derive(Debug, Clone, Serialize)]
pub struct Behaviour {
    /// The condition in one sentence: "400 V three-phase in, 30 kVA at power factor 1 out".
    pub condition: String,
    /// Slider positions of the points, 0 to 1.
    pub slider: Vec<f64>,
    /// Where the handle stands.
    pub at: f64,
    /// Words under the axis ends: "star end", "line end".
    pub ends: (String, String),
    /// Panels, one quantity each.
    pub panels: Vec<TravelPanel>,
    /// Stretches with damage: from, to, words.
    pub damage: Vec<(f64, f64, String)>,
    /// Remarks: beyond the knee, fundamental only.
    pub remarks: Vec<String>,
}

/// One quantity against slider position.
#[derive(Debug, Clone, Serialize)]
pub struct TravelPanel {
    /// "output", "current", "losses".
    pub what: String,
    /// "V".
    pub unit: String,
    /// Series.
    pub series: Vec<Series>,
}

/// One line of a panel.
#[derive(Debug, Clone, Serialize)]
pub struct Series {
    /// "T1 tap to brush".
    pub name: String,
    /// Values at the slider positions, in the panel's unit; `None` where there is none.
    pub values: Vec<Option<f64>>,
    /// 95 % half widths, where reckoned.
    pub half_widths: Vec<Option<f64>>,
}

/// How it works.
#[derive(Debug, Clone, Default, Serialize)]
pub struct HowItWorks {
    /// Six to ten sentences; empty when there is no network.
    pub sentences: Vec<String>,
}

/// A caution for a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// The section it belongs to: "Readings".
    pub section: &'static str,
    /// What endangers.
    pub danger: Danger,
    /// Plain words, at most three lines.
    pub words: String,
}

/// The word of a caution in capitals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Danger {
    /// MAINS
    Mains,
    /// STORED CHARGE
    StoredCharge,
    /// NEUTRAL
    Neutral,
    /// NOT ISOLATED
    NotIsolated,
    /// OPEN PRIMARY
    OpenPrimary,
    /// DIRECT CURRENT
    DirectCurrent,
    /// EARTHED INSTRUMENT
    EarthedInstrument,
    /// METER (beyond its category, its volts or its fuse)
    Meter,
    /// BACK-FEED
    BackFeed,
    /// ABOVE 1000 V
    HighVoltage,
    /// OLD MATERIALS (PCB, asbestos, selenium)
    OldMaterials,
    /// HEAVY
    Heavy,
    /// UNEXPECTED START
    UnexpectedStart,
}

impl Danger {
    /// The word in capitals.
    pub fn word(self) -> &'static str {
        match self {
            Self::Mains => "MAINS",
            Self::StoredCharge => "STORED CHARGE",
            Self::Neutral => "NEUTRAL",
            Self::NotIsolated => "NOT ISOLATED",
            Self::OpenPrimary => "OPEN PRIMARY",
            Self::DirectCurrent => "DIRECT CURRENT",
            Self::EarthedInstrument => "EARTHED INSTRUMENT",
            Self::Meter => "METER",
            Self::BackFeed => "BACK-FEED",
            Self::HighVoltage => "ABOVE 1000 V",
            Self::OldMaterials => "OLD MATERIALS",
            Self::Heavy => "HEAVY",
            Self::UnexpectedStart => "UNEXPECTED START",
        }
    }
}

/// What a missing fact would unlock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unlock {
    /// The fact: "the rated power".
    pub fact: String,
    /// What it gives: "line current, VA of each phase and booster".
    pub gives: String,
}

/// What is so at moved sliders, another supply, another load.
#[derive(Debug, Clone, Serialize)]
pub struct Live {
    /// Slider position.
    pub slider: f64,
    /// Predictions of each reading's place, by reading number; `None` when floating.
    pub readings: Vec<(u32, Option<String>)>,
    /// Named values: output, input current, booster volts, losses ...
    pub values: Vec<LiveValue>,
    /// How it works, for this position.
    pub sentences: Vec<String>,
    /// Remarks: beyond the knee.
    pub remarks: Vec<String>,
    /// Points of the travel panels' read-out at this slider: panel index, series index, value in words.
    pub read_outs: Vec<(usize, usize, String)>,
}

/// A named value.
#[derive(Debug, Clone, Serialize)]
pub struct LiveValue {
    /// "output L1".
    pub what: String,
    /// "276".
    pub value: String,
    /// "V".
    pub unit: String,
}

/// A point on a chart.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// Slider.
    pub x: f64,
    /// Value.
    pub y: f64,
}
