//! The replay: synthetic finds fed from real mains. The volts of every setup follow a recorded window of two days, one reading a
//! minute, each setup from a start of its own; everything else is as drawn.

use crate::misfit::{Causes, Drift, Supposing, plan, run, table};
use crate::words::Words;
use std::path::PathBuf;

/// Runs it: `--finds N --readings N --slips N --seed N --threads N`; the table as Markdown.
/// # Errors
/// Words it does not understand, a record that cannot be read, or a find that could not be drawn.
pub fn trial(mut words: Words) -> Result<String, String> {
    let plan = plan(&mut words)?;
    words.done()?;
    let volts = record()?;
    let drift = Drift::Record(&volts);
    let of = |all: &str| Causes::named(all).unwrap_or(Causes::NONE);
    let replayed = |name: &str, causes: Causes, supposing| {
        eprintln!("judging {} finds, {name} ...", plan.finds);
        Ok((name.to_owned(), run(&plan, &causes, supposing)?))
    };
    let still = Causes::NONE;
    let runs: Vec<_> = [
        replayed(
            "recorded mains, all else drawn as the judgement supposes it",
            Causes {
                drift,
                ..of("as-supposed")
            },
            Supposing::Usual,
        ),
        replayed(
            "recorded mains, all else as drawn; judged knowing it",
            Causes { drift, ..still },
            Supposing::Drift,
        ),
        replayed(
            "recorded mains, all else as drawn; judged as usual",
            Causes { drift, ..still },
            Supposing::Usual,
        ),
        replayed(
            "recorded mains, all else as drawn; judged as if the supply stood still",
            Causes { drift, ..still },
            Supposing::Plain,
        ),
        replayed(
            "recorded mains, all other causes at once",
            Causes { drift, ..of("all") },
            Supposing::Usual,
        ),
    ]
    .into_iter()
    .collect::<Result<_, String>>()?;
    Ok(table("supply", &runs))
}

/// The record that comes with the sources, volts minute by minute.
/// # Errors
/// No such file, or a line that is no number.
pub fn record() -> Result<Vec<f64>, String> {
    let path =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../reference/mains-voltage-2007-02.csv");
    let text =
        std::fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    text.lines()
        .filter(|line| !line.starts_with('#') && *line != "volts")
        .map(|line| {
            line.trim()
                .parse()
                .map_err(|_| format!("{}: `{line}` is no number", path.display()))
        })
        .collect()
}
