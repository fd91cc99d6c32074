//! Where the finds of a page are kept: a folder of sheets, or a book. The rest of the page asks here and knows neither files nor entries.
//!
//! Whoever changes a find rings a bell; pages that wait for news of it (`heard`) look again, so that two devices at one bench see each
//! other's entries.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::watch;

use crate::PageError;
use crate::added::{Added, sheet_with};
use crate::bound::Bound;
use crate::folder::Folder;
use crate::listing::{Asked, Listing};
use crate::opened::Opened;
use crate::submitted::Errors;

/// The finds, wherever they are kept.
#[derive(Debug)]
pub(crate) struct Store {
    kept: Kept,
    bell: watch::Sender<u64>,
    /// Numbers of the readings taken from devices, by find and key, since this page was started.
    taken: Mutex<BTreeMap<(String, String), u32>>,
}

#[derive(Debug)]
enum Kept {
    Folder(Folder),
    Book(Bound),
}

impl Store {
    /// The sheets of a folder, and one beside it.
    pub(crate) fn folder(directory: PathBuf, beside: Option<PathBuf>) -> Self {
        Self::new(Kept::Folder(Folder::new(directory, beside)))
    }

    /// The finds of a book; begins one where there is none.
    /// # Errors
    /// What the book says.
    pub(crate) fn book(path: &PathBuf) -> Result<Arc<Self>, PageError> {
        let store = Arc::new(Self::new(Kept::Book(Bound::open(path)?)));
        if let Some(bound) = store.bound() {
            let bell = Arc::downgrade(&store);
            let ring = move || {
                if let Some(store) = bell.upgrade() {
                    store.ring();
                }
            };
            bound.tell(ring).map_err(PageError::Start)?;
        }
        Ok(store)
    }

    /// The book, where the finds are kept in one: for history, photos, tags and search, which a folder of sheets has not.
    pub(crate) fn bound(&self) -> Option<&Bound> {
        match &self.kept {
            Kept::Folder(_) => None,
            Kept::Book(bound) => Some(bound),
        }
    }

    fn new(kept: Kept) -> Self {
        Self {
            kept,
            bell: watch::Sender::new(0),
            taken: Mutex::default(),
        }
    }

    /// Where the finds are kept, in words for a page: a path.
    pub(crate) fn place(&self) -> String {
        match &self.kept {
            Kept::Folder(folder) => folder.directory().display().to_string(),
            Kept::Book(bound) => (bound.book().path()).map_or_else(
                || "a book in memory".to_owned(),
                |p| p.display().to_string(),
            ),
        }
    }

    /// Looks at the finds once, so that what cannot be read is told at the start.
    pub(crate) fn look(&self) -> Result<(), PageError> {
        match &self.kept {
            Kept::Folder(folder) => folder.list().map(drop),
            Kept::Book(bound) => Ok(bound.book().tags().map(drop)?),
        }
    }

    /// One page of the list of finds.
    pub(crate) fn finds(&self, asked: &Asked) -> Result<Listing, PageError> {
        match &self.kept {
            Kept::Folder(folder) => folder.finds(asked),
            Kept::Book(bound) => bound.finds(asked),
        }
    }

    /// Stores in the book what was judged of its finds; a folder keeps no judgements.
    pub(crate) fn store_judgements(&self) {
        if let Some(bound) = self.bound() {
            bound.store_judgements();
        }
    }

    /// What holds all of the words, best first.
    pub(crate) fn search(&self, words: &str) -> Result<Vec<book::Hit>, PageError> {
        match &self.kept {
            Kept::Folder(folder) => folder.search(words),
            Kept::Book(bound) => Ok(bound.book().search(words)?),
        }
    }

    /// The find behind a word of the address; `None` where there is none.
    pub(crate) fn open(&self, slug: &str) -> Result<Option<Arc<Opened>>, PageError> {
        match &self.kept {
            Kept::Folder(folder) => folder.open(slug),
            Kept::Book(bound) => bound.open_find(slug),
        }
    }

    /// The word in the address of a find whose sheet was asked for by its file.
    pub(crate) fn slug_of(&self, sheet: &std::path::Path) -> Option<String> {
        match &self.kept {
            Kept::Folder(folder) => folder.slug_of(sheet),
            Kept::Book(_) => None,
        }
    }

    /// Starts a find from its sheet under a word made from its name, and gives that word.
    pub(crate) fn create(&self, name: &str, text: &str) -> Result<String, PageError> {
        let slug = match &self.kept {
            Kept::Folder(folder) => folder.create(name, text),
            Kept::Book(bound) => bound.create(name, text),
        }?;
        self.ring();
        Ok(slug)
    }

    /// Changes a find: `change` gets its present state and gives its sheet as it should be, or its refusal. Nothing is written on a
    /// refusal. `None` where there is no such find.
    pub(crate) fn change<E>(
        &self,
        slug: &str,
        change: impl FnOnce(&Opened) -> Result<String, E>,
    ) -> Result<Option<Result<(), E>>, PageError> {
        let done = match &self.kept {
            Kept::Folder(folder) => folder.change(slug, change),
            Kept::Book(bound) => bound.change(slug, change),
        }?;
        if let Some(Ok(())) = done {
            self.ring();
        }
        Ok(done)
    }

    /// Adds a reading, with the setup, source or instrument it needs, and gives its number. The same `key` again, made where it was typed,
    /// gives the number it had: what was sent twice is there once. `None` where there is no such find.
    pub(crate) fn add(
        &self,
        slug: &str,
        key: Option<&str>,
        take: impl Fn(&Opened) -> Result<Added, Errors>,
    ) -> Result<Option<Result<u32, Errors>>, PageError> {
        // Held until it is written, so that the same reading sent twice at once finds itself.
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let key = key.map(|key| (slug.to_owned(), key.to_owned()));
        if let Some(number) = key.as_ref().and_then(|key| taken.get(key).copied()) {
            return Ok(Some(Ok(number)));
        }
        let done = match &self.kept {
            Kept::Folder(folder) => {
                let mut number = 0;
                let done = folder.change(slug, |opened| {
                    let added = take(opened)?;
                    number = added.reading.as_ref().map_or(0, |r| r.number);
                    sheet_with(opened.text(), added).map_err(|faults| {
                        let mut errors = Errors::default();
                        (faults.iter()).for_each(|fault| errors.add("shown", fault.to_string()));
                        errors
                    })
                })?;
                done.map(|done| done.map(|()| number))
            }
            Kept::Book(bound) => {
                let key = key.as_ref().map(|(_, key)| key.as_str());
                bound.add(slug, key, take)?
            }
        };
        if let Some(Ok(number)) = done {
            if let Some(key) = key {
                taken.insert(key, number);
            }
            self.ring();
        }
        Ok(done)
    }

    fn ring(&self) {
        self.bell.send_modify(|count| *count += 1);
    }

    /// Hears of every change made through this page from now on.
    pub(crate) fn heard(&self) -> watch::Receiver<u64> {
        self.bell.subscribe()
    }
}
