//! Times the judgement of finds of 30 readings, one of them a slip, against a numpy search over sets of misread readings: same problem,
//! priors, slips and starts, both in one run, one thread each. Then how the time grows with the readings.
//!
//! Rerun: `WINDFALL_PYTHON=.venv/bin/python cargo run --release -p trial --example bench_misreadings`
//! Of each side the fastest of several runs counts. The run fails if the two accuse different readings with confidence.

use evidence::judge;
use std::process::ExitCode;
use std::time::Instant;
use trial::draw::{Find, Slipping, draw};
use trial::reference;
use trial::world::World;

/// Finds timed; each has a seed of its own.
const SEEDS: std::ops::Range<u64> = 31..41;
/// Repeats on our side and on theirs.
const REPEATS: (usize, usize) = (40, 2);
/// Readings of the growth table, and finds of each.
const GROWTH: ([usize; 4], u64) = ([5, 10, 20, 30], 40);
/// Above the one and below the other: two that stand so say different things. Between, rounding of the densities may decide.
const CONFIDENT: (f64, f64) = (0.9, 0.1);

fn main() -> ExitCode {
    match compare().and_then(|()| growth()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bench_misreadings: {error}");
            ExitCode::FAILURE
        }
    }
}

/// Seconds of the fastest judgement, and the probability of each reading that it is wrong.
fn fastest(find: &mut Find, repeats: usize) -> Result<(f64, Vec<f64>), String> {
    let mut fastest = (f64::INFINITY, vec![]);
    for _ in 0..repeats {
        let begun = Instant::now();
        let judged = judge(&mut find.problem).map_err(|error| format!("{error:?}"))?;
        let seconds = begun.elapsed().as_secs_f64();
        let wrong = judged
            .readings
            .iter()
            .map(|reading| reading.wrong)
            .collect();
        if seconds < fastest.0 {
            fastest = (seconds, wrong);
        }
    }
    Ok(fastest)
}

fn drawn(world: &World, seed: u64, readings: usize) -> Result<Find, String> {
    draw(world, seed, readings, Slipping::Exactly(1)).map_err(|error| format!("{error:?}"))
}

fn compare() -> Result<(), String> {
    let world = World::new().map_err(|error| format!("{error:?}"))?;
    let mut ratios = vec![];
    println!(
        "find  ours       numpy      Jacobians  sets  ratio  slip: ours / numpy  furthest apart"
    );
    for seed in SEEDS {
        let mut find = drawn(&world, seed, 30)?;
        let (seconds, ours) = fastest(&mut find, REPEATS.0)?;
        let theirs = reference::judge(&find.problem, REPEATS.1)?;
        let slipped = find.readings.iter().position(|truth| truth.slip.is_some());
        let slipped = slipped.ok_or("no reading slipped")?;
        let apart = ours
            .iter()
            .zip(&theirs.wrong)
            .map(|(ours, theirs)| (ours - theirs).abs())
            .fold(0.0, f64::max);
        let ratio = theirs.seconds / seconds;
        println!(
            "{seed:<4}  {:6.2} ms  {:6.0} ms  {:<9}  {:<4}  {ratio:5.0}  {:.3} / {:.3}       {apart:.3}",
            1e3 * seconds,
            1e3 * theirs.seconds,
            theirs.jacobians,
            theirs.sets,
            ours[slipped],
            theirs.wrong[slipped]
        );
        for (reading, (&ours, &theirs)) in ours.iter().zip(&theirs.wrong).enumerate() {
            if ours.max(theirs) > CONFIDENT.0 && ours.min(theirs) < CONFIDENT.1 {
                return Err(format!(
                    "find {seed}: reading {} is wrong by {ours} here, by {theirs} there",
                    reading + 1
                ));
            }
        }
        ratios.push(ratio);
    }
    ratios.sort_by(f64::total_cmp);
    println!(
        "ratio: median {:.0}, least {:.0}\n",
        ratios[ratios.len() / 2],
        ratios[0]
    );
    Ok(())
}

fn growth() -> Result<(), String> {
    let world = World::new().map_err(|error| format!("{error:?}"))?;
    println!("readings  median     most");
    for readings in GROWTH.0 {
        let mut seconds = (0..GROWTH.1)
            .map(|seed| fastest(&mut drawn(&world, 100 + seed, readings)?, 3).map(|told| told.0))
            .collect::<Result<Vec<f64>, String>>()?;
        seconds.sort_by(f64::total_cmp);
        println!(
            "{readings:<8}  {:6.2} ms  {:6.2} ms",
            1e3 * seconds[seconds.len() / 2],
            1e3 * seconds[seconds.len() - 1]
        );
    }
    Ok(())
}
