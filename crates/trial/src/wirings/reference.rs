//! Hands readings of finds to `reference/rank_wirings.py`, which ranks the same wirings by numpy, and reads its answer.
//!
//! For the bench that times and compares; the trial itself does not use it.

use super::circuits::{PLACES, WIRINGS, p, parameters};
use crate::reference::run;
use serde::{Deserialize, Serialize};

/// What was read of one find.
#[derive(Debug, Clone, Serialize)]
pub struct Read {
    /// Places, in the order read.
    pub places: Vec<usize>,
    /// Volts shown there.
    pub shown: Vec<f64>,
}

/// What the reference makes of one find.
#[derive(Debug, Clone, Deserialize)]
pub struct Told {
    /// Posterior probability of each wiring.
    pub probabilities: Vec<f64>,
    /// Logarithm of each wiring's evidence.
    pub log_evidence: Vec<f64>,
    /// Seconds of the fastest ranking.
    pub seconds: f64,
}

#[derive(Serialize)]
struct WiringOut {
    joins: &'static [&'static [&'static str]],
    tap: (f64, f64),
    inner: bool,
}

#[derive(Serialize)]
struct Out<'a> {
    wirings: Vec<WiringOut>,
    places: &'a [(bool, &'static str, &'static str)],
    finds: &'a [Read],
    repeat: usize,
}

#[derive(Deserialize)]
struct In {
    finds: Vec<Told>,
}

/// Ranks all wirings for every find by the reference, each `repeat` times.
/// # Errors
/// In words: no such Python, no numpy, what the script said.
pub fn rank(finds: &[Read], repeat: usize) -> Result<Vec<Told>, String> {
    let wirings = WIRINGS.iter().enumerate().map(|(index, (_, joins))| {
        let parameters = parameters(index);
        let tap = &parameters[p::TAP];
        WiringOut {
            joins,
            tap: (tap.centre, tap.width),
            inner: parameters.len() > p::INNER,
        }
    });
    let out = Out {
        wirings: wirings.collect(),
        places: &PLACES,
        finds,
        repeat,
    };
    let given = serde_json::to_vec(&out).map_err(|error| error.to_string())?;
    let told: In = serde_json::from_slice(&run("rank_wirings.py", &given)?)
        .map_err(|error| format!("the reference's answer cannot be read: {error}"))?;
    Ok(told.finds)
}
