//! `windfall plate`: what a plate implies, from one typed line or from a sheet.

use crate::arguments::Plate;
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use judgement::plate;
use std::path::Path;

pub(crate) fn run(asked: &Plate) -> Result<Outcome, Failure> {
    let path = Path::new(&asked.text[0]);
    let a_sheet = asked.text.len() == 1
        && (asked.text[0] == "-" || path.extension().is_some_and(|e| e == "toml"));
    let (read, arrangement) = if a_sheet {
        let find = given::of_sheet(path)?.find;
        (find.plate, find.arrangement)
    } else {
        (plate::read(&asked.text.join(" ")), None)
    };
    let said = plate::judge(&read, arrangement.as_deref());
    if asked.json {
        input::print_json(&said)?;
    } else {
        input::print(&plate::text(&said, &plate::cautions(&read)))?;
    }
    Ok(Outcome::of(!said.contradictions.is_empty()))
}
