//! Pictures: bytes by their digest. What a picture shows of which find is in the entries. Only a [`Clean`] one comes in: nobody can store
//! where it was taken, or something that is no picture at all.

use crate::rows::{counted, stored};
use crate::{Book, BookError, FindId};
use picture::Clean;
use rusqlite::{OptionalExtension, params};
use sha2::{Digest, Sha256};

/// A picture as it is kept. Books laid down by earlier versions may hold other kinds than today's.
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
    /// Keeps a picture and gives its digest; the same picture twice is kept once.
    /// # Errors
    /// What the store says.
    pub fn add_photo(&self, picture: &Clean) -> Result<String, BookError> {
        self.may_write()?;
        let digest = digest(picture.bytes());
        self.writer()
            .execute(
                "INSERT OR IGNORE INTO photos (digest, mime, width, height, bytes) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![digest, Clean::MIME, picture.width(), picture.height(), picture.bytes()],
            )
            .map_err(|e| self.store(&e))?;
        Ok(digest)
    }

    /// A picture that an entry of this find put to it, be it taken out or struck since; none of another find's.
    /// # Errors
    /// What the store says.
    pub fn photo_of(&self, find: FindId, digest: &str) -> Result<Option<Photo>, BookError> {
        let put: Option<i64> = self
            .reader()
            .query_row(
                "SELECT 1 FROM entries WHERE find = ?1 AND kind = 'photo' AND json_extract(what, '$.digest') = ?2",
                params![stored(find.0), digest],
                |row| row.get(0),
            )
            .optional()
            .map_err(|e| self.store(&e))?;
        match put {
            Some(_) => self.photo(digest),
            None => Ok(None),
        }
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

#[cfg(test)]
mod tests {
    #[test]
    fn a_picture_is_named_by_its_digest() {
        // FIPS 180-4 (SHA-256) of the bytes 01 02 03; reckoned with coreutils' sha256sum.
        let named = "039058c6f2c0cb492c533b0a4d14ef77cc0f78abccced5287d84a1a2011cfb81";
        assert_eq!(super::digest(&[1, 2, 3]), named);
    }
}
