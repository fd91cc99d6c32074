//! Refuses values that cannot be, with the name of what holds them.

use super::NetworkError;
use crate::circuit::{Circuit, Element, ValueId};

struct Checker<'a> {
    name: &'a str,
    values: &'a [f64],
}

impl Checker<'_> {
    fn fault(&self, what: String) -> NetworkError {
        NetworkError::BadValue {
            element: self.name.to_owned(),
            what,
        }
    }

    fn number(&self, id: ValueId, of: &str) -> Result<f64, NetworkError> {
        let value = self.values[id.0];
        if value.is_finite() {
            Ok(value)
        } else {
            Err(self.fault(format!("{of} is not a number")))
        }
    }

    fn not_negative(&self, id: ValueId, of: &str, unit: &str) -> Result<(), NetworkError> {
        let value = self.number(id, of)?;
        if value >= 0.0 {
            Ok(())
        } else {
            Err(self.fault(format!("{of} is {value} {unit}, less than nought")))
        }
    }

    fn positive(&self, id: ValueId, of: &str, unit: &str) -> Result<(), NetworkError> {
        let value = self.number(id, of)?;
        if value > 0.0 {
            Ok(())
        } else {
            Err(self.fault(format!("{of} is {value} {unit}, must be above nought")))
        }
    }

    fn position(&self, id: ValueId, of: &str) -> Result<(), NetworkError> {
        let value = self.number(id, of)?;
        if (0.0..=1.0).contains(&value) {
            Ok(())
        } else {
            Err(self.fault(format!("{of} stands at {value}, outside 0 to 1")))
        }
    }
}

/// Checks every value a circuit uses.
/// # Errors
/// `BadValue`, the first found.
pub(super) fn check(circuit: &Circuit, values: &[f64]) -> Result<(), NetworkError> {
    if values.len() != circuit.values {
        let what = format!("{} values given, {} expected", values.len(), circuit.values);
        return Err(NetworkError::BadValue {
            element: "circuit".into(),
            what,
        });
    }
    for (name, element) in circuit.names.iter().zip(&circuit.elements) {
        check_element(&Checker { name, values }, element)?;
    }
    for (name, core) in &circuit.cores {
        let c = Checker { name, values };
        if c.number(core.reference_turns, "turns of the reference winding")? == 0.0 {
            return Err(c.fault("the reference winding has no turns".into()));
        }
        c.not_negative(core.conductance, "core loss", "S")?;
        c.not_negative(core.susceptance, "magnetising", "S")?;
        if let Some(bend) = core.bend {
            c.positive(bend.volts, "rated voltage", "V")?;
            c.positive(bend.knee, "knee", "of rated volts")?;
            c.number(bend.current_exponent, "exponent of the magnetising current")?;
            c.number(bend.watts_exponent, "exponent of the watts")?;
        }
    }
    Ok(())
}

fn check_element(c: &Checker, element: &Element) -> Result<(), NetworkError> {
    match element {
        Element::Source {
            volts,
            ohms,
            reactance,
            ..
        } => {
            c.number(*volts, "voltage")?;
            c.not_negative(*ohms, "resistance", "Ω")?;
            c.number(*reactance, "reactance").map(drop)
        }
        Element::Impedance {
            ohms, reactance, ..
        } => {
            c.not_negative(*ohms, "resistance", "Ω")?;
            c.number(*reactance, "reactance").map(drop)
        }
        Element::Capacitor { farads, .. } => c.not_negative(*farads, "capacitance", "F"),
        Element::Link { .. } => Ok(()),
        Element::Winding {
            turns,
            ohms,
            reactance,
            points,
            sliders,
            ..
        } => {
            c.number(*turns, "turns")?;
            c.not_negative(*ohms, "resistance", "Ω")?;
            c.number(*reactance, "leakage reactance")?;
            points
                .iter()
                .try_for_each(|(_, at)| c.position(*at, "a tap"))?;
            sliders.iter().try_for_each(|s| {
                c.position(s.at, "the slider")?;
                c.not_negative(s.brush, "brush resistance", "Ω")
            })
        }
    }
}
