//! Hands a find to `reference/fit_stabilizer.py`, which fits the same posterior by numpy and scipy, and reads its answer.
//!
//! For the test that compares and the bench that times; the trial itself does not use it. The Python is the one that
//! `WINDFALL_PYTHON` names, else `.venv/bin/python` at the root of the workspace; it needs numpy and scipy.

use crate::readings::READINGS;
use evidence::{Problem, Shown, Transform};
use serde::{Deserialize, Serialize};
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

#[derive(Serialize)]
struct ParameterOut {
    centre: f64,
    width: f64,
    transform: &'static str,
}

#[derive(Serialize)]
struct ReadingOut {
    setup: usize,
    quantity: &'static str,
    shown: f64,
    sigma: f64,
    gain: usize,
}

#[derive(Serialize)]
struct Out<'a> {
    parameters: Vec<ParameterOut>,
    readings: Vec<ReadingOut>,
    start: &'a [f64],
    jacobian: &'a str,
    methods: &'a [&'a str],
    repeat: usize,
}

/// What the reference found.
#[derive(Debug, Deserialize)]
pub struct Found {
    /// Half the sum of squares.
    pub cost: f64,
    /// z at the minimum.
    pub z: Vec<f64>,
    /// Covariance in z.
    pub covariance: Vec<Vec<f64>>,
    /// Seconds of its fastest fit.
    pub seconds: f64,
    /// The method that was fastest.
    pub method: String,
    /// Evaluations of it, those for the derivatives not counted.
    pub evaluations: usize,
}

/// How the reference shall fit.
#[derive(Debug, Clone, Copy)]
pub struct How<'a> {
    /// "2-point", as scipy does by default and to its default tolerance, or "3-point", as far as it goes.
    pub jacobian: &'a str,
    /// "trf", "lm".
    pub methods: &'a [&'a str],
    /// How often each.
    pub repeat: usize,
}

/// Fits by the reference. The problem must be one drawn by [`crate::draw::draw`], with readings left out at will.
/// # Errors
/// In words: no such Python, no scipy, what the script said.
pub fn fit(problem: &Problem, start: &[f64], how: How) -> Result<Found, String> {
    let parameters = problem
        .parameters
        .iter()
        .map(|it| ParameterOut {
            centre: it.centre,
            width: it.width,
            transform: match it.transform {
                Transform::Ln => "ln",
                Transform::Logit => "logit",
                Transform::Linear => "linear",
            },
        })
        .collect();
    let readings = problem
        .observations
        .iter()
        .filter_map(|it| {
            let planned = READINGS.get(it.number as usize - 1)?;
            let (
                Shown::Value {
                    value: shown,
                    sigma,
                },
                Some(gain),
            ) = (it.shown, it.gain)
            else {
                return None;
            };
            Some(ReadingOut {
                setup: planned.setup,
                quantity: planned.quantity,
                shown,
                sigma,
                gain,
            })
        })
        .collect();
    let out = Out {
        parameters,
        readings,
        start,
        jacobian: how.jacobian,
        methods: how.methods,
        repeat: how.repeat,
    };
    let told = run(
        "fit_stabilizer.py",
        &serde_json::to_vec(&out).map_err(|error| error.to_string())?,
    )?;
    serde_json::from_slice(&told)
        .map_err(|error| format!("the reference's answer cannot be read: {error}"))
}

/// Runs a script of `reference/` on `input`; what it says on standard output.
/// # Errors
/// In words: no such Python, what the script said.
pub(crate) fn run(script: &str, input: &[u8]) -> Result<Vec<u8>, String> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = std::env::var_os("WINDFALL_PYTHON")
        .map_or_else(|| root.join(".venv/bin/python"), PathBuf::from);
    let remedy = "set WINDFALL_PYTHON to a Python with numpy and scipy, or make .venv at the root of the workspace";
    let mut child = Command::new(&python)
        .arg(root.join("reference").join(script))
        .envs(
            ["OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"].map(|name| (name, "1")),
        )
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| format!("{}: {error}; {remedy}", python.display()))?;
    if let Some(mut stdin) = child.stdin.take() {
        stdin
            .write_all(input)
            .map_err(|error| format!("the reference does not listen: {error}"))?;
    }
    let done = child
        .wait_with_output()
        .map_err(|error| error.to_string())?;
    if done.status.success() {
        Ok(done.stdout)
    } else {
        Err(format!(
            "{}; {remedy}",
            String::from_utf8_lossy(&done.stderr).trim()
        ))
    }
}
