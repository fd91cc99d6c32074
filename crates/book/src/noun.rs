//! Names for the things of a find, as entries and photos speak of them.

use serde::{Deserialize, Serialize};

/// One noun of a find by its key.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Noun {
    /// The find's own words: name, number, origin, arrangement.
    Find,
    /// The plate.
    Plate,
    /// A part by its designation.
    Part(String),
    /// A gang by its name.
    Gang(String),
    /// A terminal by its part and its own mark: `T1:2.1`. Nothing of its own is written down of it but what shows it.
    Terminal(String),
    /// A lead by its designation.
    Lead(String),
    /// A join by its terminals, in any order.
    Join(Vec<String>),
    /// A source of the kit by its name.
    Source(String),
    /// A limiter of the kit.
    Limiter(String),
    /// A load of the kit.
    Load(String),
    /// A protective device of the kit.
    Protection(String),
    /// An instrument by its designation.
    Instrument(String),
    /// A setup by its number.
    Setup(u32),
    /// A reading by its number.
    Reading(u32),
    /// Damage by its part and its words.
    Damage {
        /// The part.
        part: String,
        /// The words.
        what: String,
    },
    /// A note by its words.
    Note(String),
    /// A photo by its digest.
    Photo(String),
    /// The words the find is tagged with.
    Tags,
}

impl Noun {
    /// A join's name: its terminals in one order.
    pub fn join(terminals: &[gear::TerminalRef]) -> Self {
        let mut names: Vec<String> = terminals.iter().map(ToString::to_string).collect();
        names.sort();
        Self::Join(names)
    }

    /// The same noun in the one form it is compared and stored in.
    pub fn canonical(self) -> Self {
        match self {
            Self::Join(mut names) => {
                names.sort();
                Self::Join(names)
            }
            other => other,
        }
    }
}

impl std::fmt::Display for Noun {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Find => f.write_str("the find"),
            Self::Plate => f.write_str("the plate"),
            Self::Part(name) => write!(f, "part {name}"),
            Self::Gang(name) => write!(f, "gang {name}"),
            Self::Terminal(name) => write!(f, "terminal {name}"),
            Self::Lead(name) => write!(f, "lead {name}"),
            Self::Join(names) => write!(f, "the join of {}", names.join(", ")),
            Self::Source(name) => write!(f, "source {name}"),
            Self::Limiter(name) => write!(f, "limiter {name}"),
            Self::Load(name) => write!(f, "load {name}"),
            Self::Protection(name) => write!(f, "protective device {name}"),
            Self::Instrument(name) => write!(f, "instrument {name}"),
            Self::Setup(number) => write!(f, "setup {number}"),
            Self::Reading(number) => write!(f, "reading {number}"),
            Self::Damage { part, what } => write!(f, "damage of {part}: {what}"),
            Self::Note(text) => write!(f, "the note \"{text}\""),
            Self::Photo(digest) => write!(f, "photo {}", digest.get(..8).unwrap_or(digest)),
            Self::Tags => f.write_str("the tags"),
        }
    }
}
