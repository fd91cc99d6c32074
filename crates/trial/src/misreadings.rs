//! The trial of misreadings: finds of 10, 20, 30 readings with slips among them.

use crate::draw::Slipping;
use crate::score::{Plan, run};
use crate::table::table;
use crate::words::Words;

/// Runs it: `--finds N --slips N|natural --readings N,N --seed N --threads N --ceiling yes|no`; the table as Markdown.
/// # Errors
/// Words it does not understand, or a find that could not be drawn.
pub fn trial(mut words: Words) -> Result<String, String> {
    let slipping = match words.text("slips").as_deref() {
        None => Slipping::Exactly(1),
        Some("natural") => Slipping::Each(evidence::SLIP_PROBABILITY),
        Some(text) => Slipping::Exactly(
            text.parse()
                .map_err(|_| format!("--slips {text}: not a whole number, nor `natural`"))?,
        ),
    };
    let plan = Plan {
        finds: words.number("finds", 600)?,
        readings: 0,
        slipping,
        seed: words.number("seed", 1)? as u64,
        threads: words.number("threads", 2)?,
        ceiling: words.text("ceiling").as_deref() != Some("no"),
    };
    let sizes = words.numbers("readings", &[6, 10, 20, 30])?;
    words.done()?;
    let mut runs = vec![];
    for readings in sizes {
        eprintln!("judging {} finds of {readings} readings ...", plan.finds);
        let score = run(&Plan { readings, ..plan })
            .map_err(|error| format!("a find could not be drawn: {error:?}"))?;
        runs.push((readings, score));
    }
    Ok(table(&runs))
}
