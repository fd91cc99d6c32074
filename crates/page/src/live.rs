//! What follows the hand: the answer for a slider, supply and load that differ from the setup's.

use quantity::{Quantity, Unit};

use crate::below::{Conditions, Judge};
use crate::setup_form::with_unit;
use crate::submitted::Submitted;

/// The conditions asked for; fields left out or empty stand as in the setup.
/// # Errors
/// What is wrong with which field, in words.
pub(crate) fn asked(query: &Submitted) -> Result<Conditions, String> {
    let number = |field: &str, unit: Unit| -> Result<Option<f64>, String> {
        let Some(text) = query.given(field) else { return Ok(None) };
        let value = with_unit(text, unit).map_err(|e| format!("{field}: {e}"))?.value();
        Ok(value.filter(|v| v.is_finite()))
    };
    let slider = number("slider", Unit::One)?;
    if slider.is_some_and(|x| !(0.0..=1.0).contains(&x)) {
        return Err("slider: a position is a fraction of the turns, from 0 to 1".to_owned());
    }
    let supply = number("supply", Unit::Volt)?;
    if supply.is_some_and(|v| !(0.0..=LARGEST_VOLTS).contains(&v)) {
        return Err(format!("supply: from 0 to {LARGEST_VOLTS} V"));
    }
    let load = match query.given("load") {
        Some("none" | "no load") => Some(0.0),
        Some(text) => power(text).map_err(|e| format!("load: {e}"))?,
        None => None,
    };
    Ok(Conditions { slider, supply, load, setup: query.given("setup").and_then(|s| s.parse().ok()) })
}

/// The gear this program knows ends here.
const LARGEST_VOLTS: f64 = 1000.0;

/// Volt-amperes, from VA or W at power factor 1; a bare figure is kVA, as plates of such gear are.
fn power(text: &str) -> Result<Option<f64>, quantity::QuantityError> {
    let typed = Quantity::parse(text)?;
    let value = match typed.unit() {
        Unit::One => typed.value().map(|v| v * 1000.0),
        Unit::Watt => typed.value(),
        _ => Quantity::parse_as(text, Unit::VoltAmpere)?.value(),
    };
    Ok(value.filter(|v| v.is_finite() && *v >= 0.0))
}

/// The values there.
pub(crate) fn values(judge: &Judge, conditions: &Conditions) -> judgement::Live {
    judge.live(conditions)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(fields: &[(&str, &str)]) -> Result<Conditions, String> {
        asked(&Submitted(fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()))
    }

    #[test]
    fn what_is_left_out_stands_as_in_the_setup() {
        let nothing = of(&[("slider", ""), ("load", " ")]).unwrap();
        assert!(nothing.slider.is_none() && nothing.supply.is_none() && nothing.load.is_none());
    }

    #[test]
    fn units_may_be_left_out() {
        let some = of(&[("slider", "0.70"), ("supply", "400"), ("load", "10 kVA")]).unwrap();
        assert_eq!((some.slider, some.supply, some.load), (Some(0.7), Some(400.0), Some(10_000.0)));
        assert_eq!(of(&[("load", "none")]).unwrap().load, Some(0.0));
        assert_eq!(of(&[("load", "10")]).unwrap().load, Some(10_000.0));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(of(&[("slider", "1.2")]).is_err());
        assert!(of(&[("supply", "4 kV")]).is_err());
        assert!(of(&[("load", "x")]).is_err());
    }
}
