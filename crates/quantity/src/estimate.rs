//! A reckoned value with its doubt, and how it is rounded.

use crate::Unit;
use crate::show::{self, Decimal};

/// A reckoned value with its standard uncertainty; shown as value ± 1.96 u, rounded to what the uncertainty supports.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The value, in the unit.
    pub value: f64,
    /// Its standard uncertainty, same unit.
    pub standard_uncertainty: f64,
    /// The unit.
    pub unit: Unit,
}

/// The figures of an estimate, rounded alike: the ± to one digit, to two if its first is 1, the value to the same place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rounded {
    /// `45.5`, minus as U+2212.
    pub value: String,
    /// `0.2`; empty when the uncertainty is no number, `0` when it is none.
    pub plus_minus: String,
    /// The SI prefix both are in: `µ`, or nothing.
    pub prefix: &'static str,
}

impl Rounded {
    /// The same figures with this decimal sign.
    #[must_use]
    pub fn in_decimals(self, decimal: Decimal) -> Self {
        Self {
            value: decimal.set(&self.value),
            plus_minus: decimal.set(&self.plus_minus),
            prefix: self.prefix,
        }
    }
}

impl Estimate {
    /// The half width of the 95 % interval.
    pub fn half_width(self) -> f64 {
        1.96 * self.standard_uncertainty
    }

    /// Value and ± as figures, with the prefix that suits the greater of the two.
    pub fn rounded(self) -> Rounded {
        let half_width = self.half_width();
        let magnitude = if half_width.is_finite() {
            self.value.abs().max(half_width.abs())
        } else {
            self.value
        };
        let (prefix, power) = show::suits(self.unit, magnitude);
        self.figures(prefix, power)
    }

    /// Value and ± as figures in a given prefix, to stand beside a reading in that prefix. A prefix the unit does not take is
    /// left out, and the result says so by its own.
    pub fn rounded_as(self, prefix: &str) -> Rounded {
        match (show::known(prefix), show::power(self.unit, prefix)) {
            (Some(prefix), Some(power)) => self.figures(prefix, power),
            _ => self.figures("", show::power(self.unit, "").unwrap_or(0)),
        }
    }

    /// The whole text with this decimal sign, as [`std::fmt::Display`] has it with a point.
    pub fn text(self, decimal: Decimal) -> String {
        let Rounded {
            value,
            plus_minus,
            prefix,
        } = self.rounded().in_decimals(decimal);
        let figures = if plus_minus.is_empty() {
            value
        } else {
            format!("{value} ± {plus_minus}")
        };
        show::with_unit(&figures, prefix, self.unit)
    }

    fn figures(self, prefix: &'static str, power: i32) -> Rounded {
        let value = show::scaled(self.value, power);
        let half_width = show::scaled(self.half_width(), power).abs();
        if !half_width.is_finite() {
            return Rounded {
                value: show::significant(value, 3),
                plus_minus: String::new(),
                prefix,
            };
        }
        if half_width == 0.0 {
            return Rounded {
                value: show::significant(value, 6),
                plus_minus: "0".to_owned(),
                prefix,
            };
        }
        let decimals = decimals(half_width);
        Rounded {
            value: show::fixed(value, decimals),
            plus_minus: show::fixed(half_width, decimals),
            prefix,
        }
    }
}

/// Decimals the half width is shown with: one digit, or two if its first is 1 after rounding.
fn decimals(half_width: f64) -> i32 {
    let first = half_width.log10().floor() as i32;
    let two_digits = (half_width / 10f64.powi(first - 1)).round() as i64; // 10 to 100
    // 10 to 19 keeps two digits; 95 to 100 becomes the `10` of the next place, two digits again at this one
    match two_digits {
        ..=19 => 1 - first,
        _ => -first,
    }
}

impl std::fmt::Display for Estimate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text(Decimal::Point))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(value: f64, half_width: f64, unit: Unit) -> String {
        Estimate {
            value,
            standard_uncertainty: half_width / 1.96,
            unit,
        }
        .to_string()
    }

    #[test]
    fn one_digit_or_two_when_the_first_is_one() {
        assert_eq!(shown(45.52, 0.21, Unit::Volt), "45.5 ± 0.2\u{a0}V");
        assert_eq!(shown(2.104, 0.068, Unit::One), "2.10 ± 0.07");
        assert_eq!(shown(10.03, 0.98, Unit::Volt), "10.0 ± 1.0\u{a0}V");
        assert_eq!(shown(10.03, 0.149, Unit::Volt), "10.03 ± 0.15\u{a0}V");
        assert_eq!(shown(10.03, 0.196, Unit::Volt), "10.0 ± 0.2\u{a0}V");
        assert_eq!(shown(-3.2, 0.5, Unit::Volt), "\u{2212}3.2 ± 0.5\u{a0}V");
        assert_eq!(shown(0.004, 0.5, Unit::Volt), "0.0 ± 0.5\u{a0}V");
    }

    #[test]
    fn prefixes_are_chosen_together() {
        assert_eq!(shown(0.000_115, 0.000_004, Unit::Ampere), "115 ± 4\u{a0}µA");
        assert_eq!(
            shown(30_120.0, 240.0, Unit::VoltAmpere),
            "30.1 ± 0.2\u{a0}kVA"
        );
        assert_eq!(shown(0.203, 0.004, Unit::Percent), "20.3 ± 0.4\u{a0}%");
        assert_eq!(shown(1234.0, 56.0, Unit::Ohm), "1.23 ± 0.06\u{a0}kΩ");
        assert_eq!(shown(123.0, 56.0, Unit::One), "120 ± 60");
    }

    #[test]
    fn stands_beside_a_reading() {
        let estimate = Estimate {
            value: 0.0236,
            standard_uncertainty: 0.0001,
            unit: Unit::Ampere,
        };
        assert_eq!(
            estimate.rounded(),
            Rounded {
                value: "23.6".into(),
                plus_minus: "0.2".into(),
                prefix: "m"
            }
        );
        assert_eq!(
            estimate.rounded_as(""),
            Rounded {
                value: "0.0236".into(),
                plus_minus: "0.0002".into(),
                prefix: ""
            }
        );
        assert_eq!(estimate.rounded_as("µ").value, "23600");
        assert_eq!(estimate.rounded_as("zz").prefix, "");
        assert_eq!(estimate.text(Decimal::Comma), "23,6 ± 0,2\u{a0}mA");
    }

    #[test]
    fn no_doubt_and_no_number_are_not_hidden() {
        assert_eq!(shown(5.0, 0.0, Unit::Volt), "5.00000 ± 0\u{a0}V");
        assert_eq!(shown(5.0, f64::INFINITY, Unit::Volt), "5.00\u{a0}V");
        assert_eq!(shown(f64::NAN, 1.0, Unit::Volt), "not known ± 1.0\u{a0}V");
    }
}
