//! The circuit: what the equations are made of, before any number is put in.
//!
//! A core has an EMF per turn `e`. A winding piece with `n` turns, `R`, `X` on it: `v = (R + jX) i + n e`; the ampere-turns of all
//! pieces on a core sum to `F(e)`, the core's excitation. A winding is cut where its taps and sliders stand; turns, resistance and
//! leakage of a piece are linear in its share of the winding.

/// A node: one conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Node(pub usize);

/// Index of a core.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CoreId(pub usize);

/// Index of an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ElementId(pub usize);

/// Index into the flat list of values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ValueId(pub usize);

/// What joins nodes. Currents count positive from `from` to `to` through the element (for a source: out of `to`, the driven end,
/// into the circuit is `to`; its EMF raises `to` above `from`).
#[derive(Debug, Clone)]
pub enum Element {
    /// An EMF of RMS `volts` at a fixed `angle` (radians) behind `ohms + j reactance`; both may be 0.
    Source {
        /// The reference end.
        from: Node,
        /// The driven end.
        to: Node,
        /// RMS volts.
        volts: ValueId,
        /// Angle, radians.
        angle: f64,
        /// Source resistance, ohms.
        ohms: ValueId,
        /// Source reactance, ohms.
        reactance: ValueId,
    },
    /// A series impedance; a negative reactance is capacitive. 0 Ω is allowed.
    Impedance {
        /// One end.
        from: Node,
        /// Other end.
        to: Node,
        /// Ohms.
        ohms: ValueId,
        /// Ohms at the circuit's frequency.
        reactance: ValueId,
    },
    /// A capacitor; blocks at 0 Hz.
    Capacitor {
        /// One end.
        from: Node,
        /// Other end.
        to: Node,
        /// Farads.
        farads: ValueId,
    },
    /// A fuse, closed switch or link whose current may be asked: 0 V across it.
    Link {
        /// One end.
        from: Node,
        /// Other end.
        to: Node,
    },
    /// A winding on a core, cut at its taps and sliders.
    Winding {
        /// Its core.
        core: CoreId,
        /// Turns of the whole winding, in any unit shared by all windings of the core; negative reverses it. The EMF raises the
        /// first point above the last when turns are positive.
        turns: ValueId,
        /// Whole resistance, ohms.
        ohms: ValueId,
        /// Whole leakage reactance, ohms.
        reactance: ValueId,
        /// Fixed points in any order, each with its position 0 to 1; must include one at 0 and one at 1 that never move.
        points: Vec<(Node, ValueId)>,
        /// Sliders.
        sliders: Vec<SliderPoint>,
    },
}

/// A slider on a winding.
#[derive(Debug, Clone, Copy)]
pub struct SliderPoint {
    /// The node its lead lands on.
    pub node: Node,
    /// Its position, 0 to 1.
    pub at: ValueId,
    /// Brush and contact, ohms; 0 is allowed.
    pub brush: ValueId,
}

/// A core: `Σ n i = (g - j b) n_ref² e` below the knee, `n_ref` the turns of the reference winding, so that `g` and `b` are siemens
/// seen from it.
#[derive(Debug, Clone, Copy)]
pub struct Core {
    /// Turns of the reference winding.
    pub reference_turns: ValueId,
    /// Core loss, siemens from the reference winding at the volts of `exponents.volts`.
    pub conductance: ValueId,
    /// Magnetising, siemens likewise.
    pub susceptance: ValueId,
    /// How the excitation bends; `None` is a straight line.
    pub bend: Option<Bend>,
}

/// How a core's excitation bends away from the straight line. With `E = |n_ref e|` and `u = E / volts`: loss current goes as
/// `g E u^(watts_exponent - 2)`, magnetising current as `b E u^(current_exponent - 1)` below the knee, and grows steeply beyond
/// `knee` (a ratio to `volts`); the exact form is documented in `solve::excitation`.
#[derive(Debug, Clone, Copy)]
pub struct Bend {
    /// RMS volts of the reference winding at which `conductance` and `susceptance` hold (rated volts at this frequency).
    pub volts: ValueId,
    /// Exponent of the magnetising current against volts; 1 is linear.
    pub current_exponent: ValueId,
    /// Exponent of the watts against volts; 2 is linear.
    pub watts_exponent: ValueId,
    /// The knee as a multiple of `volts`; default 1.15.
    pub knee: ValueId,
}

/// A circuit: pattern only. Its values stand apart so that one pattern serves many.
#[derive(Debug, Clone, Default)]
pub struct Circuit {
    /// Names of nodes, for messages.
    pub nodes: Vec<String>,
    /// Names of elements, for messages: "T1 winding", "F1".
    pub names: Vec<String>,
    /// Elements.
    pub elements: Vec<Element>,
    /// Cores, with names.
    pub cores: Vec<(String, Core)>,
    /// How many values there are.
    pub values: usize,
    /// Frequency, hertz; 0 for direct current (then cores have no EMF, reactances nothing, capacitors block).
    pub frequency: f64,
}

impl Circuit {
    /// A new node.
    pub fn node(&mut self, name: impl Into<String>) -> Node {
        self.nodes.push(name.into());
        Node(self.nodes.len() - 1)
    }

    /// A new value.
    pub fn value(&mut self) -> ValueId {
        self.values += 1;
        ValueId(self.values - 1)
    }

    /// A new core.
    pub fn core(&mut self, name: impl Into<String>, core: Core) -> CoreId {
        self.cores.push((name.into(), core));
        CoreId(self.cores.len() - 1)
    }

    /// A new element.
    pub fn element(&mut self, name: impl Into<String>, element: Element) -> ElementId {
        self.names.push(name.into());
        self.elements.push(element);
        ElementId(self.elements.len() - 1)
    }
}
