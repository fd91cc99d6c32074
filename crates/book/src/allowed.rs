//! What may be written: an entry must speak of what is there, and the find must make as much sense with it as without.

use crate::state::State;
use crate::{BookError, Entry, EntryId, Kind, Noun, What, merge, texts};
use rusqlite::{Connection, OptionalExtension};
use sheet::Fragment;

/// Longest key taken; enough for any random one.
const LONGEST_KEY: usize = 200;

pub(crate) fn refused(
    place: impl std::fmt::Display,
    what: impl Into<String>,
    remedy: impl Into<String>,
) -> BookError {
    BookError::new(Kind::Refused, place, what, remedy)
}

pub(crate) fn key_fits(key: Option<&str>) -> Result<(), BookError> {
    match key {
        Some(key) if key.is_empty() || key.len() > LONGEST_KEY => Err(refused(
            "the entry's key",
            format!("is {} bytes long", key.len()),
            format!("make it 1 to {LONGEST_KEY}"),
        )),
        _ => Ok(()),
    }
}

pub(crate) fn key_of_another(there: &Entry) -> BookError {
    refused(
        "the entry's key",
        format!(
            "is that of entry {} of find {}, something else",
            there.id, there.find
        ),
        "make a new key for each thing recorded",
    )
}

/// The first noun of an entry that the find holds already.
pub(crate) fn already_there(state: &State, what: &What) -> Option<Noun> {
    let there = texts::nouns_of(state);
    let put = what.nouns().into_iter().map(Noun::canonical);
    put.into_iter().find(|noun| there.contains(noun))
}

pub(crate) fn taken(noun: &Noun) -> BookError {
    BookError::new(
        Kind::Taken,
        noun,
        "is there already",
        "somebody was faster; look again and do it once more",
    )
}

/// What must be there for an entry to mean anything. The inner error is the store's.
pub(crate) fn can_be_done(
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
pub(crate) fn new_faults(before: &State, after: &State) -> Vec<gear::Fault> {
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
pub(crate) fn put(
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

pub(crate) fn can_be_struck(
    entries: &[Entry],
    strike: EntryId,
    of: EntryId,
) -> Result<(), BookError> {
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

pub(crate) fn still_makes_sense(
    before: &State,
    after: &State,
    of: EntryId,
) -> Result<(), BookError> {
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
