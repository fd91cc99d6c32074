//! `windfall plate`: what a plate implies, from one typed line, from a sheet or from a find of the book.

use crate::arguments::{Plate, Where};
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use gear::Find;
use judgement::plate;
use std::path::Path;

pub(crate) fn run(asked: &Plate) -> Result<Outcome, Failure> {
    let (read, arrangement) = match given(asked)? {
        Some(find) => (find.plate, find.arrangement),
        None => (plate::read(&asked.text.join(" ")), None),
    };
    let said = plate::judge(&read, arrangement.as_deref());
    if asked.json {
        input::print_json(&said)?;
    } else {
        input::print(&plate::text(&said, &plate::cautions(&read)))?;
    }
    Ok(Outcome::of(!said.contradictions.is_empty()))
}

/// The find whose plate is asked for; `None` where the plate itself was typed.
fn given(asked: &Plate) -> Result<Option<Find>, Failure> {
    let sheet = match asked.text.as_slice() {
        [one] if one == "-" || Path::new(one).extension().is_some_and(|e| e == "toml") => {
            Some(one.into())
        }
        [] => None,
        _ => return Ok(None),
    };
    let at = Where {
        sheet,
        find: asked.find.clone(),
        book: asked.book.clone(),
        at: None,
    };
    given::find(&at).map(|given| Some(given.find))
}
