//! What is derived from a find's state and stored beside it: its row in the list, its tags, the words to search. Can be made anew at any time.

use crate::rows::stored;
use crate::state::State;
use crate::{BookError, EntryId, FindId, Noun, rows};
use gear::{Find, Plate};
use rusqlite::{Connection, params};

/// Writes what changed with the touched nouns; with none told, all.
pub(crate) fn derive(
    connection: &Connection,
    state: &State,
    touched: Option<&[Noun]>,
) -> rusqlite::Result<()> {
    let Some(touched) = touched else {
        return derive_all(connection, state);
    };
    row(connection, state)?;
    if touched.contains(&Noun::Tags) {
        tags(connection, state)?;
    }
    let find = stored(state.id.0);
    let mut delete =
        connection.prepare_cached("DELETE FROM texts WHERE find = ?1 AND noun = ?2")?;
    for noun in touched {
        let name = name_of(noun);
        delete.execute(params![find, name])?;
        if let Some(text) = text_of(state, noun) {
            add(connection, state.id, &name, &text)?;
        }
    }
    Ok(())
}

/// Writes all of a find anew.
pub(crate) fn derive_all(connection: &Connection, state: &State) -> rusqlite::Result<()> {
    row(connection, state)?;
    tags(connection, state)?;
    connection.execute("DELETE FROM texts WHERE find = ?1", [stored(state.id.0)])?;
    for noun in nouns_of(state) {
        if let Some(text) = text_of(state, &noun) {
            add(connection, state.id, &name_of(&noun), &text)?;
        }
    }
    Ok(())
}

/// Writes all of every find anew.
pub(crate) fn derive_anew(connection: &Connection, place: &str) -> Result<(), BookError> {
    let store = |e: rusqlite::Error| BookError::of_store(place, &e);
    for (id, slug) in finds(connection).map_err(store)? {
        let entries = rows::entries(connection, place, id, EntryId(0))?;
        let state = State::afresh(id, &slug, &entries);
        derive_all(connection, &state).map_err(store)?;
    }
    Ok(())
}

/// Every find with its word for addresses.
pub(crate) fn finds(connection: &Connection) -> rusqlite::Result<Vec<(FindId, String)>> {
    connection
        .prepare("SELECT id, slug FROM finds ORDER BY id")?
        .query_map([], |row| {
            Ok((FindId(rows::counted(row.get(0)?)), row.get(1)?))
        })?
        .collect()
}

/// How a noun is written in the store.
pub(crate) fn name_of(noun: &Noun) -> String {
    serde_json::to_string(noun).unwrap_or_default()
}

fn add(connection: &Connection, find: FindId, noun: &str, text: &str) -> rusqlite::Result<()> {
    connection
        .prepare_cached("INSERT OR IGNORE INTO texts (find, noun, text) VALUES (?1, ?2, ?3)")?
        .execute(params![stored(find.0), noun, text])?;
    Ok(())
}

fn row(connection: &Connection, state: &State) -> rusqlite::Result<()> {
    let find = &state.find;
    let reading = find.readings.iter().map(|r| r.number).max().unwrap_or(0);
    let setup = find.setups.iter().map(|s| s.number).max().unwrap_or(0);
    connection
        .prepare_cached(
            "UPDATE finds SET name = ?2, number = ?3, readings = ?4, last_entry = ?5, updated = ?6, updated_millis = ?7, first_photo = ?8,
             highest_reading = max(highest_reading, ?9), highest_setup = max(highest_setup, ?10),
             plate = ?11, parts = ?12, told = ?13, touched = ?14, judged = ?15 WHERE id = ?1",
        )?
        .execute(params![
            stored(state.id.0),
            find.name,
            find.number,
            stored(find.readings.len() as u64),
            stored(state.newest.0),
            state.updated.text,
            state.updated.millis,
            state.photos.first().map(|p| p.digest.as_str()),
            reading,
            setup,
            plate_block(&find.plate),
            stored(find.parts.len() as u64),
            stored(state.told.0),
            stored(state.touched.0),
            state.judged.map(|e| stored(e.0)),
        ])?;
    Ok(())
}

/// The plate as the list keeps it: its block of the sheet; nothing where it says nothing.
pub(crate) fn plate_block(plate: &Plate) -> String {
    if *plate == Plate::default() {
        return String::new();
    }
    sheet::fragment::of_plate(plate)
}

fn tags(connection: &Connection, state: &State) -> rusqlite::Result<()> {
    let find = stored(state.id.0);
    connection.execute("DELETE FROM tags WHERE find = ?1", [find])?;
    let mut insert = connection.prepare_cached("INSERT INTO tags (find, word) VALUES (?1, ?2)")?;
    for word in &state.tags {
        insert.execute(params![find, word])?;
    }
    Ok(())
}

/// Every noun of a find that may have words.
pub(crate) fn nouns_of(state: &State) -> Vec<Noun> {
    let find = &state.find;
    let mut out = vec![Noun::Find, Noun::Plate, Noun::Tags];
    out.extend(
        find.parts
            .iter()
            .map(|p| Noun::Part(p.designation.to_string())),
    );
    out.extend(find.gangs.iter().map(|g| Noun::Gang(g.name.clone())));
    out.extend(
        find.leads
            .iter()
            .map(|l| Noun::Lead(l.designation.to_string())),
    );
    out.extend(find.joins.iter().map(|j| Noun::join(&j.terminals)));
    out.extend(
        find.kit
            .sources
            .iter()
            .map(|s| Noun::Source(s.name.clone())),
    );
    out.extend(
        find.kit
            .limiters
            .iter()
            .map(|i| Noun::Limiter(i.name.clone())),
    );
    out.extend(find.kit.loads.iter().map(|i| Noun::Load(i.name.clone())));
    out.extend(
        find.kit
            .protection
            .iter()
            .map(|i| Noun::Protection(i.name.clone())),
    );
    out.extend(
        find.instruments
            .iter()
            .map(|i| Noun::Instrument(i.designation.to_string())),
    );
    out.extend(find.setups.iter().map(|s| Noun::Setup(s.number)));
    out.extend(find.readings.iter().map(|r| Noun::Reading(r.number)));
    out.extend(find.damage.iter().map(|d| Noun::Damage {
        part: d.part.to_string(),
        what: d.what.clone(),
    }));
    out.extend(find.notes.iter().map(|n| Noun::Note(n.text.clone())));
    out.extend(state.photos.iter().map(|p| Noun::Photo(p.digest.clone())));
    out
}

/// The words of a noun; nothing where it has none, or is not there.
pub(crate) fn text_of(state: &State, noun: &Noun) -> Option<String> {
    let words: Vec<String> = match noun {
        Noun::Tags => state.tags.iter().cloned().collect(),
        Noun::Photo(digest) => {
            let photo = state.photos.iter().find(|p| p.digest == *digest)?;
            let marks = photo.marks.iter().map(|m| m.words.clone());
            std::iter::once(photo.caption.clone())
                .chain(marks)
                .collect()
        }
        noun => words_in(&state.find, noun)?,
    };
    let text = words.iter().map(|w| w.trim()).filter(|w| !w.is_empty());
    let text = text.collect::<Vec<_>>().join(" · ");
    (!text.is_empty()).then_some(text)
}

fn words_in(find: &Find, noun: &Noun) -> Option<Vec<String>> {
    let some = |words: &[Option<&String>]| words.iter().filter_map(|w| w.cloned()).collect();
    Some(match noun {
        Noun::Find => some(&[
            Some(&find.name),
            find.origin.as_ref(),
            find.arrangement.as_ref(),
        ]),
        Noun::Plate => plate(&find.plate),
        Noun::Part(name) => {
            let part = find.parts.iter().find(|p| p.designation.as_str() == name)?;
            let mut words = vec![name.clone()];
            words.extend(part.name.clone());
            words.push(part.kind.word().to_owned());
            words
        }
        Noun::Lead(name) => {
            let lead = find.leads.iter().find(|l| l.designation.as_str() == name)?;
            some(&[Some(name), lead.colour.as_ref(), lead.mark.as_ref()])
        }
        Noun::Join(_) => {
            let join = find
                .joins
                .iter()
                .find(|j| Noun::join(&j.terminals) == *noun)?;
            some(&[join.note.as_ref()])
        }
        Noun::Instrument(name) => {
            let one = find
                .instruments
                .iter()
                .find(|i| i.designation.as_str() == name)?;
            some(&[Some(name), one.name.as_ref()])
        }
        Noun::Setup(number) => some(&[find.setup(*number)?.what.as_ref()]),
        Noun::Reading(number) => {
            let reading = find.readings.iter().find(|r| r.number == *number)?;
            some(&[
                reading.what.as_ref(),
                reading.note.as_ref(),
                reading.struck.as_ref(),
            ])
        }
        Noun::Damage { part, what } => {
            let there = |d: &gear::Damage| d.part.as_str() == part && d.what == *what;
            find.damage.iter().find(|d| there(d))?;
            vec![part.clone(), what.clone()]
        }
        Noun::Note(text) => vec![find.notes.iter().find(|n| n.text == *text)?.text.clone()],
        Noun::Gang(name) => vec![find.gangs.iter().find(|g| g.name == *name)?.name.clone()],
        Noun::Source(name) => vec![
            find.kit
                .sources
                .iter()
                .find(|s| s.name == *name)?
                .name
                .clone(),
        ],
        Noun::Limiter(name) => item(&find.kit.limiters, name)?,
        Noun::Load(name) => item(&find.kit.loads, name)?,
        Noun::Protection(name) => item(&find.kit.protection, name)?,
        Noun::Terminal(_) | Noun::Photo(_) | Noun::Tags => return None,
    })
}

fn item(items: &[gear::KitItem], name: &str) -> Option<Vec<String>> {
    Some(vec![items.iter().find(|i| i.name == name)?.name.clone()])
}

fn plate(plate: &Plate) -> Vec<String> {
    let fields = plate
        .fields
        .iter()
        .map(|(field, figure)| format!("{} {figure}", field.word()));
    plate
        .text
        .iter()
        .cloned()
        .chain(fields)
        .chain(plate.marks.iter().cloned())
        .collect()
}
