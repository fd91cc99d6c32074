//! Readings: one value from one instrument at one place in one setup at one time.

use crate::{Designation, Moment, TerminalRef};
use quantity::{Quantity, Unit};

/// One reading. What was shown is kept as shown; striking keeps it too.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Its number, as in "reading 24"; unique.
    pub number: u32,
    /// The setup it was taken in.
    pub setup: u32,
    /// When.
    pub at: Option<Moment>,
    /// Number of the reading it was taken at the same moment as: two meters on at once, so that the supply was the same for both.
    pub together: Option<u32>,
    /// The instrument.
    pub instrument: Option<Designation>,
    /// What was measured.
    pub measured: Measured,
    /// Where.
    pub place: Place,
    /// What the instrument showed. Continuity: [`Reading::beep`] instead.
    pub shown: Option<Quantity>,
    /// Continuity: whether it beeped.
    pub beep: Option<bool>,
    /// Kick: which way the meter went first.
    pub kick: Option<Kick>,
    /// What the owner calls this place: "booster secondary".
    pub what: Option<String>,
    /// Why the owner struck it, if struck.
    pub struck: Option<String>,
    /// The owner looked again and keeps it as read.
    pub kept: bool,
    /// A remark.
    pub note: Option<String>,
}

impl Reading {
    /// A reading of which nothing is known yet but number, setup, what and where.
    pub fn new(number: u32, setup: u32, measured: Measured, place: Place) -> Self {
        Self {
            number,
            setup,
            at: None,
            together: None,
            instrument: None,
            measured,
            place,
            shown: None,
            beep: None,
            kick: None,
            what: None,
            struck: None,
            kept: false,
            note: None,
        }
    }
}

impl crate::Find {
    /// The reading that gives this one its moment: itself, or the one it was taken together with, and so on. Names that lead nowhere or
    /// in a circle end at the last reading found.
    pub fn moment_giver<'a>(&'a self, reading: &'a Reading) -> &'a Reading {
        let mut giver = reading;
        for _ in 0..self.readings.len() {
            let next = giver
                .together
                .and_then(|n| self.readings.iter().find(|r| r.number == n));
            match next {
                Some(next) if next.number != reading.number => giver = next,
                _ => break,
            }
        }
        giver
    }
}

/// Which way a direct-voltage meter went first when a small direct source was put on another winding, its plus on the feed's first
/// terminal and the meter's plus on the place's first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kick {
    /// Up: the two first terminals go the same way.
    Up,
    /// Down: they go opposite ways.
    Down,
}

impl Kick {
    /// The sign: `+` or `-`.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Up => "+",
            Self::Down => "-",
        }
    }
}

/// What an instrument measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measured {
    /// AC volts, RMS.
    AcVoltage,
    /// DC volts.
    DcVoltage,
    /// AC amperes, RMS.
    AcCurrent,
    /// DC amperes.
    DcCurrent,
    /// Watts.
    Power,
    /// Ohms, by direct current.
    Resistance,
    /// A beep or none.
    Continuity,
    /// A ratio of two voltages.
    Ratio,
    /// Ohms of insulation (high direct voltage).
    Insulation,
    /// Hertz.
    Frequency,
    /// Degrees Celsius.
    Temperature,
    /// Which way a meter goes first when direct current is switched on.
    Kick,
}

impl Measured {
    /// Every kind.
    pub const ALL: [Self; 12] = [
        Self::AcVoltage,
        Self::DcVoltage,
        Self::AcCurrent,
        Self::DcCurrent,
        Self::Power,
        Self::Resistance,
        Self::Continuity,
        Self::Ratio,
        Self::Insulation,
        Self::Frequency,
        Self::Temperature,
        Self::Kick,
    ];

    /// The words for it; also its value in a sheet.
    pub fn word(self) -> &'static str {
        match self {
            Self::AcVoltage => "AC voltage",
            Self::DcVoltage => "DC voltage",
            Self::AcCurrent => "AC current",
            Self::DcCurrent => "DC current",
            Self::Power => "power",
            Self::Resistance => "resistance",
            Self::Continuity => "continuity",
            Self::Ratio => "ratio",
            Self::Insulation => "insulation",
            Self::Frequency => "frequency",
            Self::Temperature => "temperature",
            Self::Kick => "kick",
        }
    }

    /// Its unit; none for continuity and kick.
    pub fn unit(self) -> Option<Unit> {
        Some(match self {
            Self::AcVoltage | Self::DcVoltage => Unit::Volt,
            Self::AcCurrent | Self::DcCurrent => Unit::Ampere,
            Self::Power => Unit::Watt,
            Self::Resistance | Self::Insulation => Unit::Ohm,
            Self::Continuity | Self::Kick => return None,
            Self::Ratio => Unit::One,
            Self::Frequency => Unit::Hertz,
            Self::Temperature => Unit::DegreeCelsius,
        })
    }
}

/// Where a reading is taken.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Place {
    /// Between two terminals (volts, ohms, continuity).
    Between(TerminalRef, TerminalRef),
    /// The current that flows into a part at a terminal: `X1:1` is the current the feed drives into the find there.
    Into(TerminalRef),
    /// Power that flows in at `into` against `against`: watts of one phase, or of a one-phase feed.
    PowerInto {
        /// Where the current is taken.
        into: TerminalRef,
        /// Against which the voltage is taken.
        against: TerminalRef,
    },
    /// Volts between the first pair over volts between the second.
    RatioOf(TerminalRef, TerminalRef, TerminalRef, TerminalRef),
    /// At a part (temperature), nothing electrical.
    At(Designation),
}

impl Place {
    /// The terminals it names.
    pub fn terminals(&self) -> Vec<&TerminalRef> {
        match self {
            Self::Between(a, b) => vec![a, b],
            Self::Into(a) => vec![a],
            Self::PowerInto { into, against } => vec![into, against],
            Self::RatioOf(a, b, c, d) => vec![a, b, c, d],
            Self::At(_) => vec![],
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Between(a, b) => write!(f, "{a} to {b}"),
            Self::Into(a) => write!(f, "into {a}"),
            Self::PowerInto { into, against } => write!(f, "into {into} against {against}"),
            Self::RatioOf(a, b, c, d) => write!(f, "{a} to {b} over {c} to {d}"),
            Self::At(part) => write!(f, "at {part}"),
        }
    }
}
