//! Reads a question's answer off the settled state, with the meter in the circuit, and gets its gradient.
//!
//! A meter adds one term to the equations: across two nodes a conductance, in line a resistance. Both are `A + k r cᵀ`, so the answer
//! with the meter follows from the one without and one more solve (Thévenin's theorem; for matrices Sherman and Morrison's formula);
//! where cores bend, they are settled again with the meter in.

use super::knee::Ports;
use super::layout::Layout;
use super::sensitivity::At;
use super::shape::Shape;
use super::solver::State;
use super::sparse::Factors;
use super::{Answer, NetworkError, Question};
use crate::circuit::{Circuit, ElementId, Node};
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);
const ONE: Complex64 = Complex64::new(1.0, 0.0);

/// Work space for questions.
#[derive(Debug, Clone)]
pub(super) struct Asking {
    /// The functional `c` as a right side.
    seen: Vec<Complex64>,
    /// A unit right side.
    other: Vec<Complex64>,
    /// Where the meter acts, `r`.
    acts: Vec<Complex64>,
    /// What it does to every unknown.
    response: Vec<Complex64>,
    adjoint: Vec<Complex64>,
    /// The state with the meter in.
    x: Vec<Complex64>,
    /// For each bent core: how its EMF feels every equation.
    feels: Vec<Vec<Complex64>>,
    ports: Ports,
    weights: Vec<Complex64>,
}

/// One settled state being asked.
pub(super) struct Asked<'a> {
    room: &'a mut Asking,
    circuit: &'a Circuit,
    layout: &'a Layout,
    shape: &'a Shape,
    pub(super) factors: Factors,
    state: &'a mut State,
    /// Whether `room.feels` is at hand.
    felt: bool,
    /// Whether the Newton iteration holds the slope at the settled state, no meter in.
    sloped: bool,
}

impl Asking {
    pub(super) fn new(size: usize, bent: usize) -> Self {
        let room = || vec![ZERO; size];
        Self {
            seen: room(),
            other: room(),
            acts: room(),
            response: room(),
            adjoint: room(),
            x: room(),
            feels: vec![room(); bent],
            ports: Ports::new(bent),
            weights: vec![ZERO; bent],
        }
    }

    pub(super) fn with<'a>(
        &'a mut self,
        circuit: &'a Circuit,
        layout: &'a Layout,
        shape: &'a Shape,
        factors: Factors,
        state: &'a mut State,
    ) -> Asked<'a> {
        Asked {
            room: self,
            circuit,
            layout,
            shape,
            factors,
            state,
            felt: false,
            sloped: false,
        }
    }
}

impl Asked<'_> {
    /// Answers into `answer`, using its gradient's room again.
    /// # Errors
    /// `BadValue` for a question that cannot be asked of this circuit, `NotSettled` with a meter in.
    pub(super) fn answer(
        &mut self,
        question: &Question,
        answer: &mut Answer,
    ) -> Result<(), NetworkError> {
        self.check(question)?;
        let mut gradient = match std::mem::replace(answer, Answer::Floating) {
            Answer::Value { gradient, .. } => gradient,
            _ => Vec::new(),
        };
        gradient.clear();
        gradient.resize(self.circuit.values, 0.0);
        self.room.seen.fill(ZERO);
        *answer = match question {
            Question::Voltage { a, b, .. } | Question::Resistance { a, b }
                if self.apart((*a, *b)) =>
            {
                if matches!(question, Question::Resistance { .. }) {
                    Answer::Open
                } else {
                    Answer::Floating
                }
            }
            Question::Power { node, against, .. } if self.apart((*node, *against)) => {
                Answer::Floating
            }
            Question::Ratio { over, under } if self.apart(*over) || self.apart(*under) => {
                Answer::Floating
            }
            Question::Voltage { a, b, burden } => {
                self.across((*a, *b), ONE);
                let value = self.magnitude(*burden, Some((*a, *b)), &mut gradient)?;
                Answer::Value { value, gradient }
            }
            Question::Current {
                node,
                through,
                burden,
            } => {
                self.out_into(*node, through);
                if *burden != 0.0 {
                    self.in_line(*node, through);
                }
                let value = self.magnitude(*burden, None, &mut gradient)?;
                Answer::Value { value, gradient }
            }
            Question::Power {
                node,
                against,
                through,
            } => {
                let value = self.power((*node, *against), through, &mut gradient);
                Answer::Value { value, gradient }
            }
            Question::Resistance { a, b } => {
                let value = self.resistance((*a, *b), &mut gradient);
                Answer::Value { value, gradient }
            }
            Question::Ratio { over, under } => match self.ratio(*over, *under, &mut gradient) {
                Some(value) => Answer::Value { value, gradient },
                None => Answer::Floating,
            },
        };
        Ok(())
    }

    /// By what share the question's meter lowers what it reads; see [`super::Solver::loading`].
    pub(super) fn loading(&mut self, question: &Question) -> f64 {
        let (Question::Voltage { burden, .. } | Question::Current { burden, .. }) = question else {
            return 0.0;
        };
        if *burden == 0.0 {
            return 0.0;
        }
        if self.check(question).is_err() {
            return f64::INFINITY;
        }
        self.room.seen.fill(ZERO);
        match question {
            Question::Voltage { a, b, .. } if self.apart((*a, *b)) => return f64::INFINITY,
            Question::Voltage { a, b, .. } => {
                self.across((*a, *b), ONE);
                self.acting_across((*a, *b));
            }
            Question::Current { node, through, .. } => {
                self.out_into(*node, through);
                self.in_line(*node, through);
            }
            _ => {}
        }
        let Self { room, factors, .. } = self;
        factors.solve(&room.acts, &mut room.response);
        burden * dot(&room.seen, &room.response).norm()
    }

    fn check(&self, question: &Question) -> Result<(), NetworkError> {
        let bad = |what: &str| {
            Err(NetworkError::BadValue {
                element: "question".into(),
                what: what.into(),
            })
        };
        let (nodes, through, burden): (&[Node], &[(ElementId, f64)], f64) = match question {
            Question::Voltage { a, b, burden } => (&[*a, *b], &[], *burden),
            Question::Resistance { a, b } => {
                if self.layout.omega != 0.0 {
                    return bad("ohms are asked of a circuit at 0 Hz only");
                }
                (&[*a, *b], &[], 0.0)
            }
            Question::Ratio { over, under } => (&[over.0, over.1, under.0, under.1], &[], 0.0),
            Question::Current {
                node,
                through,
                burden,
            } => (&[*node], through, *burden),
            Question::Power {
                node,
                against,
                through,
            } => (&[*node, *against], through, 0.0),
        };
        if nodes.iter().any(|n| n.0 >= self.circuit.nodes.len())
            || through
                .iter()
                .any(|(e, sign)| e.0 >= self.circuit.elements.len() || !sign.is_finite())
        {
            return bad("names a node or an element that is not there");
        }
        if !(burden >= 0.0 && burden.is_finite()) {
            return bad("the meter's burden is no number from nought up");
        }
        Ok(())
    }

    fn apart(&self, (a, b): (Node, Node)) -> bool {
        self.layout.island[a.0] != self.layout.island[b.0]
    }

    /// Adds the voltage between two nodes, times `share`, to what is seen.
    fn across(&mut self, (a, b): (Node, Node), share: Complex64) {
        for (node, share) in [(a, share), (b, -share)] {
            if let Some(unknown) = self.layout.unknown[node.0] {
                self.room.seen[unknown] += share;
            }
        }
    }

    /// Adds the current out of a node into elements to what is seen.
    fn out_into(&mut self, node: Node, through: &[(ElementId, f64)]) {
        for &(element, sign) in through {
            for k in self.layout.spans[element.0].clone() {
                let b = &self.shape.branches[k];
                let out =
                    f64::from(u8::from(b.from == node.0)) - f64::from(u8::from(b.to == node.0));
                self.room.seen[self.layout.first_branch + k] += sign * out;
            }
        }
    }

    /// An in-line meter lowers the voltage that the elements behind it have at the node.
    fn in_line(&mut self, node: Node, through: &[(ElementId, f64)]) {
        self.room.acts.fill(ZERO);
        for &(element, sign) in through {
            for k in self.layout.spans[element.0].clone() {
                let b = &self.shape.branches[k];
                let end =
                    f64::from(u8::from(b.from == node.0)) - f64::from(u8::from(b.to == node.0));
                if end != 0.0 && !self.shape.replaced[k] {
                    let weight = b.weight(&self.state.values, self.layout.omega);
                    self.room.acts[self.layout.first_branch + k] -= weight * (end * sign);
                }
            }
        }
    }

    /// `|cᵀ x|` with the meter in, and its gradient. `across`: the meter's places; an in-line meter has written where it acts.
    fn magnitude(
        &mut self,
        burden: f64,
        across: Option<(Node, Node)>,
        gradient: &mut [f64],
    ) -> Result<f64, NetworkError> {
        if burden == 0.0 {
            let seen = dot(&self.room.seen, &self.state.x);
            self.scale_seen(seen);
            self.finish(gradient);
            return Ok(seen.norm());
        }
        if let Some(places) = across {
            self.acting_across(places);
        }
        self.loaded(burden, gradient)
    }

    /// A meter across two nodes acts on their currents.
    fn acting_across(&mut self, (a, b): (Node, Node)) {
        self.room.acts.fill(ZERO);
        for (node, sign) in [(a, ONE), (b, -ONE)] {
            if let Some(unknown) = self.layout.unknown[node.0] {
                self.room.acts[unknown] += sign;
            }
        }
    }

    /// The answer with the meter in.
    fn loaded(&mut self, burden: f64, gradient: &mut [f64]) -> Result<f64, NetworkError> {
        self.feel();
        self.sloped = false;
        let Self {
            room,
            state,
            factors,
            layout,
            ..
        } = self;
        factors.solve(&room.acts, &mut room.response);
        factors.solve_transposed(&room.seen, &mut room.adjoint);
        let inner = 1.0 + burden * dot(&room.seen, &room.response);
        let strength = burden / inner;
        // The straight part alone: the settled state less what the cores' departures did to it.
        room.x.copy_from_slice(&state.x);
        for (spread, departure) in state.spread.iter().zip(&state.ports.departure) {
            add(&mut room.x, spread, *departure);
        }
        let before = dot(&room.seen, &room.x);
        add(&mut room.x, &room.response, -strength * before);
        let mut seen = before / inner;
        let count = layout.bent.len();
        if count > 0 {
            room.ports.copy_from(&state.ports);
            for (port, &index) in layout.bent.iter().enumerate() {
                let core = layout.first_core + index;
                room.ports.open[port] = room.x[core];
                for (other, &acting) in layout.bent.iter().enumerate() {
                    let felt = room.adjoint[layout.first_core + acting];
                    room.ports.transfer[port * count + other] -=
                        strength * room.response[core] * felt;
                }
            }
            state
                .newton
                .settle_near(&mut room.ports, &state.laws, &state.straight)?;
            for (port, spread) in state.spread.iter().enumerate() {
                let departure = room.ports.departure[port];
                let felt = room.adjoint[layout.first_core + layout.bent[port]];
                add(&mut room.x, spread, -departure);
                add(&mut room.x, &room.response, strength * felt * departure);
                seen -= felt * departure / inner;
            }
        }
        let unit = direction(seen);
        for a in &mut room.adjoint {
            *a *= unit / inner;
        }
        self.bent_adjoint_loaded(strength, inner, unit);
        self.at(true, false).gradient(&self.room.adjoint, gradient);
        Ok(seen.norm())
    }

    /// What the adjoint gains because the cores bend, with a meter in.
    fn bent_adjoint_loaded(&mut self, strength: Complex64, inner: Complex64, unit: Complex64) {
        let Self {
            room,
            state,
            layout,
            ..
        } = self;
        if layout.bent.is_empty() || unit == ZERO {
            return;
        }
        for (weight, &index) in room.weights.iter_mut().zip(&layout.bent) {
            *weight = room.adjoint[layout.first_core + index];
        }
        state.newton.linearise(&room.ports);
        state.newton.adjoint(&room.ports, &mut room.weights);
        // The meter changes how a core's EMF feels every equation by a share of the unloaded adjoint, which is the one at hand
        // times `inner / unit`.
        let mut share = ZERO;
        for (weight, &index) in room.weights.iter().zip(&layout.bent) {
            share += weight * strength * room.response[layout.first_core + index];
        }
        let back = ONE + share * inner / unit;
        for a in &mut room.adjoint {
            *a *= back;
        }
        for (weight, feels) in room.weights.iter().zip(&room.feels) {
            add(&mut room.adjoint, feels, -weight);
        }
    }

    /// `Re V I*` and its gradient.
    fn power(
        &mut self,
        places: (Node, Node),
        through: &[(ElementId, f64)],
        gradient: &mut [f64],
    ) -> f64 {
        self.out_into(places.0, through);
        let amperes = dot(&self.room.seen, &self.state.x);
        let volts = self.between(places);
        for s in &mut self.room.seen {
            *s *= volts.conj();
        }
        self.across(places, amperes.conj());
        self.finish(gradient);
        (volts * amperes.conj()).re
    }

    /// Ohms and their gradient.
    fn resistance(&mut self, (a, b): (Node, Node), gradient: &mut [f64]) -> f64 {
        self.across((a, b), ONE);
        let Self { room, factors, .. } = self;
        // One ampere into `a` and out of `b`: the rows of the nodes have the numbers of their voltages.
        factors.solve(&room.seen, &mut room.x);
        factors.solve_transposed(&room.seen, &mut room.adjoint);
        let ohms = dot(&room.seen, &room.x).re;
        self.at(true, true).gradient(&self.room.adjoint, gradient);
        ohms
    }

    /// `|u| / |v|` and its gradient; none where `v` is nought.
    fn ratio(
        &mut self,
        over: (Node, Node),
        under: (Node, Node),
        gradient: &mut [f64],
    ) -> Option<f64> {
        let (u, v) = (self.between(over), self.between(under));
        let value = u.norm() / v.norm();
        if !value.is_finite() {
            return None;
        }
        self.across(over, direction(u) / v.norm());
        self.across(under, -direction(v) * (value / v.norm()));
        self.finish(gradient);
        Some(value)
    }

    fn between(&self, (a, b): (Node, Node)) -> Complex64 {
        let at = |n: Node| self.layout.unknown[n.0].map_or(ZERO, |u| self.state.x[u]);
        at(a) - at(b)
    }

    /// Turns what is seen so that its real part is the change of the magnitude.
    fn scale_seen(&mut self, seen: Complex64) {
        let unit = direction(seen);
        for s in &mut self.room.seen {
            *s *= unit;
        }
    }

    /// The adjoint of what is seen at the settled state, and its gradient.
    fn finish(&mut self, gradient: &mut [f64]) {
        self.feel();
        let Self {
            room,
            state,
            factors,
            layout,
            ..
        } = self;
        factors.solve_transposed(&room.seen, &mut room.adjoint);
        if !layout.bent.is_empty() {
            for (weight, &index) in room.weights.iter_mut().zip(&layout.bent) {
                *weight = room.adjoint[layout.first_core + index];
            }
            if !self.sloped {
                state.newton.linearise(&state.ports);
                self.sloped = true;
            }
            state.newton.adjoint(&state.ports, &mut room.weights);
            for (weight, feels) in room.weights.iter().zip(&room.feels) {
                add(&mut room.adjoint, feels, -weight);
            }
        }
        self.at(false, false).gradient(&self.room.adjoint, gradient);
    }

    fn at(&self, own: bool, dead: bool) -> At<'_> {
        At {
            circuit: self.circuit,
            layout: self.layout,
            shape: self.shape,
            values: &self.state.values,
            x: if own { &self.room.x } else { &self.state.x },
            dead,
        }
    }

    /// How each bent core's EMF feels every equation; once a settled state.
    fn feel(&mut self) {
        if self.felt {
            return;
        }
        let Self {
            room,
            factors,
            layout,
            ..
        } = self;
        for (feels, &index) in room.feels.iter_mut().zip(&layout.bent) {
            room.other.fill(ZERO);
            room.other[layout.first_core + index] = ONE;
            factors.solve_transposed(&room.other, feels);
        }
        self.felt = true;
    }
}

fn dot(a: &[Complex64], b: &[Complex64]) -> Complex64 {
    a.iter()
        .zip(b)
        .filter(|(a, _)| **a != ZERO)
        .map(|(a, b)| a * b)
        .sum()
}

fn add(into: &mut [Complex64], what: &[Complex64], share: Complex64) {
    for (i, w) in into.iter_mut().zip(what) {
        *i += share * w;
    }
}

/// `conj(u) / |u|`; nought for nought, whose magnitude has no derivative.
fn direction(u: Complex64) -> Complex64 {
    let size = u.norm();
    if size == 0.0 { ZERO } else { u.conj() / size }
}
