//! The find itself.

use crate::{
    Designation, Instrument, Join, Kit, Lead, Moment, Part, Plate, Reading, Setup, TerminalRef,
};
use quantity::Quantity;

/// One salvaged piece of gear and all that has been recorded of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Find {
    /// What the owner calls it.
    pub name: String,
    /// Its number in the owner's book.
    pub number: Option<u32>,
    /// Where it came from, in the owner's words.
    pub origin: Option<String>,
    /// Key of the arrangement it was started from or is believed to have (a key of the `wiring` crate); only words, the joins decide.
    pub arrangement: Option<String>,
    /// The plate.
    pub plate: Plate,
    /// The parts.
    pub parts: Vec<Part>,
    /// Sliders on one shaft or chain.
    pub gangs: Vec<Gang>,
    /// Leads, one by one.
    pub leads: Vec<Lead>,
    /// Joins.
    pub joins: Vec<Join>,
    /// What there is to test with.
    pub kit: Kit,
    /// The meters.
    pub instruments: Vec<Instrument>,
    /// Setups.
    pub setups: Vec<Setup>,
    /// Readings.
    pub readings: Vec<Reading>,
    /// Damage seen.
    pub damage: Vec<Damage>,
    /// Notes.
    pub notes: Vec<Note>,
}

/// Sliders that move together.
#[derive(Debug, Clone, PartialEq)]
pub struct Gang {
    /// Its name: "chain".
    pub name: String,
    /// The parts whose sliders it moves.
    pub parts: Vec<Designation>,
}

/// Damage seen on a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Damage {
    /// The part.
    pub part: Designation,
    /// The winding of it, by name; `None` is the part as a whole, or its only winding.
    pub winding: Option<String>,
    /// What is seen: "track pitted".
    pub what: String,
    /// Where along the travel, fractions of the turns.
    pub travel: Option<Travel>,
    /// When it was noted.
    pub at: Option<Moment>,
}

/// A stretch of a winding, fractions of the turns from its first point.
#[derive(Debug, Clone, PartialEq)]
pub struct Travel {
    /// Lower end.
    pub from: Quantity,
    /// Upper end.
    pub to: Quantity,
}

/// A note.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// When.
    pub at: Option<Moment>,
    /// The words.
    pub text: String,
}

impl Find {
    /// The part of this designation.
    pub fn part(&self, designation: &Designation) -> Option<&Part> {
        self.parts.iter().find(|p| p.designation == *designation)
    }

    /// Whether the find has this terminal.
    pub fn has_terminal(&self, terminal: &TerminalRef) -> bool {
        self.part(&terminal.part)
            .is_some_and(|p| p.terminals().contains(&terminal.terminal.as_str()))
    }

    /// The setup of this number.
    pub fn setup(&self, number: u32) -> Option<&Setup> {
        self.setups.iter().find(|s| s.number == number)
    }

    /// The instrument of this designation.
    pub fn instrument(&self, designation: &Designation) -> Option<&Instrument> {
        self.instruments
            .iter()
            .find(|i| i.designation == *designation)
    }

    /// The gang that moves this part's slider.
    pub fn gang_of(&self, part: &Designation) -> Option<&Gang> {
        self.gangs.iter().find(|g| g.parts.contains(part))
    }
}
