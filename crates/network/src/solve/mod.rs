//! Solves a circuit's equations and answers questions about them with exact gradients.
//!
//! Nodal analysis with the current of every branch and the EMF per turn of every core as further unknowns, so that 0 Ω needs no
//! special case. The road of one solve: [`check`] the values, take the [`shape`] (pattern) of the order the sliders stand in, look
//! at its [`stiff`] loops, assemble, factorise in place ([`sparse`]), settle the cores that bend ([`knee`], [`excitation`], [`arc`]).
//! Answers are in [`ask`], their gradients in [`sensitivity`].

mod arc;
mod ask;
mod check;
mod dense;
mod excitation;
mod knee;
mod layout;
mod sensitivity;
mod shape;
mod solution;
mod solver;
mod sparse;
mod stiff;

use crate::circuit::{ElementId, Node};
use num_complex::Complex64;
pub use solver::Solver;

/// Something asked of a solved circuit. All amplitudes RMS.
#[derive(Debug, Clone, PartialEq)]
pub enum Question {
    /// `|V(a) - V(b)|`, volts, with a meter of `burden` siemens across (0: none).
    Voltage {
        /// One place.
        a: Node,
        /// Other place.
        b: Node,
        /// Siemens of the meter.
        burden: f64,
    },
    /// `|I|`, amperes: the sum of currents that these elements take out of this node, each with its sign, with `burden` ohms of an
    /// in-line meter in series (0: none or a clamp). For the current into a part at a terminal: that part's elements at the node.
    Current {
        /// The node.
        node: Node,
        /// Elements whose currents out of the node into the element are summed; each with a sign.
        through: Vec<(ElementId, f64)>,
        /// Ohms of the meter.
        burden: f64,
    },
    /// `Re (V(node) - V(against)) I*`, watts, the current as in [`Question::Current`].
    Power {
        /// Where the current is taken.
        node: Node,
        /// Against which the voltage is taken.
        against: Node,
        /// As in [`Question::Current`].
        through: Vec<(ElementId, f64)>,
    },
    /// Ohms between two nodes; only of a circuit at 0 Hz, its sources taken as dead (their own ohms stay).
    Resistance {
        /// One place.
        a: Node,
        /// Other place.
        b: Node,
    },
    /// `|V(a) - V(b)| / |V(c) - V(d)|`.
    Ratio {
        /// Over.
        over: (Node, Node),
        /// Under.
        under: (Node, Node),
    },
}

/// What the network answers.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A value (RMS volts, amperes, watts, ohms or a ratio) and its derivative to every value of the circuit, in their order.
    Value {
        /// The value.
        value: f64,
        /// Its derivative to every value of the circuit.
        gradient: Vec<f64>,
    },
    /// The two places stand in islands that nothing joins: a meter there shows a number that proves nothing.
    Floating,
    /// No path at all (ohms): an open circuit.
    Open,
}

/// Answers in the order of the questions.
pub type Answered = Vec<Answer>;

/// Why a circuit has no solution; names are the circuit's own.
#[derive(Debug, Clone, PartialEq)]
pub enum NetworkError {
    /// A source without impedance feeds a short circuit.
    ShortedSource {
        /// Source.
        source: String,
        /// Elements that short it.
        by: Vec<String>,
    },
    /// Sources without impedance in parallel do not have the same volts.
    UnlikeSources {
        /// The sources.
        sources: Vec<String>,
    },
    /// A winding without impedance is shorted or held at two unlike voltages.
    Contradiction {
        /// Elements of the loop.
        elements: Vec<String>,
    },
    /// The equations are singular for a reason not recognised; the names are those of the last pivot.
    Singular {
        /// Unknown at which the factorisation stopped.
        at: String,
    },
    /// The knee's iteration did not settle.
    NotSettled {
        /// Rounds.
        rounds: usize,
        /// Last relative change.
        residual: f64,
    },
    /// A value is not a number or lies where it cannot (a slider outside 0 to 1).
    BadValue {
        /// Which element.
        element: String,
        /// What is wrong.
        what: String,
    },
}

/// The solved state: every phasor that can be asked without a gradient. Watts balance: the real parts of `delivered` sum to all
/// `copper_loss` and `core_loss`.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// Volts of each node against the reference node of its island, which is its lowest-numbered node.
    pub voltages: Vec<Complex64>,
    /// Island of each node, numbered from 0 in the order of their lowest nodes.
    pub island: Vec<usize>,
    /// Current of each element from `from` to `to`; of a winding: of each piece, from position 0 upwards, with its two positions.
    pub currents: Vec<Vec<PieceCurrent>>,
    /// Current of each slider of each element from its lead into the winding, in the circuit's order; empty for other elements.
    pub sliders: Vec<Vec<Complex64>>,
    /// EMF per turn of each core.
    pub emf_per_turn: Vec<Complex64>,
    /// Whether each core is beyond its knee (fundamental only, peaks are higher).
    pub beyond_knee: Vec<bool>,
    /// Watts lost in the resistance of each element (copper, brush, a load's and a source's own ohms).
    pub copper_loss: Vec<f64>,
    /// Core loss of each core, watts.
    pub core_loss: Vec<f64>,
    /// Complex power delivered by the EMF of each source, its own impedance included, VA; zero for others.
    pub delivered: Vec<Complex64>,
}

/// Current in one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceCurrent {
    /// Lower position of the piece (0 for simple elements).
    pub from: f64,
    /// Upper position (1 for simple elements).
    pub to: f64,
    /// Amperes, from lower to upper position, `from` to `to`.
    pub amperes: Complex64,
}
