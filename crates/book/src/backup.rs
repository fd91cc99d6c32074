//! A copy of the book as it is at one moment, made while others go on reading and writing.

use crate::open::system;
use crate::{Book, BookError};
use rusqlite::Connection;
use std::fs::File;
use std::path::Path;

impl Book {
    /// Copies the book as it is now to a file that must not be there yet. The copy is whole or not there: it is made under another name
    /// (`TO.part`), laid on the disk, and given its name last.
    /// # Errors
    /// [`crate::Kind::Taken`], [`crate::Kind::Full`] and what the system says.
    pub fn backup(&self, to: impl AsRef<Path>) -> Result<(), BookError> {
        copy(&self.reader(), to.as_ref(), &self.place)
    }
}

pub(crate) fn copy(connection: &Connection, to: &Path, place: &str) -> Result<(), BookError> {
    let there = to.display().to_string();
    if to.exists() {
        return Err(system(&there, &std::io::ErrorKind::AlreadyExists.into()));
    }
    if let Some(folder) = to.parent().filter(|f| !f.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(|e| system(&there, &e))?;
    }
    let mut part = to.as_os_str().to_owned();
    part.push(".part");
    let part = Path::new(&part);
    // Left over from a copy that was cut off; of no use to anybody.
    let _ = std::fs::remove_file(part);
    let made = connection
        .execute("VACUUM INTO ?1", [part.to_string_lossy()])
        .map_err(|e| {
            let whose = if matches!(
                e.sqlite_error_code(),
                Some(rusqlite::ErrorCode::DatabaseCorrupt)
            ) {
                place
            } else {
                &there
            };
            BookError::of_store(whose, &e)
        })
        .and_then(|_| {
            File::open(part)
                .and_then(|file| file.sync_all())
                .and_then(|()| std::fs::hard_link(part, to).or_else(|_| std::fs::rename(part, to)))
                .map_err(|e| system(&there, &e))
        });
    let _ = std::fs::remove_file(part);
    made
}
