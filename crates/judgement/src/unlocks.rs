//! What the next missing fact would unlock, most useful first.

use crate::said::{Learned, ReadingSaid, Unlock, Verdict};
use gear::{Find, JoinState, Measured};

fn unlock(fact: &str, gives: &str) -> Unlock {
    Unlock {
        fact: fact.to_owned(),
        gives: gives.to_owned(),
    }
}

/// From this many contradicting readings on, one wrong join explains more than as many slips (our choice).
const MANY: usize = 3;

/// What is missing, from plate to readings; at most what a person would do next.
pub(crate) fn unlocks(find: &Find, readings: &[ReadingSaid], learned: &[Learned]) -> Vec<Unlock> {
    let mut found = Vec::new();
    found.extend(drawing_in_doubt(find, readings));
    if find.plate.text.is_none() && find.plate.fields.is_empty() {
        found.push(unlock(
            "one line of the plate",
            "currents, volt-amperes and the size of every part inside",
        ));
    }
    if find.parts.is_empty() {
        found.push(unlock(
            "how such gear is usually wired (a named arrangement), or its parts",
            "a drawing at once, and predictions for every place",
        ));
        return found;
    }
    if find.joins.is_empty() && find.leads.is_empty() && find.parts.len() > 1 {
        found.push(unlock(
            "which terminals are joined",
            "one network of all parts, and readings judged across them",
        ));
    }
    if find.setups.is_empty() {
        found.push(unlock(
            "a setup: what is fed where, or nothing for dead tests",
            "readings can be recorded against it",
        ));
    }
    if find.readings.is_empty() {
        found.push(unlock(
            "a reading, the supply itself first",
            "the first verdict, and ratios that start to narrow",
        ));
        return found;
    }
    found.extend(untaught(find, learned));
    found
}

/// Many contradictions at once point to the drawing or a setup.
fn drawing_in_doubt(find: &Find, readings: &[ReadingSaid]) -> Option<Unlock> {
    let against = readings
        .iter()
        .filter(|r| r.verdict == Verdict::Contradicts)
        .count();
    if against < MANY {
        return None;
    }
    let assumed = find
        .joins
        .iter()
        .filter(|j| j.state == JoinState::Assumed)
        .count();
    let look = match assumed {
        0 => "a second look at joins, setups and slider positions".to_owned(),
        1 => "a look at the one join that is only assumed".to_owned(),
        n => format!("a look at the {n} joins that are only assumed"),
    };
    Some(unlock(
        &look,
        &format!(
            "the likelier cause: {against} readings contradict at once, and one wrong join or setup explains more than {against} slips"
        ),
    ))
}

/// Readings that would teach what stands at its prior; dead or low steps only.
fn untaught(find: &Find, learned: &[Learned]) -> Vec<Unlock> {
    let open: Vec<&str> = learned
        .iter()
        .filter(|l| l.prior_only)
        .map(|l| l.name.as_str())
        .collect();
    let any = |start: &str| open.iter().any(|name| name.starts_with(start));
    let measured = |m: Measured| {
        find.readings
            .iter()
            .any(|r| r.measured == m && r.struck.is_none())
    };
    let mut found = Vec::new();
    if any("ohms") {
        found.push(unlock(
            "ohms of each winding, four wires where it is below an ohm, dead",
            "copper loss, and what each winding can carry",
        ));
    }
    if any("leakage reactance") {
        found.push(unlock("a short-circuit test: a few volts on one winding, the other shorted, amperes and watts", "leakage and copper loss: how much it sags under load"));
    }
    if any("core loss") && !measured(Measured::Power) {
        found.push(unlock(
            "watts with nothing loaded",
            "core loss, apart from the copper's",
        ));
    }
    if any("magnetising") && !measured(Measured::AcCurrent) {
        found.push(unlock(
            "the no-load current",
            "magnetising current, and the first sign of a shorted turn",
        ));
    }
    if any("brush") {
        found.push(unlock(
            "volts across the brush under load, or milliohms from slider to tap, dead",
            "the brush and its contact",
        ));
    }
    found
}
