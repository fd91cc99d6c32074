//! Times a fit of 30 readings and 20 parameters (and the gains of the meters' ranges) against the same posterior by
//! `scipy.optimize.least_squares` with a numpy network: same problem, same priors, same start, both in one run, one thread each.
//!
//! Rerun: `WINDFALL_PYTHON=.venv/bin/python cargo run --release -p trial --example bench_fit`
//! Scipy takes two-point differences and its default tolerances, by the faster of its methods `trf` and `lm`; of each side the fastest of
//! several runs counts. The run fails if the two do not find the same minimum (cost to 1e-6).

use evidence::fit;
use std::process::ExitCode;
use std::time::Instant;
use trial::draw::{Slipping, draw};
use trial::reference::{self, How};
use trial::world::World;

/// Finds timed; each has a seed of its own.
const SEEDS: [u64; 5] = [21, 22, 23, 24, 25];
/// Repeats on our side and on theirs.
const REPEATS: (usize, usize) = (200, 5);

fn main() -> ExitCode {
    match bench() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bench_fit: {error}");
            ExitCode::FAILURE
        }
    }
}

fn bench() -> Result<(), String> {
    let world = World::new().map_err(|error| format!("{error:?}"))?;
    let mut ratios = vec![];
    println!(
        "find  unknowns  ours      steps  scipy      method  evaluations  ratio  cost ours / scipy"
    );
    for seed in SEEDS {
        let mut find =
            draw(&world, seed, 30, Slipping::Exactly(0)).map_err(|error| format!("{error:?}"))?;
        // The prior's centre, but for the slider: on its own side of the tap, which no plain fit can find out.
        let mut start = vec![0.0; find.problem.parameters.len()];
        start[1] = find.z[1];
        let mut fastest = f64::INFINITY;
        let mut ours = None;
        for _ in 0..REPEATS.0 {
            let begun = Instant::now();
            let fitted =
                fit(&mut find.problem, &start, &[]).map_err(|error| format!("{error:?}"))?;
            fastest = fastest.min(begun.elapsed().as_secs_f64());
            ours = Some(fitted);
        }
        let ours = ours.ok_or("nothing was fitted")?;
        let how = How {
            jacobian: "2-point",
            methods: &["trf", "lm"],
            repeat: REPEATS.1,
        };
        let theirs = reference::fit(&find.problem, &start, how)?;
        let ratio = theirs.seconds / fastest;
        println!(
            "{seed:<4}  {:<8}  {:5.3} ms  {:<5}  {:6.1} ms  {:<6}  {:<11}  {ratio:5.0}  {:.7} / {:.7}",
            start.len(),
            1e3 * fastest,
            ours.rounds,
            1e3 * theirs.seconds,
            theirs.method,
            theirs.evaluations,
            ours.cost,
            theirs.cost
        );
        if !ours.converged {
            return Err(format!("find {seed}: our fit did not converge"));
        }
        if (ours.cost - theirs.cost).abs() > 1e-6 * theirs.cost.max(1.0) {
            return Err(format!(
                "find {seed}: not the same minimum: cost {} here, {} there",
                ours.cost, theirs.cost
            ));
        }
        ratios.push(ratio);
    }
    ratios.sort_by(f64::total_cmp);
    println!(
        "ratio: median {:.0}, least {:.0}",
        ratios[ratios.len() / 2],
        ratios[0]
    );
    Ok(())
}
