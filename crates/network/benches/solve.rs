//! What a solve costs, as ratios in one run. Run it again with
//!
//! ```text
//! WINDFALL_PYTHON=.venv/bin/python cargo bench -p network --bench solve
//! ```
//!
//! (a Python with `reference/requirements.txt`). The network is the three-phase stabilizer of `reference/networks.json`. Compared with:
//! the bare factorisation of a dense complex matrix of the same size with partial pivoting, by a plain loop and by nalgebra; and build
//! and solve of the same network by `reference/solve_networks.py`. Each time is the least of many rounds, which on a shared machine is
//! the nearest to what the work costs.

#![allow(clippy::unwrap_used)] // a bench stops where it cannot go on

#[path = "../tests/common/mod.rs"]
mod common;

use common::read::{Read, networks, python, root};
use network::{Question, Solver};
use num_complex::Complex64;
use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

const NAME: &str = "three-phase stabilizer";

/// Least microseconds of one call.
fn least(mut work: impl FnMut()) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..2000 {
        let start = Instant::now();
        for _ in 0..5 {
            work();
        }
        best = best.min(start.elapsed().as_secs_f64() / 5.0);
    }
    best * 1e6
}

fn read(name: &str) -> Read {
    Read::new(networks().iter().find(|n| n["name"] == name).unwrap())
}

/// A dense matrix with nothing special about it.
fn dense(size: usize) -> Vec<Complex64> {
    let mut seed = 1_u64;
    let mut next = || {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
    };
    (0..size * size)
        .map(|_| Complex64::new(next(), next()))
        .collect()
}

/// Partial-pivot LU in place, the plain loop.
fn plain_lu(a: &mut [Complex64], n: usize) {
    for k in 0..n {
        let p = (k..n)
            .max_by(|&i, &j| a[i * n + k].norm_sqr().total_cmp(&a[j * n + k].norm_sqr()))
            .unwrap();
        for j in 0..n {
            a.swap(p * n + j, k * n + j);
        }
        let inverse = a[k * n + k].inv();
        let (above, below) = a.split_at_mut((k + 1) * n);
        let pivot_row = &above[k * n + k + 1..];
        for row in below.chunks_exact_mut(n) {
            let factor = row[k] * inverse;
            row[k] = factor;
            for (x, y) in row[k + 1..].iter_mut().zip(pivot_row) {
                *x -= factor * y;
            }
        }
    }
}

fn ten(read: &Read) -> Vec<Question> {
    let node = |n: &str| read.nodes[n];
    let element = |e: &str| vec![(read.elements[e], 1.0)];
    let volts = |a: &str, b: &str| Question::Voltage {
        a: node(a),
        b: node(b),
        burden: 1e-7,
    };
    let amperes = |n: &str, e: &str| Question::Current {
        node: node(n),
        through: element(e),
        burden: 0.0,
    };
    vec![
        volts("X1:1", "N"),
        volts("X2:1", "N"),
        volts("X2:2", "X2:3"),
        volts("T1:4", "T1:2"),
        volts("T2:4", "N"),
        volts("X1:3", "X1:1"),
        amperes("X1:1", "F1"),
        amperes("X2:2", "load 2"),
        Question::Power {
            node: node("X1:3"),
            against: node("N"),
            through: element("F3"),
        },
        Question::Ratio {
            over: (node("T1:4"), node("T1:2")),
            under: (node("F1:2"), node("X2:1")),
        },
    ]
}

fn report(name: &str) -> (f64, usize) {
    let read = read(name);
    let mut solver: Solver = read.built.solver();
    let values = read.built.values.clone();
    let settle = least(|| solver.settle(black_box(&values)).unwrap());
    let solve = least(|| drop(black_box(solver.solve(black_box(&values)).unwrap())));
    let questions = ten(&read);
    let mut answered = solver.answer(&values, &questions).unwrap();
    let ask = least(|| {
        solver
            .answer_into(black_box(&values), &questions, &mut answered)
            .unwrap()
    });
    println!(
        "{name}: {} unknowns, {} values",
        solver.unknowns(),
        values.len()
    );
    println!("  assemble, factorise, solve      {settle:8.2} µs");
    println!("  the same with a whole solution  {solve:8.2} µs");
    println!("  with ten answers and gradients  {ask:8.2} µs");
    let first = least(|| read.built.solver().settle(&values).unwrap());
    println!("  first solve, ordering included  {first:8.2} µs");
    (settle, solver.unknowns())
}

fn main() {
    let (ours, size) = report(NAME);
    report("stabilizer with knees");
    let matrix = dense(size);
    let mut room = matrix.clone();
    let copy = least(|| room.copy_from_slice(black_box(&matrix)));
    let plain = least(|| {
        room.copy_from_slice(&matrix);
        plain_lu(black_box(&mut room), size);
    }) - copy;
    let theirs = nalgebra::DMatrix::from_row_slice(size, size, &matrix);
    let clone = least(|| drop(black_box(theirs.clone())));
    let library = least(|| drop(black_box(nalgebra::LU::new(theirs.clone())))) - clone;
    println!("bare dense complex LU of {size}: plain loop {plain:.1} µs, library {library:.1} µs");
    println!(
        "  one solve / the faster of them  {:8.3}  (to be at most 3)",
        ours / plain.min(library)
    );
    let reference = root().join("reference");
    let run = Command::new(python())
        .arg(reference.join("solve_networks.py"))
        .arg(reference.join("networks.json"))
        .args(["--time", NAME])
        .output();
    match run.map(|o| String::from_utf8_lossy(&o.stdout).trim().parse::<f64>()) {
        Ok(Ok(seconds)) => {
            let numpy = seconds * 1e6;
            println!(
                "numpy, build and solve {numpy:.1} µs\n  numpy / one solve  {:8.1}  (to be at least 20)",
                numpy / ours
            );
        }
        _ => println!("no numpy: set WINDFALL_PYTHON to a Python with reference/requirements.txt"),
    }
}
