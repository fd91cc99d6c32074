//! One value as it was written, with what the writing allows.

use crate::Unit;

/// What a written value says of the true one; every figure in the SI unit without prefix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reach {
    /// A value with the worth of one step of its last digit shown: `7.10 V` has step 0.01 V.
    Value {
        /// The value.
        value: f64,
        /// One unit of the last digit shown.
        step: f64,
    },
    /// `> 2 GΩ`, `>= 2 GΩ`, or over-range (`OL`) on a meter of known range: at least this.
    AtLeast(f64),
    /// `< 0.5 Ω`: at most this.
    AtMost(f64),
    /// `OL` with nothing said of the range.
    OverRange,
    /// `23.7 to 23.9 V`: the display wandered between these.
    Span {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// One unit of the last digit shown.
        step: f64,
    },
    /// `3? A`: an illegible digit; anything from low to high (both included, by the digits written).
    Illegible {
        /// Least value the writing allows.
        low: f64,
        /// Greatest value the writing allows.
        high: f64,
    },
}

/// A tolerance written behind a value, `±15 %` or `±0.2 V` or `+10 % −15 %`; fractions of the value or absolute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// Fractions of the value, both positive.
    Relative {
        /// Upward.
        plus: f64,
        /// Downward.
        minus: f64,
    },
    /// In the value's own unit, both positive.
    Absolute {
        /// Upward.
        plus: f64,
        /// Downward.
        minus: f64,
    },
}

/// A quantity as written. Two quantities are equal when their text is.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    pub(crate) text: String,
    pub(crate) unit: Unit,
    pub(crate) reach: Reach,
    pub(crate) tolerance: Option<Tolerance>,
}

impl Quantity {
    /// Reads a quantity, alone on its line:
    ///
    /// - decimal point or decimal comma (`1,234` is 1.234); thousands apart by a space, plain, no-break or thin (`10 000 V`);
    ///   a second decimal sign is refused;
    /// - SI prefixes p n µ m k M G, `u` for µ; units as plates spell them (`KVA`, `hz`), case only where it decides (`m`, `M`);
    /// - IEC 60062 code: `4R7`, `1k2`, `R47`, `4K7J`; `4n7 F`;
    /// - bounds `> 2 GΩ`, `≤ 0.5 Ω`; over-range `OL`; spans `23.7 to 23.9 V`, `320-480 V`;
    /// - illegible digits `3? A`; tolerances `400 V ±20 %`, `+10 % −15 %`, `±0.2 V`;
    /// - a bare `±20 %` is its size, 0.20; a bare `+10 % −15 %` is the span −0.15 to +0.10.
    /// # Errors
    /// [`QuantityError`] says what is wrong, at which byte of the text, and what to write instead.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        crate::parse::quantity(text, None)
    }

    /// Reads a quantity and refuses it unless it has this unit. Here `OL` may stand without a unit, and an IEC 60062 code such
    /// as `4n7` is a capacitance or an inductance if that is wanted.
    /// # Errors
    /// As [`Quantity::parse`], or the two units named.
    pub fn parse_as(text: &str, unit: Unit) -> Result<Self, QuantityError> {
        let found = crate::parse::quantity(text, Some(unit))?;
        if found.unit == unit {
            return Ok(found);
        }
        Err(QuantityError {
            what: format!(
                "`{text}` is {}, where {} is wanted",
                found.unit.measures(),
                unit.measures()
            ),
            at: 0,
            remedy: format!(
                "write it in {}",
                if unit == Unit::One {
                    "plain figures"
                } else {
                    unit.symbol()
                }
            ),
        })
    }

    /// The text as it was written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The unit, prefix taken off.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// What the writing allows.
    pub fn reach(&self) -> Reach {
        self.reach
    }

    /// The tolerance written behind it, if any.
    pub fn tolerance(&self) -> Option<Tolerance> {
        self.tolerance
    }

    /// The value, or the middle of a span or of an illegible figure; nothing for a bound.
    pub fn value(&self) -> Option<f64> {
        match self.reach {
            Reach::Value { value, .. } => Some(value),
            Reach::Span { low, high, .. } | Reach::Illegible { low, high } => {
                Some((low + high) / 2.0)
            }
            Reach::AtLeast(_) | Reach::AtMost(_) | Reach::OverRange => None,
        }
    }

    /// One unit of the last digit shown, where digits were shown.
    pub fn step(&self) -> Option<f64> {
        match self.reach {
            Reach::Value { step, .. } | Reach::Span { step, .. } => Some(step),
            _ => None,
        }
    }
}

impl std::fmt::Display for Quantity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

impl std::str::FromStr for Quantity {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

/// An instrument's accuracy bound as printed in its manual, `±(0.8 % + 3)`, or on its dial, `class 1.5`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Accuracy {
    /// Fraction of the reading: 0.008.
    pub fraction: f64,
    /// Units of the last digit: 3.
    pub digits: f64,
    /// Fraction of the full scale, the same all along it: 0.015 for class 1.5 (IEC 60051-1: the class index is the limit of the
    /// error in per cent of the fiducial value, as a rule the upper end of the range).
    pub full_scale: f64,
}

impl Accuracy {
    /// Reads `±(0.8 % + 3)`, `0.8 % + 3`, `±0,8% + 3 digits`, `±1 %`, `class 1.5`, `±(0.5 % + 0.1 % of full scale)`.
    /// # Errors
    /// [`QuantityError`] with the remedy.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        crate::accuracy::accuracy(text)
    }

    /// Limit of the error of a reading, in its unit: shares of the reading and of `full_scale`, and digits of `step` each, added up.
    pub fn limit(&self, reading: f64, step: f64, full_scale: f64) -> f64 {
        self.fraction * reading.abs() + self.digits * step + self.full_scale * full_scale
    }

    /// Standard uncertainty of a reading: its limit taken as the half-width of a rectangle, divided by √3 (JCGM 100:2008, 4.3.7).
    pub fn standard_uncertainty(&self, reading: f64, step: f64, full_scale: f64) -> f64 {
        self.limit(reading, step, full_scale) / 3f64.sqrt()
    }
}

/// Why a text is no quantity: what is wrong, at which byte, what to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// What is wrong, lower case, no full stop.
    pub what: String,
    /// Byte offset in the text.
    pub at: usize,
    /// What to do.
    pub remedy: String,
}

impl std::fmt::Display for QuantityError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for QuantityError {}
