//! Power, voltage and current of any gear: the missing one of the three, per phase and per line.

use super::facts::{Facts, Gear, base};
use super::figure::Figure;
use crate::said::Deduction;
use quantity::Unit;

/// A deduction from a figure.
pub(super) fn deduction(
    what: impl Into<String>,
    figure: &Figure,
    how: impl Into<String>,
    source: Option<&str>,
) -> Deduction {
    let (value, unit) = figure.shown();
    Deduction {
        what: what.into(),
        value,
        unit,
        low: figure.low,
        high: figure.high,
        how: how.into(),
        source: source.map(str::to_owned),
    }
}

/// Power, voltage and line current after reckoning, as far as two of the three stand on the plate.
#[derive(Debug, Clone, Default)]
pub(super) struct Rated {
    pub(super) power: Option<Figure>,
    pub(super) volts: Option<Figure>,
    pub(super) current: Option<Figure>,
}

/// Reckons what any gear's plate implies, and puts it to the deductions.
pub(super) fn reckon(facts: &Facts, said: &mut Vec<Deduction>) -> Rated {
    phases(facts, said);
    let mut rated = Rated {
        power: apparent_power(facts, said),
        volts: facts.volts.clone(),
        current: None,
    };
    let Some(factor) = facts.factor() else {
        return rated;
    };
    let line = if facts.phases == Some(3) {
        "line current"
    } else {
        "current"
    };
    let stated = facts.stated_current();
    match (&rated.power, &rated.volts, stated) {
        (Some(power), Some(volts), _) => {
            if let Some(current) = power.over(&volts.scaled(factor), Unit::Ampere) {
                let how = format!("{} / {}", power.text, facts.divisor(&base(volts)));
                said.push(deduction(
                    format!("{line} at rated power{}", at_output(facts)),
                    &current,
                    how,
                    None,
                ));
                rated.current = Some(current);
            }
        }
        (None, Some(volts), Some(current)) => {
            let power = volts.times(current, Unit::VoltAmpere).scaled(factor);
            said.push(deduction(
                "rated power",
                &power,
                format!("{}{} × {}", facts.factor_words(), base(volts), current.text),
                None,
            ));
            rated.current = Some(current.clone());
            rated.power = Some(power);
        }
        (Some(power), None, Some(current)) => {
            if let Some(volts) = power.over(&current.scaled(factor), Unit::Volt) {
                said.push(deduction(
                    "voltage",
                    &volts,
                    format!("{} / {}", power.text, facts.divisor(&current.text)),
                    None,
                ));
                rated.volts = Some(volts);
            }
            rated.current = Some(current.clone());
        }
        (_, _, current) => rated.current = current.cloned(),
    }
    if facts.phases == Some(3) {
        per_phase(&rated, said);
    }
    rated
}

fn at_output(facts: &Facts) -> &'static str {
    match facts.gear {
        Gear::Stabilizer(_) => ", output",
        Gear::Transformer if facts.primary.is_some() => ", output side",
        _ => "",
    }
}

fn phases(facts: &Facts, said: &mut Vec<Deduction>) {
    if let (Some(count), Some(why)) = (facts.phases, &facts.phases_guess) {
        said.push(deduction(
            "phases (a guess)",
            &Figure::exact(f64::from(count), Unit::One),
            why.clone(),
            None,
        ));
    }
}

/// Apparent power as typed, or from watts and power factor.
fn apparent_power(facts: &Facts, said: &mut Vec<Deduction>) -> Option<Figure> {
    if let Some(power) = &facts.power {
        if let Some(factor) = facts
            .power_factor
            .as_ref()
            .filter(|f| f.high <= 1.0 + f.share())
        {
            let watts = power.times(factor, Unit::Watt);
            said.push(deduction(
                "rated watts",
                &watts,
                format!("{} × power factor {}", power.text, factor.text),
                None,
            ));
        }
        return Some(power.clone());
    }
    let watts = facts.active.as_ref()?;
    let power = match &facts.power_factor {
        Some(factor) => watts.over(factor, Unit::VoltAmpere)?,
        None => Figure {
            unit: Unit::VoltAmpere,
            ..watts.clone()
        },
    };
    let power = Figure::between(
        power.low,
        power.mid,
        power.high,
        power.open,
        Unit::VoltAmpere,
    );
    match &facts.power_factor {
        Some(factor) => said.push(deduction(
            "rated power",
            &power,
            format!("{} / power factor {}", watts.text, factor.text),
            None,
        )),
        None => said.push(deduction(
            "rated power, at least",
            &power,
            format!(
                "{} at power factor 1; more VA if the power factor is lower",
                watts.text
            ),
            None,
        )),
    }
    Some(power)
}

fn per_phase(rated: &Rated, said: &mut Vec<Deduction>) {
    if let Some(volts) = &rated.volts {
        let phase = volts.scaled(1.0 / 3f64.sqrt());
        said.push(deduction(
            "voltage from line to neutral",
            &phase,
            format!("{} / √3", base(volts)),
            None,
        ));
    }
    if let Some(power) = &rated.power {
        said.push(deduction(
            "power of each phase",
            &power.scaled(1.0 / 3.0),
            format!("{} / 3", power.text),
            None,
        ));
    }
}
