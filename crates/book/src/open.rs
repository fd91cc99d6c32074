//! Opens and makes books: what the file is, whether it is whole, whether it may be written, and how the store is set.

use crate::state::State;
use crate::turns::Turns;
use crate::{BookError, EntryId, FindId, Kind, migrate, rows};
use rusqlite::{Connection, OpenFlags};
use std::collections::HashMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// The word by which a book is told from other stores of the same kind: "WFbk".
pub(crate) const APPLICATION: i32 = i32::from_be_bytes(*b"WFbk");

/// How long another program's writing is waited for. Our choice: a backup of a great book takes a second or two.
const PATIENCE: Duration = Duration::from_secs(10);

/// A book, open. May be shared between threads; writing is done one after the other, reading beside it.
pub struct Book {
    path: Option<PathBuf>,
    pub(crate) place: String,
    read_only: bool,
    /// Apart, so that nobody who looks waits for somebody who writes. Stands before the writer, because it must be closed first: only a
    /// connection that may write takes the log into the file when it is the last to go.
    reader: Option<Mutex<Connection>>,
    writer: Mutex<Connection>,
    pub(crate) turns: Turns,
    /// States as last asked for.
    pub(crate) states: Mutex<HashMap<FindId, Arc<State>>>,
    /// States as last written: changed in place, so that a reading behind thousands costs no copy of them.
    pub(crate) drafts: Mutex<HashMap<FindId, State>>,
    pub(crate) newest: Mutex<EntryId>,
    pub(crate) news: Condvar,
}

impl std::fmt::Debug for Book {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Book({})", self.place)
    }
}

/// What a lock holds, also where a thread went down with it: every change of the store is whole or not there.
pub(crate) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Book {
    /// Opens a book that is there. A book of an older version is brought up to this one; before that a copy `NAME.before-v2.sqlite` (the
    /// number is the new version's) is laid beside it.
    /// # Errors
    /// [`Kind::Missing`], [`Kind::NoBook`], [`Kind::Damaged`] (cut short), [`Kind::Newer`], [`Kind::Busy`] and what the system says.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, BookError> {
        Self::opened(path.as_ref(), false)
    }

    /// Opens a book to read it only.
    /// # Errors
    /// As [`Book::open`]; also [`Kind::ReadOnly`] where it is of an older version and would have to be brought up first.
    pub fn open_to_read(path: impl AsRef<Path>) -> Result<Self, BookError> {
        Self::opened(path.as_ref(), true)
    }

    /// Makes a new book; its folder too.
    /// # Errors
    /// [`Kind::Taken`] where a file of that name is there; what the system says.
    pub fn create(path: impl AsRef<Path>) -> Result<Self, BookError> {
        let path = path.as_ref();
        let place = path.display().to_string();
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(|e| system(&place, &e))?;
        }
        File::options()
            .write(true)
            .create_new(true)
            .open(path)
            .map_err(|e| system(&place, &e))?;
        let made = connect(path, false)
            .and_then(|connection| migrate::lay_out(&connection))
            .map_err(|e| BookError::of_store(&place, &e));
        if let Err(error) = made {
            // Nothing was in it yet; a half-made book would only stand in the way.
            let _ = std::fs::remove_file(path);
            return Err(error);
        }
        Self::open(path)
    }

    /// Opens the book, or makes it where there is none.
    /// # Errors
    /// As [`Book::open`] and [`Book::create`].
    pub fn open_or_create(path: impl AsRef<Path>) -> Result<Self, BookError> {
        let path = path.as_ref();
        match Self::open(path) {
            Err(e) if e.kind == Kind::Missing => match Self::create(path) {
                // Somebody else was faster.
                Err(e) if e.kind == Kind::Taken => Self::open(path),
                made => made,
            },
            opened => opened,
        }
    }

    /// A book that is gone when it is closed; for tests and demonstrations.
    /// # Errors
    /// What the store says.
    pub fn in_memory() -> Result<Self, BookError> {
        let place = "a book in memory";
        let made = || -> rusqlite::Result<Connection> {
            let connection = Connection::open_in_memory()?;
            set(&connection)?;
            migrate::lay_out(&connection)?;
            Ok(connection)
        };
        let writer = made().map_err(|e| BookError::of_store(place, &e))?;
        Ok(Self::around(None, place.to_owned(), false, writer, None))
    }

    /// The file, unless it is in memory.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Whether it can only be read.
    pub fn is_read_only(&self) -> bool {
        self.read_only
    }

    fn opened(path: &Path, to_read: bool) -> Result<Self, BookError> {
        let place = path.display().to_string();
        look_at_file(path, &place)?;
        let store = |e: rusqlite::Error| BookError::of_store(&place, &e);
        let mut writer = connect(path, to_read).map_err(store)?;
        let read_only = to_read || writer.is_readonly("main").map_err(store)?;
        migrate::bring_up(&mut writer, path, &place, read_only)?;
        let reader = connect(path, true).map_err(store)?;
        let newest = rows::newest(&reader).map_err(store)?;
        let path = Some(path.to_path_buf());
        let book = Self::around(path, place, read_only, writer, Some(reader));
        *locked(&book.newest) = newest;
        Ok(book)
    }

    fn around(
        path: Option<PathBuf>,
        place: String,
        read_only: bool,
        writer: Connection,
        reader: Option<Connection>,
    ) -> Self {
        Self {
            path,
            place,
            read_only,
            writer: Mutex::new(writer),
            reader: reader.map(Mutex::new),
            turns: Turns::default(),
            states: Mutex::default(),
            drafts: Mutex::default(),
            newest: Mutex::default(),
            news: Condvar::new(),
        }
    }

    /// The one connection that writes.
    pub(crate) fn writer(&self) -> MutexGuard<'_, Connection> {
        locked(&self.writer)
    }

    /// A connection to read with.
    pub(crate) fn reader(&self) -> MutexGuard<'_, Connection> {
        self.reader.as_ref().map_or_else(|| self.writer(), locked)
    }

    pub(crate) fn store(&self, error: &rusqlite::Error) -> BookError {
        BookError::of_store(&self.place, error)
    }

    /// Told before any writing is tried.
    pub(crate) fn may_write(&self) -> Result<(), BookError> {
        if !self.read_only {
            return Ok(());
        }
        Err(BookError::new(
            Kind::ReadOnly,
            &self.place,
            "the book can be read and not written; nothing was written",
            "give yourself the right to write the file and its folder, or take a copy of it",
        ))
    }
}

/// An error of the system with a file.
pub(crate) fn system(place: &str, error: &std::io::Error) -> BookError {
    use std::io::ErrorKind as E;
    let (kind, what, remedy) = match error.kind() {
        E::NotFound => (
            Kind::Missing,
            "there is no book".to_owned(),
            "look at the path, or make one with `windfall book new`",
        ),
        E::AlreadyExists => (
            Kind::Taken,
            "a file of that name is there already".to_owned(),
            "choose another name; nothing is written over",
        ),
        E::PermissionDenied => (
            Kind::ReadOnly,
            error.to_string(),
            "give yourself the right to read and write the file and its folder",
        ),
        E::StorageFull => (
            Kind::Full,
            "there is no room left on the disk".to_owned(),
            "make room and do it again",
        ),
        _ => (
            Kind::Failed,
            error.to_string(),
            "choose a place that can be read and written",
        ),
    };
    BookError::new(kind, place, what, remedy)
}

/// Whether the file can be a book, and whether it is as long as it says: the store itself would notice a missing end only when it reads there.
fn look_at_file(path: &Path, place: &str) -> Result<(), BookError> {
    let no_book = |what: &str| {
        let remedy = "look at the path; a book is made with `windfall book new`";
        BookError::new(Kind::NoBook, place, what, remedy)
    };
    let mut file = File::open(path).map_err(|e| system(place, &e))?;
    let about = file.metadata().map_err(|e| system(place, &e))?;
    if about.is_dir() {
        return Err(no_book("this is a folder, no book"));
    }
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    let pending = std::fs::metadata(log).is_ok_and(|m| m.len() > 0);
    let mut head = [0; HEAD];
    if let Err(error) = file.read_exact(&mut head) {
        if error.kind() != std::io::ErrorKind::UnexpectedEof {
            return Err(system(place, &error));
        }
        return match (about.len(), pending) {
            (_, true) => Ok(()),
            (0, false) => Err(no_book("the file is empty, no book")),
            (_, false) => Err(no_book("this is no book")),
        };
    }
    if !head.starts_with(b"SQLite format 3\0") {
        return Err(no_book("this is no book"));
    }
    let page = match u64::from(u16::from_be_bytes([head[16], head[17]])) {
        1 => 65_536,
        size => size,
    };
    let pages = u64::from(u32::from_be_bytes([head[28], head[29], head[30], head[31]]));
    if about.len() < page * pages && !pending {
        return Err(BookError::new(
            Kind::Damaged,
            place,
            format!(
                "the file is cut short: {} bytes of {}",
                about.len(),
                page * pages
            ),
            "put it aside as it is, and go on with the last backup",
        ));
    }
    Ok(())
}

/// Length of the head of the file; where page size and number of pages stand in it: SQLite, "Database File Format", 1.3.
const HEAD: usize = 100;

fn connect(path: &Path, to_read: bool) -> rusqlite::Result<Connection> {
    let way = if to_read {
        OpenFlags::SQLITE_OPEN_READ_ONLY
    } else {
        OpenFlags::SQLITE_OPEN_READ_WRITE
    };
    let connection = Connection::open_with_flags(path, way | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    set(&connection)?;
    let readable = connection.query_row("PRAGMA schema_version", [], |_| Ok(()));
    if let Err(error) = readable {
        let barred = matches!(
            error.sqlite_error_code(),
            Some(rusqlite::ErrorCode::CannotOpen | rusqlite::ErrorCode::ReadOnly)
        );
        return if barred { alone(path) } else { Err(error) };
    }
    if !to_read && !connection.is_readonly("main")? {
        connection.query_row("PRAGMA journal_mode = WAL", [], |_| Ok(()))?;
    }
    Ok(connection)
}

/// A book in a folder where nothing can be written, not even the marks by which readers and writers see each other.
fn alone(path: &Path) -> rusqlite::Result<Connection> {
    let escaped: String = path
        .to_string_lossy()
        .chars()
        .map(|c| match c {
            '%' | '?' | '#' => format!("%{:02X}", u32::from(c)),
            c => c.to_string(),
        })
        .collect();
    let connection = Connection::open_with_flags(
        format!("file:{escaped}?immutable=1"),
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI,
    )?;
    set(&connection)?;
    Ok(connection)
}

fn set(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(PATIENCE)?;
    connection.set_prepared_statement_cache_capacity(64);
    // Full: what was acknowledged is on the disk, not only on its way there.
    connection.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF;",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Filter, Moment, New, What};

    fn note(n: u32) -> What {
        What::put(format!(
            "[[note]]\ntext = \"note {n} {}\"\n",
            "long ".repeat(200)
        ))
    }

    fn book() -> (Book, FindId, Moment) {
        let book = Book::in_memory().unwrap();
        let at = Moment::new("2026-11-25 21:40:05", 0);
        let start = "sheet = 1\n[find]\nname = \"crate find\"\n";
        let (find, _) = book.start(start, None, &at).unwrap();
        (book, find, at)
    }

    #[test]
    fn a_full_disk_is_told_and_nothing_is_lost() {
        let (book, find, at) = book();
        let pages: u32 = {
            let writer = book.writer();
            let pages: u32 = writer
                .query_row("PRAGMA page_count", [], |row| row.get(0))
                .unwrap();
            let limit = format!("PRAGMA max_page_count = {}", pages + 4);
            writer.query_row(&limit, [], |_| Ok(())).unwrap();
            pages
        };
        let mut taken = 0;
        let error = loop {
            match book.append(New::of(find, at.clone(), note(taken))) {
                Ok(_) => taken += 1,
                Err(error) => break error,
            }
        };
        assert_eq!(error.kind, Kind::Full, "{error}");
        assert!(error.to_string().contains("make room"), "{error}");
        assert_eq!(book.find(find).unwrap().find.notes.len(), taken as usize);
        assert!(book.verify().unwrap().is_sound());
        let more = format!("PRAGMA max_page_count = {}", pages + 1000);
        book.writer().query_row(&more, [], |_| Ok(())).unwrap();
        book.append(New::of(find, at, note(taken))).unwrap();
        assert_eq!(
            book.find(find).unwrap().find.notes.len(),
            taken as usize + 1
        );
    }

    #[test]
    fn entries_cannot_be_changed_or_erased() {
        let (book, ..) = book();
        for sql in [
            "UPDATE entries SET what = '{}'",
            "DELETE FROM entries",
            "DELETE FROM finds",
        ] {
            let error = book.writer().execute(sql, []).unwrap_err();
            assert!(error.to_string().contains("never"), "{sql}: {error}");
        }
    }

    #[test]
    fn who_is_kept_out_for_too_long_is_told() {
        let folder = std::env::temp_dir().join(format!("book-busy-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join("book.sqlite");
        let one = Book::create(&path).unwrap();
        let other = Book::open(&path).unwrap();
        other
            .writer()
            .busy_timeout(std::time::Duration::from_millis(1))
            .unwrap();
        let held = one.writer();
        held.execute_batch("BEGIN IMMEDIATE").unwrap();
        let at = Moment::new("2026-11-25 21:40:05", 0);
        let sheet = "sheet = 1\n[find]\nname = \"x\"\n";
        let error = other.start(sheet, None, &at).unwrap_err();
        assert_eq!(error.kind, Kind::Busy, "{error}");
        assert_eq!(other.finds(&Filter::default()).unwrap(), []);
        held.execute_batch("ROLLBACK").unwrap();
        other.start(sheet, None, &at).unwrap();
        drop(held);
        drop((one, other));
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
