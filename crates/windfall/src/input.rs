//! Finds a find in a sheet or in the book, writes files, prints: where the command line touches the outside.

use crate::arguments::Where;
use crate::failure::Failure;
use crate::place;
use crate::progress;
use book::{Book, EntryId, FindId, New, What};
use gear::{Find, Reading};
use judgement::{Brief, Judge};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Largest sheet read; a find with a thousand readings is a tenth of this.
const LARGEST: u64 = 8 * 1024 * 1024;

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
        book: Book,
        id: FindId,
        slug: String,
        /// The newest entry known; none of a find as it stood once.
        newest: Option<EntryId>,
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
            Kept::Book { slug, .. } => format!("--find {slug}"),
        }
    }

    /// Stores what was judged in the book it came from, so that it can be derived again. A book that can only be read stays as it is, and
    /// so does what is not told anew.
    pub(crate) fn store(&self, judge: &Judge) -> Result<(), Failure> {
        let Kept::Book {
            book,
            id,
            newest: Some(newest),
            ..
        } = &self.kept
        else {
            return Ok(());
        };
        let told =
            |e: serde_json::Error| Failure::Program(format!("cannot be written as JSON: {e}"));
        let judged = book::Judged {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            at_entry: *newest,
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
                let text = text(path)?;
                let longer =
                    sheet::append_readings(&text, readings).map_err(|p| faults(path, &p))?;
                exchange(path, &longer)
            }
            Kept::Book { newest: None, .. } => Err(Failure::input(format!(
                "{}: what a find was once takes no readings; leave --at out",
                self.name
            ))),
            Kept::Book {
                book, id, newest, ..
            } => {
                let new = New {
                    seen: *newest,
                    ..New::of(*id, place::now(), What::put(""))
                };
                let added = book.append_readings(new, readings);
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
    if let Some(entry) = at.at
        && state.newest.0 == 0
    {
        return Err(Failure::input(format!(
            "{name}: had not begun at entry {entry}; look at `windfall book history {}`",
            state.slug
        )));
    }
    Ok(Given {
        find: state.find.clone(),
        name,
        kept: Kept::Book {
            id,
            slug: state.slug.clone(),
            newest: at.at.is_none().then_some(state.newest),
            book,
        },
    })
}

/// Reads a sheet; `-` is standard input. Every fault of it becomes a line with file, line and column.
pub(crate) fn of_sheet(path: &Path) -> Result<Given, Failure> {
    let text = text(path)?;
    Ok(Given {
        find: sheet::read(&text).map_err(|problems| faults(path, &problems))?,
        name: path.display().to_string(),
        kept: Kept::Sheet(path.to_owned()),
    })
}

/// Every fault of a file as a line that begins with its path.
pub(crate) fn faults<P: std::fmt::Display>(path: &Path, problems: &[P]) -> Failure {
    let lines = problems.iter().map(|p| format!("{}: {p}", path.display()));
    Failure::Input(lines.collect())
}

/// Judges a find, charts and all; says that it is at it when it takes more than a second and somebody is watching.
pub(crate) fn judge(find: Find) -> Judge {
    let words = match find.readings.len() {
        0 => "judging the find".to_owned(),
        1 => "judging 1 reading".to_owned(),
        n => format!("judging {n} readings"),
    };
    progress::watched(&words, || {
        let judge = Judge::new(find);
        judge.judgement();
        judge
    })
}

/// Reads a text file; `-` is standard input.
pub(crate) fn text(path: &Path) -> Result<String, Failure> {
    let wrong = |e: std::io::Error| {
        let remedy = if e.kind() == std::io::ErrorKind::NotFound {
            "look at the path, or start one with `windfall new`"
        } else {
            "see that it can be read"
        };
        Failure::input(format!("{}: {e}; {remedy}", path.display()))
    };
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin()
            .lock()
            .take(LARGEST + 1)
            .read_to_end(&mut bytes)
            .map_err(wrong)?;
    } else {
        std::fs::File::open(path)
            .map_err(wrong)?
            .take(LARGEST + 1)
            .read_to_end(&mut bytes)
            .map_err(wrong)?;
    }
    if bytes.len() as u64 > LARGEST {
        return Err(Failure::input(format!(
            "{}: larger than 8 MiB; a sheet is a text of a few pages, is this one?",
            path.display()
        )));
    }
    String::from_utf8(bytes).map_err(|e| {
        let line = 1 + e.as_bytes()[..e.utf8_error().valid_up_to()]
            .iter()
            .filter(|b| **b == b'\n')
            .count();
        Failure::input(format!(
            "{}: line {line}: not UTF-8 text; save the file as UTF-8",
            path.display()
        ))
    })
}

/// Writes a file, making its folder.
pub(crate) fn write(path: &Path, text: &str) -> Result<(), Failure> {
    let wrong = |e: std::io::Error| {
        Failure::input(format!(
            "{}: {e}; choose a place that can be written",
            path.display()
        ))
    };
    if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(wrong)?;
    }
    std::fs::write(path, text).map_err(wrong)
}

/// Puts a text in the place of a file's: whoever reads meanwhile, or after the power went, has the old one or the new one.
pub(crate) fn exchange(path: &Path, text: &str) -> Result<(), Failure> {
    let wrong = |e: std::io::Error| {
        Failure::input(format!(
            "{}: {e}; nothing was changed; see that its folder can be written",
            path.display()
        ))
    };
    // A name that leads elsewhere stays one.
    let path = &path.canonicalize().map_err(wrong)?;
    let mut beside = path.clone().into_os_string();
    beside.push(format!(".{}.new", std::process::id()));
    let beside = std::path::PathBuf::from(beside);
    let put = || {
        let mut file = std::fs::File::options()
            .write(true)
            .create_new(true)
            .open(&beside)?;
        file.set_permissions(std::fs::metadata(path)?.permissions())?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&beside, path)
    };
    put().map_err(|e| {
        // What could not be put in place is not left about; if that fails too, the first failure is the one to tell.
        let _ = std::fs::remove_file(&beside);
        wrong(e)
    })
}

/// Writes a file that must not be there yet.
pub(crate) fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let wrong =
        |e: std::io::Error| Failure::input(format!("{}: {e}; choose another name", path.display()));
    let mut file = std::fs::File::options()
        .write(true)
        .create_new(true)
        .open(path)
        .map_err(wrong)?;
    file.write_all(text.as_bytes()).map_err(wrong)
}

/// Prints to standard output; a closed pipe is not a failure.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    let ended = if text.ends_with('\n') { "" } else { "\n" };
    match write!(out, "{text}{ended}").and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::Program(format!("standard output: {e}")))
        }
        _ => Ok(()),
    }
}

/// Prints as JSON.
pub(crate) fn print_json<T: serde::Serialize>(value: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|e| Failure::Program(format!("cannot be written as JSON: {e}")))?;
    print(&text)
}
