//! Parts: wound ones (core, windings, taps, sliders) and the simple ones around them.

use crate::{Designation, TerminalRef};
use quantity::Quantity;

/// A component in a find.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// `T1`, `F1` ...
    pub designation: Designation,
    /// What the owner calls it: "booster of L1".
    pub name: Option<String>,
    /// The phase it belongs to, 1 to 3, where the gear has three like it.
    pub phase: Option<u8>,
    /// What it is.
    pub kind: PartKind,
}

/// What a part is.
#[derive(Debug, Clone, PartialEq)]
pub enum PartKind {
    /// Separate windings on one core; a booster is one of these.
    Transformer(Wound),
    /// One winding with sliders, and fixed taps perhaps.
    VariableAutotransformer(Wound),
    /// One winding on a gapped core.
    Choke(Wound),
    /// A resistor between terminals `1` and `2`.
    Resistor {
        /// Its resistance.
        resistance: Option<Quantity>,
    },
    /// A capacitor between terminals `1` and `2`.
    Capacitor {
        /// Its capacitance.
        capacitance: Option<Quantity>,
    },
    /// A load that belongs to the find (lamp, heater), between terminals `1` and `2`.
    Load {
        /// Series resistance.
        resistance: Option<Quantity>,
        /// Series reactance at rated frequency.
        reactance: Option<Quantity>,
    },
    /// A fuse between terminals `1` and `2`; whole unless a setup opens it.
    Fuse {
        /// Rated current.
        current: Option<Quantity>,
    },
    /// A breaker, contactor, isolator or link between terminals `1` and `2`; closed unless a setup opens it.
    Switch,
    /// A row of terminals that connects nothing by itself: `X1`. Terminal marks in their order.
    Terminals(Vec<String>),
    /// A core with windings nobody has sorted yet.
    Unmarked(Unmarked),
}

/// A core with windings nobody has sorted: its leads by their marks, and the little that is known beside them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Unmarked {
    /// Marks of the leads that come out, each a terminal of the part.
    pub leads: Vec<String>,
    /// How many windings there are, where a plate or a drawing tells.
    pub number_of_windings: Option<u32>,
    /// Core and marks of the part; its windings are those the owner wound through it for a test (a search winding of known turns).
    pub wound: Wound,
}

/// A wound part: a core with windings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wound {
    /// Its windings, in the order of its terminals.
    pub windings: Vec<Winding>,
    /// What is known of the core.
    pub core: CoreFacts,
    /// Apparent power written on the part itself.
    pub power: Option<Quantity>,
    /// Frequency written on the part itself.
    pub frequency: Option<Quantity>,
    /// What is known of its insulation, mark as written ("class B", "130 °C").
    pub insulation: Option<String>,
}

/// Facts of a core, each only if somebody measured or read it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CoreFacts {
    /// "toroid", "laminated", "strip" as the owner sees it.
    pub shape: Option<String>,
    /// Net cross-section.
    pub area: Option<Quantity>,
    /// Mass of the whole part.
    pub mass: Option<Quantity>,
    /// Core loss at rated volts and frequency.
    pub loss: Option<Quantity>,
    /// No-load current of the first winding at rated volts and frequency.
    pub current: Option<Quantity>,
    /// First winding's volts at which the core leaves its straight line, at rated frequency.
    pub knee: Option<Quantity>,
}

/// One winding: a run of turns with terminals along it, and sliders perhaps.
///
/// `points` stand in order of the turns: the first at position 0, the last at position 1 (positions in between in [`Point::at`]).
/// A slider position counts from the first point to the last.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Winding {
    /// `primary`, `secondary`, `half A`, `winding`: unique in its part.
    pub name: String,
    /// Terminals in the order of the turns; at least two.
    pub points: Vec<Point>,
    /// Sliders on it.
    pub sliders: Vec<Slider>,
    /// Which end is the start, where known.
    pub dot: Dot,
    /// Rated volts, end to end.
    pub volts: Option<Quantity>,
    /// Rated amperes.
    pub amperes: Option<Quantity>,
    /// DC resistance, end to end, at 20 °C.
    pub resistance: Option<Quantity>,
    /// Leakage reactance, end to end, at rated frequency.
    pub leakage: Option<Quantity>,
    /// Number of turns, end to end.
    pub turns: Option<Quantity>,
}

/// A terminal on a winding.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The terminal's mark.
    pub terminal: String,
    /// Its position, fraction of the turns from the first point. `None` at the first and last point, or where unknown.
    pub at: Option<Quantity>,
}

/// A slider: a brush on a winding, with the terminal its lead lands on.
#[derive(Debug, Clone, PartialEq)]
pub struct Slider {
    /// The terminal's mark.
    pub terminal: String,
    /// Resistance of brush and contact, where known.
    pub brush: Option<Quantity>,
}

/// Which end of a winding is its start (the dot on a drawing).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Dot {
    /// Not known yet.
    #[default]
    Unknown,
    /// The first point.
    First,
    /// The last point.
    Last,
}

impl Part {
    /// All its terminals, in order: points and sliders winding by winding, `1` and `2` of a simple part.
    pub fn terminals(&self) -> Vec<&str> {
        match &self.kind {
            PartKind::Terminals(marks) => marks.iter().map(String::as_str).collect(),
            PartKind::Unmarked(unmarked) => unmarked
                .leads
                .iter()
                .map(String::as_str)
                .chain(unmarked.wound.windings.iter().flat_map(Winding::terminals))
                .collect(),
            kind => match kind.wound() {
                Some(wound) => wound.windings.iter().flat_map(Winding::terminals).collect(),
                None => vec!["1", "2"],
            },
        }
    }

    /// All its sliders, winding by winding.
    pub fn sliders(&self) -> impl Iterator<Item = &Slider> {
        self.kind
            .wound()
            .into_iter()
            .flat_map(|w| &w.windings)
            .flat_map(|w| &w.sliders)
    }

    /// The reference of one of its terminals.
    pub fn terminal(&self, mark: &str) -> TerminalRef {
        TerminalRef {
            part: self.designation.clone(),
            terminal: mark.to_owned(),
        }
    }
}

impl PartKind {
    /// The wound part, if it is one whose windings are known; not an unmarked one.
    pub fn wound(&self) -> Option<&Wound> {
        match self {
            Self::Transformer(w) | Self::VariableAutotransformer(w) | Self::Choke(w) => Some(w),
            _ => None,
        }
    }

    /// What to call it: "variable autotransformer".
    pub fn word(&self) -> &'static str {
        match self {
            Self::Transformer(_) => "transformer",
            Self::VariableAutotransformer(_) => "variable autotransformer",
            Self::Choke(_) => "choke",
            Self::Resistor { .. } => "resistor",
            Self::Capacitor { .. } => "capacitor",
            Self::Load { .. } => "load",
            Self::Fuse { .. } => "fuse",
            Self::Switch => "switch",
            Self::Terminals(_) => "terminals",
            Self::Unmarked(_) => "unmarked windings",
        }
    }
}

impl Winding {
    /// Its terminals: points in order, then sliders.
    pub fn terminals(&self) -> impl Iterator<Item = &str> {
        self.points
            .iter()
            .map(|p| p.terminal.as_str())
            .chain(self.sliders.iter().map(|s| s.terminal.as_str()))
    }
}
