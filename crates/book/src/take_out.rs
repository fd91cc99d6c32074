//! Export: a find as its sheet, with its pictures and what a sheet does not tell.

use crate::{Book, BookError, FindId, Photo, PhotoOf};

/// A find taken out of the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Export {
    /// Its word in addresses; also good for the name of a file.
    pub slug: String,
    /// The sheet's text.
    pub sheet: String,
    /// The words it is tagged with.
    pub tags: Vec<String>,
    /// Its photos: what is said of each, and the picture.
    pub photos: Vec<(PhotoOf, Photo)>,
}

impl Book {
    /// A find as it stands now. [`Book::start`] with the sheet gives the same find again; its history stays in the book.
    /// # Errors
    /// [`crate::Kind::Unknown`]; what the store says.
    pub fn export(&self, find: FindId) -> Result<Export, BookError> {
        let state = self.find(find)?;
        let mut photos = Vec::new();
        for photo in &state.photos {
            if let Some(picture) = self.photo(&photo.digest)? {
                photos.push((photo.clone(), picture));
            }
        }
        Ok(Export {
            slug: state.slug.clone(),
            sheet: sheet::write(&state.find),
            tags: state.tags.iter().cloned().collect(),
            photos,
        })
    }
}
