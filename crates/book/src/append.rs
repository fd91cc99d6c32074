//! Writes entries: looked at, laid on the disk, and only then acknowledged.

use crate::allowed::{
    already_there, can_be_done, can_be_struck, key_fits, key_of_another, new_faults, put, refused,
    still_makes_sense, taken,
};
use crate::open::locked;
use crate::rows::{by_key, insert, stored, with_strike};
use crate::slug::free_slug;
use crate::state::State;
use crate::{Book, BookError, Entry, EntryId, FindId, Moment, New, Noun, What, rows, texts};
use gear::Setup;
use rusqlite::{Connection, Transaction, TransactionBehavior, params};
use sheet::{Fragment, fragment};
use std::sync::Arc;

/// A find to be started.
#[derive(Debug, Clone, PartialEq)]
pub struct Start<'a> {
    /// The sheet's text.
    pub sheet: &'a str,
    /// The word wished for in addresses; made of the name where left out.
    pub slug: Option<&'a str>,
    /// As [`New::key`].
    pub key: Option<&'a str>,
    /// As [`New::device`].
    pub device: Option<&'a str>,
    /// When.
    pub at: Moment,
}

/// A reading to be recorded; its number, and that of a new setup, is given by the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The find.
    pub find: FindId,
    /// As [`New::key`].
    pub key: Option<String>,
    /// As [`New::device`].
    pub device: Option<String>,
    /// As [`New::seen`].
    pub seen: Option<EntryId>,
    /// When the entry was made.
    pub at: Moment,
    /// A setup recorded with it; the reading is then of that one, whatever it says.
    pub setup: Option<Setup>,
    /// The reading; its number does not count.
    pub reading: gear::Reading,
}

/// The numbers to be given next in a find. What was ever given, also to what was struck since, is not given again.
struct Next {
    reading: u32,
    setup: u32,
}

impl Book {
    /// Starts a find from a sheet. Its address is made of the word wished for, or of its name, and stays when it is renamed.
    /// # Errors
    /// [`crate::Kind::Refused`] with the problems of the sheet; what the store says.
    pub fn start(
        &self,
        sheet: &str,
        slug: Option<&str>,
        at: &Moment,
    ) -> Result<(FindId, EntryId), BookError> {
        let entry = self.start_from(&Start {
            sheet,
            slug,
            key: None,
            device: None,
            at: at.clone(),
        })?;
        Ok((entry.find, entry.id))
    }

    /// As [`Book::start`], with a key, so that a form sent twice starts one find.
    /// # Errors
    /// As [`Book::start`].
    pub fn start_from(&self, start: &Start<'_>) -> Result<Entry, BookError> {
        self.may_write()?;
        key_fits(start.key)?;
        let find = sheet::read(start.sheet).map_err(|p| BookError::refused("the sheet", p))?;
        let turn = self.turns.wait();
        let mut writer = self.writer();
        let transaction = self.begin(&mut writer)?;
        if let Some(key) = start.key
            && let Some(there) = by_key(&transaction, &self.place, key)?
        {
            return with_strike(&transaction, &self.place, there);
        }
        let slug = free_slug(&transaction, start.slug.unwrap_or(&find.name))
            .map_err(|e| self.store(&e))?;
        transaction
            .execute("INSERT INTO finds (slug) VALUES (?1)", [&slug])
            .map_err(|e| self.store(&e))?;
        let id = FindId(rows::counted(transaction.last_insert_rowid()));
        let new = New {
            find: id,
            key: start.key.map(str::to_owned),
            device: start.device.map(str::to_owned),
            seen: None,
            at: start.at.clone(),
            what: What::Started {
                sheet: start.sheet.to_owned(),
            },
        };
        let entry = insert(&transaction, &self.place, new)?;
        let mut state = State::empty(id, slug);
        state.apply(&entry);
        texts::derive_all(&transaction, &state).map_err(|e| self.store(&e))?;
        transaction.commit().map_err(|e| self.store(&e))?;
        drop(writer);
        drop(turn);
        self.keep(Arc::new(state));
        self.tell(&entry);
        Ok(entry)
    }

    /// Appends an entry; when this returns it is on the disk. A key that was taken before gives the entry that is there.
    /// # Errors
    /// [`crate::Kind::Refused`] where the find would make no sense with it: every problem, with line and column of the text that was sent;
    /// [`crate::Kind::Unknown`]; what the store says ([`crate::Kind::Full`], [`crate::Kind::Busy`], [`crate::Kind::ReadOnly`]). Nothing is written then.
    pub fn append(&self, new: New) -> Result<Entry, BookError> {
        let what = new.what.clone();
        self.write(new, |_, _| Ok(what))
    }

    /// As [`Book::append`], but what is put must be new: where another program was faster with the same number, nothing takes its place.
    /// # Errors
    /// As [`Book::append`]; also [`crate::Kind::Taken`], for the first noun that is there already.
    pub fn append_new(&self, new: New) -> Result<Entry, BookError> {
        let what = new.what.clone();
        self.write(new, |_, state| match already_there(state, &what) {
            Some(noun) => Err(taken(&noun)),
            None => Ok(what),
        })
    }

    /// Appends a reading, with its setup where it is a new one. Two devices never give the same number, because the book does.
    /// # Errors
    /// As [`Book::append`].
    pub fn append_reading(&self, new: Reading) -> Result<(Entry, u32), BookError> {
        let Reading { setup, reading, .. } = new;
        let draft = New {
            find: new.find,
            key: new.key,
            device: new.device,
            seen: new.seen,
            at: new.at,
            what: What::put(""),
        };
        let entry = self.write(draft, |next, _| {
            let mut reading = reading.clone();
            let mut text = String::new();
            if let Some(setup) = &setup {
                let setup = Setup {
                    number: next.setup,
                    ..setup.clone()
                };
                reading.setup = setup.number;
                text = fragment::of_setup(&setup) + "\n";
            }
            reading.number = next.reading;
            Ok(What::put(text + &fragment::of_reading(&reading)))
        })?;
        let number = match &entry.what {
            What::Put { fragment, .. } => Fragment::read(fragment)
                .ok()
                .and_then(|f| f.nouns().readings.first().map(|r| r.number)),
            _ => None,
        };
        let number = number.ok_or_else(|| key_of_another(&entry))?;
        Ok((entry, number))
    }

    /// Appends a setup; the book gives its number.
    /// # Errors
    /// As [`Book::append`].
    pub fn append_setup(&self, new: New, setup: &Setup) -> Result<(Entry, u32), BookError> {
        let entry = self.write(new, |next, _| {
            let setup = Setup {
                number: next.setup,
                ..setup.clone()
            };
            Ok(What::put(fragment::of_setup(&setup)))
        })?;
        let number = match &entry.what {
            What::Put { fragment, .. } => Fragment::read(fragment)
                .ok()
                .and_then(|f| f.nouns().setups.first().map(|s| s.number)),
            _ => None,
        };
        let number = number.ok_or_else(|| key_of_another(&entry))?;
        Ok((entry, number))
    }

    fn begin<'c>(&self, writer: &'c mut Connection) -> Result<Transaction<'c>, BookError> {
        writer
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|e| self.store(&e))
    }

    fn write(
        &self,
        mut new: New,
        what: impl FnOnce(&Next, &State) -> Result<What, BookError>,
    ) -> Result<Entry, BookError> {
        self.may_write()?;
        key_fits(new.key.as_deref())?;
        let turn = self.turns.wait();
        let mut writer = self.writer();
        let transaction = self.begin(&mut writer)?;
        if let Some(key) = &new.key
            && let Some(there) = by_key(&transaction, &self.place, key)?
        {
            if there.find != new.find {
                return Err(key_of_another(&there));
            }
            return with_strike(&transaction, &self.place, there);
        }
        let mut draft = self.draft_in(&transaction, new.find)?;
        let next = next_numbers(&transaction, new.find).map_err(|e| self.store(&e))?;
        new.what = match what(&next, &draft) {
            Ok(what) => tidied(what),
            Err(error) => {
                self.keep_draft(draft);
                return Err(error);
            }
        };
        let entry = insert(&transaction, &self.place, new)?;
        match self.taken(&transaction, &mut draft, &entry) {
            Ok(touched) => {
                texts::derive(&transaction, &draft, touched.as_deref())
                    .map_err(|e| self.store(&e))?;
                transaction.commit().map_err(|e| self.store(&e))?;
                self.keep_draft(draft);
                drop(writer);
                drop(turn);
                self.tell(&entry);
                Ok(entry)
            }
            Err(error) => {
                self.keep_draft(draft);
                Err(error)
            }
        }
    }

    /// Takes the entry into the state and gives the nouns it touched (none told: all). Where it cannot be the state is as it was.
    fn taken(
        &self,
        transaction: &Connection,
        state: &mut State,
        entry: &Entry,
    ) -> Result<Option<Vec<Noun>>, BookError> {
        match &entry.what {
            What::Struck { entry: of, .. } => {
                let entries = rows::entries(transaction, &self.place, entry.find, EntryId(0))?;
                can_be_struck(&entries, entry.id, *of)?;
                let after = State::afresh(state.id, &state.slug, &entries);
                still_makes_sense(state, &after, *of)?;
                *state = after;
                return Ok(None);
            }
            What::Put {
                fragment,
                instead_of,
            } => return put(state, entry, fragment, instead_of).map(Some),
            _ => {}
        }
        can_be_done(transaction, state, &entry.what)
            .map_err(|e| e.unwrap_or_else(|e| self.store(&e)))?;
        Ok(match &entry.what {
            What::Removed { noun, .. } => {
                let before = state.clone();
                state.apply(entry);
                if let Some(first) = new_faults(&before, state).first() {
                    let what = format!("cannot be taken out: {first}");
                    *state = before;
                    return Err(refused(noun, what, "change what speaks of it first"));
                }
                Some(vec![noun.clone()])
            }
            What::ReadingStruck { number, .. } | What::ReadingKept { number, .. } => {
                state.apply(entry);
                Some(vec![Noun::Reading(*number)])
            }
            What::Photo { digest, .. } | What::PhotoChanged { digest, .. } => {
                state.apply(entry);
                Some(vec![Noun::Photo(digest.clone())])
            }
            What::Tagged { .. } | What::Untagged { .. } => {
                state.apply(entry);
                Some(vec![Noun::Tags])
            }
            What::Judged { .. } => {
                state.apply(entry);
                Some(Vec::new())
            }
            What::Started { .. } | What::Struck { .. } | What::Put { .. } => None,
        })
    }

    /// Wakes who waits for news.
    fn tell(&self, entry: &Entry) {
        let mut newest = locked(&self.newest);
        *newest = (*newest).max(entry.id);
        self.news.notify_all();
    }
}

/// Nouns in the one form they are compared in, words without blanks around them.
fn tidied(what: What) -> What {
    let all = |nouns: Vec<Noun>| nouns.into_iter().map(Noun::canonical).collect();
    match what {
        What::Put {
            fragment,
            instead_of,
        } => What::Put {
            fragment,
            instead_of: all(instead_of),
        },
        What::Removed { noun, reason } => What::Removed {
            noun: noun.canonical(),
            reason,
        },
        What::Tagged { word } => What::Tagged {
            word: word.trim().to_owned(),
        },
        What::Untagged { word } => What::Untagged {
            word: word.trim().to_owned(),
        },
        other => other,
    }
}

fn next_numbers(connection: &Connection, find: FindId) -> rusqlite::Result<Next> {
    connection
        .prepare_cached("SELECT highest_reading, highest_setup FROM finds WHERE id = ?1")?
        .query_row(params![stored(find.0)], |row| {
            Ok(Next {
                reading: row.get::<_, u32>(0)?.saturating_add(1),
                setup: row.get::<_, u32>(1)?.saturating_add(1),
            })
        })
}
