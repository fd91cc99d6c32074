//! Hands a find to the references in Python, which fit the same posterior or judge the same readings, and reads their answers.
//!
//! For the test that compares and the benches that time; the trial itself does not use it. The Python is the one that
//! `WINDFALL_PYTHON` names, else `.venv/bin/python` at the root of the workspace; it needs numpy and scipy.

use crate::readings::READINGS;
use evidence::{DisplayRange, Observation, OtherPlace, Problem, Shown, SlipKind, Transform};
use serde::de::DeserializeOwned;
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

/// Fits by `reference/fit_stabilizer.py`. The problem must be one drawn by [`crate::draw::draw`], with readings left out at will.
/// # Errors
/// In words: no such Python, no scipy, what the script said.
pub fn fit(problem: &Problem, start: &[f64], how: How) -> Result<Found, String> {
    let parameters = parameters(problem);
    let readings = readings(problem).map(|(_, reading)| reading).collect();
    let out = Out {
        parameters,
        readings,
        start,
        jacobian: how.jacobian,
        methods: how.methods,
        repeat: how.repeat,
    };
    ask("fit_stabilizer.py", &out)
}

fn parameters(problem: &Problem) -> Vec<ParameterOut> {
    let transform = |transform| match transform {
        Transform::Ln => "ln",
        Transform::Logit => "logit",
        Transform::Linear => "linear",
    };
    problem
        .parameters
        .iter()
        .map(|it| ParameterOut {
            centre: it.centre,
            width: it.width,
            transform: transform(it.transform),
        })
        .collect()
}

/// The readings that show a value and have a gain, as every drawn one has and does.
fn readings(problem: &Problem) -> impl Iterator<Item = (&Observation, ReadingOut)> {
    problem.observations.iter().filter_map(|it| {
        let planned = READINGS.get(it.number as usize - 1)?;
        let (Shown::Value { value, sigma }, Some(gain)) = (it.shown, it.gain) else {
            return None;
        };
        let reading = ReadingOut {
            setup: planned.setup,
            quantity: planned.quantity,
            shown: value,
            sigma,
            gain,
        };
        Some((it, reading))
    })
}

#[derive(Serialize)]
struct SlipOut {
    kind: String,
    share: f64,
}

#[derive(Serialize)]
struct PlaceOut<'a> {
    kind: String,
    quantity: &'a str,
}

#[derive(Serialize)]
struct RangeOut {
    full_scale: f64,
    step: f64,
    digits: f64,
}

#[derive(Serialize)]
struct JudgedOut<'a> {
    #[serde(flatten)]
    reading: ReadingOut,
    step: f64,
    ranges: Vec<RangeOut>,
    slips: Vec<SlipOut>,
    places: Vec<PlaceOut<'a>>,
}

#[derive(Serialize)]
struct JudgeOut<'a> {
    parameters: Vec<ParameterOut>,
    readings: Vec<JudgedOut<'a>>,
    starts: Vec<Vec<f64>>,
    slip_probability: f64,
    repeat: usize,
}

/// What the reference says of the readings.
#[derive(Debug, Deserialize)]
pub struct Said {
    /// Probability of each reading that it is wrong.
    pub wrong: Vec<f64>,
    /// Seconds of its fastest search.
    pub seconds: f64,
    /// Jacobians one search took.
    pub jacobians: usize,
    /// Sets of misread readings it fitted.
    pub sets: usize,
}

/// Judges by `reference/judge_misreadings.py`, from the same starts. The problem must be one drawn by [`crate::draw::draw`].
/// # Errors
/// As [`fit`].
pub fn judge(problem: &Problem, repeat: usize) -> Result<Said, String> {
    let readings = readings(problem)
        .map(|(it, reading)| JudgedOut {
            reading,
            step: it.step,
            ranges: it.ranges.iter().map(range).collect(),
            slips: it.slips.iter().map(|&kind| slip(kind)).collect(),
            places: it.other_places.iter().map(place).collect(),
        })
        .collect();
    let mut starts = vec![vec![0.0; problem.parameters.len()]];
    for named in &problem.starts {
        let mut start = vec![0.0; problem.parameters.len()];
        for &(parameter, z) in named {
            start[parameter] = z;
        }
        starts.push(start);
    }
    let out = JudgeOut {
        parameters: parameters(problem),
        readings,
        starts,
        slip_probability: problem.slip_probability,
        repeat,
    };
    ask("judge_misreadings.py", &out)
}

fn range(it: &DisplayRange) -> RangeOut {
    RangeOut {
        full_scale: it.full_scale,
        step: it.step,
        digits: it.digits,
    }
}

fn slip(kind: SlipKind) -> SlipOut {
    SlipOut {
        kind: format!("{kind:?}"),
        share: kind.share(),
    }
}

fn place(it: &OtherPlace) -> PlaceOut<'_> {
    PlaceOut {
        kind: format!("{:?}", it.kind),
        quantity: &it.place,
    }
}

/// Hands a question to a script and reads its answer.
fn ask<A: DeserializeOwned>(script: &str, question: &impl Serialize) -> Result<A, String> {
    let question = serde_json::to_vec(question).map_err(|error| error.to_string())?;
    serde_json::from_slice(&run(script, &question)?)
        .map_err(|error| format!("the answer of {script} cannot be read: {error}"))
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
