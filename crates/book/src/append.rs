//! Writes entries: looked at, laid on the disk, and only then acknowledged.

use crate::open::locked;
use crate::rows::{by_key, insert, stored, with_strike};
use crate::state::State;
use crate::{
    Book, BookError, Entry, EntryId, FindId, Kind, Moment, New, Noun, What, merge, rows, texts,
};
use gear::Setup;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use sheet::{Fragment, fragment};
use std::sync::Arc;

/// Longest key taken; enough for any random one.
const LONGEST_KEY: usize = 200;

/// Finds whose state is kept at hand.
const STATES_KEPT: usize = 64;

/// Finds whose state is kept at hand for writing: those on the bench.
const DRAFTS_KEPT: usize = 8;

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
    /// [`Kind::Refused`] with the problems of the sheet; what the store says.
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
    /// [`Kind::Refused`] where the find would make no sense with it: every problem, with line and column of the text that was sent;
    /// [`Kind::Unknown`]; what the store says ([`Kind::Full`], [`Kind::Busy`], [`Kind::ReadOnly`]). Nothing is written then.
    pub fn append(&self, new: New) -> Result<Entry, BookError> {
        let what = new.what.clone();
        self.write(new, |_| what)
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
        let entry = self.write(draft, |next| {
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
            What::put(text + &fragment::of_reading(&reading))
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
        let entry = self.write(new, |next| {
            let setup = Setup {
                number: next.setup,
                ..setup.clone()
            };
            What::put(fragment::of_setup(&setup))
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

    fn write(&self, mut new: New, what: impl FnOnce(&Next) -> What) -> Result<Entry, BookError> {
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
        new.what = tidied(what(&next));
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

    /// The state to write into, with what other programs wrote since.
    fn draft_in(&self, connection: &Connection, find: FindId) -> Result<State, BookError> {
        let Some(mut draft) = locked(&self.drafts).remove(&find) else {
            return Ok((*self.state_in(connection, find)?).clone());
        };
        let newer = rows::entries(connection, &self.place, find, draft.newest)?;
        if newer.iter().any(|e| matches!(e.what, What::Struck { .. })) {
            return self.state_afresh(connection, find);
        }
        for entry in &newer {
            draft.apply(entry);
        }
        Ok(draft)
    }

    fn keep_draft(&self, draft: State) {
        let mut drafts = locked(&self.drafts);
        if drafts.len() >= DRAFTS_KEPT {
            let oldest = drafts.values().min_by_key(|s| s.newest).map(|s| s.id);
            oldest.map(|id| drafts.remove(&id));
        }
        drafts.insert(draft.id, draft);
    }

    /// Wakes who waits for news.
    fn tell(&self, entry: &Entry) {
        let mut newest = locked(&self.newest);
        *newest = (*newest).max(entry.id);
        self.news.notify_all();
    }

    /// Keeps a state at hand, unless a newer one is.
    pub(crate) fn keep(&self, state: Arc<State>) {
        let mut states = locked(&self.states);
        if states
            .get(&state.id)
            .is_some_and(|s| s.newest >= state.newest)
        {
            return;
        }
        if states.len() >= STATES_KEPT && !states.contains_key(&state.id) {
            let oldest = states.values().min_by_key(|s| s.newest).map(|s| s.id);
            oldest.map(|id| states.remove(&id));
        }
        states.insert(state.id, state);
    }

    /// The state of a find as a connection sees it: the one at hand with what came in since, also by other programs.
    pub(crate) fn state_in(
        &self,
        connection: &Connection,
        find: FindId,
    ) -> Result<Arc<State>, BookError> {
        let known = locked(&self.states).get(&find).cloned();
        let since = known.as_ref().map_or(EntryId(0), |s| s.newest);
        let newer = rows::entries(connection, &self.place, find, since)?;
        let strikes = newer.iter().any(|e| matches!(e.what, What::Struck { .. }));
        let state = match known {
            Some(known) if newer.is_empty() => return Ok(known),
            Some(known) if !strikes => {
                let mut state = (*known).clone();
                for entry in &newer {
                    state.apply(entry);
                }
                state
            }
            _ => self.state_afresh(connection, find)?,
        };
        let state = Arc::new(state);
        self.keep(state.clone());
        Ok(state)
    }

    fn state_afresh(&self, connection: &Connection, find: FindId) -> Result<State, BookError> {
        let slug: Option<String> = connection
            .query_row(
                "SELECT slug FROM finds WHERE id = ?1",
                [stored(find.0)],
                |row| row.get(0),
            )
            .optional()
            .map_err(|e| self.store(&e))?;
        let Some(slug) = slug else {
            return Err(BookError::new(
                Kind::Unknown,
                &self.place,
                format!("has no find {find}"),
                "look at `windfall book list`",
            ));
        };
        let entries = rows::entries(connection, &self.place, find, EntryId(0))?;
        Ok(State::afresh(find, &slug, &entries))
    }
}

fn refused(
    place: impl std::fmt::Display,
    what: impl Into<String>,
    remedy: impl Into<String>,
) -> BookError {
    BookError::new(Kind::Refused, place, what, remedy)
}

fn key_fits(key: Option<&str>) -> Result<(), BookError> {
    match key {
        Some(key) if key.is_empty() || key.len() > LONGEST_KEY => Err(refused(
            "the entry's key",
            format!("is {} bytes long", key.len()),
            format!("make it 1 to {LONGEST_KEY}"),
        )),
        _ => Ok(()),
    }
}

fn key_of_another(there: &Entry) -> BookError {
    refused(
        "the entry's key",
        format!(
            "is that of entry {} of find {}, something else",
            there.id, there.find
        ),
        "make a new key for each thing recorded",
    )
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

/// What must be there for an entry to mean anything. The inner error is the store's.
fn can_be_done(
    connection: &Connection,
    state: &State,
    what: &What,
) -> Result<(), Result<BookError, rusqlite::Error>> {
    let reading = |number: u32| state.find.readings.iter().any(|r| r.number == number);
    let photo = |digest: &str| state.photos.iter().any(|p| p.digest == digest);
    let there = match what {
        What::Started { .. } => {
            let place = format!("find {}", state.id);
            return Err(Ok(refused(
                place,
                "is started already",
                "start another one",
            )));
        }
        What::ReadingStruck { reason, .. } if reason.trim().is_empty() => {
            return Err(Ok(refused(
                "the strike",
                "gives no reason",
                "write why, in a few words",
            )));
        }
        What::Tagged { word } if word.is_empty() => {
            return Err(Ok(refused("the tag", "is empty", "write a word")));
        }
        What::ReadingStruck { number, .. } | What::ReadingKept { number, .. } => {
            (reading(*number), Noun::Reading(*number))
        }
        What::Removed {
            noun: Noun::Reading(n),
            ..
        } => {
            let remedy = "strike it, so that it stays to be seen";
            return Err(Ok(refused(
                format!("reading {n}"),
                "is never taken out",
                remedy,
            )));
        }
        What::Removed {
            noun: Noun::Photo(digest),
            ..
        } => (photo(digest), Noun::Photo(digest.clone())),
        What::Removed { noun, .. } => (merge::remove(&mut state.find.clone(), noun), noun.clone()),
        What::PhotoChanged { digest, .. } => (photo(digest), Noun::Photo(digest.clone())),
        What::Photo { digest, .. } => {
            let found: Option<i64> = connection
                .query_row("SELECT 1 FROM photos WHERE digest = ?1", [digest], |row| {
                    row.get(0)
                })
                .optional()
                .map_err(Err)?;
            (found.is_some(), Noun::Photo(digest.clone()))
        }
        _ => return Ok(()),
    };
    match there {
        (true, _) => Ok(()),
        (false, noun) => Err(Ok(BookError::new(
            Kind::Unknown,
            &noun,
            "is not there",
            "look again what the find holds now; somebody may have been faster",
        ))),
    }
}

/// Faults a change brought: those there before do not bar it.
fn new_faults(before: &State, after: &State) -> Vec<gear::Fault> {
    let mut faults = after.find.faults();
    if !faults.is_empty() {
        let known = before.find.faults();
        faults.retain(|f| {
            !known
                .iter()
                .any(|k| k.what == f.what && k.remedy == f.remedy)
        });
    }
    faults
}

/// Puts nouns into the state; where that makes no sense the state is as it was.
fn put(
    state: &mut State,
    entry: &Entry,
    text: &str,
    instead_of: &[Noun],
) -> Result<Vec<Noun>, BookError> {
    const PLACE: &str = "what was to be recorded";
    let fragment = Fragment::read(text).map_err(|p| BookError::refused(PLACE, p))?;
    // Setups and readings behind thousands of others: only they can be at fault, and they are easily taken away again.
    let (setups, readings) = (state.find.setups.len(), state.find.readings.len());
    let before = (!instead_of.is_empty() || !merge::only_adds(&state.find, &fragment))
        .then(|| state.clone());
    let merged = state.put(&fragment, instead_of);
    let mut problems = merged.doubled(&fragment);
    if problems.is_empty() {
        let faults = match &before {
            Some(before) => new_faults(before, state),
            None => state.find.faults_from(setups, readings),
        };
        problems.extend(faults.iter().map(|f| merged.problem(&fragment, f)));
    }
    if problems.is_empty() {
        state.passed(entry);
        return Ok([instead_of, merged.nouns.as_slice()].concat());
    }
    match before {
        Some(before) => *state = before,
        None => {
            state.find.setups.truncate(setups);
            state.find.readings.truncate(readings);
        }
    }
    Err(BookError::refused(PLACE, problems))
}

fn can_be_struck(entries: &[Entry], strike: EntryId, of: EntryId) -> Result<(), BookError> {
    let place = format!("entry {of}");
    let Some(entry) = entries.iter().find(|e| e.id == of && e.id < strike) else {
        let what = "is not there, or of another find";
        return Err(BookError::new(
            Kind::Unknown,
            place,
            what,
            "look at the find's history",
        ));
    };
    if matches!(entry.what, What::Started { .. }) {
        let remedy = "tag the find, like `put away`, to have it out of sight";
        return Err(refused(
            place,
            "is the find's start and cannot be struck",
            remedy,
        ));
    }
    let others: Vec<&Entry> = entries.iter().filter(|e| e.id != strike).collect();
    let struck = crate::state::struck(others);
    match struck.get(&of) {
        Some(by) => Err(refused(
            place,
            format!("is struck already, by entry {}", by.by),
            format!("strike entry {} to bring it back", by.by),
        )),
        None => Ok(()),
    }
}

fn still_makes_sense(before: &State, after: &State, of: EntryId) -> Result<(), BookError> {
    let faults = new_faults(before, after);
    let Some(first) = faults.first() else {
        return Ok(());
    };
    let more = match faults.len() {
        1 => String::new(),
        many => format!(" (and {} more)", many - 1),
    };
    Err(refused(
        format!("entry {of}"),
        format!(
            "cannot be struck, others rest on it: {}: {}{more}",
            first.path.join(" "),
            first.what
        ),
        "strike or change those first",
    ))
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

/// Longest word of an address.
const LONGEST_SLUG: usize = 60;

/// A word for addresses made of a name: small letters, figures, dashes.
fn slug_of(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        match c {
            'ä' | 'à' | 'á' | 'â' | 'å' => out.push('a'),
            'ö' | 'ó' | 'ô' | 'ø' => out.push('o'),
            'ü' | 'ú' | 'û' => out.push('u'),
            'é' | 'è' | 'ê' | 'ë' => out.push('e'),
            'ß' => out.push_str("ss"),
            c if c.is_ascii_alphanumeric() => out.push(c),
            _ if !out.ends_with('-') && !out.is_empty() => out.push('-'),
            _ => {}
        }
        if out.len() >= LONGEST_SLUG {
            break;
        }
    }
    let out = out.trim_matches('-');
    if out.is_empty() {
        "find".to_owned()
    } else {
        out.to_owned()
    }
}

fn free_slug(connection: &Connection, wish: &str) -> rusqlite::Result<String> {
    let wish = slug_of(wish);
    let mut taken = connection.prepare_cached("SELECT 1 FROM finds WHERE slug = ?1")?;
    let mut candidate = wish.clone();
    let mut count = 1u64;
    while taken.exists([&candidate])? {
        count += 1;
        candidate = format!("{wish}-{count}");
    }
    Ok(candidate)
}
