//! The networks of `reference/networks.json`, solved here and by `reference/solve_networks.py` with numpy, compared: 1e-9 relative,
//! 1e-6 where cores bend (both iterate).
//!
//! The Python is that of the variable `WINDFALL_PYTHON`, else `.venv/bin/python` at the workspace root, else `python3`; it needs
//! `reference/requirements.txt`.

#![allow(clippy::unwrap_used)] // helpers of tests count as outside tests

mod common;

use common::read::{Read, networks, python, root};
use network::circuit::Node;
use network::{Answer, Question, Solution};
use serde_json::Value;
use std::collections::BTreeMap;
use std::process::Command;

/// Runs the script; fails with what to do when there is no Python with numpy.
fn by_numpy() -> Vec<Value> {
    let python = python();
    let reference = root().join("reference");
    let run = Command::new(&python)
        .arg(reference.join("solve_networks.py"))
        .arg(reference.join("networks.json"))
        .output();
    let help = "make an environment (python3 -m venv .venv && .venv/bin/pip install -r reference/requirements.txt) \
                or name a Python that has numpy and scipy in WINDFALL_PYTHON";
    let run = run.unwrap_or_else(|e| panic!("{} does not start: {e}; {help}", python.display()));
    assert!(
        run.status.success(),
        "{} failed; {help}\n{}",
        python.display(),
        String::from_utf8_lossy(&run.stderr)
    );
    serde_json::from_slice(&run.stdout).unwrap()
}

fn complex(v: &Value) -> num_complex::Complex64 {
    num_complex::Complex64::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap())
}

/// Largest difference of voltages inside each island, of currents and of EMFs, each against the largest of its kind.
fn difference(read: &Read, ours: &Solution, theirs: &Value) -> f64 {
    let mut first: BTreeMap<usize, (num_complex::Complex64, num_complex::Complex64)> =
        BTreeMap::new();
    let (mut volts, mut off) = (0.0_f64, 0.0_f64);
    // in the order of the circuit's nodes, so that the first of an island is its reference
    let mut by_number: Vec<(&String, Node)> = read
        .nodes
        .iter()
        .map(|(name, node)| (name, *node))
        .collect();
    by_number.sort_by_key(|(_, node)| *node);
    for (name, node) in by_number {
        let (mine, other) = (ours.voltages[node.0], complex(&theirs["voltages"][name]));
        let (zero, other_zero) = *first.entry(ours.island[node.0]).or_insert((mine, other));
        volts = volts.max((mine - zero).norm());
        off = off.max(((mine - zero) - (other - other_zero)).norm());
    }
    let (mut amperes, mut missed) = (0.0_f64, 0.0_f64);
    for (name, id) in &read.elements {
        let theirs = &theirs["currents"][name];
        // Pieces without length say nothing: their place in the order is a matter of taste.
        let long = |p: &&Value| p["to"].as_f64().unwrap() > p["from"].as_f64().unwrap();
        let pieces: Vec<_> = theirs["pieces"]
            .as_array()
            .unwrap()
            .iter()
            .filter(long)
            .collect();
        let mine: Vec<_> = ours.currents[id.0]
            .iter()
            .filter(|p| p.to > p.from)
            .collect();
        assert_eq!(pieces.len(), mine.len(), "{name}");
        for (piece, mine) in pieces.iter().zip(mine) {
            amperes = amperes.max(mine.amperes.norm());
            missed = missed.max((mine.amperes - complex(&piece["amperes"])).norm());
        }
        for (slider, mine) in theirs["sliders"]
            .as_array()
            .unwrap()
            .iter()
            .zip(&ours.sliders[id.0])
        {
            missed = missed.max((mine - complex(slider)).norm());
        }
    }
    let mut relative = (off / volts.max(1e-30)).max(missed / amperes.max(1e-30));
    for (k, core) in read.cores.iter().enumerate() {
        if theirs["emf_per_turn"][core].is_array() {
            let other = complex(&theirs["emf_per_turn"][core]);
            relative = relative.max((ours.emf_per_turn[k] - other).norm() / (other.norm() + 1e-6));
        }
    }
    relative
}

#[test]
fn val_numpy_solves_the_same_networks_alike() {
    let networks = networks();
    let theirs = by_numpy();
    assert_eq!(networks.len(), theirs.len());
    assert!(networks.len() >= 25, "{} networks", networks.len());
    let mut faults = Vec::new();
    let (mut worst, mut worst_bent) = (0.0_f64, 0.0_f64);
    for (data, theirs) in networks.iter().zip(&theirs) {
        let read = Read::new(data);
        let bent = read
            .built
            .circuit
            .cores
            .iter()
            .any(|(_, c)| c.bend.is_some());
        let tolerance = if bent { 1e-6 } else { 1e-9 };
        let mut solver = read.built.solver();
        let ours = solver
            .solve(&read.built.values)
            .unwrap_or_else(|e| panic!("{}: {e:?}", data["name"]));
        // the comparison below would pass over what is not a number
        assert!(
            ours.voltages.iter().all(|v| v.is_finite()),
            "{}",
            data["name"]
        );
        assert!(
            ours.currents
                .iter()
                .flatten()
                .all(|c| c.amperes.is_finite()),
            "{}",
            data["name"]
        );
        let mut relative = difference(&read, &ours, theirs);
        let asked = data["ask"].as_array().cloned().unwrap_or_default();
        let questions: Vec<Question> = asked.iter().map(|ask| read.question(ask)).collect();
        for (k, answer) in solver
            .answer(&read.built.values, &questions)
            .unwrap()
            .iter()
            .enumerate()
        {
            let Answer::Value { value, .. } = answer else {
                panic!("{}: {answer:?}", data["name"])
            };
            let other = theirs["answers"][k].as_f64().unwrap();
            let off = (value - other).abs() / other.abs().max(1e-9);
            if off > tolerance {
                faults.push(format!(
                    "{}: {} is {value} here, {other} by numpy",
                    data["name"], asked[k]
                ));
            }
            relative = relative.max(off);
        }
        if relative > tolerance {
            faults.push(format!("{}: off by {relative:.2e}", data["name"]));
        }
        let worst = if bent { &mut worst_bent } else { &mut worst };
        *worst = worst.max(relative);
    }
    println!(
        "{} networks; straight within {worst:.1e}, bent within {worst_bent:.1e}",
        networks.len()
    );
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
