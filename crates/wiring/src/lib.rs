//! Joins as algebra, polarity, and the named arrangements such gear is usually wired in.
//!
//! [`Conductors`] says which terminals are one conductor. [`arrangements`] lists the named arrangements; each builds a whole find:
//! parts, terminals, joins (*assumed*), so that a drawing and a network stand at once. Knows nothing of volts and amperes.

use gear::{Find, Setup, TerminalRef};

mod arrangement;
pub use arrangement::{Arrangement, Choice, Options, arrangements};

/// Which terminals are one conductor: the find's joins and leads, with a setup's links and lifted terminals.
#[derive(Debug, Clone, PartialEq)]
pub struct Conductors {
    /// Terminals of each conductor, in the find's order.
    pub groups: Vec<Vec<TerminalRef>>,
}

impl Conductors {
    /// The conductors of a find; in a setup, if one is given. Fuses and switches do not join: they are elements.
    pub fn of(_find: &Find, _setup: Option<&Setup>) -> Self {
        Self { groups: Vec::new() }
    }

    /// Index of the conductor this terminal belongs to.
    pub fn find(&self, terminal: &TerminalRef) -> Option<usize> {
        self.groups.iter().position(|g| g.contains(terminal))
    }
}
