//! What is so at a moved slider, another supply, another load: predictions for the places of one setup's readings, and the named
//! values one looks at. Cheap enough to answer while a handle is dragged.

use crate::belief::Belief;
use crate::digits;
use crate::said::{Behaviour, Live, LiveValue};
use crate::stage::{self, Conditions, Stage};
use crate::works;
use gear::{Find, Measured, Reading};
use network::{NetworkError, Question, Solution};
use quantity::{Decimal, Estimate, Unit, show};

/// Answers for these conditions. `readings` are those whose places are shown.
pub(crate) fn live(
    find: &Find,
    stage: &mut Stage,
    belief: &Belief,
    decimal: Decimal,
    conditions: Conditions,
    shown: &[&Reading],
) -> Result<Live, NetworkError> {
    stage.set(conditions);
    let values_given = belief.circuit_values(&stage.station);
    let solution = stage.station.solver.solve(&values_given)?;
    let beyond: Vec<String> = stage
        .model
        .circuit
        .cores
        .iter()
        .zip(&solution.beyond_knee)
        .filter(|(_, over)| **over)
        .map(|((name, _), _)| {
            format!("{name} is beyond its knee: fundamental only, peaks are higher.")
        })
        .collect();
    Ok(Live {
        slider: conditions.slider,
        readings: predictions(stage, belief, decimal, shown)?,
        values: values(stage, &solution, decimal),
        sentences: works::sentences(
            find,
            Some(works::Working {
                model: &stage.model,
                values: &values_given,
                solution: &solution,
            }),
        ),
        remarks: beyond,
        read_outs: Vec::new(),
    })
}

fn predictions(
    stage: &mut Stage,
    belief: &Belief,
    decimal: Decimal,
    shown: &[&Reading],
) -> Result<Vec<(u32, Option<String>)>, NetworkError> {
    let mut asked: Vec<(usize, Question)> = Vec::new();
    for (i, reading) in shown.iter().enumerate() {
        let live = matches!(
            reading.measured,
            Measured::AcVoltage | Measured::AcCurrent | Measured::Power | Measured::Ratio
        );
        if let Some(question) = live
            .then(|| {
                stage
                    .model
                    .question(&reading.place, reading.measured, 0.0)
                    .ok()
            })
            .flatten()
        {
            asked.push((i, question));
        }
    }
    let questions: Vec<Question> = asked.iter().map(|(_, q)| q.clone()).collect();
    let answers = belief.answers(&mut stage.station, &questions)?;
    Ok(asked
        .into_iter()
        .zip(answers)
        .map(|((i, _), answer)| {
            let reading = shown[i];
            let text = answer.map(|(value, uncertainty)| {
                let unit = reading.measured.unit().unwrap_or(Unit::One);
                let prefix = reading.shown.as_ref().map_or("", digits::prefix_of);
                // What was set by hand has no doubt: it stands with four figures, as set.
                if uncertainty < 1e-9 * value.abs() {
                    return decimal.set(&quantity::significant(value, 4));
                }
                let r = Estimate {
                    value,
                    standard_uncertainty: uncertainty,
                    unit,
                }
                .rounded_as(prefix)
                .in_decimals(decimal);
                if r.plus_minus.is_empty() {
                    r.value
                } else {
                    format!("{} ± {}", r.value, r.plus_minus)
                }
            });
            (reading.number, text)
        })
        .collect())
}

fn values(stage: &Stage, solution: &Solution, decimal: Decimal) -> Vec<LiveValue> {
    let mut values = Vec::new();
    let mut add = |what: String, value: f64, unit: Unit| {
        let text = show(value, unit, 3);
        let (figures, symbol) = text
            .rsplit_once('\u{a0}')
            .map_or((text.as_str(), ""), |(f, s)| (f, s));
        values.push(LiveValue {
            what,
            value: decimal.set(figures),
            unit: symbol.to_owned(),
        });
    };
    let three = stage.ports.input.lines.len() == 3;
    for (name, port) in [
        ("input", Some(&stage.ports.input)),
        ("output", stage.ports.output.as_ref()),
    ] {
        let Some(port) = port else { continue };
        for phase in 1..=port.lines.len() {
            let label = if three {
                format!("{name}, L{phase} to N")
            } else {
                name.to_owned()
            };
            if let Some(v) = stage
                .across(port, phase as u8)
                .and_then(|pair| stage::volts(solution, pair))
            {
                add(label, v, Unit::Volt);
            }
        }
    }
    for (i, element) in stage.model.sources_of(0).into_iter().enumerate() {
        let label = if three {
            format!("input current L{}", i + 1)
        } else {
            "input current".to_owned()
        };
        add(label, stage::current(solution, element), Unit::Ampere);
    }
    let loads: Vec<_> = (0..stage.setup.loads.len())
        .flat_map(|load| stage.model.legs_of(load))
        .collect();
    if let Some(element) = loads.first() {
        add(
            if three {
                "load current L1".into()
            } else {
                "load current".into()
            },
            stage::current(solution, *element),
            Unit::Ampere,
        );
    }
    let drawn: f64 = solution.delivered.iter().map(|s| s.re).sum();
    let lost = stage::losses(&stage.model, solution);
    add("taken in".into(), drawn, Unit::Watt);
    add("lost inside".into(), lost, Unit::Watt);
    values
}

/// The charts' values at a slider position, straight between the points.
pub(crate) fn read_outs(
    behaviour: &Behaviour,
    slider: f64,
    decimal: Decimal,
) -> Vec<(usize, usize, String)> {
    let steps = behaviour.slider.len().saturating_sub(1);
    if steps == 0 {
        return Vec::new();
    }
    let at = slider.clamp(0.0, 1.0) * steps as f64;
    let low = (at.floor() as usize).min(steps - 1);
    let share = at - low as f64;
    let mut found = Vec::new();
    for (p, panel) in behaviour.panels.iter().enumerate() {
        for (s, series) in panel.series.iter().enumerate() {
            if let (Some(Some(a)), Some(Some(b))) =
                (series.values.get(low), series.values.get(low + 1))
            {
                let value = a + share * (b - a);
                found.push((p, s, decimal.set(&quantity::significant(value, 3))));
            }
        }
    }
    found
}
