//! From a find and a setup to a circuit. (Interface; the body is being written.)

use crate::circuit::{Circuit, ValueId};
use crate::solve::Question;
use gear::{Designation, Find, Place, Setup, TerminalRef, Measured};

/// What a value of a model's circuit stands for, so that priors and names can be given to it above.
#[derive(Debug, Clone, PartialEq)]
pub enum Meaning {
    /// A number that follows from the sheet and has no doubt worth naming (0, 1, an angle).
    Fixed(f64),
    /// Volts of feed `feed` of the setup, per phase for three phases; `phase` 0..3.
    SourceVolts { /// Index of the feed.
        feed: usize, /// Phase.
        phase: u8 },
    /// Ohms of a feed's source.
    SourceOhms { /// Index of the feed.
        feed: usize },
    /// Reactance of a feed's source.
    SourceReactance { /// Index of the feed.
        feed: usize },
    /// Turns of a winding, as a ratio to the part's first winding (which is 1); negative when reversed.
    Turns { /// Part.
        part: Designation, /// Index of the winding.
        winding: usize },
    /// Ohms of a winding at the setup's temperature.
    WindingOhms { /// Part.
        part: Designation, /// Index of the winding.
        winding: usize },
    /// Leakage reactance of a winding at the circuit's frequency.
    WindingReactance { /// Part.
        part: Designation, /// Index of the winding.
        winding: usize },
    /// Position of a fixed tap.
    Tap { /// Part.
        part: Designation, /// Index of the winding.
        winding: usize, /// Index of the point.
        point: usize },
    /// Position of a slider in this setup.
    SliderAt { /// Part.
        part: Designation, /// Index of the winding.
        winding: usize, /// Index of the slider.
        slider: usize },
    /// Brush ohms.
    Brush { /// Part.
        part: Designation, /// Index of the winding.
        winding: usize, /// Index of the slider.
        slider: usize },
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
    LoadOhms { /// Index of the load.
        load: usize },
    /// Reactance of load `load` of the setup.
    LoadReactance { /// Index of the load.
        load: usize },
}

/// A find in one setup as a circuit.
#[derive(Debug, Clone)]
pub struct Model {
    /// The circuit.
    pub circuit: Circuit,
    /// What each value stands for, in the order of the values.
    pub meanings: Vec<Meaning>,
}

/// Why there is no circuit, in the words of the find.
#[derive(Debug, Clone, PartialEq)]
pub struct ModelError {
    /// What is wrong.
    pub what: String,
    /// What to do, or which next fact would unlock it.
    pub remedy: String,
}

impl Model {
    /// The circuit of a find in a setup at the setup's frequency; `frequency` is used where the setup does not say (the plate's).
    /// # Errors
    /// [`ModelError`], all that can be found.
    pub fn new(_find: &Find, _setup: &Setup, _frequency: f64) -> Result<Self, Vec<ModelError>> {
        Err(vec![])
    }

    /// The same at 0 Hz, for ohms and continuity.
    /// # Errors
    /// As [`Model::new`].
    pub fn direct(_find: &Find, _setup: &Setup) -> Result<Self, Vec<ModelError>> {
        Err(vec![])
    }

    /// The question a place and a kind of measurement ask of this circuit; `burden` as in [`Question`].
    /// # Errors
    /// Why it cannot be asked.
    pub fn question(&self, _place: &Place, _measured: Measured, _burden: f64) -> Result<Question, ModelError> {
        Err(ModelError { what: String::new(), remedy: String::new() })
    }

    /// The node of a terminal.
    pub fn node(&self, _terminal: &TerminalRef) -> Option<crate::circuit::Node> {
        None
    }

    /// The value that has this meaning.
    pub fn value(&self, meaning: &Meaning) -> Option<ValueId> {
        self.meanings.iter().position(|m| m == meaning).map(ValueId)
    }
}
