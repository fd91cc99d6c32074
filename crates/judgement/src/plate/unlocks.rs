//! What one more legible figure would give, the most useful first.

use super::facts::{Facts, Gear};
use super::rated::Rated;
use crate::said::Unlock;

/// Whether a fact is missing, the fact, what it gives.
type Row = (bool, &'static str, &'static str);

/// The facts that are missing and would say more.
pub(super) fn find(facts: &Facts, rated: &Rated) -> Vec<Unlock> {
    let stabilizer = matches!(facts.gear, Gear::Stabilizer(_));
    let transformer = facts.gear == Gear::Transformer;
    let unread = |figure: &Option<super::figure::Figure>| {
        figure.as_ref().is_some_and(|f| f.text.contains('?'))
    };
    let gives_power = if stabilizer {
        "line current, VA of each phase and of each booster, slider current"
    } else if transformer {
        "currents of both sides, what the open-circuit test should show"
    } else {
        "the current it bears"
    };
    let rows: [Row; 12] = [
        (
            rated.volts.is_none(),
            "the rated voltage",
            "with the power the current, with the range the booster volts",
        ),
        (
            rated.power.is_none(),
            "the rated power, or a current",
            gives_power,
        ),
        (
            unread(&facts.power),
            "the digit of the power that cannot be read",
            "one current instead of a range of them",
        ),
        (
            facts.phases_guess.is_some(),
            "the number of phases (`3~`, `1~`, or count the line terminals)",
            "the currents for certain; here it is a guess",
        ),
        (
            facts.phases.is_none(),
            "the number of phases (`3~`, `1~`, or count the line terminals)",
            "the current, with power and voltage",
        ),
        (
            stabilizer && facts.span.is_none(),
            "the input range",
            "booster volts and VA, the ratio of the booster",
        ),
        (
            facts.gear == Gear::Unknown,
            "a second voltage or a range (± or input from ... to)",
            "whether it transforms or stabilizes, and the ratio",
        ),
        (
            facts.current.is_none()
                && facts.output_current.is_none()
                && facts.input_current.is_none()
                && rated.power.is_some(),
            "any current",
            "a check of power, voltage and phases against each other",
        ),
        (
            unread(&facts.current) && facts.power.is_none(),
            "the digit of the current that cannot be read",
            "one power instead of a range of them",
        ),
        (
            transformer && facts.impedance.is_none(),
            "the short-circuit impedance (uk)",
            "the short-circuit current and the volts for a short-circuit test",
        ),
        (
            facts.frequencies.is_empty(),
            "the frequency",
            "the volts allowed on 50 Hz and on 60 Hz",
        ),
        (
            facts.active.is_some() && facts.power_factor.is_none(),
            "the power factor",
            "the VA behind the watts, and so the currents",
        ),
    ];
    let missing = rows.into_iter().filter(|(missing, ..)| *missing);
    missing
        .map(|(_, fact, gives)| Unlock {
            fact: fact.to_owned(),
            gives: gives.to_owned(),
        })
        .collect()
}
