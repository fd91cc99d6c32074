//! What is in the book: the list of finds, one find, its entries.

use crate::rows::{counted, stored};
use crate::state::State;
use crate::{Book, BookError, Entry, EntryId, FindId, Moment, rows};
use rusqlite::OptionalExtension;
use serde::Serialize;
use std::collections::HashMap;
use std::sync::Arc;

/// Which finds to list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// Only those tagged with this word.
    pub tag: Option<String>,
    /// Not those tagged with this word.
    pub without_tag: Option<String>,
}

/// A find as it stands in the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FindRow {
    /// Its number in the book.
    pub id: FindId,
    /// Its word in addresses.
    pub slug: String,
    /// Its name.
    pub name: String,
    /// The owner's number.
    pub number: Option<u32>,
    /// The words it is tagged with.
    pub tags: Vec<String>,
    /// How many readings it has, the struck ones too.
    pub readings: u64,
    /// Its newest entry.
    pub last_entry: EntryId,
    /// When that was made.
    pub updated: Moment,
    /// Digest of its first photo.
    pub first_photo: Option<String>,
}

impl Book {
    /// All finds the filter lets through, the one touched last first.
    /// # Errors
    /// What the store says.
    pub fn finds(&self, filter: &Filter) -> Result<Vec<FindRow>, BookError> {
        let reader = self.reader();
        let list = || -> rusqlite::Result<Vec<FindRow>> {
            let mut tags: HashMap<i64, Vec<String>> = HashMap::new();
            let mut statement =
                reader.prepare_cached("SELECT find, word FROM tags ORDER BY find, word")?;
            for row in statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))? {
                let (find, word) = row?;
                tags.entry(find).or_default().push(word);
            }
            let mut statement = reader.prepare_cached(
                "SELECT id, slug, name, number, readings, last_entry, updated, updated_millis, first_photo FROM finds ORDER BY last_entry DESC",
            )?;
            let rows = statement.query_map([], |row| {
                Ok(FindRow {
                    id: FindId(counted(row.get(0)?)),
                    slug: row.get(1)?,
                    name: row.get(2)?,
                    number: row.get(3)?,
                    tags: tags.remove(&row.get(0)?).unwrap_or_default(),
                    readings: counted(row.get(4)?),
                    last_entry: EntryId(counted(row.get(5)?)),
                    updated: Moment::new(row.get::<_, String>(6)?, row.get(7)?),
                    first_photo: row.get(8)?,
                })
            })?;
            rows.collect()
        };
        let mut rows = list().map_err(|e| self.store(&e))?;
        let has = |row: &FindRow, tag: &Option<String>| tag.as_ref().map(|t| row.tags.contains(t));
        rows.retain(|row| {
            has(row, &filter.tag) != Some(false) && has(row, &filter.without_tag) != Some(true)
        });
        Ok(rows)
    }

    /// A find as it stands now, with what other programs wrote too.
    /// # Errors
    /// [`crate::Kind::Unknown`]; what the store says.
    pub fn find(&self, find: FindId) -> Result<Arc<State>, BookError> {
        self.state_in(&self.reader(), find)
    }

    /// The find of a word in addresses.
    /// # Errors
    /// What the store says.
    pub fn by_slug(&self, slug: &str) -> Result<Option<FindId>, BookError> {
        self.reader()
            .query_row("SELECT id FROM finds WHERE slug = ?1", [slug], |row| {
                row.get(0)
            })
            .optional()
            .map(|found| found.map(|id: i64| FindId(counted(id))))
            .map_err(|e| self.store(&e))
    }

    /// The entries of a find newer than `since` (all for `EntryId(0)`), in the order they came in; the struck ones say so.
    /// # Errors
    /// [`crate::Kind::Damaged`] where one cannot be read; what the store says.
    pub fn entries(&self, find: FindId, since: EntryId) -> Result<Vec<Entry>, BookError> {
        rows::entries(&self.reader(), &self.place, find, since)
    }

    /// A find as it stood when `at` was its newest entry.
    /// # Errors
    /// As [`Book::find`].
    pub fn find_at(&self, find: FindId, at: EntryId) -> Result<State, BookError> {
        let slug = self.find(find)?.slug.clone();
        let mut entries = self.entries(find, EntryId(0))?;
        entries.retain(|e| e.id <= at);
        Ok(State::afresh(find, &slug, &entries))
    }

    /// Finds that have entries newer than `since`.
    /// # Errors
    /// What the store says.
    pub fn changed(&self, since: EntryId) -> Result<Vec<FindId>, BookError> {
        let reader = self.reader();
        let list = || -> rusqlite::Result<Vec<FindId>> {
            let mut statement =
                reader.prepare_cached("SELECT DISTINCT find FROM entries WHERE id > ?1")?;
            let rows =
                statement.query_map([stored(since.0)], |row| Ok(FindId(counted(row.get(0)?))))?;
            rows.collect()
        };
        list().map_err(|e| self.store(&e))
    }
}
