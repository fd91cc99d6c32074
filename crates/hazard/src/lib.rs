//! Dead, low or live: the class of a setup under every wiring and ratio not yet excluded.
//!
//! *Dead*: nothing is fed. *Low*: fed only from a source the kit marks isolated, and no two terminals, nor a terminal and earth, can exceed
//! the limit under any wiring and ratio still possible (99 % bound; an unknown ratio counts as 40 : 1 both ways). *Live*: all else. The
//! class is computed, never typed, and comes with the place and the value that decide it. There is no override.
//!
//! What is reckoned is a bound, not a simulation: by Kirchhoff the volts between two terminals are at most the sum along any path of
//! what each element can have across it. `graph` makes conductors and elements of a find, `blocks` tells which of them can carry a
//! current at all, `loops` which loops say no more than others, `bound` the bounds themselves, `exposure` the class and its sentence.

mod blocks;
mod bound;
mod exposure;
mod feeds;
mod graph;
mod loops;
mod low_volts;
#[cfg(test)]
mod tests;
mod turns;

pub use exposure::exposure;
pub use low_volts::greatest_low_volts;
pub use turns::{Turns, possible, turns_of};

use gear::TerminalRef;

/// What an unknown ratio counts as, both ways.
pub const UNKNOWN_RATIO: f64 = 40.0;
/// RMS volts that may be touched while on: 25 V AC (IEC 61140 and IEC 60364-4-41, extra-low voltage without basic protection in dry
/// places; from memory).
pub const TOUCHED_VOLTS: f64 = 25.0;
/// RMS volts where all is clipped on dead: 50 V AC, the limit of extra-low voltage (IEC 61140, IEC 60364-4-41; from memory).
pub const CLIPPED_VOLTS: f64 = 50.0;
/// The same for direct current: 60 V (ripple-free; same sources, from memory).
pub const TOUCHED_VOLTS_DIRECT: f64 = 60.0;
/// The same for direct current: 120 V (ripple-free; same sources, from memory).
pub const CLIPPED_VOLTS_DIRECT: f64 = 120.0;
/// Most direct volts on a winding, for a kick test: one cell (common practice).
pub const KICK_VOLTS: f64 = 1.5;

/// Dead, low or live.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// No source.
    Dead,
    /// From an isolated source, below the limit everywhere.
    Low,
    /// All else, whatever the knob says.
    Live,
}

impl Class {
    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Dead => "dead",
            Self::Low => "low",
            Self::Live => "live",
        }
    }
}

/// How the owner will handle the setup while it is fed; it decides the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Handling {
    /// May be touched while on: 25 V AC, 60 V DC.
    Touched,
    /// Everything is clipped on dead and not touched while on: 50 V AC, 120 V DC.
    ClippedDead,
}

impl Handling {
    /// The limit in volts, alternating (RMS) or direct.
    pub fn limit(self, direct: bool) -> f64 {
        match (self, direct) {
            (Self::Touched, false) => TOUCHED_VOLTS,
            (Self::ClippedDead, false) => CLIPPED_VOLTS,
            (Self::Touched, true) => TOUCHED_VOLTS_DIRECT,
            (Self::ClippedDead, true) => CLIPPED_VOLTS_DIRECT,
        }
    }
}

/// One way the find may be, not excluded yet.
#[derive(Debug, Clone)]
pub struct Possible {
    /// The find with this wiring.
    pub find: gear::Find,
    /// What is known of its turns under it.
    pub turns: Turns,
}

/// The class of a setup with what decides it.
#[derive(Debug, Clone, PartialEq)]
pub struct Exposure {
    /// The class.
    pub class: Class,
    /// The highest voltage that is still possible, where one can be bounded.
    pub highest: Option<Highest>,
    /// The limit it was held against, volts.
    pub limit: f64,
    /// Why this class, in one sentence with the place and the value.
    pub why: String,
}

/// The highest voltage still possible.
#[derive(Debug, Clone, PartialEq)]
pub struct Highest {
    /// Volts.
    pub volts: f64,
    /// One terminal.
    pub at: TerminalRef,
    /// The other; `None` is earth.
    pub against: Option<TerminalRef>,
}
