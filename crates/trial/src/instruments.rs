//! The instruments of a synthetic find: ranges, gain bounds, digits.
//!
//! Figures are our choice, like a fair handheld meter's. A gain error is drawn once for an instrument's range and shared by all
//! readings on it; the display adds scatter and digits.

use crate::chance::Chance;
use evidence::DisplayRange;
use quantity::Unit;

/// Scatter of any reading, as a share of it.
pub const SCATTER: f64 = 0.002;

/// An instrument.
#[derive(Debug)]
pub struct Instrument {
    /// Bound of the gain error.
    pub gain: f64,
    /// Digits of the last place.
    pub digits: f64,
    /// Counts of a range.
    pub counts: f64,
    /// Full scales, rising.
    pub full_scales: &'static [f64],
    /// Unit.
    pub unit: Unit,
    /// Two-wire ohms: leads may not be zeroed.
    pub two_wire: bool,
}

/// The instruments, by index.
pub const INSTRUMENTS: [Instrument; 6] = [
    Instrument {
        gain: 0.008,
        digits: 3.0,
        counts: 6000.0,
        full_scales: &[6.0, 60.0, 600.0, 1000.0],
        unit: Unit::Volt,
        two_wire: false,
    },
    Instrument {
        gain: 0.015,
        digits: 3.0,
        counts: 6000.0,
        full_scales: &[0.06, 0.6, 6.0, 20.0],
        unit: Unit::Ampere,
        two_wire: false,
    },
    Instrument {
        gain: 0.020,
        digits: 5.0,
        counts: 6000.0,
        full_scales: &[60.0, 600.0],
        unit: Unit::Ampere,
        two_wire: false,
    },
    Instrument {
        gain: 0.010,
        digits: 3.0,
        counts: 20000.0,
        full_scales: &[20.0, 200.0, 2000.0, 20000.0],
        unit: Unit::Watt,
        two_wire: false,
    },
    Instrument {
        gain: 0.010,
        digits: 3.0,
        counts: 6000.0,
        full_scales: &[600.0, 6000.0],
        unit: Unit::Ohm,
        two_wire: true,
    },
    Instrument {
        gain: 0.015,
        digits: 1.0,
        counts: 2000.0,
        full_scales: &[2.0, 20.0],
        unit: Unit::Ohm,
        two_wire: false,
    },
];

/// AC volts.
pub const V: usize = 0;
/// In-line amperes.
pub const A: usize = 1;
/// Clamp.
pub const CL: usize = 2;
/// Watts.
pub const W: usize = 3;
/// Two-wire ohms.
pub const R2: usize = 4;
/// Four-wire ohms.
pub const R4: usize = 5;

impl Instrument {
    /// Index of the range for a value: the smallest full scale not below it; above the last, the last.
    pub fn range(&self, value: f64) -> usize {
        self.full_scales
            .iter()
            .position(|&full| value <= full)
            .unwrap_or(self.full_scales.len() - 1)
    }

    /// One step of the display for a value.
    pub fn step(&self, value: f64) -> f64 {
        self.full_scales[self.range(value)] / self.counts
    }

    /// Standard uncertainty of digits and scatter at a value.
    pub fn sigma(&self, value: f64) -> f64 {
        (self.digits * self.step(value) / 3f64.sqrt()).hypot(SCATTER * value)
    }

    /// The ranges as the judgement knows them.
    pub fn ranges(&self) -> Vec<DisplayRange> {
        let range = |&full_scale: &f64| {
            let step = full_scale / self.counts;
            DisplayRange {
                full_scale,
                step,
                digits: self.digits * step / 3f64.sqrt(),
            }
        };
        self.full_scales.iter().map(range).collect()
    }

    /// The same with the gain.
    pub fn whole_sigma(&self, value: f64) -> f64 {
        self.sigma(value).hypot(self.gain * value / 3f64.sqrt())
    }
}

/// Gains of every range of every instrument of one find.
#[derive(Debug)]
pub struct Gains(Vec<Vec<f64>>);

impl Gains {
    /// Draws them.
    pub fn draw(chance: &mut Chance) -> Self {
        Self(
            INSTRUMENTS
                .iter()
                .map(|it| {
                    it.full_scales
                        .iter()
                        .map(|_| chance.uniform(-it.gain, it.gain))
                        .collect()
                })
                .collect(),
        )
    }

    /// Draws them for instruments that are worse than they say, each by its own factor on its bound.
    pub fn worse(chance: &mut Chance, factors: &[f64; INSTRUMENTS.len()]) -> Self {
        let mut gains = Self::draw(chance);
        for (gains, factor) in gains.0.iter_mut().zip(factors) {
            gains.iter_mut().for_each(|gain| *gain *= factor);
        }
        gains
    }

    /// Gain error of the range a value is shown on.
    pub fn of(&self, instrument: usize, value: f64) -> f64 {
        self.0[instrument][INSTRUMENTS[instrument].range(value)]
    }

    /// What an instrument shows of a true value.
    pub fn shown(&self, chance: &mut Chance, instrument: usize, value: f64) -> f64 {
        let it = &INSTRUMENTS[instrument];
        let step = it.step(value);
        let read = value * (1.0 + self.0[instrument][it.range(value)] + SCATTER * chance.normal())
            + it.digits * step * chance.uniform(-1.0, 1.0);
        ((read / step).round() * step).max(0.0)
    }
}
