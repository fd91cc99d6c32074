//! The format itself: every table with its keys, what each holds, and a word on it. Reading, schema and documentation all come from here.

#[rustfmt::skip] // one key, one line
mod bench;
#[rustfmt::skip] // one key, one line
mod find;

use crate::VERSION;
use crate::problem::Found;
use Kind::{List, Terminal, Whole};
use bench::{INSTRUMENT, KIT, READING, SETUP};
use find::{DAMAGE, FIND, GANG, JOIN, LEAD, NOTE, PART, PLATE};
use toml::de::{DeTable, DeValue};

pub(crate) use find::{ANY_PART, PART_KINDS};

/// What a key holds.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    /// Words.
    Text,
    /// A whole number, written plain, from 0.
    Whole,
    /// `true` or `false`.
    Flag,
    /// A quantity in quotes.
    Quantity,
    /// A quantity in quotes, or `""` where it is not known: a place in a list must be kept.
    QuantityOrNothing,
    /// An accuracy bound in quotes.
    Accuracy,
    /// `T1`.
    Designation,
    /// `T1:4`.
    Terminal,
    /// `2026-10-14 14:02`; also unquoted.
    Moment,
    /// One of these words.
    Words(fn() -> Vec<&'static str>),
    /// A list in brackets.
    List(&'static Kind),
    /// Two of them in brackets.
    Pair(&'static Kind),
    /// Slider names, each with its position.
    Positions,
    /// A table.
    Table(&'static Table),
    /// Tables under a double-bracket heading.
    Tables(&'static Table),
}

/// A key of a table.
#[derive(Debug)]
pub(crate) struct Key {
    /// The key.
    pub(crate) name: &'static str,
    /// What it holds.
    pub(crate) kind: Kind,
    /// Whether a sheet without it is refused.
    pub(crate) required: bool,
    /// What it is, in a few words.
    pub(crate) words: &'static str,
    /// A value as it would be written; empty for tables.
    pub(crate) example: &'static str,
}

/// A table of the format.
#[derive(Debug)]
pub(crate) struct Table {
    /// How it is headed: `[find]`, `[[part.winding]]`.
    pub(crate) heading: &'static str,
    /// What it is, in a few words.
    pub(crate) words: &'static str,
    /// Its keys in the order they are written.
    pub(crate) keys: &'static [Key],
}

const fn may(name: &'static str, kind: Kind, example: &'static str, words: &'static str) -> Key {
    Key {
        name,
        kind,
        required: false,
        words,
        example,
    }
}

const fn must(name: &'static str, kind: Kind, example: &'static str, words: &'static str) -> Key {
    Key {
        name,
        kind,
        required: true,
        words,
        example,
    }
}

const fn table(name: &'static str, table: &'static Table) -> Key {
    may(name, Kind::Table(table), "", table.words)
}

const fn tables(name: &'static str, table: &'static Table) -> Key {
    may(name, Kind::Tables(table), "", table.words)
}

/// Terminals in brackets.
const TERMINALS: Kind = List(&Terminal);

/// The whole sheet.
pub(crate) static SHEET: Table = Table {
    heading: "the sheet",
    words: "a find as one text",
    keys: &[
        must("sheet", Whole, "1", "version of this format"),
        Key {
            required: true,
            ..table("find", &FIND)
        },
        table("plate", &PLATE),
        tables("part", &PART),
        tables("gang", &GANG),
        tables("lead", &LEAD),
        tables("join", &JOIN),
        table("kit", &KIT),
        tables("instrument", &INSTRUMENT),
        tables("setup", &SETUP),
        tables("reading", &READING),
        tables("damage", &DAMAGE),
        tables("note", &NOTE),
    ],
};

/// What is wrong with the version, when nothing else is worth telling.
pub(crate) fn version_problem(root: &DeTable<'_>) -> Option<Found> {
    let value = root.get("sheet")?;
    let DeValue::Integer(number) = value.get_ref() else {
        return None;
    };
    let version = i64::from_str_radix(number.as_str(), number.radix()).ok();
    if version == Some(i64::from(VERSION)) {
        return None;
    }
    let newer = version.is_none_or(|v| v > i64::from(VERSION));
    Some(Found {
        at: value.span().start,
        path: "sheet".into(),
        what: format!("this is a sheet of version {number}; this program knows version {VERSION}"),
        remedy: if newer {
            "read it with a newer program".into()
        } else {
            format!("write `sheet = {VERSION}`")
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use gear::PlateField;

    #[test]
    fn every_plate_field_is_a_key() {
        for field in PlateField::ALL {
            let key = field.word().replace(' ', "_");
            assert!(PLATE.keys.iter().any(|k| k.name == key), "{key}");
        }
        assert_eq!(
            PLATE.keys.len(),
            PlateField::ALL.len() + 3,
            "text, phases and marks beside them"
        );
    }

    #[test]
    fn every_key_of_a_part_belongs_to_a_kind() {
        for key in PART.keys {
            let known = ANY_PART.contains(&key.name)
                || PART_KINDS.iter().any(|(_, keys)| keys.contains(&key.name));
            assert!(known, "{}", key.name);
        }
    }
}
