//! Runs a trial and prints its table.
//!
//! `cargo run --release -p trial -- --finds 600 --slips 1 --readings 10,20,30 --seed 1 --threads 2`; `--slips natural` lets every
//! reading slip with probability 0.02.

use std::process::ExitCode;
use trial::draw::Slipping;
use trial::score::{Plan, run};
use trial::table::table;

const USAGE: &str =
    "usage: trial [--finds N] [--slips N|natural] [--readings N,N,...] [--seed N] [--threads N]";

struct Wanted {
    plan: Plan,
    readings: Vec<usize>,
}

fn wanted(mut words: impl Iterator<Item = String>) -> Result<Wanted, String> {
    let plan = Plan {
        finds: 600,
        readings: 30,
        slipping: Slipping::Exactly(1),
        seed: 1,
        threads: 2,
    };
    let mut wanted = Wanted {
        plan,
        readings: vec![30],
    };
    while let Some(word) = words.next() {
        let value = words
            .next()
            .ok_or_else(|| format!("{word} wants a value"))?;
        let number = |text: &str| {
            text.parse::<usize>()
                .map_err(|_| format!("{word} {text}: not a whole number"))
        };
        match word.as_str() {
            "--finds" => wanted.plan.finds = number(&value)?,
            "--threads" => wanted.plan.threads = number(&value)?,
            "--seed" => wanted.plan.seed = number(&value)? as u64,
            "--readings" => {
                wanted.readings = value.split(',').map(number).collect::<Result<_, _>>()?
            }
            "--slips" if value == "natural" => {
                wanted.plan.slipping = Slipping::Each(evidence::SLIP_PROBABILITY)
            }
            "--slips" => wanted.plan.slipping = Slipping::Exactly(number(&value)?),
            _ => return Err(format!("unknown word {word}")),
        }
    }
    Ok(wanted)
}

fn main() -> ExitCode {
    let wanted = match wanted(std::env::args().skip(1)) {
        Ok(wanted) => wanted,
        Err(error) => {
            eprintln!("trial: {error}\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    let mut runs = vec![];
    for &readings in &wanted.readings {
        eprintln!(
            "judging {} finds of {readings} readings ...",
            wanted.plan.finds
        );
        match run(&Plan {
            readings,
            ..wanted.plan
        }) {
            Ok(score) => runs.push((readings, score)),
            Err(error) => {
                eprintln!("trial: a find could not be drawn: {error:?}");
                return ExitCode::from(3);
            }
        }
    }
    println!("{}", table(&runs));
    ExitCode::SUCCESS
}
