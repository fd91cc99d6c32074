//! Thirteen ways to wire one phase of a stabilizer, without load, and the 24 places where one may read.
//!
//! A variable autotransformer A (bottom, top, slider, fixed tap; in one wiring also an inner tap) and a booster B with one primary and two
//! half secondaries, each named from its dot. Two stations: the same wiring with the slider at two positions. Parts and figures are
//! invented; what is unknown of each wiring is the booster's ratio, both slider positions, the tap and the supply.

use evidence::{Binding, Parameter, Station, Transform};
use network::circuit::{Bend, Circuit, Core, Element, Node, SliderPoint, ValueId};
use network::{NetworkError, Question, Solver};
use quantity::Unit;

/// Conductors of one wiring: terminals joined by wire; each terminal once. What stands nowhere is free.
type Joins = &'static [&'static [&'static str]];

/// The wirings: name and joins.
pub const WIRINGS: [(&str, Joins); 13] = [
    (
        "centre tap to slider, halves in series",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "same, booster reversed",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p1"],
            &["A.slider", "B.p2"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "slider to star point",
        &[
            &["N", "A.bottom", "B.p2"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "slider to line",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.p2", "B.b2"],
            &["OUT", "B.a1"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "autotransformer fed from the output side",
        &[
            &["N", "A.bottom"],
            &["L1", "B.b2"],
            &["OUT", "A.top", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "autotransformer across two lines",
        &[
            &["L1", "A.top", "B.b2"],
            &["L2", "A.bottom"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "half secondaries in parallel",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.a2", "B.b2"],
            &["OUT", "B.a1", "B.b1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
        ],
    ),
    (
        "one half secondary only",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.a2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
        ],
    ),
    (
        "half secondaries opposing",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b1"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b2"],
        ],
    ),
    (
        "fixed tap off-centre",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "line on inner tap",
        &[
            &["N", "A.bottom"],
            &["L1", "A.inner", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "output straight from slider",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top"],
            &["OUT", "A.slider", "B.p1"],
            &["A.tap", "B.p2"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "booster primary open",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
];

/// Index of the wiring whose tap stands off-centre, and of the one with an inner tap.
const OFF_CENTRE: usize = 9;
const INNER: usize = 10;

/// A place: whether the slider stands at position B, and the pair.
pub const PLACES: [(bool, &str, &str); 24] = [
    (false, "OUT", "N"),
    (false, "OUT", "L1"),
    (false, "A.top", "N"),
    (false, "A.bottom", "N"),
    (false, "A.tap", "N"),
    (false, "A.slider", "N"),
    (false, "A.slider", "A.tap"),
    (false, "A.slider", "A.top"),
    (false, "A.slider", "L1"),
    (false, "B.p1", "B.p2"),
    (false, "B.p1", "N"),
    (false, "B.p2", "N"),
    (false, "B.a1", "B.a2"),
    (false, "B.b1", "B.b2"),
    (false, "B.a1", "B.b1"),
    (false, "B.a2", "B.b2"),
    (false, "A.top", "L1"),
    (false, "A.top", "A.bottom"),
    (true, "OUT", "N"),
    (true, "OUT", "L1"),
    (true, "A.slider", "N"),
    (true, "A.slider", "A.tap"),
    (true, "B.p1", "B.p2"),
    (true, "B.a1", "B.a2"),
];

/// Indices of the parameters; the inner tap is there in its own wiring only.
#[allow(missing_docs, reason = "each is described in `parameters`")]
pub mod p {
    pub const RATIO: usize = 0;
    pub const SLIDER_A: usize = 1;
    pub const SLIDER_B: usize = 2;
    pub const TAP: usize = 3;
    pub const VOLTS: usize = 4;
    pub const INNER: usize = 5;
}

/// Parameters of a wiring.
pub fn parameters(wiring: usize) -> Vec<Parameter> {
    let (tap, spread) = if wiring == OFF_CENTRE {
        (0.33, 0.05)
    } else {
        (0.5, 0.01)
    };
    let all = [
        (
            "booster, primary to one half",
            8.0,
            0.6,
            Transform::Ln,
            Unit::One,
        ),
        ("slider, position A", 0.5, 1.6, Transform::Logit, Unit::One),
        ("slider, position B", 0.5, 1.6, Transform::Logit, Unit::One),
        ("fixed tap", tap, spread, Transform::Linear, Unit::One),
        ("supply", 230.0, 0.06, Transform::Ln, Unit::Volt),
        ("inner tap", 0.87, 0.03, Transform::Linear, Unit::One),
    ];
    let count = if wiring == INNER { 6 } else { 5 };
    all.into_iter()
        .take(count)
        .map(|(name, centre, width, transform, unit)| Parameter {
            name: name.into(),
            unit,
            transform,
            centre,
            width,
            basis: "invented".into(),
            auxiliary: false,
        })
        .collect()
}

/// How the world departs from the model, if it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strange {
    /// Magnetising current goes as this power of the volts, watts as 1 more.
    pub exponent: f64,
    /// Ohms from OUT to N that no drawing has.
    pub undrawn: f64,
}

/// One wiring: both stations, and the question at each place.
#[derive(Debug, Clone)]
pub struct Wiring {
    /// Slider at A, slider at B.
    pub stations: [Station; 2],
    /// One a place.
    pub questions: Vec<Question>,
}

impl Wiring {
    /// Builds a wiring, as the model has it or as a strange world has it.
    /// # Errors
    /// The network's own.
    pub fn new(wiring: usize, strange: Option<Strange>) -> Result<Self, NetworkError> {
        let (one, questions) = build(wiring, p::SLIDER_A, strange)?;
        let (other, _) = build(wiring, p::SLIDER_B, strange)?;
        Ok(Self {
            stations: [one, other],
            questions,
        })
    }
}

/// All wirings as the model has them.
/// # Errors
/// The network's own.
pub fn all() -> Result<Vec<Wiring>, NetworkError> {
    (0..WIRINGS.len())
        .map(|wiring| Wiring::new(wiring, None))
        .collect()
}

struct Build {
    circuit: Circuit,
    bindings: Vec<Binding>,
    /// Terminals and their nodes.
    nodes: Vec<(&'static str, Node)>,
}

impl Build {
    fn value(&mut self, binding: Binding) -> ValueId {
        self.bindings.push(binding);
        self.circuit.value()
    }

    fn fixed(&mut self, value: f64) -> ValueId {
        self.value(Binding::Fixed(value))
    }

    fn of(&mut self, powers: &[(usize, f64)]) -> ValueId {
        let powers = powers.to_vec();
        self.value(Binding::Product {
            coefficient: 1.0,
            powers,
        })
    }

    /// A parameter held within bounds.
    fn held(&mut self, parameter: usize, low: f64, high: f64) -> ValueId {
        let terms = vec![(parameter, 1.0)];
        self.value(Binding::Sum {
            constant: 0.0,
            terms,
            low,
            high,
        })
    }

    /// The node of a terminal; a free one gets its own.
    fn at(&mut self, terminal: &'static str) -> Node {
        if let Some((_, node)) = self.nodes.iter().find(|(name, _)| *name == terminal) {
            return *node;
        }
        let node = self.circuit.node(terminal);
        self.nodes.push((terminal, node));
        node
    }

    fn source(&mut self, line: &'static str, angle: f64) {
        let (from, to) = (self.at("N"), self.at(line));
        let (volts, ohms, reactance) = (
            self.of(&[(p::VOLTS, 1.0)]),
            self.fixed(0.001),
            self.fixed(0.0),
        );
        self.circuit.element(
            line,
            Element::Source {
                from,
                to,
                volts,
                angle,
                ohms,
                reactance,
            },
        );
    }

    fn core(
        &mut self,
        name: &str,
        turns: ValueId,
        siemens: (f64, f64),
        strange: Option<Strange>,
    ) -> network::circuit::CoreId {
        let bend = strange.map(|strange| Bend {
            volts: self.fixed(230.0),
            current_exponent: self.fixed(strange.exponent),
            watts_exponent: self.fixed(1.0 + strange.exponent),
            knee: self.fixed(100.0),
        });
        let core = Core {
            reference_turns: turns,
            conductance: self.fixed(siemens.0),
            susceptance: self.fixed(siemens.1),
            bend,
        };
        self.circuit.core(name, core)
    }

    fn autotransformer(&mut self, wiring: usize, slider: usize, strange: Option<Strange>) {
        let turns = self.fixed(1.0);
        let core = self.core("A", turns, (1e-4, 2e-4), strange);
        let mut points = vec![
            (self.at("A.bottom"), self.fixed(0.0)),
            (self.at("A.top"), self.fixed(1.0)),
        ];
        let tap = if wiring == INNER {
            points.push((self.at("A.inner"), self.held(p::INNER, 0.70, 0.97)));
            self.of(&[(p::TAP, 1.0), (p::INNER, 1.0)])
        } else {
            self.held(p::TAP, 0.02, 0.98)
        };
        points.push((self.at("A.tap"), tap));
        let at = self.of(&[(slider, 1.0)]);
        let sliders = vec![SliderPoint {
            node: self.at("A.slider"),
            at,
            brush: self.fixed(0.05),
        }];
        let (ohms, reactance) = (self.fixed(5.0), self.fixed(1.5));
        self.circuit.element(
            "A",
            Element::Winding {
                core,
                turns,
                ohms,
                reactance,
                points,
                sliders,
            },
        );
    }

    fn booster(&mut self, strange: Option<Strange>) {
        let ratio = self.of(&[(p::RATIO, 1.0)]);
        let core = self.core("B", ratio, (4e-4, 2e-3), strange);
        let one = self.fixed(1.0);
        for (name, dot, other, turns, impedance) in [
            ("primary", "B.p1", "B.p2", ratio, (1.0, 0.9)),
            ("half a", "B.a1", "B.a2", one, (0.02, 0.02)),
            ("half b", "B.b1", "B.b2", one, (0.02, 0.02)),
        ] {
            let points = vec![
                (self.at(dot), self.fixed(0.0)),
                (self.at(other), self.fixed(1.0)),
            ];
            let (ohms, reactance) = (self.fixed(impedance.0), self.fixed(impedance.1));
            let sliders = vec![];
            self.circuit.element(
                name,
                Element::Winding {
                    core,
                    turns,
                    ohms,
                    reactance,
                    points,
                    sliders,
                },
            );
        }
    }
}

fn build(
    wiring: usize,
    slider: usize,
    strange: Option<Strange>,
) -> Result<(Station, Vec<Question>), NetworkError> {
    let circuit = Circuit {
        frequency: 50.0,
        ..Circuit::default()
    };
    let mut build = Build {
        circuit,
        bindings: vec![],
        nodes: vec![],
    };
    for conductor in WIRINGS[wiring].1 {
        let node = build.circuit.node(conductor[0]);
        build
            .nodes
            .extend(conductor.iter().map(|&terminal| (terminal, node)));
    }
    build.source("L1", 0.0);
    if build.nodes.iter().any(|(name, _)| *name == "L2") {
        build.source("L2", -2.0 * std::f64::consts::PI / 3.0);
    }
    build.autotransformer(wiring, slider, strange);
    build.booster(strange);
    if let Some(strange) = strange {
        let (from, to) = (build.at("OUT"), build.at("N"));
        let (ohms, reactance) = (build.fixed(strange.undrawn), build.fixed(0.0));
        build.circuit.element(
            "undrawn load",
            Element::Impedance {
                from,
                to,
                ohms,
                reactance,
            },
        );
    }
    let questions = PLACES
        .iter()
        .map(|&(_, a, b)| Question::Voltage {
            a: build.at(a),
            b: build.at(b),
            burden: 0.0,
        })
        .collect();
    let station = Station {
        solver: Solver::new(build.circuit)?,
        bindings: build.bindings,
    };
    Ok((station, questions))
}
