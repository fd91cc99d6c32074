//! A judgement in words people read: HTML fragments, the self-contained report, and plain text.
//!
//! Pure functions of [`judgement::Judgement`] and of drawings that are ready: no formula and no rounding here, both were done below.
//! Every function gives one piece of a page ([`readings_table`], [`plate_section`], [`caution_notes`] ...), so that the report and the
//! live page say the same in the same shape. [`document`] puts them together into one file that fetches nothing and runs no script;
//! [`text()`] says the same for a terminal, [`text`](mod@text) its sections one by one. [`style`] is the one stylesheet.
//!
//! Fragments that differ on the live page have a slot: the acts of an argument, the places the sections lead to, what stands over a
//! drawing. What a script needs to move has `data-` names: `data-reading` on a row, `data-predicted` on its prediction.

mod arguments;
mod behaviour;
mod cautions;
mod document;
pub mod drawings;
mod explain;
mod figure;
mod head;
mod learned;
mod next;
mod plate;
mod ranking;
mod readings;
mod signs;
mod spread;
mod style;
mod terms;
pub mod text;
mod tracing;
mod unlocks;
mod wiring;
mod words;

#[cfg(test)]
mod sample;

pub use arguments::argument_notes;
pub use behaviour::{behaviour_section, travel_drawing};
pub use cautions::{caution_note, caution_notes, cautions_folded, cautions_without_section};
pub use document::{Drawings, Made, Schematic, document};
pub use explain::how_it_works;
pub use head::{Section, running_head};
pub use learned::learned_table;
pub use next::next_note;
pub use plate::{deductions_table, plate_contradictions, plate_fields, plate_section};
pub use ranking::{ranking_leads, ranking_note, repeat_line};
pub use readings::{SetupWords, foot_lines, readings_summary, readings_table};
pub use signs::{signs, verdict, verdict_counted};
pub use spread::Spread;
pub use style::style;
pub use terms::{Term, glossary, glossary_markdown, meanings_used, term, term_meanings, terms};
pub use text::all as text;
pub use tracing::tracing_notes;
pub use unlocks::unlock_list;
pub use wiring::{joins_table, schematic_figure, wiring_faults};
pub use words::{probability, verdict_word};
