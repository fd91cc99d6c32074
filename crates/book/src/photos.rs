//! Pictures: bytes by their digest. What a picture shows of which find is in the entries.

use crate::rows::{counted, stored};
use crate::{Book, BookError, Kind};
use rusqlite::{OptionalExtension, params};
use sha2::{Digest, Sha256};

/// Largest picture taken, bytes; whoever brings it has made it smaller before.
const LARGEST: usize = 16 * 1024 * 1024;

/// What a picture may be; anything else might be taken for a page by whoever it is shown to.
const KINDS: [&str; 3] = ["image/jpeg", "image/png", "image/webp"];

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// `image/jpeg`, `image/png` or `image/webp`.
    pub mime: String,
    /// The bytes.
    pub bytes: Vec<u8>,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
}

/// SHA-256 in hexadecimal figures.
pub(crate) fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect()
}

impl Book {
    /// Keeps a picture and gives its digest; the same picture twice is kept once. The bytes are stored as they are: whoever brings them has
    /// seen that they are a picture, and has taken out where it was taken.
    /// # Errors
    /// [`Kind::Refused`] above 16 MiB or of another kind; what the store says.
    pub fn add_photo(&self, photo: &Photo) -> Result<String, BookError> {
        self.may_write()?;
        if photo.bytes.is_empty() || photo.bytes.len() > LARGEST {
            return Err(BookError::new(
                Kind::Refused,
                "the picture",
                format!("has {} bytes", photo.bytes.len()),
                format!("bring one of at most {} MiB", LARGEST / 1024 / 1024),
            ));
        }
        if !KINDS.contains(&photo.mime.as_str()) {
            return Err(BookError::new(
                Kind::Refused,
                "the picture",
                format!("is of kind `{}`", photo.mime),
                format!("bring one of {}", KINDS.join(", ")),
            ));
        }
        let digest = digest(&photo.bytes);
        self.writer()
            .execute(
                "INSERT OR IGNORE INTO photos (digest, mime, width, height, bytes) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![digest, photo.mime, photo.width, photo.height, photo.bytes],
            )
            .map_err(|e| self.store(&e))?;
        Ok(digest)
    }

    /// A picture by its digest.
    /// # Errors
    /// What the store says.
    pub fn photo(&self, digest: &str) -> Result<Option<Photo>, BookError> {
        self.reader()
            .query_row(
                "SELECT mime, width, height, bytes FROM photos WHERE digest = ?1",
                [digest],
                |row| {
                    Ok(Photo {
                        mime: row.get(0)?,
                        width: row.get(1)?,
                        height: row.get(2)?,
                        bytes: row.get(3)?,
                    })
                },
            )
            .optional()
            .map_err(|e| self.store(&e))
    }

    /// How many bytes of pictures the book holds, and how many pictures.
    /// # Errors
    /// What the store says.
    pub fn photos_held(&self) -> Result<(u64, u64), BookError> {
        let sql = "SELECT count(*), coalesce(sum(length(bytes)), 0) FROM photos WHERE ?1";
        self.reader()
            .query_row(sql, [stored(1)], |row| {
                Ok((counted(row.get(1)?), counted(row.get(0)?)))
            })
            .map_err(|e| self.store(&e))
    }
}
