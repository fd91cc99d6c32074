//! Leads and joins: what is one conductor.

use crate::{Designation, TerminalRef};
use quantity::Quantity;

/// One conductor between two terminals, or to a cut end.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    /// `W1`.
    pub designation: Designation,
    /// Where it starts.
    pub from: TerminalRef,
    /// Where it ends; `None` is a cut or loose end.
    pub to: Option<TerminalRef>,
    /// Colour as seen.
    pub colour: Option<String>,
    /// Copper section.
    pub section: Option<Quantity>,
    /// A mark or tag on it.
    pub mark: Option<String>,
    /// How we know of it.
    pub state: JoinState,
}

/// Terminals that are one conductor.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// The terminals; at least two.
    pub terminals: Vec<TerminalRef>,
    /// How we know.
    pub state: JoinState,
    /// A remark.
    pub note: Option<String>,
}

/// How a join is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum JoinState {
    /// Taken from the arrangement; nobody has looked.
    #[default]
    Assumed,
    /// Concluded from a reading.
    Found,
    /// Seen by the owner.
    Seen,
}

impl JoinState {
    /// The word: "assumed", "found", "seen".
    pub fn word(self) -> &'static str {
        match self {
            Self::Assumed => "assumed",
            Self::Found => "found",
            Self::Seen => "seen",
        }
    }
}
