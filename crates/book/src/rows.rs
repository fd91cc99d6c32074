//! Rows of the store as entries, and entries as rows.

use crate::state::struck;
use crate::{BookError, Entry, EntryId, FindId, Kind, Moment, New, What};
use rusqlite::{Connection, OptionalExtension, Row, params};

/// Version of the list of [`What`] this program writes: 2 knows terminals as nouns.
const ENTRY_VERSION: u32 = 2;

const COLUMNS: &str = "id, find, at, millis, device, key, seen, version, what";

/// A number of ours as the store's.
pub(crate) fn stored(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

pub(crate) fn counted(number: i64) -> u64 {
    u64::try_from(number).unwrap_or(0)
}

/// An entry as it stands in a row; the text of what it records not read yet.
struct Raw {
    entry: Entry,
    version: u32,
    what: String,
}

fn raw(row: &Row<'_>) -> rusqlite::Result<Raw> {
    Ok(Raw {
        entry: Entry {
            id: EntryId(counted(row.get(0)?)),
            find: FindId(counted(row.get(1)?)),
            at: Moment::new(row.get::<_, String>(2)?, row.get(3)?),
            device: row.get(4)?,
            key: row.get(5)?,
            seen: row.get::<_, Option<i64>>(6)?.map(|n| EntryId(counted(n))),
            what: What::Untagged {
                word: String::new(),
            },
            struck: None,
        },
        version: row.get(7)?,
        what: row.get(8)?,
    })
}

fn read(place: &str, raw: Raw) -> Result<Entry, BookError> {
    let at = || format!("{place}: entry {}", raw.entry.id);
    if raw.version > ENTRY_VERSION {
        return Err(BookError::new(
            Kind::Newer,
            at(),
            format!(
                "is of version {}, this program knows {ENTRY_VERSION}",
                raw.version
            ),
            "open the book with a newer program",
        ));
    }
    let what = serde_json::from_str(&raw.what).map_err(|e| {
        BookError::new(
            Kind::Damaged,
            at(),
            format!("cannot be read ({e})"),
            "put a copy of the file aside, and go on with the last backup",
        )
    })?;
    Ok(Entry { what, ..raw.entry })
}

/// Entries of a find newer than `since`, in their order; those struck now say so.
pub(crate) fn entries(
    connection: &Connection,
    place: &str,
    find: FindId,
    since: EntryId,
) -> Result<Vec<Entry>, BookError> {
    let store = |e: rusqlite::Error| BookError::of_store(place, &e);
    let select = |condition: &str| {
        format!("SELECT {COLUMNS} FROM entries WHERE find = ?1 AND id > ?2{condition} ORDER BY id")
    };
    let rows = |sql: String, since: EntryId| -> Result<Vec<Entry>, BookError> {
        let mut statement = connection.prepare_cached(&sql).map_err(store)?;
        let rows = statement
            .query_map(params![stored(find.0), stored(since.0)], raw)
            .map_err(store)?;
        rows.map(|row| row.map_err(store).and_then(|raw| read(place, raw)))
            .collect()
    };
    let mut out = rows(select(""), since)?;
    if out.is_empty() {
        return Ok(out);
    }
    let strikes = rows(select(" AND kind = 'struck'"), EntryId(0))?;
    let struck = struck(&strikes);
    for entry in &mut out {
        entry.struck = struck.get(&entry.id).cloned();
    }
    Ok(out)
}

/// One entry by a condition on it, without looking whether it is struck.
fn one(
    connection: &Connection,
    place: &str,
    condition: &str,
    value: &dyn rusqlite::ToSql,
) -> Result<Option<Entry>, BookError> {
    let store = |e: rusqlite::Error| BookError::of_store(place, &e);
    let sql = format!("SELECT {COLUMNS} FROM entries WHERE {condition} = ?1");
    let found = connection
        .prepare_cached(&sql)
        .and_then(|mut s| s.query_row([value], raw).optional())
        .map_err(store)?;
    found.map(|raw| read(place, raw)).transpose()
}

/// The entry of a key.
pub(crate) fn by_key(
    connection: &Connection,
    place: &str,
    key: &str,
) -> Result<Option<Entry>, BookError> {
    one(connection, place, "key", &key)
}

/// The entry of a number.
pub(crate) fn by_id(
    connection: &Connection,
    place: &str,
    id: EntryId,
) -> Result<Option<Entry>, BookError> {
    let found = one(connection, place, "id", &stored(id.0))?;
    found
        .map(|entry| with_strike(connection, place, entry))
        .transpose()
}

/// Whether an entry is struck now.
pub(crate) fn with_strike(
    connection: &Connection,
    place: &str,
    mut entry: Entry,
) -> Result<Entry, BookError> {
    let before = EntryId(entry.id.0.saturating_sub(1));
    let found = entries(connection, place, entry.find, before)?;
    if let Some(found) = found.into_iter().find(|e| e.id == entry.id) {
        entry.struck = found.struck;
    }
    Ok(entry)
}

/// Writes an entry; gives it with its number.
pub(crate) fn insert(connection: &Connection, place: &str, new: New) -> Result<Entry, BookError> {
    let what = serde_json::to_value(&new.what)
        .map_err(|e| BookError::new(Kind::Failed, place, e.to_string(), "report it"))?;
    let kind = what["kind"].as_str().unwrap_or_default();
    connection
        .prepare_cached(
            "INSERT INTO entries (find, at, millis, device, key, seen, version, kind, what) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )
        .and_then(|mut statement| {
            statement.execute(params![
                stored(new.find.0),
                new.at.text,
                new.at.millis,
                new.device,
                new.key,
                new.seen.map(|s| stored(s.0)),
                ENTRY_VERSION,
                kind,
                what.to_string(),
            ])
        })
        .map_err(|e| BookError::of_store(place, &e))?;
    Ok(Entry {
        id: EntryId(counted(connection.last_insert_rowid())),
        find: new.find,
        at: new.at,
        device: new.device,
        key: new.key,
        seen: new.seen,
        what: new.what,
        struck: None,
    })
}

/// The newest entry of the whole book.
pub(crate) fn newest(connection: &Connection) -> rusqlite::Result<EntryId> {
    let newest: Option<i64> = connection
        .prepare_cached("SELECT max(id) FROM entries")?
        .query_row([], |row| row.get(0))?;
    Ok(EntryId(counted(newest.unwrap_or(0))))
}
