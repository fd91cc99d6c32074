//! A circuit put together with its values, for tests.
#![allow(dead_code, unreachable_pub, clippy::unwrap_used)] // each test file uses a part

pub mod read;

use network::circuit::{
    Bend, Circuit, Core, CoreId, Element, ElementId, Node, SliderPoint, ValueId,
};
use network::{Answer, Question, Solution, Solver};

/// A circuit and the values it was built with.
#[derive(Debug, Clone, Default)]
pub struct Built {
    pub circuit: Circuit,
    pub values: Vec<f64>,
}

impl Built {
    pub fn new(frequency: f64) -> Self {
        Self {
            circuit: Circuit {
                frequency,
                ..Circuit::default()
            },
            values: Vec::new(),
        }
    }

    pub fn node(&mut self, name: &str) -> Node {
        self.circuit.node(name)
    }

    pub fn value(&mut self, value: f64) -> ValueId {
        self.values.push(value);
        self.circuit.value()
    }

    /// A source; `angle` in degrees.
    pub fn source(
        &mut self,
        name: &str,
        from: Node,
        to: Node,
        volts: f64,
        angle: f64,
        z: (f64, f64),
    ) -> ElementId {
        let (volts, ohms, reactance) = (self.value(volts), self.value(z.0), self.value(z.1));
        self.circuit.element(
            name,
            Element::Source {
                from,
                to,
                volts,
                angle: angle.to_radians(),
                ohms,
                reactance,
            },
        )
    }

    pub fn impedance(&mut self, name: &str, from: Node, to: Node, z: (f64, f64)) -> ElementId {
        let (ohms, reactance) = (self.value(z.0), self.value(z.1));
        self.circuit.element(
            name,
            Element::Impedance {
                from,
                to,
                ohms,
                reactance,
            },
        )
    }

    pub fn capacitor(&mut self, name: &str, from: Node, to: Node, farads: f64) -> ElementId {
        let farads = self.value(farads);
        self.circuit
            .element(name, Element::Capacitor { from, to, farads })
    }

    pub fn link(&mut self, name: &str, from: Node, to: Node) -> ElementId {
        self.circuit.element(name, Element::Link { from, to })
    }

    pub fn core(&mut self, name: &str, turns: f64, g: f64, b: f64) -> CoreId {
        let core = Core {
            reference_turns: self.value(turns),
            conductance: self.value(g),
            susceptance: self.value(b),
            bend: None,
        };
        self.circuit.core(name, core)
    }

    /// A core that bends: volts, exponent of the current, of the watts, knee.
    pub fn bent_core(&mut self, name: &str, turns: f64, g: f64, b: f64, bend: [f64; 4]) -> CoreId {
        let core = Core {
            reference_turns: self.value(turns),
            conductance: self.value(g),
            susceptance: self.value(b),
            bend: Some(Bend {
                volts: self.value(bend[0]),
                current_exponent: self.value(bend[1]),
                watts_exponent: self.value(bend[2]),
                knee: self.value(bend[3]),
            }),
        };
        self.circuit.core(name, core)
    }

    /// A winding: points with positions, sliders with position and brush ohms.
    pub fn winding(
        &mut self,
        name: &str,
        core: CoreId,
        turns: f64,
        z: (f64, f64),
        points: &[(Node, f64)],
        sliders: &[(Node, f64, f64)],
    ) -> ElementId {
        let (turns, ohms, reactance) = (self.value(turns), self.value(z.0), self.value(z.1));
        let points = points.iter().map(|&(n, at)| (n, self.value(at))).collect();
        let sliders = sliders
            .iter()
            .map(|&(node, at, brush)| SliderPoint {
                node,
                at: self.value(at),
                brush: self.value(brush),
            })
            .collect();
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
        )
    }

    pub fn solver(&self) -> Solver {
        Solver::new(self.circuit.clone()).unwrap()
    }

    pub fn solve(&self) -> Solution {
        self.solver().solve(&self.values).unwrap()
    }

    pub fn ask(&self, question: Question) -> f64 {
        value(&self.solver().answer(&self.values, &[question]).unwrap()[0])
    }
}

pub fn value(answer: &Answer) -> f64 {
    match answer {
        Answer::Value { value, .. } => *value,
        other => panic!("{other:?}"),
    }
}

/// `|V(a) - V(b)|`, no meter.
pub fn volts(a: Node, b: Node) -> Question {
    Question::Voltage { a, b, burden: 0.0 }
}

/// `|I|` out of a node into one element, no meter.
pub fn amperes(node: Node, element: ElementId) -> Question {
    Question::Current {
        node,
        through: vec![(element, 1.0)],
        burden: 0.0,
    }
}

/// One phase of a stabilizer: what is asked of it most.
pub struct Phase {
    pub input: Node,
    pub output: Node,
    pub slider: Node,
    pub tap: Node,
    pub fuse: ElementId,
    pub auto: ElementId,
    pub primary: ElementId,
    pub secondary: ElementId,
    pub load: ElementId,
}

/// Adds one phase: a booster between input and output, fed from the centre tap and slider of a variable autotransformer on the output.
pub fn phase(b: &mut Built, k: usize, star: Node, at: f64, load: (f64, f64), bent: bool) -> Phase {
    let name = |what: &str| format!("{what}{k}");
    let input = b.node(&name("X1:"));
    let fused = b.node(&name("F:2 "));
    let output = b.node(&name("X2:"));
    let tap = b.node(&name("T:2 "));
    let slider = b.node(&name("T:4 "));
    let angle = -120.0 * (k as f64 - 1.0);
    b.source(&name("L"), star, input, 230.0, angle, (0.05, 0.02));
    let fuse = b.link(&name("F"), input, fused);
    let (auto_core, booster_core) = if bent {
        (
            b.bent_core(&name("T"), 1.0, 2.0e-4, 6.0e-4, [230.0, 1.2, 1.8, 1.15]),
            b.bent_core(&name("B"), 1.0, 4.0e-4, 1.5e-3, [115.0, 1.1, 1.9, 1.15]),
        )
    } else {
        (
            b.core(&name("T"), 1.0, 2.0e-4, 6.0e-4),
            b.core(&name("B"), 1.0, 4.0e-4, 1.5e-3),
        )
    };
    let points = [(star, 0.0), (tap, 0.5), (output, 1.0)];
    let auto = b.winding(
        &name("T winding "),
        auto_core,
        -1.0,
        (1.5, 0.5),
        &points,
        &[(slider, at, 0.04)],
    );
    let primary = b.winding(
        &name("primary "),
        booster_core,
        1.0,
        (0.25, 0.2),
        &[(slider, 0.0), (tap, 1.0)],
        &[],
    );
    let secondary = b.winding(
        &name("secondary "),
        booster_core,
        0.4,
        (0.03, 0.02),
        &[(fused, 0.0), (output, 1.0)],
        &[],
    );
    let load = b.impedance(&name("load "), output, star, load);
    Phase {
        input,
        output,
        slider,
        tap,
        fuse,
        auto,
        primary,
        secondary,
        load,
    }
}

/// A whole three-phase stabilizer on balanced mains.
pub fn stabilizer(at: [f64; 3], loads: [(f64, f64); 3], bent: bool) -> (Built, [Phase; 3]) {
    let mut b = Built::new(50.0);
    let star = b.node("N");
    let phases = [1, 2, 3].map(|k| phase(&mut b, k, star, at[k - 1], loads[k - 1], bent));
    (b, phases)
}
