//! What the meter shows: the true wiring solved with true values, drift of the supply, the meter's errors and its display; and what any
//! other wiring would show with the same values.

use super::made::quantity;
use crate::chance::Chance;
use evidence::model::{FindProblem, Key, Nominal};
use evidence::normal::Cholesky;
use gear::{Find, Measured, Reading};
use network::Answer;
use std::collections::HashMap;

/// The meter, as the sheet has it: bound of the gain, full scales, unit.
const fn function(measured: Measured) -> (f64, &'static [f64], &'static str) {
    match measured {
        Measured::AcCurrent => (0.015, &[0.06, 0.6, 6.0], "A"),
        Measured::Resistance => (0.01, &[6.0, 60.0, 600.0, 6000.0], "Ω"),
        _ => (0.008, &[6.0, 60.0, 600.0], "V"),
    }
}

const COUNTS: f64 = 6000.0;
const DIGITS: f64 = 3.0;
const SCATTER: f64 = 0.002;
/// A ghost voltage at a floating place may show anything up to this.
const GHOST: f64 = 24.0;

/// What a wiring answers at a reading's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Said {
    /// A value.
    Value(f64),
    /// Nothing joins the places.
    Floating,
    /// No path.
    Open,
    /// No such place in its network.
    Nothing,
}

/// True values by what they are of, and of the supply's drift.
pub(super) struct Values {
    of: HashMap<Key, f64>,
}

impl Values {
    /// Draws values from the priors of a find.
    pub(super) fn draw(problem: &FindProblem, chance: &mut Chance) -> Self {
        let mut all: Vec<(&Key, usize)> = problem.registry.keys().collect();
        all.sort_by_key(|(_, index)| *index);
        let of = all
            .into_iter()
            .map(|(key, index)| {
                let z = chance.normal().clamp(-2.5, 2.5);
                (key.clone(), problem.problem.parameters[index].value(z))
            })
            .collect();
        Self { of }
    }

    /// What a wiring answers at every reading, by its number, with these values: no meter's error, no drift.
    pub(super) fn answers(&self, problem: &mut FindProblem) -> HashMap<u32, Said> {
        let mut values: Vec<f64> = problem
            .problem
            .parameters
            .iter()
            .map(|p| p.value(0.0))
            .collect();
        for (key, index) in problem.registry.keys() {
            if let Some(value) = self.of.get(key) {
                values[index] = *value;
            }
        }
        let mut said = HashMap::new();
        for observation in &problem.problem.observations {
            let station = &mut problem.problem.stations[observation.station];
            let bound: Vec<f64> = station.bindings.iter().map(|b| b.value(&values)).collect();
            let question = std::slice::from_ref(&observation.question);
            let answer = station.solver.answer(&bound, question);
            let told = match answer.ok().and_then(|mut a| a.pop()) {
                Some(Answer::Value { value, .. }) => Said::Value(value),
                Some(Answer::Floating) => Said::Floating,
                Some(Answer::Open) => Said::Open,
                None => Said::Nothing,
            };
            said.insert(observation.number, told);
        }
        said
    }
}

/// Fills in what readings of this find show; `None` where its network has no answer somewhere. Returns what is truly there.
pub(super) fn take(
    find: &Find,
    nominal: Nominal,
    readings: &mut [Reading],
    chance: &mut Chance,
) -> Option<(Values, HashMap<u32, Said>)> {
    let mut with = find.clone();
    with.readings = readings.to_vec();
    let mut problem = FindProblem::new(&with, nominal);
    let values = Values::draw(&problem, chance);
    let said = values.answers(&mut problem);
    let drift = drifts(&problem, chance);
    let mut gains: HashMap<(Measured, usize), f64> = HashMap::new();
    for reading in readings {
        let (bound, scales, unit) = function(reading.measured);
        let value = match said.get(&reading.number)? {
            Said::Nothing => return None,
            Said::Open => {
                reading.shown = Some(quantity("OL").ok()?);
                continue;
            }
            Said::Floating => chance.uniform(0.0, GHOST),
            Said::Value(value) => *value,
        };
        let observation = problem
            .problem
            .observations
            .iter()
            .find(|o| o.number == reading.number)?;
        let moved = observation.drift.map_or(0.0, |(moment, power)| {
            power * drift.get(moment).copied().unwrap_or(0.0)
        });
        let range = scales.iter().position(|s| value <= *s)?;
        let gain = *gains
            .entry((reading.measured, range))
            .or_insert_with(|| chance.uniform(-bound, bound));
        let step = 10f64.powf((scales[range] / COUNTS).log10().round());
        let seen = value * moved.exp() * (1.0 + gain) * (1.0 + SCATTER * chance.normal());
        let seen = ((seen + DIGITS * step * chance.uniform(-1.0, 1.0)) / step).round() * step;
        let places = (-step.log10()).round().max(0.0) as usize;
        reading.shown = Some(quantity(&format!("{:.places$} {unit}", seen.max(0.0))).ok()?);
    }
    Some((values, said))
}

/// Drift of ln volts at each moment.
fn drifts(problem: &FindProblem, chance: &mut Chance) -> Vec<f64> {
    let size = problem.problem.drift.len();
    let mut flat: Vec<f64> = problem.problem.drift.iter().flatten().copied().collect();
    (0..size).for_each(|i| flat[i * size + i] *= 1.0 + 1e-9);
    let u: Vec<f64> = (0..size).map(|_| chance.normal()).collect();
    let Some(root) = Cholesky::of(flat, size) else {
        return vec![0.0; size];
    };
    (0..size)
        .map(|row| {
            (0..=row)
                .map(|column| root.entry(row, column) * u[column])
                .sum()
        })
        .collect()
}

/// Moves the decimal point of a reading, or takes line for phase; whether it could.
pub(super) fn misread(reading: &mut Reading, chance: &mut Chance) -> bool {
    let factor = [10.0, 0.1, 3f64.sqrt(), 1.0 / 3f64.sqrt()][chance.below(4)];
    let Some(shown) = &reading.shown else {
        return false;
    };
    let (Some(value), Some(step)) = (shown.value(), shown.step()) else {
        return false;
    };
    if value < 20.0 * step {
        return false;
    }
    let decade = (factor - 10.0f64).abs() < 1e-9 || (factor - 0.1f64).abs() < 1e-9;
    let step = if decade { step * factor } else { step };
    let places = (-step.log10()).round().max(0.0) as usize;
    let unit = function(reading.measured).2;
    match quantity(&format!("{:.places$} {unit}", value * factor)) {
        Ok(slipped) => {
            reading.shown = Some(slipped);
            true
        }
        Err(_) => false,
    }
}
