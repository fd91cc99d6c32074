//! The rating plate as it was read.

use quantity::Quantity;

/// What the plate says: the lines as typed off it, and the fields somebody (or the plate reader) made of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plate {
    /// The lines as typed, illegible figures as `?`.
    pub text: Option<String>,
    /// Fields given one by one; they outrank what is read out of `text`.
    pub fields: Vec<(PlateField, Quantity)>,
    /// Number of phases, 1 or 3.
    pub phases: Option<u8>,
    /// Words on it that are no quantity: "class B", "IP 20", a standard.
    pub marks: Vec<String>,
}

/// A field of a plate. Voltages of three-phase gear are line to line unless the plate says otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PlateField {
    /// Rated apparent power.
    Power,
    /// Rated voltage where the plate gives only one.
    Voltage,
    /// Input voltage, a span for a stabilizer's range.
    InputVoltage,
    /// Output voltage.
    OutputVoltage,
    /// Regulation range, as a share of the voltage: ±20 %.
    Correction,
    /// Rated current where only one is given.
    Current,
    /// Input current.
    InputCurrent,
    /// Output current.
    OutputCurrent,
    /// Frequency.
    Frequency,
    /// Power factor the rating is for.
    PowerFactor,
    /// Short-circuit impedance, share.
    Impedance,
    /// No-load current.
    NoLoadCurrent,
    /// No-load loss.
    NoLoadLoss,
    /// Load loss.
    LoadLoss,
    /// Ambient temperature allowed.
    Ambient,
    /// Mass.
    Mass,
}

impl PlateField {
    /// Every field, in the order a plate is read.
    pub const ALL: [Self; 16] = [
        Self::Power,
        Self::Voltage,
        Self::InputVoltage,
        Self::OutputVoltage,
        Self::Correction,
        Self::Current,
        Self::InputCurrent,
        Self::OutputCurrent,
        Self::Frequency,
        Self::PowerFactor,
        Self::Impedance,
        Self::NoLoadCurrent,
        Self::NoLoadLoss,
        Self::LoadLoss,
        Self::Ambient,
        Self::Mass,
    ];

    /// The words for it, "input voltage"; also its key in a sheet.
    pub fn word(self) -> &'static str {
        match self {
            Self::Power => "power",
            Self::Voltage => "voltage",
            Self::InputVoltage => "input voltage",
            Self::OutputVoltage => "output voltage",
            Self::Correction => "correction",
            Self::Current => "current",
            Self::InputCurrent => "input current",
            Self::OutputCurrent => "output current",
            Self::Frequency => "frequency",
            Self::PowerFactor => "power factor",
            Self::Impedance => "impedance",
            Self::NoLoadCurrent => "no-load current",
            Self::NoLoadLoss => "no-load loss",
            Self::LoadLoss => "load loss",
            Self::Ambient => "ambient",
            Self::Mass => "mass",
        }
    }

    /// The unit a value of it must have. Power may also be written in watts.
    pub fn unit(self) -> quantity::Unit {
        use quantity::Unit;
        match self {
            Self::Power => Unit::VoltAmpere,
            Self::Voltage | Self::InputVoltage | Self::OutputVoltage => Unit::Volt,
            Self::Correction | Self::Impedance => Unit::Percent,
            Self::Current | Self::InputCurrent | Self::OutputCurrent | Self::NoLoadCurrent => {
                Unit::Ampere
            }
            Self::Frequency => Unit::Hertz,
            Self::PowerFactor => Unit::One,
            Self::NoLoadLoss | Self::LoadLoss => Unit::Watt,
            Self::Ambient => Unit::DegreeCelsius,
            Self::Mass => Unit::Kilogram,
        }
    }
}
