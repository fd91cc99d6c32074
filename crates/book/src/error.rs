//! What can go wrong with a book: a kind for programs, and place, what and remedy for people.

use rusqlite::ErrorCode;
use sheet::Problem;

/// What sort of trouble it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// What was to be written makes no sense there.
    Refused,
    /// No such find, entry or photo.
    Unknown,
    /// The file is not there.
    Missing,
    /// A file of that name, or a noun of that number, is there already.
    Taken,
    /// Somebody else holds the book for too long.
    Busy,
    /// The book can be read and not written.
    ReadOnly,
    /// There is no room on the disk.
    Full,
    /// The file is no book.
    NoBook,
    /// A newer program wrote it.
    Newer,
    /// The file is damaged.
    Damaged,
    /// Anything else of the system or of this program.
    Failed,
}

/// An error of the book: where, what is wrong, what to do.
#[derive(Debug)]
pub struct BookError {
    /// The sort of trouble.
    pub kind: Kind,
    /// Where: the file, the find, the entry.
    pub place: String,
    /// What is wrong, lower case, no full stop.
    pub what: String,
    /// What to do.
    pub remedy: String,
    /// Where a text was refused: each of its problems, with line and column of that text.
    pub problems: Vec<Problem>,
}

impl BookError {
    pub(crate) fn new(
        kind: Kind,
        place: impl std::fmt::Display,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            kind,
            place: place.to_string(),
            what: what.into(),
            remedy: remedy.into(),
            problems: Vec::new(),
        }
    }

    /// A text refused, with its problems.
    pub(crate) fn refused(place: impl std::fmt::Display, problems: Vec<Problem>) -> Self {
        let first = problems.first();
        let more = match problems.len() {
            0 | 1 => String::new(),
            many => format!(" (and {} more)", many - 1),
        };
        Self {
            kind: Kind::Refused,
            place: place.to_string(),
            what: first.map_or_else(
                || "makes no sense".to_owned(),
                |p| format!("{}{more}", p.what),
            ),
            remedy: first.map_or_else(|| "correct it".to_owned(), |p| p.remedy.clone()),
            problems,
        }
    }

    /// An error of the store, in our words. `place` is the file.
    pub(crate) fn of_store(place: &str, error: &rusqlite::Error) -> Self {
        let code = error.sqlite_error_code();
        let (kind, what, remedy) = match code {
            Some(ErrorCode::DiskFull) => (
                Kind::Full,
                "there is no room left on the disk; nothing was written".to_owned(),
                "make room and do it again; what was recorded before is safe",
            ),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
                Kind::Busy,
                "another program has been writing in the book for too long; nothing was written"
                    .to_owned(),
                "wait until it is done, or close it, and do it again",
            ),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => (
                Kind::ReadOnly,
                "the book can be read and not written; nothing was written".to_owned(),
                "give yourself the right to write the file and its folder, or take a copy of it",
            ),
            Some(ErrorCode::DatabaseCorrupt) => (
                Kind::Damaged,
                format!("the file is damaged ({error})"),
                "put a copy of it aside, look with `windfall book verify` what can be read, and go on with the last backup",
            ),
            Some(ErrorCode::NotADatabase) => (
                Kind::NoBook,
                "this is no book".to_owned(),
                "look at the path; a book is made with `windfall book new`",
            ),
            Some(ErrorCode::CannotOpen) => (
                Kind::Missing,
                "the book cannot be opened".to_owned(),
                "see that the folder is there and can be written",
            ),
            Some(ErrorCode::SystemIoFailure) => (
                Kind::Failed,
                format!("the disk does not answer as it should ({error}); nothing was written"),
                "look at the disk, and make a backup on another one",
            ),
            _ => (
                Kind::Failed,
                format!("the store failed ({error}); nothing was written"),
                "do it again; should it fail again, keep a copy of the file and report it",
            ),
        };
        Self::new(kind, place, what, remedy)
    }
}

impl std::fmt::Display for BookError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: ", self.place)?;
        match self.problems.as_slice() {
            [] => write!(f, "{}; {}", self.what, self.remedy),
            problems => {
                for (i, problem) in problems.iter().enumerate() {
                    let gap = if i == 0 { "" } else { "\n" };
                    write!(f, "{gap}{problem}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for BookError {}
