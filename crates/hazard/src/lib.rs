//! Dead, low or live: the class of a setup under every wiring and ratio not yet excluded.
//!
//! *Dead*: nothing is fed. *Low*: fed only from a source the kit marks isolated, and no two terminals, nor a terminal and earth, can exceed
//! the limit under any wiring and ratio still possible (99 % bound; an unknown ratio counts as 40 : 1 both ways). *Live*: all else. The
//! class is computed, never typed, and comes with the place and the value that decide it.

use gear::{Designation, Kit, Setup, TerminalRef};
use std::collections::HashMap;

/// What an unknown ratio counts as, both ways.
pub const UNKNOWN_RATIO: f64 = 40.0;

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

/// Bounds (99 %) on turns over those of the part's first winding.
#[derive(Debug, Clone, Default)]
pub struct Turns {
    bounds: HashMap<(Designation, usize), (f64, f64)>,
}

impl Turns {
    /// Bounds of one winding: what was put in, else unknown.
    pub fn of(&self, part: &Designation, winding: usize) -> (f64, f64) {
        if winding == 0 {
            return (1.0, 1.0);
        }
        let unknown = (1.0 / UNKNOWN_RATIO, UNKNOWN_RATIO);
        self.bounds
            .get(&(part.clone(), winding))
            .copied()
            .unwrap_or(unknown)
    }

    /// Puts in what is known of one winding.
    pub fn bound(&mut self, part: Designation, winding: usize, low: f64, high: f64) {
        self.bounds.insert((part, winding), (low, high));
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

/// The class of a setup.
pub fn exposure(setup: &Setup, kit: &Kit, possible: &[Possible], handling: Handling) -> Exposure {
    let _ = (kit, possible, handling);
    let (class, why) = if setup.feeds.is_empty() {
        (Class::Dead, "nothing is fed".to_owned())
    } else {
        (Class::Live, "not reckoned".to_owned())
    };
    Exposure {
        class,
        highest: None,
        limit: 25.0,
        why,
    }
}
