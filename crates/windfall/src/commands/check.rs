//! `windfall check`: a find judged.

use crate::arguments::Sheet;
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;

pub(crate) fn run(asked: &Sheet) -> Result<Outcome, Failure> {
    let given = given::find(&asked.at)?;
    let judge = input::judge(given.find.clone());
    let judgement = judge.judgement();
    if asked.json {
        input::print_json(judgement)?;
    } else {
        input::print(&report::text(judgement))?;
    }
    given.store(&judge)?;
    Ok(Outcome::of(judgement.find.trouble))
}
