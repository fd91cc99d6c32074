//! Setups: how the find was connected for a test.

use crate::{Designation, Moment, TerminalRef};
use quantity::Quantity;

/// One way the find was connected. Joins of the find hold unless a terminal is lifted here.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// Its number, as in "setup 5"; unique.
    pub number: u32,
    /// When it was made.
    pub at: Option<Moment>,
    /// In a few words: "no load, slider low".
    pub what: Option<String>,
    /// What was fed where; empty for dead tests (ohms, continuity).
    pub feeds: Vec<Feed>,
    /// Slider positions.
    pub sliders: Vec<SliderSetting>,
    /// Fuses and switches that stand otherwise than closed.
    pub switches: Vec<SwitchSetting>,
    /// Terminals clipped together for this setup (a short circuit, a temporary link).
    pub joined: Vec<Vec<TerminalRef>>,
    /// Terminals whose leads were lifted for this setup: they leave the joins of the find.
    pub lifted: Vec<TerminalRef>,
    /// Loads put on.
    pub loads: Vec<SetupLoad>,
    /// Temperature of the windings, if known (else 20 ± 8 °C).
    pub temperature: Option<Quantity>,
}

/// A source put on terminals.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// Name of the kit's source, where it is one.
    pub source: Option<String>,
    /// One-phase or direct: the two terminals. Three-phase: L1, L2, L3, in phase order.
    pub to: Vec<TerminalRef>,
    /// Three-phase: where the source's star point lands; `None` leaves it out (three-wire).
    pub neutral: Option<TerminalRef>,
    /// Three-phase: whether the source's star point is earthed (it matters only to places against earth).
    pub earthed: bool,
    /// Nominal volts: between the two terminals, or line to line for three phases. `None` is unknown; readings will tell.
    pub volts: Option<Quantity>,
    /// Frequency; `None` is the plate's.
    pub frequency: Option<Quantity>,
    /// Phase angle in degrees of a one-phase feed against others in the setup (a second phase: −120).
    pub angle: Option<Quantity>,
    /// Phases of a three-phase feed that are missing: 1, 2, 3.
    pub lost: Vec<u8>,
}

/// Where a slider stood. A gang's name sets all its sliders.
#[derive(Debug, Clone, PartialEq)]
pub struct SliderSetting {
    /// A part with one slider (`T1`), a slider's terminal (`T1:4`), or the name of a gang.
    pub slider: String,
    /// Fraction of the turns from the winding's first point.
    pub at: Quantity,
}

/// A fuse or switch that was open (or closed again) in a setup.
#[derive(Debug, Clone, PartialEq)]
pub struct SwitchSetting {
    /// The part.
    pub part: Designation,
    /// Whether current can pass.
    pub closed: bool,
}

/// A load put on for a setup.
#[derive(Debug, Clone, PartialEq)]
pub struct SetupLoad {
    /// Terminals: two for one phase; three or four (N last) for three like loads in delta or star.
    pub across: Vec<TerminalRef>,
    /// For three or four terminals: how the three like loads are paired.
    pub pairing: Pairing,
    /// Series resistance of each.
    pub resistance: Option<Quantity>,
    /// Series reactance of each, at the setup's frequency; a capacitive one negative.
    pub reactance: Option<Quantity>,
    /// Or its power at its volts.
    pub power: Option<Quantity>,
    /// The volts the power is for; `None` is the plate's output.
    pub volts: Option<Quantity>,
    /// Power factor, lagging; 1 unless said.
    pub power_factor: Option<Quantity>,
}

/// How a load stands on its terminals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Pairing {
    /// Between two terminals.
    #[default]
    Single,
    /// Three like loads from each of three terminals to the fourth.
    Star,
    /// Three like loads between three terminals.
    Delta,
}
