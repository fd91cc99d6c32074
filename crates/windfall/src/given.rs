//! The find a command is given: out of a sheet in a file, or out of the book; and what goes back to where it came from.

use crate::arguments::Where;
use crate::failure::Failure;
use crate::input;
use crate::place;
use book::{Book, EntryId, FindId, New, What};
use gear::{Find, Reading};
use judgement::{Brief, Judge};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A find, and where it came from.
pub(crate) struct Given {
    pub(crate) find: Find,
    /// Where it came from, as messages begin.
    pub(crate) name: String,
    kept: Kept,
}

enum Kept {
    Sheet(PathBuf),
    Book {
        book: Box<Book>,
        id: FindId,
        slug: String,
        /// The book as it was asked for.
        asked: Option<PathBuf>,
        /// The newest entry that says something of the gear.
        entry: EntryId,
        /// Whether there are none newer, as far as is known: the find is not as it stood once.
        of_today: bool,
    },
}

impl Given {
    /// A file of this find beside the sheet, or by its word in the present folder.
    pub(crate) fn file(&self, ending: &str) -> PathBuf {
        match &self.kept {
            Kept::Sheet(path) if path == Path::new("-") => format!("find.{ending}").into(),
            Kept::Sheet(path) => path.with_extension(ending),
            Kept::Book { slug, .. } => format!("{slug}.{ending}").into(),
        }
    }

    /// How this find is named to another command.
    pub(crate) fn argument(&self) -> String {
        match &self.kept {
            Kept::Sheet(path) => path.display().to_string(),
            Kept::Book { slug, asked, .. } => match asked {
                Some(book) => format!("--find {slug} --book {}", book.display()),
                None => format!("--find {slug}"),
            },
        }
    }

    /// The find's word in its book, and the newest entry that says something of the gear.
    pub(crate) fn entry(&self) -> Option<(&str, u64)> {
        match &self.kept {
            Kept::Sheet(_) => None,
            Kept::Book { slug, entry, .. } => Some((slug, entry.0)),
        }
    }

    /// Stores what was judged in the book it came from, so that it can be derived again. A book that can only be read stays as it is, and
    /// so does what is not told anew.
    pub(crate) fn store(&self, judge: &Judge) -> Result<(), Failure> {
        let Kept::Book {
            book,
            id,
            entry,
            of_today: true,
            ..
        } = &self.kept
        else {
            return Ok(());
        };
        let told =
            |e: serde_json::Error| Failure::Program(format!("cannot be written as JSON: {e}"));
        let judged = book::Judged {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            at_entry: *entry,
            priors: serde_json::to_value(judge.priors()).map_err(told)?,
            judgement: serde_json::to_value(Brief::of(judge.promptly())).map_err(told)?,
        };
        match book.judged(*id, &place::now(), judged) {
            Err(error) if error.kind != book::Kind::ReadOnly => Err(place::failure(error)),
            _ => Ok(()),
        }
    }

    /// Adds readings, all or none.
    pub(crate) fn add(&self, readings: &[Reading]) -> Result<(), Failure> {
        match &self.kept {
            Kept::Sheet(path) => {
                let text = input::text(path)?;
                let longer =
                    sheet::append_readings(&text, readings).map_err(|p| input::faults(path, &p))?;
                input::exchange(path, &longer)
            }
            Kept::Book {
                of_today: false, ..
            } => Err(Failure::input(format!(
                "{}: what a find was once takes no readings; leave --at out",
                self.name
            ))),
            Kept::Book {
                book, id, entry, ..
            } => {
                let blocks: Vec<String> =
                    readings.iter().map(sheet::fragment::of_reading).collect();
                let new = New {
                    seen: Some(*entry),
                    ..New::of(*id, place::now(), What::put(blocks.join("\n")))
                };
                let added = book.append_new(new);
                added.map(drop).map_err(place::failure)
            }
        }
    }
}

/// Reads a find from where it is said to be.
pub(crate) fn find(at: &Where) -> Result<Given, Failure> {
    match (&at.find, &at.sheet) {
        (Some(find), None) => of_book(at, find),
        (None, Some(path)) => of_sheet(path),
        (Some(find), Some(path)) => Err(Failure::input(format!(
            "{} and --find {find}: two finds; name one of them",
            path.display()
        ))),
        (None, None) => Err(Failure::input("no find; name a sheet, or --find FIND")),
    }
}

fn of_book(at: &Where, find: &str) -> Result<Given, Failure> {
    let path = place::book(at.book.as_deref())?;
    let book = place::open(&path)?;
    let id = place::find_of(&book, find)?;
    let state = match at.at {
        Some(entry) => book.find_at(id, EntryId(entry)).map(Arc::new),
        None => book.find(id),
    };
    let state = state.map_err(place::failure)?;
    let name = format!("{}: {}", path.display(), state.slug);
    if let Some(entry) = at.at {
        let newest = book.newest().map_err(place::failure)?;
        let wrong = if entry > newest.0 {
            Some(format!(
                "the book has no entry {entry} yet, its newest is {newest}"
            ))
        } else if state.told.0 == 0 {
            Some(format!("had not begun at entry {entry}"))
        } else {
            None
        };
        if let Some(wrong) = wrong {
            let look = format!("look at `windfall book history {}`", state.slug);
            return Err(Failure::input(format!("{name}: {wrong}; {look}")));
        }
    }
    Ok(Given {
        find: state.find.clone(),
        name,
        kept: Kept::Book {
            id,
            slug: state.slug.clone(),
            asked: at.book.clone(),
            entry: state.told,
            of_today: at.at.is_none(),
            book: Box::new(book),
        },
    })
}

/// Reads a sheet; `-` is standard input. Every fault of it becomes a line with file, line and column.
fn of_sheet(path: &Path) -> Result<Given, Failure> {
    let text = input::text(path)?;
    Ok(Given {
        find: sheet::read(&text).map_err(|problems| input::faults(path, &problems))?,
        name: path.display().to_string(),
        kept: Kept::Sheet(path.to_owned()),
    })
}
