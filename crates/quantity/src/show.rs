//! Makes figures for people: so many digits, a prefix that suits, U+2212 for minus, a no-break space before the unit.

use crate::Unit;

/// The sign a book writes before decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Decimal {
    /// `23.8`
    #[default]
    Point,
    /// `23,8`
    Comma,
}

impl Decimal {
    /// Figures made with a point, in this sign.
    pub fn set(self, figures: &str) -> String {
        match self {
            Self::Point => figures.to_owned(),
            Self::Comma => figures.replace('.', ","),
        }
    }
}

/// Prefixes with their powers of ten, smallest first.
const PREFIXES: [(&str, i32); 8] = [
    ("p", -12),
    ("n", -9),
    ("µ", -6),
    ("m", -3),
    ("", 0),
    ("k", 3),
    ("M", 6),
    ("G", 9),
];
/// Below this share of the unit a prefix is used: 0.56 A stays in amperes, 0.056 A is 56 mA (our choice, as one says it).
const LEAST_WITHOUT_PREFIX: f64 = 0.1;

/// The prefix that suits a magnitude in this unit, and the power of ten it stands for. For areas it is squared (`mm²`, `cm²`);
/// per cent counts its own hundred; units of time, angle, temperature, mass and plain numbers take none.
pub(crate) fn suits(unit: Unit, magnitude: f64) -> (&'static str, i32) {
    let magnitude = magnitude.abs();
    if !magnitude.is_finite() || magnitude == 0.0 {
        return ("", power(unit, "").unwrap_or(0));
    }
    match unit {
        Unit::Percent => ("", -2),
        Unit::One
        | Unit::Minute
        | Unit::Hour
        | Unit::DegreeCelsius
        | Unit::Degree
        | Unit::Kilogram => ("", 0),
        Unit::SquareMetre if magnitude < 1e-4 => ("m", -6),
        Unit::SquareMetre if magnitude < 1.0 => ("c", -4),
        Unit::SquareMetre => ("", 0),
        _ if (LEAST_WITHOUT_PREFIX..1000.0).contains(&magnitude) => ("", 0),
        Unit::Second | Unit::Kelvin | Unit::Tesla if magnitude >= 1000.0 => ("", 0),
        _ => PREFIXES
            .into_iter()
            .rev()
            .find(|(_, power)| magnitude >= 10f64.powi(*power) * 0.999_999_9)
            .unwrap_or(PREFIXES[0]),
    }
}

/// The prefix that suits a value in this unit, and what to divide values by to write them with it: (`k`, 1000) for 30 kVA.
/// One prefix for several values that stand together; [`show`] chooses for one alone.
pub fn prefix_for(value: f64, unit: Unit) -> (&'static str, f64) {
    let (prefix, power) = suits(unit, value);
    (prefix, 10f64.powi(power))
}

/// The power of ten a written prefix stands for before this unit.
pub(crate) fn power(unit: Unit, prefix: &str) -> Option<i32> {
    match (unit, prefix) {
        (Unit::Percent, "") => Some(-2),
        (Unit::SquareMetre, "c") => Some(-4),
        (Unit::SquareMetre, "m") => Some(-6),
        (Unit::SquareMetre, "") => Some(0),
        (Unit::SquareMetre | Unit::Percent, _) => None,
        _ => PREFIXES
            .iter()
            .find(|(known, _)| *known == prefix)
            .map(|(_, power)| *power),
    }
}

/// The prefix as it is kept in results.
pub(crate) fn known(prefix: &str) -> Option<&'static str> {
    ["c"]
        .into_iter()
        .chain(PREFIXES.map(|(known, _)| known))
        .find(|known| *known == prefix)
}

/// A figure divided by a power of ten, without the error that multiplying by 1e−3 brings.
pub(crate) fn scaled(value: f64, power: i32) -> f64 {
    if power < 0 {
        value * 10f64.powi(-power)
    } else {
        value / 10f64.powi(power)
    }
}

/// A value with this many decimals; negative decimals round to tens, hundreds. U+2212 for minus, never a negative zero.
pub(crate) fn fixed(value: f64, decimals: i32) -> String {
    if !value.is_finite() {
        return "not known".to_owned();
    }
    let decimals = decimals.clamp(-30, 30);
    let text = if decimals >= 0 {
        format!("{value:.*}", decimals.unsigned_abs() as usize)
    } else {
        let step = 10f64.powi(-decimals);
        format!("{:.0}", (value / step).round() * step)
    };
    match text.strip_prefix('-') {
        Some(figures) if figures.chars().all(|c| c == '0' || c == '.') => figures.to_owned(),
        Some(figures) => format!("\u{2212}{figures}"),
        None => text,
    }
}

/// A value with this many significant digits (1 to 15), written out in full: `43.3`, `0.000115`, `12000`. Not a number is "not known".
pub fn significant(value: f64, digits: u32) -> String {
    fixed(value, decimals_for(value, digits))
}

/// Decimals that leave this many significant digits, counted after rounding: 9.996 to three is 10.0.
pub(crate) fn decimals_for(value: f64, digits: u32) -> i32 {
    let digits = digits.clamp(1, 15) as i32;
    let magnitude = value.abs();
    if magnitude == 0.0 || !magnitude.is_finite() {
        return digits - 1;
    }
    let decimals = digits - 1 - magnitude.log10().floor() as i32;
    if !(1..=30).contains(&decimals) {
        return decimals.min(30); // beyond 1e−30 nothing is left to show
    }
    let rounded: f64 = format!("{magnitude:.*}", decimals as usize)
        .parse()
        .unwrap_or(magnitude);
    digits - 1 - rounded.log10().floor() as i32
}

/// A limit as it is shown: rounded down, never up, to two significant digits: 43.9 is `43`, 0.567 is `0.56`.
pub fn round_down_two_digits(value: f64) -> String {
    if !value.is_finite() || value == 0.0 {
        return fixed(value, 0);
    }
    let decimals = 1 - value.abs().log10().floor() as i32;
    let step = 10f64.powi(-decimals);
    // a figure that is already two digits must not fall by a rounding error of the division
    fixed((value / step * (1.0 + 1e-12)).floor() * step, decimals)
}

/// A value with its unit, so many significant digits and the prefix that suits: `43.3 A`, `115 µA`, `20 %`, `6.0 mm²`.
/// No-break space before the unit, none before °.
pub fn show(value: f64, unit: Unit, digits: u32) -> String {
    let (prefix, power) = suits(unit, value);
    let mut figures = significant(scaled(value, power), digits);
    let mut prefix = prefix;
    if figures == "1000" || figures == "1000.0" {
        // rounding reached the next prefix
        let (next, power) = suits(unit, value * 1.01);
        figures = significant(scaled(value, power), digits);
        prefix = next;
    }
    with_unit(&figures, prefix, unit)
}

/// Figures with prefix and unit behind them.
pub(crate) fn with_unit(figures: &str, prefix: &str, unit: Unit) -> String {
    match unit {
        Unit::One => figures.to_owned(),
        Unit::Degree => format!("{figures}{prefix}°"),
        _ => format!("{figures}\u{a0}{prefix}{}", unit.symbol()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_significant_ones() {
        assert_eq!(significant(43.301, 3), "43.3");
        assert_eq!(significant(9.996, 3), "10.0");
        assert_eq!(significant(99.96, 3), "100");
        assert_eq!(significant(12_345.0, 2), "12000");
        assert_eq!(significant(0.000_115, 3), "0.000115");
        assert_eq!(significant(-7.104, 3), "\u{2212}7.10");
        assert_eq!(significant(-0.0, 2), "0.0");
        assert_eq!(significant(f64::NAN, 2), "not known");
    }

    #[test]
    fn prefixes_suit() {
        for (value, unit, digits, shown) in [
            (0.000_115, Unit::Ampere, 3, "115 µA"),
            (0.041, Unit::Ampere, 2, "41 mA"),
            (0.56, Unit::Ampere, 2, "0.56 A"),
            (43.301, Unit::Ampere, 3, "43.3 A"),
            (30e3, Unit::VoltAmpere, 2, "30 kVA"),
            (999.96, Unit::VoltAmpere, 3, "1.00 kVA"),
            (2e9, Unit::Ohm, 1, "2 GΩ"),
            (0.2, Unit::Percent, 2, "20 %"),
            (6e-6, Unit::SquareMetre, 2, "6.0 mm²"),
            (20e-4, Unit::SquareMetre, 2, "20 cm²"),
            (45.0, Unit::Degree, 2, "45°"),
            (2.5, Unit::One, 3, "2.50"),
            (0.0, Unit::Volt, 1, "0 V"),
            (-12.0, Unit::Volt, 2, "\u{2212}12 V"),
        ] {
            assert_eq!(show(value, unit, digits).replace('\u{a0}', " "), shown);
        }
    }

    #[test]
    fn limits_round_down() {
        assert_eq!(round_down_two_digits(43.99), "43");
        assert_eq!(round_down_two_digits(43.0), "43");
        assert_eq!(round_down_two_digits(0.567), "0.56");
        assert_eq!(round_down_two_digits(0.56), "0.56");
        assert_eq!(round_down_two_digits(1299.0), "1200");
    }
}
