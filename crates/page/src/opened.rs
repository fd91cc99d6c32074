//! A find as it was opened, out of a sheet or a book: its text, its judgement once that was asked for, and what stands beside the gear.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use book::{EntryId, PhotoOf, State};
use gear::Find;
use judgement::Judge;

/// A find as it was opened.
pub(crate) struct Opened {
    /// Its text; of a book's find, made when it is asked for.
    text: OnceLock<String>,
    /// Its find, or everything that is wrong with it.
    pub(crate) find: Result<Find, Vec<sheet::Problem>>,
    judge: Arc<OnceLock<Arc<Judge>>>,
    /// The judgement of the sheet as it stood before, to begin from.
    before: Option<Arc<Judge>>,
    /// The newest entry of a book that says something of the gear.
    entry: Option<EntryId>,
    /// The words a book's find is tagged with.
    tags: Option<BTreeSet<String>>,
    /// Its photos; a folder of sheets keeps none.
    photos: Option<Vec<PhotoOf>>,
}

impl std::fmt::Debug for Opened {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Opened")
            .field("find", &self.find)
            .finish_non_exhaustive()
    }
}

impl Opened {
    /// A sheet from its text.
    #[cfg(test)]
    pub(crate) fn new(text: String) -> Self {
        Self::after(text, None)
    }

    /// A sheet from its text, judged before as it stood then.
    pub(crate) fn after(text: String, before: Option<Arc<Judge>>) -> Self {
        let find = sheet::read(&text);
        Self {
            text: OnceLock::from(text),
            find,
            judge: Arc::default(),
            before,
            entry: None,
            tags: None,
            photos: None,
        }
    }

    /// A book's find, judged before as it stood then.
    pub(crate) fn of(state: &State, before: Option<Arc<Judge>>) -> Self {
        Self {
            text: OnceLock::new(),
            find: Ok(state.find.clone()),
            judge: Arc::default(),
            before,
            entry: Some(state.told),
            tags: Some(state.tags.clone()),
            photos: Some(state.photos.clone()),
        }
    }

    /// The same gear with what is newly put beside it (tags, photos): its judgement stands.
    pub(crate) fn beside(&self, state: &State) -> Self {
        Self {
            judge: self.judge.clone(),
            ..Self::of(state, self.before.clone())
        }
    }

    /// The newest entry that says something of the gear; `None` where it is kept in a folder.
    pub(crate) fn entry(&self) -> Option<EntryId> {
        self.entry
    }

    /// The words it is tagged with; `None` where it is kept in a folder.
    pub(crate) fn tags(&self) -> Option<&BTreeSet<String>> {
        self.tags.as_ref()
    }

    /// Its photos; `None` where none can be kept.
    pub(crate) fn photos(&self) -> Option<&[PhotoOf]> {
        self.photos.as_deref()
    }

    /// Its sheet.
    pub(crate) fn text(&self) -> &str {
        self.text
            .get_or_init(|| self.find.as_ref().map(sheet::write).unwrap_or_default())
    }

    /// Another word when the find is another: what a page that waits for news compares.
    pub(crate) fn mark(&self) -> String {
        use std::hash::{DefaultHasher, Hash, Hasher};
        let mut hasher = DefaultHasher::new();
        self.text().hash(&mut hasher);
        self.tags.hash(&mut hasher);
        format!("{:?}", self.photos).hash(&mut hasher);
        format!("{:016x}", hasher.finish())
    }

    /// The judgement, reckoned the first time it is asked for.
    pub(crate) fn judge(&self) -> Option<Arc<Judge>> {
        let find = self.find.as_ref().ok()?;
        let made = || {
            Arc::new(match &self.before {
                Some(before) => Judge::after(before, find.clone()),
                None => Judge::new(find.clone()),
            })
        };
        Some(self.judge.get_or_init(made).clone())
    }

    /// What a later state of the sheet is judged from.
    pub(crate) fn known(&self) -> Option<Arc<Judge>> {
        self.judge.get().or(self.before.as_ref()).cloned()
    }

    /// The judgement if it stands already.
    pub(crate) fn judged(&self) -> Option<&Judge> {
        self.judge.get().map(AsRef::as_ref)
    }
}
