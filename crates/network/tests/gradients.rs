//! Analytic derivatives against central differences: linear and bent cores, meters' burdens, power, ratio, ohms.

#![allow(clippy::unwrap_used)] // helpers of tests count as outside tests

mod common;

use common::{Built, stabilizer};
use network::{Answer, Question};

fn questions(phases: &[common::Phase; 3]) -> Vec<Question> {
    let [a, b, c] = phases;
    let through = vec![(b.auto, 1.0), (b.load, 1.0)];
    vec![
        Question::Voltage {
            a: a.output,
            b: b.output,
            burden: 0.0,
        },
        Question::Voltage {
            a: a.slider,
            b: a.tap,
            burden: 1e-3,
        },
        Question::Voltage {
            a: c.slider,
            b: c.tap,
            burden: 0.5,
        },
        Question::Current {
            node: a.slider,
            through: vec![(a.primary, 1.0)],
            burden: 0.0,
        },
        Question::Current {
            node: b.output,
            through: through.clone(),
            burden: 0.3,
        },
        Question::Current {
            node: b.slider,
            through: vec![(b.auto, -1.0)],
            burden: 0.2,
        },
        Question::Current {
            node: a.input,
            through: vec![(a.fuse, 1.0)],
            burden: 0.01,
        },
        Question::Power {
            node: b.output,
            against: c.output,
            through,
        },
        Question::Power {
            node: a.input,
            against: b.tap,
            through: vec![(a.fuse, 1.0)],
        },
        Question::Ratio {
            over: (a.output, b.output),
            under: (c.slider, c.tap),
        },
    ]
}

/// Compares every gradient with central differences. The bound is what differences of this step can show.
fn compare(built: &Built, questions: &[Question], bound: f64) {
    let mut solver = built.solver();
    let answered = solver.answer(&built.values, questions).unwrap();
    let at = |values: &[f64]| built.solver().answer(values, questions).unwrap();
    for k in 0..built.values.len() {
        let step = 1e-5 * built.values[k].abs().max(1e-3);
        let [mut low, mut high] = [built.values.clone(), built.values.clone()];
        low[k] -= step;
        high[k] += step;
        if low[k] < 0.0 && built.values[k] >= 0.0
            || built.values[k] == 1.0 && high[k] > 1.0 && low[k] > 0.99 && tied(built, k)
        {
            continue; // at the edge of what a value may be
        }
        let (low, high) = (at(&low), at(&high));
        for (q, answer) in answered.iter().enumerate() {
            let Answer::Value { value, gradient } = answer else {
                panic!("{answer:?}")
            };
            let difference = (common::value(&high[q]) - common::value(&low[q])) / (2.0 * step);
            let scale = gradient[k]
                .abs()
                .max(value.abs() / built.values[k].abs().max(1e-3));
            assert!(
                (gradient[k] - difference).abs() < bound * scale,
                "question {q}, value {k} = {}: {} by adjoint, {difference} by differences",
                built.values[k],
                gradient[k]
            );
        }
    }
}

/// Whether a value is a position.
fn tied(built: &Built, k: usize) -> bool {
    built.circuit.elements.iter().any(|e| match e {
        network::circuit::Element::Winding {
            points, sliders, ..
        } => points.iter().any(|p| p.1.0 == k) || sliders.iter().any(|s| s.at.0 == k),
        _ => false,
    })
}

const LOADS: [(f64, f64); 3] = [(20.0, 3.0), (31.0, -4.0), (12.0, 0.0)];

#[test]
fn straight_cores() {
    let (built, phases) = stabilizer([0.7, 0.31, 0.9], LOADS, false);
    compare(&built, &questions(&phases), 2e-6);
}

#[test]
fn bent_cores_below_the_knee() {
    let (built, phases) = stabilizer([0.7, 0.31, 0.9], LOADS, true);
    compare(&built, &questions(&phases), 2e-6);
}

#[test]
fn bent_cores_beyond_the_knee() {
    let (mut built, phases) = stabilizer([0.95, 0.2, 0.9], LOADS, true);
    for value in &mut built.values {
        if *value == 230.0 {
            *value = 300.0;
        }
    }
    // rated volts of the autotransformers stay what they were
    for (_, core) in built.circuit.cores.clone() {
        let bend = core.bend.unwrap();
        if built.values[bend.volts.0] == 300.0 {
            built.values[bend.volts.0] = 230.0;
        }
    }
    assert!(built.solve().beyond_knee.iter().any(|b| *b));
    compare(&built, &questions(&phases), 1e-5);
}

#[test]
fn ohms() {
    let (mut built, [a, b, _]) = stabilizer([0.7, 0.31, 0.9], LOADS, false);
    built.circuit.frequency = 0.0;
    let asked = [
        Question::Resistance {
            a: a.input,
            b: b.input,
        },
        Question::Resistance {
            a: a.slider,
            b: a.tap,
        },
        Question::Resistance {
            a: b.output,
            b: a.slider,
        },
    ];
    compare(&built, &asked, 2e-6);
}
