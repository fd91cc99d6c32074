//! Loads that are written as a power, as the impedance they are.

use gear::{Find, Pairing, PlateField, SetupLoad};
use quantity::Unit;

/// The series impedance of each leg of a load, (ohms, reactance in ohms at the setup's frequency), as written or from its power
/// at its volts: `Z = V²/S` for one phase and for each leg of a star (V between lines), `3 V²/S` for each leg of a delta; S is the
/// power of all legs together, V the volts written with it, else the plate's output. Watts count as `P / power factor`;
/// power factors are lagging, 1 unless said. `None` where neither ohms nor power with volts are known.
pub fn load_impedance(find: &Find, load: &SetupLoad) -> Option<(f64, f64)> {
    let value = |q: &Option<quantity::Quantity>| q.as_ref().and_then(quantity::Quantity::value);
    if load.resistance.is_some() || load.reactance.is_some() {
        let part = |q: &Option<quantity::Quantity>| if q.is_some() { value(q) } else { Some(0.0) };
        return Some((part(&load.resistance)?, part(&load.reactance)?));
    }
    let factor = if load.power_factor.is_some() {
        value(&load.power_factor)?
    } else {
        1.0
    };
    let power = value(&load.power)?;
    let apparent = if load.power.as_ref()?.unit() == Unit::Watt {
        power / factor
    } else {
        power
    };
    let volts = if load.volts.is_some() {
        value(&load.volts)?
    } else {
        plate_volts(find, load)?
    };
    let legs = if load.pairing == Pairing::Delta {
        3.0
    } else {
        1.0
    };
    let ohms = legs * volts * volts / apparent;
    let sound = ohms.is_finite() && ohms > 0.0 && (0.0..=1.0).contains(&factor);
    sound.then(|| (ohms * factor, ohms * (1.0 - factor * factor).sqrt()))
}

/// The plate's output volts as they stand across this load: to a terminal marked N of three-phase gear, divided by √3.
fn plate_volts(find: &Find, load: &SetupLoad) -> Option<f64> {
    let field = |wanted: PlateField| {
        find.plate
            .fields
            .iter()
            .find(|(f, _)| *f == wanted)
            .and_then(|(_, q)| q.value())
    };
    let volts = field(PlateField::OutputVoltage).or_else(|| field(PlateField::Voltage))?;
    let to_neutral = load.pairing == Pairing::Single
        && find.plate.phases == Some(3)
        && load.across.iter().any(|t| t.terminal == "N");
    Some(if to_neutral {
        volts / 3f64.sqrt()
    } else {
        volts
    })
}
