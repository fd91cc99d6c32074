//! The equations of one wiring: cores, windings, supplies, and what hangs on the output undrawn.

use super::{INNER, PLACES, Strange, WIRINGS, World, drawn, p};
use evidence::{Binding, Station};
use network::circuit::{Bend, Circuit, Core, Element, Node, SliderPoint, ValueId};
use network::{NetworkError, Question, Solver};

/// Volts of the supply by the plate; what is undrawn takes its watts there.
const RATED: f64 = 230.0;

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

/// One station of a wiring, its slider following that parameter, and the question at each place.
pub(super) fn build(
    wiring: usize,
    slider: usize,
    world: World,
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
    let (strange, undrawn) = match world {
        World::Drawn => (None, None),
        World::Supposed => (
            None,
            Some(Binding::Product {
                coefficient: RATED * RATED,
                powers: vec![(drawn(wiring), -1.0)],
            }),
        ),
        World::Strange(strange) => (Some(strange), Some(Binding::Fixed(strange.undrawn))),
    };
    build.autotransformer(wiring, slider, strange);
    build.booster(strange);
    if let Some(ohms) = undrawn {
        let (from, to) = (build.at("OUT"), build.at("N"));
        let (ohms, reactance) = (build.value(ohms), build.fixed(0.0));
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
