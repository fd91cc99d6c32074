//! The sheet: a find as one text file that can be written by hand, read, compared and mailed.
//!
//! ```
//! let text = "sheet = 1\n[find]\nname = \"crate find\"\n[plate]\ntext = \"2 kVA 230 V\"\n";
//! let find = sheet::read(text)?;
//! assert_eq!(find.name, "crate find");
//! assert_eq!(sheet::read(&sheet::write(&find))?, find);
//!
//! let problems = sheet::read("sheet = 1\n[find]\nnmae = \"crate find\"\n").unwrap_err();
//! assert_eq!(problems[0].to_string(), "line 3, column 1: unknown key `nmae` in [find]; did you mean `name`?");
//! # Ok::<(), Vec<sheet::Problem>>(())
//! ```
//!
//! [`read`] tells every [`Problem`] of a text at once, each with line, column and remedy; [`write()`] gives the one canonical text of a find.
//! [`mod@fragment`] does both for single nouns, which is what a store keeps when one thing was changed.
//! [`append_reading`], [`append_setup`], [`put()`], [`take_out`], [`set_struck`] and [`set_kept`] change a text somebody wrote and leave all
//! else in it alone; [`typed`] is a noun as the fields of a form. [`schema`] prints the
//! format as a JSON Schema; `docs/sheet.md` tells it in words. All of them come from one table of keys, in `keys`.
//!
//! Reading goes in three passes: the TOML itself, the shape (keys, types, written forms), the sense ([`gear::Find::faults`]).
//! Knows no file: who calls brings the text.

mod build;
pub mod csv;
mod edit;
pub mod fragment;
mod keys;
mod nouns;
mod paths;
mod problem;
mod schema;
mod shape;
pub mod typed;
mod write;

pub use edit::{
    append_reading, append_readings, append_setup, put, set_kept, set_struck, take_out,
};
pub use fragment::Fragment;
pub use nouns::{block_of, count};
pub use problem::Problem;
pub use schema::schema;
pub use write::write;

use gear::Find;
use problem::Found;
use toml::Spanned;
use toml::de::DeTable;

/// The version of the format this crate reads and writes; the value of the key `sheet`.
pub const VERSION: u32 = 1;

/// Reads a sheet.
/// # Errors
/// Every problem of the text, in its order. Where the TOML itself is broken only that is told, because the rest may be a consequence.
pub fn read(text: &str) -> Result<Find, Vec<Problem>> {
    let (root, mut found, broken) = parse(text);
    if broken {
        return Err(problem::located(text, found));
    }
    match keys::version_problem(root.get_ref()) {
        Some(problem) => return Err(problem::located(text, vec![problem])),
        None => shape::check(text, &root, &mut found),
    }
    let (find, paths) = build::find(text, &root);
    let faults = find
        .faults()
        .into_iter()
        .filter(|fault| !paths.follows_from(fault, &found))
        .collect::<Vec<_>>();
    found.extend(faults.into_iter().map(|fault| paths.locate(fault)));
    if found.is_empty() {
        Ok(find)
    } else {
        Err(problem::located(text, found))
    }
}

/// The TOML tree, what is wrong with it as TOML, and whether that makes the rest unreadable.
fn parse(text: &str) -> (Spanned<DeTable<'_>>, Vec<Found>, bool) {
    let (root, errors) = DeTable::parse_recoverable(text);
    let (found, broken) = problem::of_parser(text, &errors);
    (root, found, broken)
}
