//! Reads written quantities. (First cut: a plain number with a prefixed unit.)

use crate::{Accuracy, Quantity, QuantityError, Reach, Unit};

const UNITS: &[(&str, Unit)] = &[
    ("VA", Unit::VoltAmpere), ("var", Unit::Var), ("Hz", Unit::Hertz), ("V", Unit::Volt), ("A", Unit::Ampere),
    ("Ω", Unit::Ohm), ("ohm", Unit::Ohm), ("W", Unit::Watt), ("°C", Unit::DegreeCelsius), ("%", Unit::Percent),
    ("min", Unit::Minute), ("kg", Unit::Kilogram), ("H", Unit::Henry), ("F", Unit::Farad), ("s", Unit::Second), ("", Unit::One),
];

pub(crate) fn quantity(text: &str) -> Result<Quantity, QuantityError> {
    let bad = |what: &str| QuantityError { what: format!("`{text}` {what}"), at: 0, remedy: "write a number and a unit, like `23.8 V`".into() };
    let trimmed = text.trim();
    let end = trimmed.find(|c: char| !(c.is_ascii_digit() || ".,-−+".contains(c))).unwrap_or(trimmed.len());
    let digits = trimmed[..end].replace(',', ".").replace('−', "-");
    let number: f64 = digits.parse().map_err(|_| bad("does not start with a number"))?;
    let decimals = digits.split_once('.').map_or(0, |(_, f)| f.len() as i32);
    let rest = trimmed[end..].trim();
    for (symbol, unit) in UNITS {
        for (prefix, factor) in [("", 1.0), ("k", 1e3), ("M", 1e6), ("G", 1e9), ("m", 1e-3), ("µ", 1e-6), ("u", 1e-6), ("n", 1e-9)] {
            if rest == format!("{prefix}{symbol}") && (prefix.is_empty() || !symbol.is_empty()) {
                let factor = if *unit == Unit::Percent { 0.01 } else { factor };
                let reach = Reach::Value { value: number * factor, step: 10f64.powi(-decimals) * factor };
                return Ok(Quantity { text: text.to_owned(), unit: *unit, reach, tolerance: None });
            }
        }
    }
    Err(bad("has an unknown unit"))
}

pub(crate) fn accuracy(text: &str) -> Result<Accuracy, QuantityError> {
    let bad = || QuantityError { what: format!("`{text}` is no accuracy bound"), at: 0, remedy: "write it like `±(0.8 % + 3)`".into() };
    let plain: String = text.chars().filter(|c| !"±() ".contains(*c)).collect();
    let (percent, digits) = plain.split_once('%').ok_or_else(bad)?;
    let fraction: f64 = percent.replace(',', ".").parse::<f64>().map_err(|_| bad())? / 100.0;
    let digits = digits.trim_start_matches('+');
    Ok(Accuracy { fraction, digits: if digits.is_empty() { 0.0 } else { digits.parse().map_err(|_| bad())? } })
}
