//! One stabilizer phase in six setups: circuits, parameters with priors, places.
//!
//! A variable autotransformer from L to N with a fixed tap and a slider; a booster fed from slider and tap, its secondary between L
//! and OUT. Setups: no load twice (slider somewhere, slider near the top), loaded, booster short-circuit test, booster
//! open-circuit test, ohms. Parts and figures are invented; every prior is also the law the truth is drawn from. Plainly, cores are
//! linear, copper is as cold as it is said to be and everything stands in the drawing; [`Beyond`] says what parameters there are for
//! a world that is not so.

use evidence::{Binding, Parameter, Station, Transform};
use network::circuit::{
    Bend, Circuit, Core, CoreId, Element, ElementId, Node, SliderPoint, ValueId,
};
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

/// Parameters beyond the twenty, by index, for a world that is not as the drawing says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beyond {
    /// Exponents of the magnetising current and of the watts: of the autotransformer's core, of the booster's.
    pub exponents: [(usize, usize); 2],
    /// Factor on all ohms of copper, setup by setup.
    pub warmth: [usize; 6],
    /// Siemens of what is undrawn from L to N and from OUT to N; the same index twice: from L to N alone.
    pub undrawn: [usize; 2],
    /// How far the slider stands in setup 3 from where setup 2 left it.
    pub slider: usize,
}

/// Volts at which core terms hold: on the autotransformer's whole winding, on the booster's primary.
pub const CORE_VOLTS: [f64; 2] = [230.0, 115.0];
/// A knee nobody comes near: none of these finds is driven into saturation.
const NO_KNEE: f64 = 1e3;
/// Where a slider's travel ends.
pub const TRAVEL: (f64, f64) = (0.001, 0.999);

/// A circuit with the bindings of its values.
struct Build<'a> {
    circuit: Circuit,
    bindings: Vec<Binding>,
    /// The setup, from 1.
    setup: usize,
    beyond: Option<&'a Beyond>,
}

impl<'a> Build<'a> {
    fn of_setup(setup: usize, frequency: f64, beyond: Option<&'a Beyond>) -> Self {
        Self {
            circuit: Circuit {
                frequency,
                ..Circuit::default()
            },
            bindings: vec![],
            setup,
            beyond,
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

    /// Ohms of copper: as cold as said, or warmer.
    fn copper(&mut self, powers: &[(usize, f64)]) -> ValueId {
        let warmth = self.beyond.map(|it| (it.warmth[self.setup - 1], 1.0));
        let powers: Vec<(usize, f64)> = powers.iter().copied().chain(warmth).collect();
        self.product(1.0, &powers)
    }

    /// How core 0 (the autotransformer's) or 1 (the booster's) bends.
    fn bend(&mut self, core: usize) -> Option<Bend> {
        let (current, watts) = self.beyond?.exponents[core];
        Some(Bend {
            volts: self.fixed(CORE_VOLTS[core]),
            current_exponent: self.of(current),
            watts_exponent: self.of(watts),
            knee: self.fixed(NO_KNEE),
        })
    }

    /// Where the slider stands: in setup 3 perhaps not where it was left.
    fn slider_at(&mut self, slider: usize) -> ValueId {
        let Some(beyond) = self.beyond.filter(|_| self.setup == 3) else {
            return self.of(slider);
        };
        self.bindings.push(Binding::Sum {
            constant: 0.0,
            terms: vec![(slider, 1.0), (beyond.slider, 1.0)],
            low: TRAVEL.0,
            high: TRAVEL.1,
        });
        self.circuit.value()
    }

    /// What nobody drew, from the supply line and from the output to neutral.
    fn undrawn(&mut self, places: [Node; 2], neutral: Node) {
        let Some(beyond) = self.beyond else { return };
        let all = usize::from(beyond.undrawn[0] != beyond.undrawn[1]) + 1;
        for (from, siemens) in places.into_iter().zip(beyond.undrawn).take(all) {
            let (ohms, reactance) = (self.product(1.0, &[(siemens, -1.0)]), self.fixed(0.0));
            let load = Element::Impedance {
                from,
                to: neutral,
                ohms,
                reactance,
            };
            self.circuit.element("undrawn", load);
        }
    }

    /// The autotransformer from N up to L.
    fn autotransformer(&mut self, n: Node, l: Node, tap: Node, slider: Option<(Node, usize)>) {
        let turns = self.fixed(1.0);
        let core = Core {
            reference_turns: turns,
            conductance: self.of(p::G_A),
            susceptance: self.of(p::B_A),
            bend: self.bend(0),
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
                at: self.slider_at(at),
                brush: self.of(p::BRUSH),
            })
            .into_iter()
            .collect();
        let (ohms, reactance) = (self.copper(&[(p::R_A, 1.0)]), self.of(p::X_A));
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
            bend: self.bend(1),
        };
        let core = self.circuit.core("booster", core);
        let ohms = self.copper(&[(p::R_P, 1.0)]);
        let reactance = self.product(0.5, &[(p::X_P, 1.0)]);
        let primary = self.winding("primary", core, (turns, ohms, reactance), (dot, other));
        let ohms = self.copper(&[(p::SPLIT, 1.0), (p::R_P, 1.0), (p::RATIO, -2.0)]);
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

/// Setups 1 to 3: the first without load, the last with.
fn stabilizer(setup: usize, beyond: Option<&Beyond>) -> Result<Setup, NetworkError> {
    let mut build = Build::of_setup(setup, 50.0, beyond);
    let volts = p::VOLTS + setup - 1;
    let slider = if setup == 1 { p::SLIDER_A } else { p::SLIDER_B };
    let [n, l, sl, ct, out] = ["N", "L", "SL", "CT", "OUT"].map(|name| build.circuit.node(name));
    let source = build.source(n, l, volts);
    build.autotransformer(n, l, ct, Some((sl, slider)));
    let (primary, _) = build.booster((sl, ct), (out, l));
    build.undrawn([l, out], n);
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
    if setup == 3 {
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
fn booster_alone(setup: usize, beyond: Option<&Beyond>) -> Result<Setup, NetworkError> {
    let mut build = Build::of_setup(setup, 50.0, beyond);
    let (volts, shorted) = (p::VOLTS + setup - 1, setup == 4);
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
fn ohms(beyond: Option<&Beyond>) -> Result<Setup, NetworkError> {
    let mut build = Build::of_setup(6, 0.0, beyond);
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
    /// Builds the six setups, as plain as the drawing.
    /// # Errors
    /// The network's own; there is none in these circuits.
    pub fn new() -> Result<Self, NetworkError> {
        Self::built(None)
    }

    /// Builds the six setups with what may be beyond the drawing.
    /// # Errors
    /// The network's own; there is none in these circuits.
    pub fn beyond(beyond: &Beyond) -> Result<Self, NetworkError> {
        Self::built(Some(beyond))
    }

    fn built(beyond: Option<&Beyond>) -> Result<Self, NetworkError> {
        let setups = [
            stabilizer(1, beyond)?,
            stabilizer(2, beyond)?,
            stabilizer(3, beyond)?,
            booster_alone(4, beyond)?,
            booster_alone(5, beyond)?,
            ohms(beyond)?,
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
