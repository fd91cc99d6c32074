//! `windfall report`: one HTML file that stands alone.

use crate::arguments::Report;
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use report::Made;
use serde_json::json;

pub(crate) fn run(asked: &Report) -> Result<Outcome, Failure> {
    let given = given::find(&asked.at)?;
    let judge = input::judge(given.find.clone());
    let html = report::document(
        judge.judgement(),
        &report::drawings::all(&judge),
        Made {
            version: env!("CARGO_PKG_VERSION"),
            entry: given.entry(),
        },
    );
    let path = asked.out.clone().unwrap_or_else(|| given.file("html"));
    input::write(&path, &html)?;
    given.store(&judge)?;
    let trouble = judge.judgement().find.trouble;
    if asked.json {
        input::print_json(&json!({ "written": [path.display().to_string()], "trouble": trouble }))?;
    } else {
        input::print(&format!("{} written", path.display()))?;
    }
    Ok(Outcome::of(trouble))
}
