//! The photos of a book's finds: put there, said anew, taken out, each as an entry.

use std::sync::{Arc, PoisonError};

use book::{Mark, New, Noun, Photo, PhotoOf, State, What};

use super::Bound;
use crate::PageError;
use crate::clock::moment;

/// A photo that came, and what was said of it.
#[derive(Debug, Default)]
pub(crate) struct Put {
    /// As [`New::key`].
    pub(crate) key: Option<String>,
    /// What it shows.
    pub(crate) caption: String,
    /// What it is of.
    pub(crate) of: Vec<Noun>,
}

/// What is said of a photo.
#[derive(Debug)]
pub(crate) struct Said {
    /// What it shows.
    pub(crate) caption: String,
    /// Marks on it.
    pub(crate) marks: Vec<Mark>,
    /// What it is of.
    pub(crate) of: Vec<Noun>,
}

impl Bound {
    /// Puts a photo to a find and gives its digest. The same picture again is there once: what is said of it joins what was said before.
    /// `None` where there is no such find.
    pub(crate) fn put_photo(
        &self,
        slug: &str,
        picture: &picture::Clean,
        put: Put,
    ) -> Result<Option<String>, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(id) = self.book.by_slug(slug)? else {
            return Ok(None);
        };
        let digest = self.book.add_photo(picture)?;
        let state = self.book.find(id)?;
        let (caption, mut of) = (put.caption, put.of);
        let what = match state.photos.iter().find(|p| p.digest == digest) {
            None => What::Photo {
                digest: digest.clone(),
                caption,
                marks: Vec::new(),
                of,
            },
            Some(there) => {
                of.retain(|noun| !there.of.contains(noun));
                if of.is_empty() && (caption.is_empty() || caption == there.caption) {
                    return Ok(Some(digest));
                }
                What::PhotoChanged {
                    digest: digest.clone(),
                    caption: if caption.is_empty() {
                        there.caption.clone()
                    } else {
                        caption
                    },
                    marks: there.marks.clone(),
                    of: [there.of.clone(), of].concat(),
                }
            }
        };
        self.book.append(New {
            key: put.key,
            ..New::of(id, moment(), what)
        })?;
        Ok(Some(digest))
    }

    /// Says anew what a photo shows: `change` gets the find and what is said now. Nothing is written where that says the same.
    /// `None` where there is no such find or photo.
    pub(crate) fn change_photo<E>(
        &self,
        slug: &str,
        digest: &str,
        change: impl FnOnce(&gear::Find, &PhotoOf) -> Result<Said, E>,
    ) -> Result<Option<Result<(), E>>, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let Some((state, photo)) = self.photo_now(slug, digest)? else {
            return Ok(None);
        };
        let Said { caption, marks, of } = match change(&state.find, &photo) {
            Ok(said) => said,
            Err(refusal) => return Ok(Some(Err(refusal))),
        };
        if (&caption, &marks, &of) != (&photo.caption, &photo.marks, &photo.of) {
            let digest = photo.digest;
            let what = What::PhotoChanged {
                digest,
                caption,
                marks,
                of,
            };
            self.book.append(New::of(state.id, moment(), what))?;
        }
        Ok(Some(Ok(())))
    }

    /// Takes a photo out of a find; its picture stays with the history. `None` where there is no such find or photo.
    pub(crate) fn take_out_photo(
        &self,
        slug: &str,
        digest: &str,
        reason: Option<String>,
    ) -> Result<Option<()>, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let Some((state, photo)) = self.photo_now(slug, digest)? else {
            return Ok(None);
        };
        let noun = Noun::Photo(photo.digest);
        let what = What::Removed { noun, reason };
        self.book.append(New::of(state.id, moment(), what))?;
        Ok(Some(()))
    }

    fn photo_now(
        &self,
        slug: &str,
        digest: &str,
    ) -> Result<Option<(Arc<State>, PhotoOf)>, PageError> {
        let Some(id) = self.book.by_slug(slug)? else {
            return Ok(None);
        };
        let state = self.book.find(id)?;
        let photo = state.photos.iter().find(|p| p.digest == digest).cloned();
        Ok(photo.map(|photo| (state, photo)))
    }

    /// A picture that was ever put to the find behind a word.
    pub(crate) fn picture(&self, slug: &str, digest: &str) -> Result<Option<Photo>, PageError> {
        let Some(id) = self.book.by_slug(slug)? else {
            return Ok(None);
        };
        Ok(self.book.photo_of(id, digest)?)
    }
}
