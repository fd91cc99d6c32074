//! The trial of low steps: is what is called *low* low?
//!
//! Random unmarked parts with known truth (`made`), random kits; every setup that is called *low* is solved with the true turns, joins,
//! sliders and starts (`truth`), straight and with a knee, and the highest volts between any two terminals, and to earth, are held
//! against the limit. Counted beside it: how often anything low is found at all.

mod made;
mod truth;

use crate::chance::Chance;
use crate::table::rate;
use crate::words::Words;
use hazard::{Class, Handling, exposure, greatest_low_volts};
use made::Made;
use quantity::Quantity;
use std::fmt::Write as _;

/// Share a solved voltage may lie above the limit before it counts: magnetising current in the source's own impedance moves its phases
/// by so much.
const ROUNDING: f64 = 1e-3;

/// What was counted.
#[derive(Debug, Clone, Default)]
pub struct Count {
    /// Parts drawn.
    pub parts: usize,
    /// Parts whose kit holds an isolated alternating source.
    pub with_isolated: usize,
    /// Of those: parts where some setting of some setup is low.
    pub with_low: usize,
    /// Setups looked at, each with one handling.
    pub setups: usize,
    /// Called dead.
    pub dead: usize,
    /// Called low.
    pub low: usize,
    /// Called low and solved with the truth.
    pub solved: usize,
    /// Above the limit in truth although called low.
    pub exceeded: usize,
    /// Called low although fed from what is not marked isolated.
    pub not_isolated: usize,
    /// Highest true volts over the limit, among those called low.
    pub nearest: f64,
    /// Sum of the settings found, and how many, for their mean.
    pub settings: (f64, usize),
    /// Sum over solved setups of bound over truth in ln, for the geometric mean.
    pub slack: (f64, usize),
    /// What the exceedances were, in words.
    pub told: Vec<String>,
}

/// Runs it: `--parts N --seed N`; the table as Markdown.
/// # Errors
/// Words it does not understand.
pub fn trial(mut words: Words) -> Result<String, String> {
    let parts = words.number("parts", 10_000)?;
    let seed = words.number("seed", 1)? as u64;
    words.done()?;
    let count = run(parts, seed);
    Ok(table(&count))
}

/// Draws parts and counts.
pub fn run(parts: usize, seed: u64) -> Count {
    let mut count = Count::default();
    for part in 0..parts {
        let mut chance = Chance::new(seed.wrapping_mul(1_000_003).wrapping_add(part as u64));
        let made = made::part(&mut chance);
        one(&made, &mut chance, &mut count, part);
    }
    count
}

fn one(made: &Made, chance: &mut Chance, count: &mut Count, number: usize) {
    count.parts += 1;
    let kit = &made.truth.kit;
    let isolated = kit
        .sources
        .iter()
        .any(|s| s.isolated == Some(true) && !s.direct);
    count.with_isolated += usize::from(isolated);
    let mut found = false;
    for _ in 0..6 {
        let setup = made.setup(chance);
        for handling in [Handling::Touched, Handling::ClippedDead] {
            held(made, &setup, handling, chance, count, number);
            let Some(volts) = greatest_low_volts(&setup, kit, &made.possible, handling) else {
                continue;
            };
            let set = scaled(&setup, volts);
            let direct = made.is_direct(&set);
            found |= !direct;
            if !direct {
                count.settings.0 += volts;
                count.settings.1 += 1;
            }
            let called = held(made, &set, handling, chance, count, number);
            if called != Class::Low && !direct {
                count.told.push(format!(
                    "part {number}: {volts} V offered as low is {}",
                    called.word()
                ));
            }
        }
    }
    count.with_low += usize::from(isolated && found);
}

/// The setup with its first feed at these volts and the others in the proportion they had.
fn scaled(setup: &gear::Setup, volts: f64) -> gear::Setup {
    let mut set = setup.clone();
    let of = |feed: &gear::Feed| feed.volts.as_ref().and_then(Quantity::value);
    let first = setup.feeds.first().and_then(of).unwrap_or(1.0);
    for feed in &mut set.feeds {
        let own = of(feed).unwrap_or(first);
        feed.volts = Quantity::parse(&format!("{:.15} V", volts * own / first)).ok();
    }
    set
}

/// Asks for the class of a setup and holds *low* against the truth.
fn held(
    made: &Made,
    setup: &gear::Setup,
    handling: Handling,
    chance: &mut Chance,
    count: &mut Count,
    number: usize,
) -> Class {
    let told = exposure(setup, &made.truth.kit, &made.possible, handling);
    count.setups += 1;
    count.dead += usize::from(told.class == Class::Dead);
    if told.class != Class::Low {
        return told.class;
    }
    count.low += 1;
    count.not_isolated += usize::from(!made.is_isolated(setup));
    if made.is_direct(setup) {
        return told.class;
    }
    for knee in [false, true] {
        let Some(volts) = truth::highest(made, setup, knee, chance) else {
            continue;
        };
        count.solved += usize::from(!knee);
        count.nearest = count.nearest.max(volts / told.limit);
        if let Some(bound) = told.highest.as_ref().filter(|_| volts > 1e-6) {
            count.slack.0 += (bound.volts / volts).ln();
            count.slack.1 += 1;
        }
        if volts > told.limit * (1.0 + ROUNDING) {
            count.exceeded += 1;
            count.told.push(format!(
                "part {number}: {volts:.2} V in truth, limit {} V, said: {}",
                told.limit, told.why
            ));
        }
    }
    told.class
}

/// The table, in Markdown.
pub fn table(count: &Count) -> String {
    let mut text = String::from("| | |\n| --- | --- |\n");
    let mut row = |name: &str, value: String| {
        let _ = writeln!(text, "| {name} | {value} |");
    };
    row("parts", count.parts.to_string());
    row(
        "setups looked at (touched, clipped on dead)",
        count.setups.to_string(),
    );
    row("called low", count.low.to_string());
    row(
        "called low and solved with the truth",
        count.solved.to_string(),
    );
    row(
        "above the limit in truth although called low",
        format!(
            "{} of {}: {}",
            count.exceeded,
            2 * count.solved,
            rate(count.exceeded, 2 * count.solved)
        ),
    );
    row(
        "called low from a source not marked isolated",
        count.not_isolated.to_string(),
    );
    row(
        "highest true volts over the limit, among those called low",
        format!("{:.3}", count.nearest),
    );
    row(
        "parts with an isolated source where something low was found",
        rate(count.with_low, count.with_isolated),
    );
    let mean = |(sum, of): (f64, usize)| sum / of.max(1) as f64;
    row(
        "mean setting found",
        format!("{:.1} V", mean(count.settings)),
    );
    row(
        "bound over truth, geometric mean",
        format!("{:.1}", mean(count.slack).exp()),
    );
    for line in count.told.iter().take(40) {
        let _ = writeln!(text, "\n{line}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_called_low_exceeds_its_limit_in_truth() {
        let count = run(300, 7);
        assert_eq!(count.exceeded, 0, "{:?}", count.told);
        assert_eq!(count.not_isolated, 0);
        assert!(count.told.is_empty(), "{:?}", count.told);
        assert!(count.solved > 300, "only {} looked at", count.solved);
        assert!(
            2 * count.with_low > count.with_isolated,
            "useless: {count:?}"
        );
    }
}
