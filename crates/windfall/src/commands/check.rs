//! `windfall check`: a sheet judged.

use crate::arguments::Sheet;
use crate::failure::{Failure, Outcome};
use crate::input;
use judgement::Judge;

pub(crate) fn run(asked: &Sheet) -> Result<Outcome, Failure> {
    let judge = Judge::new(input::find(&asked.sheet)?);
    let judgement = judge.judgement();
    if asked.json {
        input::print_json(judgement)?;
    } else {
        input::print(&report::text(judgement))?;
    }
    Ok(Outcome::of(judgement.find.trouble))
}
