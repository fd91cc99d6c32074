//! `windfall demo`: the creamery find from plate to report, then its page.

use crate::arguments::Demo;
use crate::commands::serve;
use crate::failure::{Failure, Outcome};
use crate::input;
use serde_json::json;

/// The worked find, as in `examples/`.
const CREAMERY: &str = include_str!("../../../../examples/creamery.toml");

pub(crate) fn run(asked: &Demo) -> Result<Outcome, Failure> {
    let find = sheet::read(CREAMERY).map_err(|p| {
        Failure::Program(
            p.iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("\n"),
        )
    })?;
    let judge = input::judge(find);
    if !asked.json {
        input::print(&report::text(judge.judgement()))?;
    }
    let written = asked.out.join("creamery.toml");
    // A sheet the reader has gone on with is theirs: it is not put back.
    if !written.exists() {
        input::write(&written, CREAMERY)?;
    }
    let mut files = vec![written.clone()];
    for (name, svg) in report::drawings::files(&judge) {
        let path = asked.out.join(name);
        input::write(&path, &svg)?;
        files.push(path);
    }
    let html = asked.out.join("creamery.html");
    input::write(
        &html,
        &report::document(
            judge.judgement(),
            &report::drawings::all(&judge),
            report::Made {
                version: env!("CARGO_PKG_VERSION"),
                entry: None,
            },
        ),
    )?;
    files.push(html);
    let names: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
    if asked.json {
        input::print_json(&json!({ "written": names, "judgement": judge.judgement() }))?;
        return Ok(Outcome::Good);
    }
    input::print(&format!("\nwritten: {}", names.join(", ")))?;
    if asked.no_serve {
        return Ok(Outcome::Good);
    }
    serve::open(asked.out.clone(), Some(written), asked.port, !asked.no_open)
}
