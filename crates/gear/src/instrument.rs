//! Instruments: meters with their ranges, bounds and burden.

use crate::{Designation, Measured};
use quantity::{Accuracy, Quantity};

/// A meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// `P1`.
    pub designation: Designation,
    /// What it is: "6000-count multimeter".
    pub name: Option<String>,
    /// How it makes an AC figure.
    pub response: Response,
    /// What it can measure.
    pub ranges: Vec<Range>,
    /// Measurement category as printed: "CAT III 600 V".
    pub category: Option<String>,
    /// Fuse of its current input.
    pub fuse: Option<Quantity>,
}

/// How a meter makes an AC figure out of a waveform.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Response {
    /// Not known.
    #[default]
    Unknown,
    /// True RMS.
    TrueRms,
    /// Average of the rectified wave, scaled for a sine.
    Average,
}

/// A function of a meter with its ranges, which share accuracy and count.
#[derive(Debug, Clone, PartialEq)]
pub struct Range {
    /// What it measures.
    pub measures: Measured,
    /// Full scales, rising: `6 V`, `60 V`, `600 V`.
    pub full_scales: Vec<Quantity>,
    /// Counts at full scale: 6000.
    pub counts: Option<u32>,
    /// Accuracy bound.
    pub accuracy: Option<Accuracy>,
    /// Burden: ohms across its terminals (volts), or in series (amperes).
    pub burden: Option<Quantity>,
    /// A clamp: nothing is opened, nothing in series.
    pub clamp: bool,
    /// Four leads (ohms): lead resistance does not count.
    pub four_wire: bool,
}
