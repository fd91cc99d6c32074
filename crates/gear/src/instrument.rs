//! Instruments: meters with their ranges, bounds and burden.
//!
//! An instrument may name a class (`class`), whose usual figures hold wherever its own do not say otherwise: ask
//! [`Instrument::measuring`] and [`Instrument::way_of_response`], not the fields, for what it can do.

mod beyond;
mod category;
mod class;

pub use beyond::{Beyond, beyond};
pub use category::Category;
pub use class::InstrumentClass;

use crate::{Designation, Measured};
use quantity::{Accuracy, Quantity};

/// A meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// `P1`.
    pub designation: Designation,
    /// What it is: "6000-count multimeter".
    pub name: Option<String>,
    /// The class it is like, for what is not said of itself.
    pub class: Option<InstrumentClass>,
    /// How it makes an AC figure.
    pub response: Response,
    /// What it can measure; where it says nothing its class does.
    pub ranges: Vec<Range>,
    /// Measurement category as printed: "CAT III 600 V".
    pub category: Option<String>,
    /// Fuse of its current input.
    pub fuse: Option<Quantity>,
    /// Ohms it showed with the tips of its test leads held together: what its two-lead ohms carry on top.
    pub leads: Option<Quantity>,
}

impl Instrument {
    /// A meter of which nothing is known but its designation.
    pub fn new(designation: Designation) -> Self {
        Self {
            designation,
            name: None,
            class: None,
            response: Response::Unknown,
            ranges: Vec::new(),
            category: None,
            fuse: None,
            leads: None,
        }
    }

    /// Its functions that measure this, in the order written: its own, gaps filled from its class, or its class's.
    pub fn measuring(&self, measured: Measured) -> Vec<Range> {
        let usual = self.class.and_then(|class| class.range(measured));
        let own: Vec<Range> = self
            .ranges
            .iter()
            .filter(|range| range.measures == measured)
            .map(|range| match &usual {
                Some(usual) => range.filled_from(usual),
                None => range.clone(),
            })
            .collect();
        if own.is_empty() {
            usual.into_iter().collect()
        } else {
            own
        }
    }

    /// How it makes an AC figure: as recorded, else as its class does.
    pub fn way_of_response(&self) -> Response {
        match (self.response, self.class) {
            (Response::Unknown, Some(class)) => class.response(),
            (own, _) => own,
        }
    }
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

/// What the average of a rectified sine is multiplied with to give its RMS value: π / (2 √2).
pub const FORM_FACTOR_OF_A_SINE: f64 = std::f64::consts::PI / (2.0 * std::f64::consts::SQRT_2);

impl Response {
    /// What such a meter shows of a wave given by samples of one period at equal distances; nothing of none, or where it is not
    /// known how the meter works. Direct components count (a meter that blocks them has to be given the wave without).
    pub fn shows(self, wave: &[f64]) -> Option<f64> {
        let count = wave.len() as f64;
        match self {
            _ if wave.is_empty() => None,
            Self::Unknown => None,
            Self::TrueRms => Some((wave.iter().map(|v| v * v).sum::<f64>() / count).sqrt()),
            Self::Average => {
                Some(FORM_FACTOR_OF_A_SINE * wave.iter().map(|v| v.abs()).sum::<f64>() / count)
            }
        }
    }
}

/// A function of a meter with its ranges, which share accuracy and count. Ranges with bounds of their own are functions of their own.
#[derive(Debug, Clone, PartialEq)]
pub struct Range {
    /// What it measures.
    pub measures: Measured,
    /// Full scales, rising: `6 V`, `60 V`, `600 V`.
    pub full_scales: Vec<Quantity>,
    /// Counts at full scale: 6000.
    pub counts: Option<u32>,
    /// Divisions of an analogue scale, whole: 30.
    pub divisions: Option<u32>,
    /// Accuracy bound.
    pub accuracy: Option<Accuracy>,
    /// Burden: ohms across its terminals (volts), or in series (amperes).
    pub burden: Option<Quantity>,
    /// A clamp: nothing is opened, nothing in series.
    pub clamp: bool,
    /// Four leads (ohms): lead resistance does not count.
    pub four_wire: bool,
}

/// What a trained eye splits a division of an analogue scale into (common practice: a fifth; a tenth only with a mirror and a knife edge).
const PARTS_OF_A_DIVISION: f64 = 5.0;

impl Range {
    /// A function of which nothing is known but what it measures.
    pub fn new(measures: Measured) -> Self {
        Self {
            measures,
            full_scales: Vec::new(),
            counts: None,
            divisions: None,
            accuracy: None,
            burden: None,
            clamp: false,
            four_wire: false,
        }
    }

    /// Least step that can be read at a full scale: one count of a display, in the decade it has (6000 counts on 60 V show
    /// 0.01 V), or a fifth of a division; nothing where neither is written.
    pub fn step(&self, full_scale: f64) -> Option<f64> {
        let some = |number: Option<u32>| number.filter(|n| *n > 0).map(f64::from);
        if let Some(counts) = some(self.counts) {
            return Some(10f64.powf((full_scale / counts).log10().round()));
        }
        some(self.divisions).map(|divisions| full_scale / divisions / PARTS_OF_A_DIVISION)
    }

    /// Its full scales as values, in the order written.
    pub fn scales(&self) -> Vec<f64> {
        let values = self.full_scales.iter().filter_map(Quantity::value);
        values.filter(|scale| *scale > 0.0).collect()
    }

    fn filled_from(&self, usual: &Self) -> Self {
        let mut filled = self.clone();
        if filled.full_scales.is_empty() {
            filled.full_scales.clone_from(&usual.full_scales);
        }
        if filled.divisions.is_none() {
            filled.counts = filled.counts.or(usual.counts);
        }
        filled.accuracy = filled.accuracy.or(usual.accuracy);
        filled.burden = filled.burden.or_else(|| usual.burden.clone());
        filled.clamp |= usual.clamp;
        filled.four_wire |= usual.four_wire;
        filled
    }
}

#[cfg(test)]
mod tests;
