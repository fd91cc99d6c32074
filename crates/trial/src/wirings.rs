//! The trial of wirings: which of thirteen circuits a find is, from 4 to 10 readings in several orders, or from readings asked for.

pub mod circuits;
pub mod draw;
pub mod orders;
pub mod reference;
pub mod run;
pub mod table;

use crate::words::Words;
use run::Plan;

/// Runs it: `--finds N --seed N --threads N --misfit yes|no --asked yes|no --against N`; tables as Markdown. `--finds` is brought up to
/// whole rounds of the thirteen circuits; `--against N` holds Laplace's evidence against importance sampling on so many finds.
/// # Errors
/// Words it does not understand, or a find that could not be drawn.
pub fn trial(mut words: Words) -> Result<String, String> {
    let yes = |text: Option<String>, default: bool| text.map_or(default, |text| text == "yes");
    let plan = Plan {
        finds: words
            .number("finds", 598)?
            .next_multiple_of(circuits::WIRINGS.len()),
        seed: words.number("seed", 1)? as u64,
        threads: words.number("threads", 1)?,
        strange: yes(words.text("misfit"), false),
        asked: yes(words.text("asked"), true),
        against: words.number("against", 0)?,
    };
    words.done()?;
    let score = run::run(&plan)
        .map_err(|error| format!("a find could not be drawn or ranked: {error:?}"))?;
    Ok(table::table(&plan, &score))
}
