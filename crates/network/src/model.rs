//! From a find and a setup to a circuit, and from a place to a question.
//!
//! Nodes are the find's conductors in the setup. Every part gives its elements, every feed its sources, every load its
//! impedances; each value of the circuit carries a [`Meaning`], to which the floor above gives priors and numbers. Names are
//! those a person at the bench would use, so that the solver's complaints can be passed on ([`Model::explain`]).
//! `build` assembles, `ask` turns places into questions, `explain` turns the solver's complaints into sentences.

use crate::circuit::{Circuit, ElementId, Node, ValueId};
use gear::{Designation, Find, Setup, TerminalRef};
use quantity::Quantity;
use std::collections::HashMap;
use wiring::Conductors;

mod ask;
mod build;
mod explain;
mod load;
mod supply;
#[cfg(test)]
mod tests;

pub use load::load_impedance;

/// What a value of a model's circuit stands for, so that priors and names can be given to it above.
#[derive(Debug, Clone, PartialEq)]
pub enum Meaning {
    /// A number that follows from the sheet and has no doubt worth naming (0, 1, an angle).
    Fixed(f64),
    /// Volts of feed `feed` of the setup, per phase for three phases; `phase` 0..3.
    SourceVolts {
        /// Index of the feed.
        feed: usize,
        /// Phase.
        phase: u8,
    },
    /// Ohms of a feed's source.
    SourceOhms {
        /// Index of the feed.
        feed: usize,
    },
    /// Reactance of a feed's source.
    SourceReactance {
        /// Index of the feed.
        feed: usize,
    },
    /// Turns of a winding, as a ratio to the part's first winding (which is `Fixed(1)`); negative when its dot stands at the
    /// other end than the first winding's ([`Model::sign`]).
    Turns {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
    },
    /// Ohms of a winding at the setup's temperature.
    WindingOhms {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
    },
    /// Leakage reactance of a winding at the circuit's frequency.
    WindingReactance {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
    },
    /// Position of a fixed tap.
    Tap {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
        /// Index of the point.
        point: usize,
    },
    /// Position of a slider in this setup.
    SliderAt {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
        /// Index of the slider.
        slider: usize,
    },
    /// Brush ohms.
    Brush {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
        /// Index of the slider.
        slider: usize,
    },
    /// Core loss, siemens from the first winding at its rated volts.
    CoreConductance(Designation),
    /// Magnetising, siemens likewise.
    CoreSusceptance(Designation),
    /// Rated volts of the first winding at the circuit's frequency (scaled by volts per hertz).
    CoreVolts(Designation),
    /// Exponent of the magnetising current.
    CurrentExponent(Designation),
    /// Exponent of the watts.
    WattsExponent(Designation),
    /// Knee as a multiple of rated volts per hertz.
    Knee(Designation),
    /// Ohms of a simple part (resistor, load).
    PartOhms(Designation),
    /// Reactance of a simple part.
    PartReactance(Designation),
    /// Farads of a capacitor.
    PartFarads(Designation),
    /// Ohms of load `load` of the setup.
    LoadOhms {
        /// Index of the load.
        load: usize,
    },
    /// Reactance of load `load` of the setup.
    LoadReactance {
        /// Index of the load.
        load: usize,
    },
}

/// What an element of the circuit belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Belongs {
    /// A winding of a part.
    Winding {
        /// Part.
        part: Designation,
        /// Index of the winding.
        winding: usize,
    },
    /// A simple part: fuse, switch, resistor, capacitor, load of the find.
    Part(Designation),
    /// A feed of the setup.
    Feed {
        /// Index of the feed.
        feed: usize,
        /// Phase, 0 to 2; 0 for a one-phase feed.
        phase: u8,
    },
    /// A load of the setup.
    Load {
        /// Index of the load.
        load: usize,
        /// Which of its like impedances, 0 to 2.
        leg: usize,
    },
    /// The earthing of a feed's star point.
    Earthing {
        /// Index of the feed.
        feed: usize,
    },
}

/// How a circuit is supplied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Supply {
    /// By alternating current.
    Alternating,
    /// By direct current.
    Direct,
    /// Not at all: feeds taken off, for ohms and continuity.
    Dead,
}

/// A find in one setup as a circuit.
#[derive(Debug, Clone)]
pub struct Model {
    /// The circuit. Its first nodes are the conductors, in their order.
    pub circuit: Circuit,
    /// What each value stands for, in the order of the values. No meaning stands twice.
    pub meanings: Vec<Meaning>,
    /// The conductors.
    pub conductors: Conductors,
    /// What each element belongs to, in the order of the elements.
    pub belongs: Vec<Belongs>,
    /// How it is supplied.
    pub supply: Supply,
    /// The setup's number.
    pub setup: u32,
    /// What had to be taken for granted: a missing dot, a fuse left out because it is bridged.
    pub assumed: Vec<String>,
    nodes: HashMap<TerminalRef, Node>,
    /// The find's terminals on which each feed or load element hangs; empty for parts.
    hangs_on: Vec<Vec<TerminalRef>>,
    /// Terminals of each part and the elements they are on.
    on_part: HashMap<TerminalRef, ElementId>,
    /// Fuses and switches that stand open.
    open: Vec<Designation>,
    /// Way of each winding's turns.
    signs: HashMap<(Designation, usize), f64>,
}

/// Why there is no circuit, or no answer, in the words of the find.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ModelError {
    /// What is wrong.
    pub what: String,
    /// What to do, or which next fact would unlock it.
    pub remedy: String,
}

impl std::fmt::Display for ModelError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for ModelError {}

impl ModelError {
    pub(crate) fn new(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            remedy: remedy.into(),
        }
    }
}

impl Model {
    /// The circuit of a find in a setup at the setup's frequency; `frequency`, hertz, is used where the setup does not say
    /// (the plate's; 0 or not a number where that is unknown too). A setup fed by a source the kit calls direct gives a
    /// circuit at 0 Hz with its sources. A slider whose position the setup does not say is no error: the floor above knows
    /// from [`Model::slider_setting`] and gives it a wide prior.
    /// # Errors
    /// Every [`ModelError`] that can be found: nothing is fed; a feed or load on terminals that do not exist or are one
    /// conductor; an unknown frequency; two frequencies, or direct and alternating current, at once.
    pub fn new(find: &Find, setup: &Setup, frequency: f64) -> Result<Self, Vec<ModelError>> {
        build::build(find, setup, frequency, false)
    }

    /// The same at 0 Hz with the feeds taken off, for ohms and continuity. Loads of the setup stay.
    /// # Errors
    /// As [`Model::new`], less what concerns feeds.
    pub fn direct(find: &Find, setup: &Setup) -> Result<Self, Vec<ModelError>> {
        build::build(find, setup, 0.0, true)
    }

    /// The node of a terminal.
    pub fn node(&self, terminal: &TerminalRef) -> Option<Node> {
        self.nodes.get(terminal).copied()
    }

    /// The value that has this meaning.
    pub fn value(&self, meaning: &Meaning) -> Option<ValueId> {
        self.meanings.iter().position(|m| m == meaning).map(ValueId)
    }

    /// The elements of a part: one a winding, one of a simple part; none when it is open or bridged.
    pub fn elements_of(&self, part: &Designation) -> Vec<ElementId> {
        self.elements_where(|b| match b {
            Belongs::Winding { part: p, .. } | Belongs::Part(p) => p == part,
            _ => false,
        })
    }

    /// The element of winding number `winding` of a part.
    pub fn winding(&self, part: &Designation, winding: usize) -> Option<ElementId> {
        let wanted = Belongs::Winding {
            part: part.clone(),
            winding,
        };
        self.belongs
            .iter()
            .position(|b| *b == wanted)
            .map(ElementId)
    }

    /// The sources of a feed, phase by phase, lost ones left out.
    pub fn sources_of(&self, feed: usize) -> Vec<ElementId> {
        self.elements_where(|b| matches!(b, Belongs::Feed { feed: f, .. } if *f == feed))
    }

    /// The impedances of a load of the setup.
    pub fn legs_of(&self, load: usize) -> Vec<ElementId> {
        self.elements_where(|b| matches!(b, Belongs::Load { load: l, .. } if *l == load))
    }

    /// The core of a wound part, as an index into the circuit's cores.
    pub fn core_of(&self, part: &Designation) -> Option<usize> {
        self.circuit
            .cores
            .iter()
            .position(|(name, _)| name == part.as_str())
    }

    /// +1, or -1 where the turns of this winding count against the first winding's ([`wiring::polarity`]).
    pub fn sign(&self, part: &Designation, winding: usize) -> f64 {
        self.signs
            .get(&(part.clone(), winding))
            .copied()
            .unwrap_or(1.0)
    }

    /// What the setup says of a slider's position ([`wiring::slider_setting`]).
    pub fn slider_setting<'a>(
        find: &Find,
        setup: &'a Setup,
        part: &Designation,
        slider: &str,
    ) -> Option<&'a Quantity> {
        wiring::slider_setting(find, setup, part, slider)
    }

    fn elements_where(&self, wanted: impl Fn(&Belongs) -> bool) -> Vec<ElementId> {
        self.belongs
            .iter()
            .enumerate()
            .filter(|(_, b)| wanted(b))
            .map(|(i, _)| ElementId(i))
            .collect()
    }
}
