//! What a transformer's plate says: ratio, full-load currents, short-circuit current, what its open-circuit test should show.

use super::facts::{Facts, Gear, base};
use super::figure::Figure;
use super::rated::{Rated, deduction};
use crate::said::Deduction;
use quantity::Unit;

/// IEC 60076-1 tolerance on the ratio at the principal tapping: the lesser of 0.5 % and a tenth of the impedance (from memory).
pub(super) const RATIO_TOLERANCE: f64 = 0.005;
/// IEC 60076-1 tolerances (from memory): no-load current +30 %, each loss +15 %, total losses +10 %, impedance ±10 %.
const NO_LOAD_CURRENT_TOLERANCE: f64 = 0.30;
const LOSS_TOLERANCE: f64 = 0.15;
const TOTAL_LOSS_TOLERANCE: f64 = 0.10;
const IMPEDANCE_TOLERANCE: f64 = 0.10;
const STANDARD: &str = "IEC 60076-1, from memory";

/// From 10 kVA up, open-circuit tests of the textbooks show a no-load current of 1.0 to 8.6 % of the rated and a core loss of
/// 0.25 to 2.0 % of the rated power (CHECKS A1 to A16: 10 tests, 10 to 500 kVA).
const LARGE: f64 = 10e3;
const LARGE_BANDS: ([f64; 2], [f64; 2]) = ([0.010, 0.086], [0.0025, 0.020]);
/// Below 10 kVA, and below 1 kVA: wider and higher (common practice).
const MIDDLE_BANDS: ([f64; 2], [f64; 2]) = ([0.02, 0.15], [0.006, 0.04]);
const SMALL: f64 = 1e3;
const SMALL_BANDS: ([f64; 2], [f64; 2]) = ([0.04, 0.35], [0.015, 0.12]);

/// The share the ratio may be off by, with this impedance.
pub(super) fn ratio_tolerance(impedance: Option<&Figure>) -> f64 {
    impedance.map_or(RATIO_TOLERANCE, |z| RATIO_TOLERANCE.min(z.mid / 10.0))
}

/// Whether the standard's tolerances apply: it leaves out one-phase gear below 1 kVA and three-phase gear below 5 kVA (from memory).
fn standard_applies(facts: &Facts, rated: &Rated) -> bool {
    let least = if facts.phases == Some(3) { 5e3 } else { 1e3 };
    rated.power.as_ref().is_some_and(|power| power.mid >= least)
}

/// Puts a transformer's deductions.
pub(super) fn reckon(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    if facts.gear == Gear::Transformer {
        windings(facts, rated, said);
        short_circuit(facts, rated, said);
        expected(facts, rated, said);
    }
    if facts.gear == Gear::Variable {
        variable(facts, rated, said);
    }
    if standard_applies(facts, rated) {
        tolerances(facts, said);
    }
}

fn windings(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    let Some(primary) = &facts.primary else {
        return;
    };
    for (i, secondary) in facts.volts.iter().chain(&facts.further).enumerate() {
        let Some(ratio) = primary.over(secondary, Unit::One) else {
            continue;
        };
        let place = if i == 0 {
            String::new()
        } else {
            format!(" to output {}", i + 1)
        };
        let sum = format!("{} / {}", base(primary), base(secondary));
        let (how, source) = if standard_applies(facts, rated) {
            let tolerance = super::figure::percent(ratio_tolerance(facts.impedance.as_ref()));
            (format!("{sum}; ±{tolerance} by tolerance"), STANDARD)
        } else {
            (
                format!(
                    "{sum}; small ones are wound for their loaded volts, so unloaded the output is 2 to 15 % higher"
                ),
                "common practice",
            )
        };
        let what = if facts.phases == Some(3) {
            "ratio of line voltages"
        } else {
            "ratio"
        };
        said.push(deduction(
            format!("{what}{place}"),
            &ratio,
            how,
            Some(source),
        ));
    }
    if let (Some(power), Some(factor)) = (&rated.power, facts.factor())
        && let Some(current) = power.over(&primary.scaled(factor), Unit::Ampere)
    {
        let how = format!(
            "{} / {}, losses not counted",
            power.text,
            facts.divisor(&base(primary))
        );
        said.push(deduction(
            "full-load current, input side",
            &current,
            how,
            None,
        ));
    }
}

fn short_circuit(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    let (Some(impedance), Some(current)) = (&facts.impedance, &rated.current) else {
        return;
    };
    if let Some(fault) = current.over(impedance, Unit::Ampere) {
        let how = format!(
            "{} / {}; the supply's own impedance not counted",
            current.words(),
            impedance.words()
        );
        said.push(deduction(
            "short-circuit current, output side",
            &fault,
            how,
            None,
        ));
    }
    if let Some(volts) = facts.primary.as_ref().or(facts.volts.as_ref()) {
        let test = volts.times(impedance, Unit::Volt);
        let how = format!(
            "{} of {}: these volts on one side drive rated current with the other side shorted",
            impedance.words(),
            base(volts)
        );
        said.push(deduction(
            "volts for a short-circuit test",
            &test,
            how,
            None,
        ));
    }
}

/// The band an open-circuit test should fall in, where the plate does not say.
fn expected(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    let (Some(power), Some(factor)) = (&rated.power, facts.factor()) else {
        return;
    };
    let (bands, source) = match power.mid {
        s if s >= LARGE => (LARGE_BANDS, "textbook tests of 10 to 500 kVA"),
        s if s >= SMALL => (MIDDLE_BANDS, "common practice"),
        _ => (SMALL_BANDS, "common practice"),
    };
    let band = |of: f64, shares: [f64; 2], unit| {
        Figure::between(
            of * shares[0],
            of * (shares[0] * shares[1]).sqrt(),
            of * shares[1],
            true,
            unit,
        )
    };
    let shares = |shares: [f64; 2]| {
        format!(
            "{} to {}",
            super::figure::percent(shares[0]),
            super::figure::percent(shares[1])
        )
    };
    if let (None, Some(fed)) = (
        &facts.no_load_current,
        facts.primary.as_ref().or(facts.volts.as_ref()),
    ) {
        let rated_current = power.mid / factor / fed.mid;
        let how = format!(
            "{} of the rated current of the input side, at rated volts; a band, not a limit",
            shares(bands.0)
        );
        said.push(deduction(
            "no-load current to expect, input side",
            &band(rated_current, bands.0, Unit::Ampere),
            how,
            Some(source),
        ));
    }
    if facts.no_load_loss.is_none() {
        let how = format!(
            "{} of {}; a band, not a limit",
            shares(bands.1),
            power.words()
        );
        said.push(deduction(
            "no-load loss to expect",
            &band(power.mid, bands.1, Unit::Watt),
            how,
            Some(source),
        ));
    }
}

fn variable(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    let (Some(primary), Some(volts)) = (&facts.primary, &facts.volts) else {
        return;
    };
    let top = volts.scaled(1.0);
    if let Some(share) = top.over(primary, Unit::One) {
        said.push(deduction(
            "output over input at the top of the travel",
            &share,
            format!("{} / {}", top.words(), base(primary)),
            None,
        ));
    }
    if let Some(current) = &rated.current {
        let power = primary
            .times(current, Unit::VoltAmpere)
            .scaled(facts.factor().unwrap_or(1.0));
        let how = format!(
            "{} × {}: the slider bears its current at every setting, the VA fall with the volts",
            base(primary),
            current.words()
        );
        said.push(deduction("power at the input voltage", &power, how, None));
    }
}

/// The most a sound example may show of what the plate states.
fn tolerances(facts: &Facts, said: &mut Vec<Deduction>) {
    let most = |figure: &Figure, plus: f64| figure.scaled(1.0 + plus);
    let how =
        |figure: &Figure, plus: f64| format!("{} + {}", figure.text, super::figure::percent(plus));
    let stated = [
        (
            "no-load current, at most by tolerance",
            &facts.no_load_current,
            NO_LOAD_CURRENT_TOLERANCE,
        ),
        (
            "no-load loss, at most by tolerance",
            &facts.no_load_loss,
            LOSS_TOLERANCE,
        ),
        (
            "load loss, at most by tolerance",
            &facts.load_loss,
            LOSS_TOLERANCE,
        ),
    ];
    for (what, figure, plus) in stated {
        if let Some(figure) = figure {
            said.push(deduction(
                what,
                &most(figure, plus),
                how(figure, plus),
                Some(STANDARD),
            ));
        }
    }
    if let (Some(iron), Some(copper)) = (&facts.no_load_loss, &facts.load_loss) {
        let total = Figure::between(
            iron.low + copper.low,
            iron.mid + copper.mid,
            iron.high + copper.high,
            iron.open || copper.open,
            Unit::Watt,
        );
        let how = format!(
            "{} + {}, + {}",
            iron.text,
            copper.text,
            super::figure::percent(TOTAL_LOSS_TOLERANCE)
        );
        said.push(deduction(
            "total losses, at most by tolerance",
            &most(&total, TOTAL_LOSS_TOLERANCE),
            how,
            Some(STANDARD),
        ));
    }
    if let Some(z) = &facts.impedance {
        let band = Figure::between(
            z.mid * (1.0 - IMPEDANCE_TOLERANCE),
            z.mid,
            z.mid * (1.0 + IMPEDANCE_TOLERANCE),
            true,
            Unit::Percent,
        );
        said.push(deduction(
            "short-circuit impedance by tolerance",
            &band,
            format!(
                "{} ± {}",
                z.text,
                super::figure::percent(IMPEDANCE_TOLERANCE)
            ),
            Some(STANDARD),
        ));
    }
}
