//! A small problem for the tests: a variable autotransformer with a fixed tap on a supply of some impedance, and a winding apart.
//!
//! Figures are invented. Every kind of reading is there: volts, amperes, watts, a bound, a place that floats, ohms with and without
//! a path, a shared gain, a drifting supply.

use crate::{
    Binding, Observation, OtherPlace, Parameter, Problem, Shown, SlipKind, Station, Transform,
};
use network::circuit::{Circuit, Core, Element, SliderPoint, ValueId};
use network::{Answer, Question, Solver};
use quantity::Unit;

/// Indices of the parameters.
pub(crate) const VOLTS: usize = 0;
pub(crate) const SLIDER: usize = 1;
pub(crate) const TAP: usize = 2;
pub(crate) const OHMS: usize = 3;
pub(crate) const GAIN: usize = 8;

struct Build(Circuit, Vec<Binding>);

impl Build {
    fn fixed(&mut self, value: f64) -> ValueId {
        self.1.push(Binding::Fixed(value));
        self.0.value()
    }
    fn of(&mut self, parameter: usize, power: f64) -> ValueId {
        self.1.push(Binding::Product {
            coefficient: 1.0,
            powers: vec![(parameter, power)],
        });
        self.0.value()
    }
    fn held(&mut self, parameter: usize) -> ValueId {
        self.1.push(Binding::Sum {
            constant: 0.0,
            terms: vec![(parameter, 1.0)],
            low: 0.0,
            high: 1.0,
        });
        self.0.value()
    }
}

fn station(frequency: f64) -> (Station, [Question; 7]) {
    let mut build = Build(
        Circuit {
            frequency,
            ..Circuit::default()
        },
        vec![],
    );
    let [n, l, tap, slider, apart, other] =
        ["N", "L", "tap", "slider", "apart", "other"].map(|name| build.0.node(name));
    let one = build.fixed(1.0);
    let core = Core {
        reference_turns: one,
        conductance: build.of(5, 1.0),
        susceptance: build.of(6, 1.0),
        bend: None,
    };
    let core = build.0.core("core", core);
    let points = vec![
        (n, build.fixed(0.0)),
        (l, build.fixed(1.0)),
        (tap, build.held(TAP)),
    ];
    let sliders = vec![SliderPoint {
        node: slider,
        at: build.held(SLIDER),
        brush: build.fixed(0.05),
    }];
    let (ohms, reactance) = (build.of(OHMS, 1.0), build.of(4, 1.0));
    build.0.element(
        "winding",
        Element::Winding {
            core,
            turns: one,
            ohms,
            reactance,
            points,
            sliders,
        },
    );
    let second = build.fixed(0.2);
    let (low, none) = (build.of(7, 1.0), build.fixed(0.0));
    let ends = vec![(apart, build.fixed(0.0)), (other, build.fixed(1.0))];
    build.0.element(
        "apart",
        Element::Winding {
            core,
            turns: second,
            ohms: low,
            reactance: none,
            points: ends,
            sliders: vec![],
        },
    );
    let load = build.fixed(100.0);
    build.0.element(
        "load",
        Element::Impedance {
            from: slider,
            to: tap,
            ohms: load,
            reactance: none,
        },
    );
    let mut through = vec![];
    if frequency > 0.0 {
        let (volts, zero) = (build.of(VOLTS, 1.0), build.fixed(0.0));
        let inner = build.fixed(0.5);
        let source = Element::Source {
            from: n,
            to: l,
            volts,
            angle: 0.0,
            ohms: inner,
            reactance: zero,
        };
        through.push((build.0.element("source", source), -1.0));
    }
    let voltage = |a, b| Question::Voltage { a, b, burden: 1e-7 };
    let questions = if frequency > 0.0 {
        [
            voltage(l, n),
            voltage(slider, tap),
            voltage(slider, n),
            voltage(apart, other),
            Question::Current {
                node: l,
                through: through.clone(),
                burden: 0.0,
            },
            Question::Power {
                node: l,
                against: n,
                through,
            },
            voltage(apart, n),
        ]
    } else {
        let ohms = |a, b| Question::Resistance { a, b };
        [
            ohms(n, l),
            ohms(apart, other),
            ohms(n, apart),
            ohms(tap, l),
            ohms(n, tap),
            ohms(n, slider),
            ohms(l, slider),
        ]
    };
    let solver = Solver::new(build.0).unwrap_or_else(|error| panic!("{error:?}"));
    (
        Station {
            solver,
            bindings: build.1,
        },
        questions,
    )
}

fn parameter(name: &str, unit: Unit, transform: Transform, centre: f64, width: f64) -> Parameter {
    let auxiliary = name.starts_with("gain");
    Parameter {
        name: name.into(),
        unit,
        transform,
        centre,
        width,
        basis: "invented".into(),
        auxiliary,
    }
}

/// The problem with readings as shown by perfect meters at this truth (z of the parameters), each blurred by so many of its own
/// standard uncertainties, whose size is `blur` of the value.
pub(crate) fn problem(truth: &[f64], blur: f64, noise: &[f64]) -> Problem {
    let parameters = vec![
        parameter("supply", Unit::Volt, Transform::Ln, 230.0, 0.07),
        parameter("slider", Unit::One, Transform::Logit, 0.4, 0.7),
        parameter("tap", Unit::One, Transform::Linear, 0.5, 0.01),
        parameter("winding", Unit::Ohm, Transform::Ln, 5.0, 0.7),
        parameter("leakage", Unit::Ohm, Transform::Ln, 1.5, 0.7),
        parameter("core loss", Unit::Siemens, Transform::Ln, 1e-4, 0.7),
        parameter("magnetising", Unit::Siemens, Transform::Ln, 2e-4, 0.8),
        parameter("winding apart", Unit::Ohm, Transform::Ln, 0.5, 0.7),
        parameter(
            "gain of the voltmeter",
            Unit::One,
            Transform::Linear,
            0.0,
            0.005,
        ),
    ];
    let (alternating, places) = station(50.0);
    let (direct, ohms) = station(0.0);
    let mut problem = Problem {
        parameters,
        stations: vec![alternating, direct],
        ..Problem::default()
    };
    let volts = [0, 1, 2, 3].map(|place| {
        (
            0,
            places[place].clone(),
            Some(GAIN),
            Some((0, 1.0)),
            Unit::Volt,
        )
    });
    let rest = [
        (0, places[0].clone(), Some(GAIN), Some((1, 1.0)), Unit::Volt),
        (0, places[4].clone(), None, Some((1, 1.0)), Unit::Ampere),
        (0, places[5].clone(), None, Some((1, 2.0)), Unit::Watt),
        (1, ohms[0].clone(), None, None, Unit::Ohm),
        (1, ohms[1].clone(), None, None, Unit::Ohm),
        (1, ohms[3].clone(), None, None, Unit::Ohm),
    ];
    for (station, question, gain, drift, unit) in volts.into_iter().chain(rest) {
        let value = truth_of(&mut problem, truth, station, &question);
        let number = problem.observations.len() + 1;
        let sigma = blur * value;
        problem.observations.push(Observation {
            number: u32::try_from(number).unwrap_or(0),
            station,
            question,
            shown: Shown::Value {
                value: value + sigma * noise.get(number - 1).unwrap_or(&0.0),
                sigma,
            },
            gain,
            shared_gain: None,
            offset: None,
            drift,
            slips: SlipKind::befalling(unit, true),
            other_places: vec![],
            step: 0.1 * sigma,
            ranges: vec![],
            kept: false,
        });
    }
    let wrong = OtherPlace {
        kind: SlipKind::WrongTerminal,
        place: "slider to tap".into(),
        question: places[1].clone(),
    };
    problem.observations[0].other_places.push(wrong);
    problem.drift = vec![vec![1e-6, 5e-7], vec![5e-7, 1e-6]];
    problem.starts = vec![vec![(SLIDER, 2.0)]];
    problem
}

/// Adds the readings that are no plain value: a bound that is kept, a place that floats, ohms where no path is.
pub(crate) fn add_bounds(problem: &mut Problem) {
    let mut template = problem.observations[7].clone();
    let (_, places) = station(50.0);
    let (_, ohms) = station(0.0);
    let mut add = |station: usize, question: &Question, shown: Shown| {
        template.number += 10;
        problem.observations.push(Observation {
            station,
            question: question.clone(),
            shown,
            ..template.clone()
        });
    };
    add(
        1,
        &ohms[0],
        Shown::AtLeast {
            limit: 3.0,
            sigma: 1.0,
        },
    );
    add(
        1,
        &ohms[4],
        Shown::AtMost {
            limit: 4.0,
            sigma: 1.0,
        },
    );
    add(
        1,
        &ohms[2],
        Shown::AtLeast {
            limit: 1e6,
            sigma: 1e4,
        },
    );
    add(
        0,
        &places[6],
        Shown::Value {
            value: 31.0,
            sigma: 0.1,
        },
    );
}

fn truth_of(problem: &mut Problem, truth: &[f64], station: usize, question: &Question) -> f64 {
    let values: Vec<f64> = problem
        .parameters
        .iter()
        .zip(truth)
        .map(|(parameter, &z)| parameter.value(z))
        .collect();
    let station = &mut problem.stations[station];
    let bound: Vec<f64> = station
        .bindings
        .iter()
        .map(|binding| binding.value(&values))
        .collect();
    match &station
        .solver
        .answer(&bound, std::slice::from_ref(question))
    {
        Ok(answers) => match &answers[0] {
            Answer::Value { value, .. } => match question {
                Question::Voltage { .. } => value.hypot(0.02),
                _ => *value,
            },
            other => panic!("{question:?}: {other:?}"),
        },
        Err(error) => panic!("{question:?}: {error:?}"),
    }
}
