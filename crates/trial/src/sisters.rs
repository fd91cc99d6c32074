//! The trial of sisters: three like parts, the no-load current of one read ten times too high, one reading each.
//!
//! The find is a whole one, made and judged as an owner's would be: three variable autotransformers in star on one shaft, fed at no
//! load, one reading of current into each. The truth is drawn from the find's own priors, sisters' small differences among them.

use crate::chance::Chance;
use crate::score::{CONTRADICTS, SEED_STRIDE};
use crate::table::rate;
use crate::words::Words;
use evidence::model::{FindProblem, Nominal};
use evidence::{Problem, SlipKind, judge};
use gear::Find;
use network::Answer;

/// What the trial counts.
#[derive(Debug, Clone, Copy, Default)]
pub struct Sisters {
    /// Finds judged.
    pub finds: usize,
    /// Slipped readings called *contradicts*.
    pub found: usize,
    /// Of them, the decimal point named first.
    pub kind_right: usize,
    /// Good readings called *contradicts*.
    pub accused: usize,
}

/// Runs it: `--finds N --seed N`; the table as Markdown.
/// # Errors
/// Words it does not understand, or a find that could not be made.
pub fn trial(mut words: Words) -> Result<String, String> {
    let finds = words.number("finds", 2000)?;
    let seed = words.number("seed", 1)? as u64;
    words.done()?;
    let score = run(finds, seed)?;
    Ok(format!(
        "| three sisters, one reading each, one of them ten times too high | |\n| --- | --- |\n| finds | {} |\n| found | {} |\n| decimal point named first, of those found | {} |\n| good readings called *contradicts* | {} |\n",
        score.finds,
        rate(score.found, score.finds),
        rate(score.kind_right, score.found),
        rate(score.accused, 2 * score.finds),
    ))
}

/// Draws and judges finds.
/// # Errors
/// What kept a find from being made or judged, in words.
pub fn run(finds: usize, seed: u64) -> Result<Sisters, String> {
    let mut score = Sisters::default();
    for number in 0..finds {
        let seed = seed.wrapping_add((number as u64).wrapping_mul(SEED_STRIDE));
        count(&mut Chance::new(seed), &mut score)?;
    }
    Ok(score)
}

const NOMINAL: Nominal = Nominal {
    frequency: 50.0,
    volts: Some(400.0),
    power: Some(9000.0),
    phases: 3,
};

fn count(chance: &mut Chance, score: &mut Sisters) -> Result<(), String> {
    let nothing_yet = vec!["0.100 A".to_owned(); 3];
    let mut before = FindProblem::new(&three(&nothing_yet)?, NOMINAL);
    let truth = true_answers(&mut before.problem, chance)?;
    let slipped = chance.below(3);
    let gain = chance.uniform(-GAIN, GAIN);
    let mut shown = vec![];
    for (number, value) in truth.iter().enumerate() {
        let seen = value * (1.0 + gain) * (1.0 + 0.002 * chance.normal());
        let factor = if number == slipped { 10.0 } else { 1.0 };
        shown.push(displayed(seen, factor, chance));
    }
    let mut posed = FindProblem::new(&three(&shown)?, NOMINAL);
    let judged = judge(&mut posed.problem).map_err(|error| format!("{error:?}"))?;
    score.finds += 1;
    for (number, reading) in judged.readings.iter().enumerate() {
        let called = usize::from(reading.wrong > CONTRADICTS);
        if number == slipped {
            score.found += called;
            let first = reading.kinds.first().map(|kind| kind.0);
            score.kind_right += called * usize::from(first == Some(SlipKind::TenTimes));
        } else {
            score.accused += called;
        }
    }
    Ok(())
}

/// True values at the readings' places, everything drawn from the find's own priors.
fn true_answers(problem: &mut Problem, chance: &mut Chance) -> Result<Vec<f64>, String> {
    let values: Vec<f64> = problem
        .parameters
        .iter()
        .map(|parameter| parameter.value(chance.normal()))
        .collect();
    let mut answers = vec![];
    for observation in &problem.observations {
        let station = &mut problem.stations[observation.station];
        let bound: Vec<f64> = station
            .bindings
            .iter()
            .map(|binding| binding.value(&values))
            .collect();
        let answer = station
            .solver
            .answer(&bound, std::slice::from_ref(&observation.question))
            .map_err(|error| format!("{error:?}"))?;
        match answer.first() {
            Some(Answer::Value { value, .. }) => answers.push(*value),
            other => return Err(format!("no current: {other:?}")),
        }
    }
    Ok(answers)
}

/// The meter, as the sheet has it.
const GAIN: f64 = 0.015;
const DIGITS: f64 = 3.0;
const SCALES: [f64; 4] = [0.06, 0.6, 6.0, 20.0];
const COUNTS: f64 = 6000.0;

/// What the display shows of a value, the decimal point moved.
fn displayed(value: f64, factor: f64, chance: &mut Chance) -> String {
    let scale = SCALES.into_iter().find(|scale| value <= *scale);
    let scale = scale.unwrap_or(SCALES[SCALES.len() - 1]);
    let places = (-(scale / COUNTS).log10()).round();
    let step = 10f64.powf(-places);
    let shown = ((value + DIGITS * step * chance.uniform(-1.0, 1.0)) / step).round() * step;
    let places = (places - factor.log10()).max(0.0) as usize;
    format!("{:.places$} A", (shown * factor).max(0.0))
}

/// The find's sheet but its readings: three sisters fed in star at no load.
const SHEET: &str = r#"
sheet = 1
[find]
name = "three sisters"
[[part]]
designation = "X1"
kind = "terminals"
terminals = ["1", "2", "3", "N"]
[[join]]
terminals = ["T1:3", "T2:3", "T3:3", "X1:N"]
[[gang]]
name = "shaft"
parts = ["T1", "T2", "T3"]
[[instrument]]
designation = "P1"
response = "true RMS"
[[instrument.range]]
measures = "AC current"
full_scales = ["60 mA", "600 mA", "6 A", "20 A"]
counts = 6000
accuracy = "±(1.5 % + 3)"
[[setup]]
number = 1
[[setup.feed]]
to = ["X1:1", "X1:2", "X1:3"]
neutral = "X1:N"
volts = "400 V"
"#;

/// The find with what its three readings show.
fn three(shown: &[String]) -> Result<Find, String> {
    let mut text = SHEET.to_owned();
    for (number, shown) in (1..).zip(shown) {
        text += &format!(
            r#"
[[part]]
designation = "T{number}"
kind = "variable autotransformer"
phase = {number}
power = "3 kVA"
[[part.winding]]
name = "winding"
points = ["3", "1"]
dot = "last"
sliders = ["4"]
volts = "230 V"
[[join]]
terminals = ["X1:{number}", "T{number}:1"]
[[reading]]
number = {number}
setup = 1
with = "P1"
into = "T{number}:1"
shown = "{shown}"
"#
        );
    }
    sheet::read(&text).map_err(|problems| format!("{problems:?}"))
}
