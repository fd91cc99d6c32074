//! Entries: what is written into the book, and what comes back from it.

use crate::Noun;
use serde::{Deserialize, Serialize};

/// Number of a find in the book; never given twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct FindId(pub u64);

/// Number of an entry in the book: one row for all finds, strictly growing; also the mark "what is newer than this?".
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct EntryId(pub u64);

impl std::fmt::Display for FindId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl std::fmt::Display for EntryId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// When something was recorded, as the writer's clock had it. Entries stand in the order they came in, whatever this says: a clock may have
/// been set back, and then times run back and are told as they are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Moment {
    /// Local time as it is shown: `2026-11-25 21:40:05`.
    pub text: String,
    /// The same in milliseconds since 1970-01-01 00:00 UTC.
    pub millis: i64,
}

impl Moment {
    /// A moment by its local time and its milliseconds UTC.
    pub fn new(text: impl Into<String>, millis: i64) -> Self {
        Self {
            text: text.into(),
            millis,
        }
    }
}

/// An entry to be appended.
#[derive(Debug, Clone, PartialEq)]
pub struct New {
    /// The find it is of.
    pub find: FindId,
    /// A key made where it was typed, the same each time it is sent; makes sure that it is taken once. At most 200 characters.
    pub key: Option<String>,
    /// The device it was typed on, in the owner's words.
    pub device: Option<String>,
    /// The newest entry the writer had seen; what came in between was written without knowing of this, and the other way round.
    pub seen: Option<EntryId>,
    /// When.
    pub at: Moment,
    /// What.
    pub what: What,
}

impl New {
    /// An entry without key, device and mark.
    pub fn of(find: FindId, at: Moment, what: What) -> Self {
        Self {
            find,
            key: None,
            device: None,
            seen: None,
            at,
            what,
        }
    }
}

/// An entry of the book.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Entry {
    /// Its number.
    pub id: EntryId,
    /// The find it is of.
    pub find: FindId,
    /// When it was recorded, by the writer's clock.
    pub at: Moment,
    /// The device.
    pub device: Option<String>,
    /// The key made there.
    pub key: Option<String>,
    /// The newest entry the writer had seen.
    pub seen: Option<EntryId>,
    /// What was recorded.
    pub what: What,
    /// Whether it is struck now, by which entry and why.
    pub struck: Option<Struck>,
}

/// That an entry is struck.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Struck {
    /// The entry that struck it.
    pub by: EntryId,
    /// Why.
    pub reason: String,
}

/// What an entry records. Stored as JSON with the version of this list beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum What {
    /// The find as it came in, a whole sheet; always a find's first entry.
    Started {
        /// The sheet's text.
        sheet: String,
    },
    /// Nouns in the sheet's own form. Each takes the place of the one of the same key (designation, number, name; terminals for a join)
    /// or is added; `[find]` and `[plate]` replace the whole.
    Put {
        /// The text.
        fragment: String,
        /// Nouns taken out first: what was renamed, or a join that had other terminals.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        instead_of: Vec<Noun>,
    },
    /// A noun taken out again. Never a reading: that is struck.
    Removed {
        /// What.
        noun: Noun,
        /// Why.
        reason: Option<String>,
    },
    /// A reading struck; it stays, with the reason.
    ReadingStruck {
        /// The reading.
        number: u32,
        /// Why.
        reason: String,
    },
    /// A reading looked at again and kept as read, or that taken back.
    ReadingKept {
        /// The reading.
        number: u32,
        /// Whether it is kept.
        kept: bool,
    },
    /// An entry struck: the find is what its entries add up to without it. A strike can itself be struck, which brings the entry back.
    Struck {
        /// The entry.
        entry: EntryId,
        /// Why.
        reason: String,
    },
    /// A word put to the find.
    Tagged {
        /// The word.
        word: String,
    },
    /// A word taken off it.
    Untagged {
        /// The word.
        word: String,
    },
    /// A photo put to the find; its picture is in the book already.
    Photo {
        /// SHA-256 of its bytes, in hexadecimal figures.
        digest: String,
        /// What it shows.
        caption: String,
        /// Marks on it.
        #[serde(default)]
        marks: Vec<Mark>,
        /// What it is of.
        #[serde(default)]
        of: Vec<Noun>,
    },
    /// Caption, marks and subjects of a photo, anew.
    PhotoChanged {
        /// SHA-256 of its bytes.
        digest: String,
        /// What it shows.
        caption: String,
        /// Marks on it.
        #[serde(default)]
        marks: Vec<Mark>,
        /// What it is of.
        #[serde(default)]
        of: Vec<Noun>,
    },
    /// A judgement as it was told, with what it rests on, so that it can be derived again.
    Judged {
        /// Version of the program.
        version: String,
        /// The newest entry it knew.
        at_entry: EntryId,
        /// The priors it took.
        priors: serde_json::Value,
        /// The judgement.
        judgement: serde_json::Value,
    },
}

impl What {
    /// Nouns in the sheet's own form.
    pub fn put(fragment: impl Into<String>) -> Self {
        Self::Put {
            fragment: fragment.into(),
            instead_of: Vec::new(),
        }
    }

    /// Whether a judgement may be another with it: it says something of the gear. Tags and photos do not; a strike may, whatever it struck.
    pub fn is_of_the_gear(&self) -> bool {
        !matches!(
            self,
            Self::Tagged { .. }
                | Self::Untagged { .. }
                | Self::Photo { .. }
                | Self::PhotoChanged { .. }
                | Self::Judged { .. }
                | Self::Removed {
                    noun: Noun::Photo(_),
                    ..
                }
        )
    }
}

/// A mark on a photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// Where: shares of width and height from the upper left corner, 0 to 1.
    pub at: [f64; 2],
    /// Where it is an arrow, what it points at; its number stands at the other end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<[f64; 2]>,
    /// The words at it.
    pub words: String,
    /// What it points at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Noun>,
}

impl Mark {
    /// The same mark, its noun in the one form nouns are compared in.
    pub(crate) fn canonical(self) -> Self {
        let of = self.of.map(Noun::canonical);
        Self { of, ..self }
    }
}
