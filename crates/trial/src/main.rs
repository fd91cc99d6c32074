//! Runs one trial and prints its table.
//!
//! `cargo run --release -p trial -- misreadings --finds 600 --slips 1 --readings 10,20,30`; without a name the trials are listed.

use std::process::ExitCode;
use trial::words::Words;

/// A trial takes its words and gives its table.
type Trial = fn(Words) -> Result<String, String>;

/// The trials: name, what it scores, how to run it.
const TRIALS: &[(&str, &str, Trial)] = &[
    (
        "misreadings",
        "slips among 6 to 30 readings: found, kind, accused, intervals",
        trial::misreadings::trial,
    ),
    (
        "sisters",
        "one of three sisters' no-load currents read ten times too high",
        trial::sisters::trial,
    ),
    (
        "low-steps",
        "setups called low, held against what they are in truth",
        trial::low_steps::trial,
    ),
    (
        "misfit",
        "the world is not as drawn: each cause alone, none, all at once",
        trial::misfit::trial,
    ),
    (
        "misfit-cost",
        "intervals where all is as drawn, over those of a judgement that knows it",
        trial::misfit::cost,
    ),
    (
        "recorded",
        "one thing on the sheet recorded wrong: named among its neighbours; nothing wrong: none blamed",
        trial::recorded::trial,
    ),
    (
        "replay",
        "supplies replayed from two recorded days of mains",
        trial::replay::trial,
    ),
    (
        "tracing",
        "unmarked parts sorted test by test: tests against told and least, right, safe",
        trial::tracing::trial,
    ),
    (
        "wirings",
        "which of thirteen wirings a find is, by readings given and by readings asked for",
        trial::wirings::trial,
    ),
];

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let name = words.next().unwrap_or_default();
    let Some((_, _, run)) = TRIALS.iter().find(|(known, ..)| *known == name) else {
        eprintln!("usage: trial NAME [--word value ...]");
        for (name, what, _) in TRIALS {
            eprintln!("  {name:<14}{what}");
        }
        return ExitCode::from(2);
    };
    match Words::read(words).and_then(run) {
        Ok(table) => {
            println!("{table}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("trial: {error}");
            ExitCode::from(2)
        }
    }
}
