//! `windfall readings`: readings out of a find and into it, as rows.

use crate::arguments::{Readings, Where};
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use gear::Reading;
use serde_json::{Value, json};
use std::path::Path;

pub(crate) fn run(asked: &Readings) -> Result<Outcome, Failure> {
    if let Some(rows) = &asked.add {
        return add(&asked.at, rows);
    }
    let find = given::find(&asked.at)?.find;
    if asked.json {
        let all: Vec<Value> = find.readings.iter().map(recorded).collect();
        input::print_json(&all)?;
    } else {
        input::print(&sheet::csv::write(&find.readings))?;
    }
    Ok(Outcome::Good)
}

/// Adds all rows to the sheet, exchanged in one step, or to the book in one entry; or none.
fn add(at: &Where, rows: &Path) -> Result<Outcome, Failure> {
    if at.sheet.as_deref() == Some(Path::new("-")) {
        return Err(Failure::input(
            "-: readings are added to a sheet in a file; name the file",
        ));
    }
    let given = given::find(at)?;
    let table = input::text(rows)?;
    let readings = sheet::csv::read(&table, &given.find).map_err(|p| input::faults(rows, &p))?;
    given.add(&readings)?;
    let (count, noun) = match readings.len() {
        1 => (1, "reading"),
        count => (count, "readings"),
    };
    input::print(&format!(
        "{count} {noun} added to {}.\nNext: windfall check {}",
        given.name,
        given.argument()
    ))?;
    Ok(Outcome::Good)
}

/// A reading as it was recorded; what is not known is null.
fn recorded(reading: &Reading) -> Value {
    let terminals: Vec<String> = reading
        .place
        .terminals()
        .iter()
        .map(ToString::to_string)
        .collect();
    json!({
        "number": reading.number,
        "setup": reading.setup,
        "at": reading.at.as_ref().map(gear::Moment::text),
        "together": reading.together,
        "with": reading.instrument.as_ref().map(ToString::to_string),
        "measured": reading.measured.word(),
        "place": reading.place.to_string(),
        "terminals": terminals,
        "shown": reading.shown.as_ref().map(|q| q.text().to_owned()),
        "beep": reading.beep,
        "kick": reading.kick.map(gear::Kick::sign),
        "what": reading.what,
        "struck": reading.struck,
        "kept": reading.kept,
        "note": reading.note,
    })
}
