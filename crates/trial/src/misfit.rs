//! The misfit trial: the world is not as the model says, and the judgement must neither accuse the readings nor be too sure.
//!
//! Supplies wander, a voltmeter takes a bent wave for another voltage, iron is no straight line, copper is warm, somebody drew a load
//! too few, a slider stands not where it was left, meters are out of their bounds: all at once, each alone, or none. Scored are the
//! same twenty parameters as in the plain trial. Resistances count cold, core terms at their rated volts, core loss without what is
//! undrawn, supplies as the mean over their setup's readings.

mod cause;
mod find;
mod supposed;

pub use cause::{Causes, Drift, NAMES};
pub use find::{Supposing, draw};
pub use supposed::Supposed;

use crate::draw::Slipping;
use crate::score::{Plan, Score, run_on};
use crate::table::{rate, times, worst};
use crate::words::Words;
use crate::world::World;

/// Runs it: `--finds N --cause NAME|each --readings N --slips N --seed N --threads N --supposing usual|drift|plain`; the table as Markdown.
/// # Errors
/// Words it does not understand, or a find that could not be drawn.
pub fn trial(mut words: Words) -> Result<String, String> {
    let supposing = match words.text("supposing").as_deref() {
        None | Some("usual") => Supposing::Usual,
        Some("plain") => Supposing::Plain,
        Some("drift") => Supposing::Drift,
        Some(other) => return Err(format!("--supposing {other}: usual, drift or plain")),
    };
    let cause = words.text("cause").unwrap_or_else(|| "each".into());
    let names: Vec<&str> = match cause.as_str() {
        "each" => NAMES.to_vec(),
        one => one.split(',').collect(),
    };
    let plan = plan(&mut words)?;
    words.done()?;
    let mut runs = vec![];
    for name in names {
        let causes = Causes::named(name)
            .ok_or_else(|| format!("--cause {name}: one of {} or each", NAMES.join(", ")))?;
        eprintln!("judging {} finds, {name} ...", plan.finds);
        runs.push((name.to_owned(), run(&plan, &causes, supposing)?));
    }
    Ok(table("what is at work", &runs))
}

/// The words all trials of this kind know.
/// # Errors
/// A value that is no number.
pub(crate) fn plan(words: &mut Words) -> Result<Plan, String> {
    Ok(Plan {
        finds: words.number("finds", 2000)?,
        readings: words.number("readings", 30)?,
        slipping: Slipping::Exactly(words.number("slips", 0)?),
        seed: words.number("seed", 1)? as u64,
        threads: words.number("threads", 2)?,
        ceiling: false,
    })
}

/// Judges so many finds of a world with these causes at work.
/// # Errors
/// A find that could not be drawn, in words.
pub fn run(plan: &Plan, causes: &Causes, supposing: Supposing) -> Result<Score, String> {
    let said = |error| format!("a find could not be drawn: {error:?}");
    let plain = World::new().map_err(said)?;
    let supposed = Supposed::new().map_err(said)?;
    run_on(plan, |seed| {
        let how = (seed, plan.readings, plan.slipping);
        draw(&plain, &supposed, causes, supposing, how)
    })
    .map_err(said)
}

/// What it costs to suppose more than is there: the same finds judged both ways, and of each parameter how much wider its interval
/// came out (geometric mean over the finds). `--finds N --readings N --seed N --threads N`; a table as Markdown.
/// # Errors
/// As [`trial`].
pub fn cost(mut words: Words) -> Result<String, String> {
    let plan = plan(&mut words)?;
    words.done()?;
    let [usual, plain] =
        [Supposing::Usual, Supposing::Plain].map(|how| run(&plan, &Causes::NONE, how));
    let (usual, plain) = (usual?, plain?);
    let mut text =
        "| all as drawn | interval over the plain judgement's |\n| --- | --- |\n".to_owned();
    for (number, parameter) in crate::world::parameters().iter().enumerate() {
        let wider = usual.ln_widths[number] - plain.ln_widths[number];
        let wider = (wider / usual.finds as f64).exp();
        text += &format!("| {} | {wider:.2} |\n", parameter.name);
    }
    Ok(text)
}

/// One row a run.
pub(crate) fn table(first: &str, runs: &[(String, Score)]) -> String {
    let mut text = format!(
        "| {first} | 95 % intervals that hold the truth | worst parameter | good readings called *contradicts* | finds with one | material slips found | kind right, of those found | time a find: median, 95th percentile, mean |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n"
    );
    for (name, score) in runs {
        let judged = score.finds - score.failed;
        let held = rate(score.covered.iter().sum(), score.covered.len() * judged);
        text += &format!(
            "| {name} | {held} | {} | {} | {} | {} | {} | {} |\n",
            worst(score),
            rate(score.contradicts, score.good),
            rate(score.finds_accused, score.finds),
            rate(score.found, score.material),
            rate(score.kind_right, score.found),
            times(score),
        );
        if score.failed > 0 {
            text += &format!("\n{name}: {} finds could not be judged.\n", score.failed);
        }
    }
    text
}
