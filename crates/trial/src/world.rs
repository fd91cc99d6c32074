//! One stabilizer phase in six setups: circuits, parameters with priors, places.
//!
//! A variable autotransformer from L to N with a fixed tap and a slider; a booster fed from slider and tap, its secondary between L
//! and OUT. Setups: no load twice (slider somewhere, slider near the top), loaded, booster short-circuit test, booster
//! open-circuit test, ohms. Linear cores. Parts and figures are invented; every prior is also the law the truth is drawn from.

use evidence::{Binding, Parameter, Station, Transform};
use network::circuit::{Circuit, Core, CoreId, Element, ElementId, Node, SliderPoint, ValueId};
use network::{NetworkError, Question, Solver};
use quantity::Unit;

/// Indices of the parameters.
#[allow(missing_docs, reason = "each is described in `parameters`")]
pub mod p {
    pub const RATIO: usize = 0;
    pub const SLIDER_A: usize = 1;
    pub const SLIDER_B: usize = 2;
    pub const TAP: usize = 3;
    pub const VOLTS: usize = 4;
    pub const R_A: usize = 9;
    pub const X_A: usize = 10;
    pub const G_A: usize = 11;
    pub const B_A: usize = 12;
    pub const BRUSH: usize = 13;
    pub const R_P: usize = 14;
    pub const X_P: usize = 15;
    pub const SPLIT: usize = 16;
    pub const G_B: usize = 17;
    pub const B_B: usize = 18;
    pub const LOAD: usize = 19;
    pub const COUNT: usize = 20;
}

/// Name, centre, width, transform, unit of every parameter. A logit's centre is its value.
pub fn parameters() -> Vec<Parameter> {
    let logit = |at: f64| 1.0 / (1.0 + (-at).exp());
    let (ln, one) = (Transform::Ln, Unit::One);
    [
        ("ratio of the booster", 5.0, 0.4, ln, one),
        (
            "slider, first position",
            logit(-0.6),
            0.7,
            Transform::Logit,
            one,
        ),
        (
            "slider near the top",
            logit(4.0),
            0.7,
            Transform::Logit,
            one,
        ),
        ("fixed tap", 0.5, 0.01, Transform::Linear, one),
        ("supply in setup 1", 230.0, 0.07, ln, Unit::Volt),
        ("supply in setup 2", 230.0, 0.07, ln, Unit::Volt),
        ("supply in setup 3", 230.0, 0.07, ln, Unit::Volt),
        ("supply in setup 4", 8.0, 0.5, ln, Unit::Volt),
        ("supply in setup 5", 115.0, 0.10, ln, Unit::Volt),
        ("autotransformer, whole winding", 5.0, 0.7, ln, Unit::Ohm),
        ("autotransformer leakage", 1.5, 0.7, ln, Unit::Ohm),
        ("autotransformer core loss", 1e-4, 0.7, ln, Unit::Siemens),
        ("autotransformer magnetising", 2e-4, 0.8, ln, Unit::Siemens),
        ("brush", 0.05, 0.8, ln, Unit::Ohm),
        ("booster primary", 1.1, 0.7, ln, Unit::Ohm),
        ("booster leakage", 1.8, 0.7, ln, Unit::Ohm),
        ("split of the copper loss", 1.0, 0.35, ln, one),
        ("booster core loss", 4e-4, 0.7, ln, Unit::Siemens),
        ("booster magnetising", 2e-3, 0.8, ln, Unit::Siemens),
        ("load in setup 3", 20.0, 0.2, ln, Unit::Ohm),
    ]
    .map(|(name, centre, width, transform, unit)| Parameter {
        name: name.into(),
        unit,
        transform,
        centre,
        width,
        basis: "invented".into(),
        auxiliary: false,
    })
    .into()
}

/// Stations with the questions that may be asked there, by name.
#[derive(Debug, Clone)]
pub struct World {
    /// One a setup.
    pub stations: Vec<Station>,
    /// Of each setup: place and question.
    pub places: Vec<Vec<(&'static str, Question)>>,
}

/// A circuit with the bindings of its values.
#[derive(Default)]
struct Build {
    circuit: Circuit,
    bindings: Vec<Binding>,
}

impl Build {
    fn at(frequency: f64) -> Self {
        Self {
            circuit: Circuit {
                frequency,
                ..Circuit::default()
            },
            bindings: vec![],
        }
    }

    fn fixed(&mut self, value: f64) -> ValueId {
        self.bindings.push(Binding::Fixed(value));
        self.circuit.value()
    }

    fn product(&mut self, coefficient: f64, powers: &[(usize, f64)]) -> ValueId {
        self.bindings.push(Binding::Product {
            coefficient,
            powers: powers.to_vec(),
        });
        self.circuit.value()
    }

    fn of(&mut self, parameter: usize) -> ValueId {
        self.product(1.0, &[(parameter, 1.0)])
    }

    fn source(&mut self, from: Node, to: Node, volts: usize) -> ElementId {
        let (volts, ohms, reactance) = (self.of(volts), self.fixed(0.0), self.fixed(0.0));
        self.circuit.element(
            "source",
            Element::Source {
                from,
                to,
                volts,
                angle: 0.0,
                ohms,
                reactance,
            },
        )
    }

    /// The autotransformer from N up to L.
    fn autotransformer(&mut self, n: Node, l: Node, tap: Node, slider: Option<(Node, usize)>) {
        let turns = self.fixed(1.0);
        let core = Core {
            reference_turns: turns,
            conductance: self.of(p::G_A),
            susceptance: self.of(p::B_A),
            bend: None,
        };
        let core = self.circuit.core("autotransformer", core);
        let points = vec![
            (n, self.fixed(0.0)),
            (l, self.fixed(1.0)),
            (tap, self.of(p::TAP)),
        ];
        let sliders = slider
            .map(|(node, at)| SliderPoint {
                node,
                at: self.of(at),
                brush: self.of(p::BRUSH),
            })
            .into_iter()
            .collect();
        let (ohms, reactance) = (self.of(p::R_A), self.of(p::X_A));
        let winding = Element::Winding {
            core,
            turns,
            ohms,
            reactance,
            points,
            sliders,
        };
        self.circuit.element("autotransformer", winding);
    }

    /// The booster: primary from `dot` to `other`, secondary from `out` to `line`.
    fn booster(
        &mut self,
        (dot, other): (Node, Node),
        (out, line): (Node, Node),
    ) -> (ElementId, ElementId) {
        let turns = self.of(p::RATIO);
        let core = Core {
            reference_turns: turns,
            conductance: self.of(p::G_B),
            susceptance: self.of(p::B_B),
            bend: None,
        };
        let core = self.circuit.core("booster", core);
        let (ohms, reactance) = (self.of(p::R_P), self.product(0.5, &[(p::X_P, 1.0)]));
        let primary = self.winding("primary", core, (turns, ohms, reactance), (dot, other));
        let ohms = self.product(1.0, &[(p::SPLIT, 1.0), (p::R_P, 1.0), (p::RATIO, -2.0)]);
        let reactance = self.product(0.5, &[(p::X_P, 1.0), (p::RATIO, -2.0)]);
        let one = self.fixed(1.0);
        let secondary = self.winding("secondary", core, (one, ohms, reactance), (out, line));
        (primary, secondary)
    }

    fn winding(
        &mut self,
        name: &str,
        core: CoreId,
        (turns, ohms, reactance): (ValueId, ValueId, ValueId),
        (first, last): (Node, Node),
    ) -> ElementId {
        let points = vec![(first, self.fixed(0.0)), (last, self.fixed(1.0))];
        self.circuit.element(
            name,
            Element::Winding {
                core,
                turns,
                ohms,
                reactance,
                points,
                sliders: vec![],
            },
        )
    }

    fn station(self) -> Result<Station, NetworkError> {
        Ok(Station {
            solver: Solver::new(self.circuit)?,
            bindings: self.bindings,
        })
    }
}

fn voltage(a: Node, b: Node) -> Question {
    Question::Voltage { a, b, burden: 0.0 }
}

fn current(node: Node, element: ElementId) -> Question {
    Question::Current {
        node,
        through: vec![(element, 1.0)],
        burden: 0.0,
    }
}

/// Watts that a source gives the rest, at the node it drives.
fn delivered(node: Node, against: Node, source: ElementId) -> Question {
    Question::Power {
        node,
        against,
        through: vec![(source, -1.0)],
    }
}

type Setup = (Station, Vec<(&'static str, Question)>);

/// Setups 1 to 3.
fn stabilizer(volts: usize, slider: usize, load: bool) -> Result<Setup, NetworkError> {
    let mut build = Build::at(50.0);
    let [n, l, sl, ct, out] = ["N", "L", "SL", "CT", "OUT"].map(|name| build.circuit.node(name));
    let source = build.source(n, l, volts);
    build.autotransformer(n, l, ct, Some((sl, slider)));
    let (primary, _) = build.booster((sl, ct), (out, l));
    let mut places = vec![
        ("V_in", voltage(l, n)),
        ("I_in", current(l, source)),
        ("P_in", delivered(l, n, source)),
        ("SL-N", voltage(sl, n)),
        ("SL-L", voltage(sl, l)),
        ("CT-N", voltage(ct, n)),
        ("CT-L", voltage(ct, l)),
        ("SL-CT", voltage(sl, ct)),
        ("OUT-L", voltage(out, l)),
        ("OUT-N", voltage(out, n)),
        ("OUT-SL", voltage(out, sl)),
        ("I_prim", current(sl, primary)),
    ];
    if load {
        let (ohms, reactance) = (build.of(p::LOAD), build.fixed(0.0));
        let load = build.circuit.element(
            "load",
            Element::Impedance {
                from: out,
                to: n,
                ohms,
                reactance,
            },
        );
        places.push(("I_load", current(out, load)));
    }
    Ok((build.station()?, places))
}

/// Setups 4 and 5: the booster alone, its secondary shorted or open.
fn booster_alone(volts: usize, shorted: bool) -> Result<Setup, NetworkError> {
    let mut build = Build::at(50.0);
    let [p1, p2, s1, s2] = ["p1", "p2", "s1", "s2"].map(|name| build.circuit.node(name));
    let source = build.source(p2, p1, volts);
    let (_, secondary) = build.booster((p1, p2), (s1, s2));
    let mut places = vec![
        ("V", voltage(p1, p2)),
        ("I", current(p1, source)),
        ("P", delivered(p1, p2, source)),
    ];
    if shorted {
        build
            .circuit
            .element("short", Element::Link { from: s1, to: s2 });
        places.push(("I_sec", current(s1, secondary)));
    } else {
        places.push(("V_sec", voltage(s1, s2)));
    }
    Ok((build.station()?, places))
}

/// Setup 6: ohms of every winding.
fn ohms() -> Result<Setup, NetworkError> {
    let mut build = Build::at(0.0);
    let [n, l, ct, p1, p2, s1, s2] =
        ["N", "L", "CT", "p1", "p2", "s1", "s2"].map(|name| build.circuit.node(name));
    build.autotransformer(n, l, ct, None);
    build.booster((p1, p2), (s1, s2));
    let between = |a, b| Question::Resistance { a, b };
    let places = vec![
        ("R_A", between(n, l)),
        ("R_p", between(p1, p2)),
        ("R_s", between(s1, s2)),
        ("R_A_half", between(ct, l)),
    ];
    Ok((build.station()?, places))
}

impl World {
    /// Builds the six setups.
    /// # Errors
    /// The network's own; there is none in these circuits.
    pub fn new() -> Result<Self, NetworkError> {
        let setups = [
            stabilizer(p::VOLTS, p::SLIDER_A, false)?,
            stabilizer(p::VOLTS + 1, p::SLIDER_B, false)?,
            stabilizer(p::VOLTS + 2, p::SLIDER_B, true)?,
            booster_alone(p::VOLTS + 3, true)?,
            booster_alone(p::VOLTS + 4, false)?,
            ohms()?,
        ];
        let (stations, places) = setups.into_iter().unzip();
        Ok(Self { stations, places })
    }

    /// The question of a place of a setup (from 1).
    pub fn question(&self, setup: usize, place: &str) -> Option<&Question> {
        self.places[setup - 1]
            .iter()
            .find(|(name, _)| *name == place)
            .map(|(_, question)| question)
    }
}

#[cfg(test)]
mod tests {
    use super::{World, parameters};
    use network::Answer;

    /// By hand, for values that make it short: an ideal booster of 5 : 1 on 230 V with the slider at 0.9 and the tap at 0.5 has
    /// 0.4 * 230 = 92 V on its primary and adds 18.4 V; a shorted booster is its own impedance.
    #[test]
    fn circuits_answer_as_reckoned_by_hand() {
        let mut world = World::new().unwrap();
        let mut values: Vec<f64> = parameters()
            .iter()
            .map(|parameter| parameter.value(0.0))
            .collect();
        values[super::p::SLIDER_B] = 0.9;
        for tiny in [
            super::p::R_A,
            super::p::X_A,
            super::p::G_A,
            super::p::B_A,
            super::p::BRUSH,
            super::p::G_B,
            super::p::B_B,
        ] {
            values[tiny] = 1e-9;
        }
        let ask = |world: &mut World, setup: usize, place: &str| {
            let question = world.question(setup, place).unwrap().clone();
            let station = &mut world.stations[setup - 1];
            let bound: Vec<f64> = station
                .bindings
                .iter()
                .map(|binding| binding.value(&values))
                .collect();
            match &station.solver.answer(&bound, &[question]).unwrap()[0] {
                Answer::Value { value, .. } => *value,
                other => panic!("{other:?}"),
            }
        };
        for (setup, place, expected) in [
            (2, "SL-CT", 92.0),
            (2, "OUT-L", 18.4),
            (2, "OUT-N", 248.4),
            (4, "I", 8.0 / 2.2_f64.hypot(1.8)),
            (4, "P", 2.2 * 64.0 / (2.2_f64.powi(2) + 1.8_f64.powi(2))),
            (4, "I_sec", 40.0 / 2.2_f64.hypot(1.8)),
            (5, "V_sec", 23.0),
            (6, "R_s", 1.1 / 25.0),
        ] {
            let got = ask(&mut world, setup, place);
            assert!(
                (got - expected).abs() < 1e-5 * expected,
                "setup {setup} {place}: {got}, by hand {expected}"
            );
        }
        let loaded = ask(&mut world, 3, "P_in");
        assert!(
            loaded > 2000.0,
            "a load takes power from the source: {loaded}"
        );
    }
}
