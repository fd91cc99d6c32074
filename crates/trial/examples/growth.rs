//! Charts how the time of a judgement grows with readings and with parameters, and that of a ranking with candidates.
//!
//! Rerun on a quiet machine: `cargo run --release -p trial --example growth -- docs/growth.svg`
//! Each point is the median over finds of the fastest of three runs. Parameters grow by judging several finds as one: each brings its
//! twenty and ten readings, one of all is a slip. Prints the figures and the slope of the last doubling: 1 is time as the number, 2 as its square.

use drawing::svg::{Anchor, LineKind, Path, Point, Svg, TextStyle, at};
use evidence::{Binding, Problem, judge, rank};
use std::process::ExitCode;
use std::time::Instant;
use trial::draw::{Slipping, draw};
use trial::wirings::circuits::{WIRINGS, all};
use trial::wirings::draw::draw as draw_wiring;
use trial::wirings::run::{any_order, posed};
use trial::world::World;

/// Finds a point.
const FINDS: u64 = 40;
/// Runs of each; the fastest counts.
const RUNS: usize = 3;
/// Seed of the first find; the others follow.
const SEED: u64 = 9001;

/// A line of the chart: what grows, and (number, seconds).
type Line = (&'static str, Vec<(usize, f64)>);

fn main() -> ExitCode {
    let Some(file) = std::env::args().nth(1) else {
        eprintln!("usage: growth FILE.svg");
        return ExitCode::from(2);
    };
    match measured().and_then(|lines| {
        std::fs::write(&file, chart(&lines)).map_err(|error| format!("{file}: {error}"))
    }) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("growth: {error}");
            ExitCode::FAILURE
        }
    }
}

fn measured() -> Result<Vec<Line>, String> {
    let world = World::new().map_err(|error| format!("{error:?}"))?;
    let one = |seed, readings, slips| {
        let find = draw(&world, seed, readings, Slipping::Exactly(slips));
        find.map(|find| find.problem)
            .map_err(|error| format!("{error:?}"))
    };
    let judged = |problem: &Problem| {
        let mut problem = problem.clone();
        timed(|| judge(&mut problem).is_ok())
    };
    let readings = [5, 10, 20, 30].map(|count| {
        let times = (0..FINDS).map(|n| Ok(judged(&one(SEED + n, count, 1)?)));
        Ok((count, median(times.collect::<Result<_, String>>()?)))
    });
    let parameters = [1, 2, 4, 8].map(|copies: u64| {
        let times = (0..FINDS / copies).map(|n| {
            let finds = (0..copies).map(|k| one(SEED + copies * n + k, 10, usize::from(k == 0)));
            Ok(judged(&together(finds.collect::<Result<_, String>>()?)))
        });
        Ok((
            20 * copies as usize,
            median(times.collect::<Result<_, String>>()?),
        ))
    });
    let wirings = all().map_err(|error| format!("{error:?}"))?;
    let candidates = [2, 4, 8, 13].map(|count| {
        let times = (0..FINDS).map(|n| {
            let find = draw_wiring(n as usize % WIRINGS.len(), SEED + n, false)
                .map_err(|error| format!("{error:?}"))?;
            let mut rivals = posed(&find, &wirings, &any_order(SEED + n)[..10]);
            rivals.truncate(count);
            Ok(timed(|| !rank(&mut rivals.clone()).is_empty()))
        });
        Ok((count, median(times.collect::<Result<_, String>>()?)))
    });
    let lines = [
        (
            "readings: 20 parameters, one slip",
            readings.into_iter().collect::<Result<Vec<_>, String>>()?,
        ),
        (
            "parameters: two to a reading, one slip",
            parameters.into_iter().collect::<Result<_, String>>()?,
        ),
        (
            "candidates: 10 readings",
            candidates.into_iter().collect::<Result<_, String>>()?,
        ),
    ];
    for (name, points) in &lines {
        let figures: Vec<String> = points
            .iter()
            .map(|(n, s)| format!("{n}: {:.2} ms", 1e3 * s))
            .collect();
        println!(
            "{name}: {}; slope of the last step {:.1}",
            figures.join(", "),
            slope(points)
        );
    }
    Ok(lines.into())
}

fn timed(mut work: impl FnMut() -> bool) -> f64 {
    (0..RUNS)
        .map(|_| {
            let begun = Instant::now();
            std::hint::black_box(work());
            begun.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// d ln(time) / d ln(number) between the last two points.
fn slope(points: &[(usize, f64)]) -> f64 {
    match points {
        [.., (a, s), (b, t)] => (t / s).ln() / (*b as f64 / *a as f64).ln(),
        _ => f64::NAN,
    }
}

/// Several finds as one problem.
fn together(finds: Vec<Problem>) -> Problem {
    let mut whole = Problem::default();
    for mut find in finds {
        let (parameters, stations) = (whole.parameters.len(), whole.stations.len());
        for binding in find
            .stations
            .iter_mut()
            .flat_map(|station| &mut station.bindings)
        {
            match binding {
                Binding::Fixed(_) => {}
                Binding::Product {
                    powers: followed, ..
                }
                | Binding::Sum {
                    terms: followed, ..
                } => {
                    followed
                        .iter_mut()
                        .for_each(|(parameter, _)| *parameter += parameters);
                }
            }
        }
        for observation in &mut find.observations {
            observation.station += stations;
            observation.number += whole.observations.len() as u32;
            for shared in [
                &mut observation.gain,
                &mut observation.shared_gain,
                &mut observation.offset,
            ] {
                *shared = shared.map(|parameter| parameter + parameters);
            }
        }
        for start in &mut find.starts {
            start
                .iter_mut()
                .for_each(|(parameter, _)| *parameter += parameters);
        }
        whole.parameters.append(&mut find.parameters);
        whole.stations.append(&mut find.stations);
        whole.observations.append(&mut find.observations);
        whole.starts.append(&mut find.starts);
    }
    whole
}

/// A panel each, side by side on one scale of times; both axes by decades.
fn chart(lines: &[Line]) -> String {
    const PANEL: f64 = 232.0;
    const TIMES: [&str; 5] = ["0.1 ms", "1 ms", "10 ms", "100 ms", "1 s"];
    let y = |seconds: f64| 280.0 - 60.0 * (seconds / 1e-4).log10();
    let mut svg = Svg::new();
    for (panel, (name, points)) in lines.iter().enumerate() {
        let left = 64.0 + (PANEL + 16.0) * panel as f64;
        let x = |number: f64| left + 80.0 * number.log10();
        for (decade, time) in TIMES.iter().enumerate() {
            let height = y(1e-4 * 10f64.powi(decade as i32));
            svg.line(
                LineKind::Hair,
                &[at(left, height), at(left + PANEL - 16.0, height)],
                None,
            );
            if panel == 0 {
                svg.text(
                    TextStyle::Terminal,
                    Anchor::End,
                    at(left - 8.0, height + 4.0),
                    time,
                );
            }
        }
        for number in [1.0, 3.0, 10.0, 30.0, 100.0, 300.0] {
            svg.text(
                TextStyle::Terminal,
                Anchor::Middle,
                at(x(number), 300.0),
                &format!("{number}"),
            );
        }
        svg.text(TextStyle::Plain, Anchor::Start, at(left, 24.0), name);
        let places: Vec<Point> = points.iter().map(|&(n, s)| at(x(n as f64), y(s))).collect();
        svg.path("sym", &Path::through(&places));
        places
            .iter()
            .for_each(|&place| svg.circle("dot", place, 3.0));
    }
    let title = "time of a judgement, of a ranking: growth with readings, parameters, candidates";
    svg.finish(title, 64.0 + 3.0 * (PANEL + 16.0), 316.0)
        .standalone()
}
