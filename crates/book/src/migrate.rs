//! Lays out new books and brings older ones up to this version, with a copy made before.

use crate::open::{APPLICATION, system};
use crate::{BookError, Kind, backup, texts};
use rusqlite::{Connection, Transaction, TransactionBehavior};
use std::path::{Path, PathBuf};

/// The version of the store this program writes (the file's `user_version`).
pub const VERSION: u32 = 2;

/// The newest layout.
const LAYOUT: &str = include_str!("schema/v2.sql");

/// Step by step: the first brings version 0 to version 1. What is derived is made anew after the last.
const STEPS: [&str; VERSION as usize] = [
    include_str!("schema/v0_to_v1.sql"),
    include_str!("schema/v1_to_v2.sql"),
];

/// Lays out an empty file as a book.
pub(crate) fn lay_out(connection: &Connection) -> rusqlite::Result<()> {
    let transaction = connection.unchecked_transaction()?;
    transaction.execute_batch(LAYOUT)?;
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", VERSION)?;
    transaction.commit()?;
    // So that the file alone is the book from the start.
    connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
}

/// Refuses what is no book or is too new; brings up what is older.
pub(crate) fn bring_up(
    connection: &mut Connection,
    path: &Path,
    place: &str,
    read_only: bool,
) -> Result<(), BookError> {
    let store = |e: rusqlite::Error| BookError::of_store(place, &e);
    let application: i32 = connection
        .pragma_query_value(None, "application_id", |row| row.get(0))
        .map_err(store)?;
    if application != APPLICATION {
        return Err(BookError::new(
            Kind::NoBook,
            place,
            "this is a store of another program, no book",
            "look at the path; a book is made with `windfall book new`",
        ));
    }
    let version = version(connection).map_err(store)?;
    if version == VERSION {
        return Ok(());
    }
    if version > VERSION {
        return Err(BookError::new(
            Kind::Newer,
            place,
            format!("the book is of version {version}, this program knows {VERSION}"),
            "open it with a newer program; nothing was changed",
        ));
    }
    if read_only {
        return Err(BookError::new(
            Kind::ReadOnly,
            place,
            format!("the book is of version {version} and must be brought up to {VERSION} first"),
            "take a copy of it to a place that can be written, and open that",
        ));
    }
    backup::copy(connection, &copy_beside(path)?, place)?;
    let transaction = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(store)?;
    step_up(&transaction, place)?;
    transaction.commit().map_err(store)
}

fn version(connection: &Connection) -> rusqlite::Result<u32> {
    connection.pragma_query_value(None, "user_version", |row| row.get(0))
}

/// All steps in one transaction: either the book is brought up, or it is as it was. Looks again, since somebody may have been faster.
fn step_up(transaction: &Transaction<'_>, place: &str) -> Result<(), BookError> {
    let store = |e: rusqlite::Error| BookError::of_store(place, &e);
    let from = version(transaction).map_err(store)?;
    if from >= VERSION {
        return Ok(());
    }
    for step in STEPS.iter().skip(from as usize) {
        transaction.execute_batch(step).map_err(store)?;
    }
    transaction
        .pragma_update(None, "user_version", VERSION)
        .map_err(store)?;
    texts::derive_anew(transaction, place)
}

/// A name for the copy that is not taken: `NAME.before-v2.sqlite`, then `NAME.before-v2-2.sqlite`.
fn copy_beside(path: &Path) -> Result<PathBuf, BookError> {
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned());
    let stem = stem.unwrap_or_else(|| "book".to_owned());
    let name = |n: u32| match n {
        1 => format!("{stem}.before-v{VERSION}.sqlite"),
        n => format!("{stem}.before-v{VERSION}-{n}.sqlite"),
    };
    (1..1000)
        .map(|n| path.with_file_name(name(n)))
        .find(|candidate| !candidate.exists())
        .ok_or_else(|| {
            let error = std::io::Error::from(std::io::ErrorKind::AlreadyExists);
            system(&path.display().to_string(), &error)
        })
}
