//! `windfall check`: a sheet judged.

use crate::arguments::Sheet;
use crate::failure::{Failure, Outcome};
use crate::input;

pub(crate) fn run(asked: &Sheet) -> Result<Outcome, Failure> {
    let judge = input::judge(input::find(&asked.sheet)?);
    let judgement = judge.judgement();
    if asked.json {
        input::print_json(judgement)?;
    } else {
        input::print(&report::text(judgement))?;
    }
    Ok(Outcome::of(judgement.find.trouble))
}
