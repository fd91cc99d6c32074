//! What is in the book: the list of finds, one find, its entries.

use crate::rows::{counted, stored};
use crate::state::State;
use crate::{Book, BookError, Entry, EntryId, FindId, Moment, What, rows};
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;
use std::sync::Arc;

/// Which finds to list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// Only those tagged with this word.
    pub tag: Option<String>,
    /// Not those tagged with this word.
    pub without_tag: Option<String>,
    /// So many of the first are left out.
    pub skip: u64,
    /// So many are given at most; all where nothing is said.
    pub most: Option<u64>,
}

/// A find as it stands in the list. All of it is derived and kept in its row, so that a list folds no find.
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
    /// Its plate, as its block of the sheet; empty where it says nothing.
    pub plate: String,
    /// The words it is tagged with.
    pub tags: Vec<String>,
    /// How many parts it has.
    pub parts: u64,
    /// How many readings it has, the struck ones too.
    pub readings: u64,
    /// Its newest entry.
    pub last_entry: EntryId,
    /// When somebody last made one.
    pub updated: Moment,
    /// Digest of its first photo.
    pub first_photo: Option<String>,
    /// The newest judgement stored.
    pub judged: Option<JudgedRow>,
}

/// A stored judgement as it stands in the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JudgedRow {
    /// The entry it is.
    pub entry: EntryId,
    /// The newest entry it knew.
    pub at_entry: EntryId,
    /// Version of the program that made it.
    pub version: String,
    /// Whether nothing was told of the gear since.
    pub of_today: bool,
    /// The judgement.
    pub judgement: serde_json::Value,
}

/// Which rows a filter lets through; its tags are the first two values.
const WHERE: &str =
    "(?1 IS NULL OR EXISTS (SELECT 1 FROM tags WHERE find = finds.id AND word = ?1))
     AND (?2 IS NULL OR NOT EXISTS (SELECT 1 FROM tags WHERE find = finds.id AND word = ?2))";

impl Book {
    /// The finds the filter lets through, the one touched last first.
    /// # Errors
    /// What the store says.
    pub fn finds(&self, filter: &Filter) -> Result<Vec<FindRow>, BookError> {
        let sql = format!(
            "SELECT finds.id, slug, name, number, readings, last_entry, updated, updated_millis, first_photo, plate, parts,
             (SELECT json_group_array(word) FROM (SELECT word FROM tags WHERE find = finds.id ORDER BY word)),
             told, judged, e.what
             FROM finds LEFT JOIN entries e ON e.id = finds.judged WHERE {WHERE} ORDER BY touched DESC LIMIT ?3 OFFSET ?4"
        );
        let reader = self.reader();
        let list = || -> rusqlite::Result<Vec<FindRow>> {
            let most = filter.most.map_or(-1, stored);
            let asked = params![filter.tag, filter.without_tag, most, stored(filter.skip)];
            reader
                .prepare_cached(&sql)?
                .query_map(asked, row)?
                .collect()
        };
        list().map_err(|e| self.store(&e))
    }

    /// How many finds the filter lets through, were they all given.
    /// # Errors
    /// What the store says.
    pub fn count(&self, filter: &Filter) -> Result<u64, BookError> {
        let sql = format!("SELECT count(*) FROM finds WHERE {WHERE}");
        self.reader()
            .query_row(&sql, params![filter.tag, filter.without_tag], |row| {
                row.get(0).map(counted)
            })
            .map_err(|e| self.store(&e))
    }

    /// Every word a find is tagged with now, in order, and how many are.
    /// # Errors
    /// What the store says.
    pub fn tags(&self) -> Result<Vec<(String, u64)>, BookError> {
        let reader = self.reader();
        let list = || -> rusqlite::Result<Vec<(String, u64)>> {
            reader
                .prepare_cached("SELECT word, count(*) FROM tags GROUP BY word ORDER BY word")?
                .query_map([], |row| Ok((row.get(0)?, counted(row.get(1)?))))?
                .collect()
        };
        list().map_err(|e| self.store(&e))
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

    /// One entry, of whichever find; it says whether it is struck.
    /// # Errors
    /// As [`Book::entries`].
    pub fn entry(&self, entry: EntryId) -> Result<Option<Entry>, BookError> {
        rows::by_id(&self.reader(), &self.place, entry)
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

fn row(row: &Row<'_>) -> rusqlite::Result<FindRow> {
    let told = EntryId(counted(row.get(12)?));
    let judged: Option<i64> = row.get(13)?;
    let what: Option<String> = row.get(14)?;
    let tags: String = row.get(11)?;
    Ok(FindRow {
        id: FindId(counted(row.get(0)?)),
        slug: row.get(1)?,
        name: row.get(2)?,
        number: row.get(3)?,
        readings: counted(row.get(4)?),
        last_entry: EntryId(counted(row.get(5)?)),
        updated: Moment::new(row.get::<_, String>(6)?, row.get(7)?),
        first_photo: row.get(8)?,
        plate: row.get(9)?,
        parts: counted(row.get(10)?),
        tags: serde_json::from_str(&tags).unwrap_or_default(),
        judged: judged
            .zip(what)
            .and_then(|(entry, what)| judged_row(EntryId(counted(entry)), told, &what)),
    })
}

/// A judgement of a later version that cannot be read is none here; whoever opens the find is told.
fn judged_row(entry: EntryId, told: EntryId, what: &str) -> Option<JudgedRow> {
    match serde_json::from_str(what) {
        Ok(What::Judged {
            version,
            at_entry,
            judgement,
            ..
        }) => Some(JudgedRow {
            entry,
            at_entry,
            version,
            of_today: at_entry >= told,
            judgement,
        }),
        _ => None,
    }
}
