//! `windfall report`: one HTML file that stands alone.

use crate::arguments::Report;
use crate::failure::{Failure, Outcome};
use crate::input;
use std::path::PathBuf;

pub(crate) fn run(asked: &Report) -> Result<Outcome, Failure> {
    let judge = input::judge(input::find(&asked.sheet)?);
    let html = report::document(
        judge.judgement(),
        &report::drawings::all(&judge),
        env!("CARGO_PKG_VERSION"),
    );
    let path = asked.out.clone().unwrap_or_else(|| {
        if asked.sheet.as_os_str() == "-" {
            PathBuf::from("find.html")
        } else {
            asked.sheet.with_extension("html")
        }
    });
    input::write(&path, &html)?;
    input::print(&format!("{} written", path.display()))?;
    Ok(Outcome::of(judge.judgement().find.trouble))
}
