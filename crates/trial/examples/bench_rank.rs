//! Times the ranking of thirteen wirings against the same ranking by numpy (`reference/rank_wirings.py`: dense networks, differences
//! for slopes), on the same readings in one run, one thread each; then how our time grows with candidates and readings.
//!
//! Rerun: `WINDFALL_PYTHON=.venv/bin/python cargo run --release -p trial --example bench_rank -- [finds] [readings]`
//! Of each side the fastest of several runs of a find counts. The run fails if winners stated above 95 % by both differ in more than one
//! find of twenty.

use evidence::{Ranked, Rival, rank};
use std::process::ExitCode;
use std::time::Instant;
use trial::wirings::circuits::{WIRINGS, Wiring, all};
use trial::wirings::draw::draw;
use trial::wirings::orders::{DECIDED, top};
use trial::wirings::reference::{self, Read, Told};
use trial::wirings::run::{any_order, posed};

/// Finds where no number is given: five of each wiring.
const FINDS: usize = 65;
/// Readings of each where no number is given.
const READINGS: usize = 10;
/// Repeats on our side and on theirs.
const REPEATS: (usize, usize) = (5, 2);
/// Seed of the first find; the others follow.
const SEED: u64 = 7001;
/// Candidates and readings of the growth table.
const CANDIDATES: [usize; 4] = [2, 4, 8, 13];
const SIZES: [usize; 4] = [4, 6, 10, 24];

fn main() -> ExitCode {
    let mut numbers = std::env::args().skip(1).map(|word| word.parse());
    let finds = numbers.next().and_then(Result::ok).unwrap_or(FINDS);
    let readings = numbers.next().and_then(Result::ok).unwrap_or(READINGS);
    match bench(finds, readings).and_then(|()| growth(finds)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bench_rank: {error}");
            ExitCode::FAILURE
        }
    }
}

/// A find by its number: its readings in an order by chance, posed under every wiring.
fn pose(wirings: &[Wiring], number: usize, readings: usize) -> Result<(Read, Vec<Rival>), String> {
    let seed = SEED + number as u64;
    let find = draw(number % WIRINGS.len(), seed, false).map_err(|error| format!("{error:?}"))?;
    let mut places = any_order(seed);
    places.truncate(readings);
    let shown = (0..places.len())
        .map(|k| find.shown(places[k], &places[..k]))
        .collect();
    let rivals = posed(&find, wirings, &places);
    Ok((Read { places, shown }, rivals))
}

/// The fastest ranking in seconds, and what it says.
fn timed(rivals: &[Rival], repeats: usize) -> (f64, Vec<Ranked>) {
    let (mut fastest, mut ranked) = (f64::INFINITY, vec![]);
    for _ in 0..repeats {
        let mut fresh = rivals.to_vec();
        let begun = Instant::now();
        ranked = rank(&mut fresh);
        fastest = fastest.min(begun.elapsed().as_secs_f64());
    }
    (fastest, ranked)
}

fn bench(finds: usize, readings: usize) -> Result<(), String> {
    let wirings = all().map_err(|error| format!("{error:?}"))?;
    let (mut read, mut ours) = (vec![], vec![]);
    for number in 0..finds {
        let (it, rivals) = pose(&wirings, number, readings)?;
        read.push(it);
        ours.push(timed(&rivals, REPEATS.0));
    }
    let theirs = reference::rank(&read, REPEATS.1)?;
    let mut ratios = vec![];
    let mut apart = vec![];
    let (mut same, mut right, mut sure, mut contrary) = (0, (0, 0), 0, 0);
    for (number, ((seconds, ranked), told)) in ours.iter().zip(&theirs).enumerate() {
        ratios.push(told.seconds / seconds);
        let variation = ranked
            .iter()
            .zip(&told.probabilities)
            .map(|(ranked, theirs)| (ranked.probability - theirs).abs());
        apart.push(0.5 * variation.sum::<f64>());
        let ((first, stated), (other, stated_there)) = (top(ranked), best(told));
        let truth = number % WIRINGS.len();
        same += usize::from(first == other);
        right.0 += usize::from(first == truth);
        right.1 += usize::from(other == truth);
        let both = stated > DECIDED && stated_there > DECIDED;
        sure += usize::from(both);
        contrary += usize::from(both && first != other);
        if first != other {
            println!(
                "find {number}, wiring {}: here {} at {stated:.3} ({:.3}), there {} at {stated_there:.3} ({:.3})",
                truth + 1,
                first + 1,
                told.probabilities[first],
                other + 1,
                ranked[other].probability
            );
        }
    }
    let milliseconds = |mut seconds: Vec<f64>| {
        seconds.sort_by(f64::total_cmp);
        let (middle, last) = (seconds.len() / 2, seconds.len() * 95 / 100);
        format!(
            "median {:.2} ms, 95th percentile {:.2} ms",
            1e3 * seconds[middle],
            1e3 * seconds[last.min(seconds.len() - 1)]
        )
    };
    println!("{finds} finds from seed {SEED}, {readings} readings in any order, 13 wirings");
    println!(
        "ours:  {}",
        milliseconds(ours.iter().map(|it| it.0).collect())
    );
    println!(
        "numpy: {}",
        milliseconds(theirs.iter().map(|it| it.seconds).collect())
    );
    ratios.sort_by(f64::total_cmp);
    apart.sort_by(f64::total_cmp);
    println!(
        "ratio: median {:.0}, least {:.0}",
        ratios[finds / 2],
        ratios[0]
    );
    println!(
        "same winner in {same} of {finds}; right here {}, there {}; both above 95 %: {sure}, of them contrary {contrary}",
        right.0, right.1
    );
    println!(
        "posteriors apart (total variation): median {:.4}, 90th percentile {:.4}",
        apart[finds / 2],
        apart[finds * 9 / 10]
    );
    if contrary * 20 > finds {
        return Err(format!("{contrary} winners above 95 % are contrary"));
    }
    Ok(())
}

/// The reference's first and its probability.
fn best(told: &Told) -> (usize, f64) {
    let numbered = told.probabilities.iter().copied().enumerate();
    numbered.fold((0, 0.0), |best, it| if it.1 > best.1 { it } else { best })
}

fn growth(finds: usize) -> Result<(), String> {
    let wirings = all().map_err(|error| format!("{error:?}"))?;
    println!("ours, median in ms, by candidates (the true one among them) and readings");
    println!(
        "candidates {}",
        SIZES.map(|size| format!("{size:>7}")).concat()
    );
    for candidates in CANDIDATES {
        let mut line = format!("{candidates:<10}");
        for size in SIZES {
            let mut seconds = vec![];
            for number in 0..finds {
                let (_, mut rivals) = pose(&wirings, number, size)?;
                rivals.rotate_left(number % WIRINGS.len());
                rivals.truncate(candidates);
                seconds.push(timed(&rivals, 2).0);
            }
            seconds.sort_by(f64::total_cmp);
            line += &format!("{:7.2}", 1e3 * seconds[finds / 2]);
        }
        println!("{line}");
    }
    Ok(())
}
