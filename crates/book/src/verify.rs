//! Whether a book is sound: the file, every entry, every picture, and what was derived from them.

use crate::photos::digest;
use crate::rows::{counted, stored};
use crate::state::State;
use crate::{Book, BookError, EntryId, FindId, rows, texts};
use rusqlite::Connection;
use serde::Serialize;
use std::collections::BTreeSet;

/// What was looked at, and what is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Report {
    /// Finds folded afresh from their entries.
    pub finds: u64,
    /// Entries read.
    pub entries: u64,
    /// Pictures whose bytes are those they were.
    pub photos: u64,
    /// What is wrong, one sentence each; empty in a sound book.
    pub faults: Vec<String>,
}

impl Report {
    /// Whether nothing is wrong.
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }
}

/// One kind of thing to look at.
type Step = fn(&Book, &Connection, &mut Report) -> Result<(), BookError>;

impl Book {
    /// Reads everything and says what is wrong. Changes nothing.
    /// # Errors
    /// Only what keeps it from looking at all; damage is told in the report.
    pub fn verify(&self) -> Result<Report, BookError> {
        let reader = self.reader();
        // One view of the book, whoever writes meanwhile.
        let view = reader.unchecked_transaction().map_err(|e| self.store(&e))?;
        let mut report = Report::default();
        let steps: [Step; 3] = [
            Self::look_at_file,
            Self::look_at_finds,
            Self::look_at_photos,
        ];
        for step in steps {
            if let Err(error) = step(self, &view, &mut report) {
                report.faults.push(error.to_string());
            }
        }
        Ok(report)
    }

    fn look_at_file(&self, view: &Connection, report: &mut Report) -> Result<(), BookError> {
        let lines = |sql: &str| -> rusqlite::Result<Vec<String>> {
            view.prepare(sql)?
                .query_map([], |row| row.get(0))?
                .collect()
        };
        let integrity = lines("PRAGMA integrity_check").map_err(|e| self.store(&e))?;
        let told = integrity.into_iter().filter(|line| line != "ok");
        report
            .faults
            .extend(told.map(|line| format!("{}: {line}", self.place)));
        let foreign = lines("SELECT \"table\" || ' ' || rowid FROM pragma_foreign_key_check");
        let foreign = foreign.map_err(|e| self.store(&e))?;
        report.faults.extend(
            foreign
                .into_iter()
                .map(|row| format!("{}: {row} belongs to no find", self.place)),
        );
        Ok(())
    }

    fn look_at_finds(&self, view: &Connection, report: &mut Report) -> Result<(), BookError> {
        for (id, slug) in texts::finds(view).map_err(|e| self.store(&e))? {
            report.finds += 1;
            let entries = match rows::entries(view, &self.place, id, EntryId(0)) {
                Ok(entries) => entries,
                Err(error) => {
                    report.faults.push(error.to_string());
                    continue;
                }
            };
            report.entries += entries.len() as u64;
            let state = State::afresh(id, &slug, &entries);
            for (entry, why) in &state.unread {
                report
                    .faults
                    .push(format!("{}: entry {entry}: {why}", self.place));
            }
            if let Err(error) = self.look_at_derived(view, id, &state, report) {
                report.faults.push(self.store(&error).to_string());
            }
        }
        Ok(())
    }

    /// Whether list, tags and words say what the entries say.
    fn look_at_derived(
        &self,
        view: &Connection,
        id: FindId,
        state: &State,
        report: &mut Report,
    ) -> rusqlite::Result<()> {
        let find = stored(id.0);
        let mut fault = |what: &str| {
            report.faults.push(format!(
                "{}: find {id}: the {what} differ from its entries; export the find and import it into a new book",
                self.place
            ));
        };
        let same = view.query_row(
            "SELECT name, plate, parts, readings, last_entry, told, touched, judged FROM finds WHERE id = ?1",
            [find],
            |row| {
                let figure = |at| row.get(at).map(counted);
                Ok(row.get::<_, String>(0)? == state.find.name
                    && row.get::<_, String>(1)? == texts::plate_block(&state.find.plate)
                    && figure(2)? == state.find.parts.len() as u64
                    && figure(3)? == state.find.readings.len() as u64
                    && figure(4)? == state.newest.0
                    && figure(5)? == state.told.0
                    && figure(6)? == state.touched.0
                    && row.get::<_, Option<i64>>(7)?.map(counted) == state.judged.map(|e| e.0))
            },
        )?;
        if !same {
            fault("figures in the list");
        }
        let tags: BTreeSet<String> = view
            .prepare_cached("SELECT word FROM tags WHERE find = ?1")?
            .query_map([find], |row| row.get(0))?
            .collect::<rusqlite::Result<_>>()?;
        if tags != state.tags {
            fault("tags");
        }
        let stored: BTreeSet<(String, String)> = view
            .prepare_cached("SELECT noun, text FROM texts WHERE find = ?1")?
            .query_map([find], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<rusqlite::Result<_>>()?;
        let words = |noun| Some((texts::name_of(&noun), texts::text_of(state, &noun)?));
        let derived: BTreeSet<_> = texts::nouns_of(state)
            .into_iter()
            .filter_map(words)
            .collect();
        if stored != derived {
            fault("words to search");
        }
        Ok(())
    }

    fn look_at_photos(&self, view: &Connection, report: &mut Report) -> Result<(), BookError> {
        let mut look = || -> rusqlite::Result<()> {
            let mut statement = view.prepare("SELECT digest, bytes FROM photos")?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let (name, bytes): (String, Vec<u8>) = (row.get(0)?, row.get(1)?);
                if digest(&bytes) == name {
                    report.photos += 1;
                } else {
                    let fault = format!(
                        "{}: photo {name}: its bytes are not those it came with",
                        self.place
                    );
                    report.faults.push(fault);
                }
            }
            Ok(())
        };
        look().map_err(|e| self.store(&e))
    }
}
