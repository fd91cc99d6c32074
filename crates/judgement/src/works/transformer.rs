//! How a transformer works: one core, windings in the ratio of their turns, and what load and losses do to that.

use super::seen::{Seen, amperes, list, ratio, terminal, volts};
use gear::{Part, PartKind, Winding, Wound};
use quantity::{Unit, show};

pub(super) fn sentences(seen: &Seen<'_>, part: &Part) -> Vec<String> {
    let Some(wound) = part.kind.wound().filter(|w| w.windings.len() > 1) else {
        return Vec::new();
    };
    let fed = fed_winding(seen, part, wound);
    let Some(input) = seen
        .across(&part.designation, &wound.windings[fed])
        .map(|v| v.norm())
    else {
        return Vec::new();
    };
    let others: Vec<usize> = (0..wound.windings.len()).filter(|i| *i != fed).collect();
    let name = &part.designation;
    let mut said = vec![format!(
        "{name} has {} windings on one core; every turn sees the same volts, so the windings' volts go as their turns.",
        count(wound.windings.len())
    )];
    said.push(format!(
        "Its {} gets {}.",
        called(&wound.windings[fed]),
        volts(input)
    ));
    said.extend(
        others
            .iter()
            .filter_map(|&i| given(seen, part, wound, fed, i)),
    );
    said.extend(tapped(seen, part, wound, fed));
    said.extend(currents(seen, part, wound, fed, &others));
    said.extend(drop(seen, part, wound, &others));
    said.extend(seen.losses());
    said.extend(driven(seen, part));
    said.extend(isolation(seen, part, wound, fed, &others));
    said.extend(sisters(seen, part));
    said
}

/// The winding a source stands across, else the first.
fn fed_winding(seen: &Seen<'_>, part: &Part, wound: &Wound) -> usize {
    let across = |w: &Winding| {
        w.points.first().zip(w.points.last()).is_some_and(|(a, b)| {
            seen.fed_at(
                &terminal(&part.designation, &a.terminal),
                &terminal(&part.designation, &b.terminal),
            )
        })
    };
    wound.windings.iter().position(across).unwrap_or(0)
}

/// "primary", "winding `half A`".
fn called(winding: &Winding) -> String {
    match winding.name.as_str() {
        "primary" | "secondary" | "tertiary" => winding.name.clone(),
        name if name.starts_with("secondary ") || name.starts_with("winding ") => name.to_owned(),
        name => format!("winding `{name}`"),
    }
}

fn count(windings: usize) -> String {
    let words = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    ];
    words
        .get(windings)
        .map_or_else(|| windings.to_string(), |w| (*w).to_owned())
}

fn given(seen: &Seen<'_>, part: &Part, wound: &Wound, fed: usize, other: usize) -> Option<String> {
    let name = &part.designation;
    let out = seen.across(name, &wound.windings[other])?.norm();
    let (of_fed, of_other) = (seen.turns(name, fed)?, seen.turns(name, other)?);
    let (big, small, many, few) = if of_fed >= of_other {
        (
            of_fed,
            of_other,
            called(&wound.windings[fed]),
            called(&wound.windings[other]),
        )
    } else {
        (
            of_other,
            of_fed,
            called(&wound.windings[other]),
            called(&wound.windings[fed]),
        )
    };
    Some(format!(
        "At its {} stand {}: the {many} has {} turns for each turn of the {few}.",
        called(&wound.windings[other]),
        volts(out),
        ratio(big / small)
    ))
}

/// Volts of the first tap of a winding that is not fed.
fn tapped(seen: &Seen<'_>, part: &Part, wound: &Wound, fed: usize) -> Option<String> {
    let winding = wound
        .windings
        .iter()
        .enumerate()
        .find(|(i, w)| *i != fed && w.points.len() > 2)?
        .1;
    let at = |i: usize| terminal(&part.designation, &winding.points[i].terminal);
    let lower = seen.volts(&at(0), &at(1))?.norm();
    Some(format!(
        "Its tap parts the {}: {} from {} to {}.",
        called(winding),
        volts(lower),
        at(0),
        at(1)
    ))
}

fn currents(
    seen: &Seen<'_>,
    part: &Part,
    wound: &Wound,
    fed: usize,
    others: &[usize],
) -> Option<String> {
    let name = &part.designation;
    let into = seen.amperes(name, fed)?;
    let given: Vec<(usize, f64)> = others
        .iter()
        .filter_map(|&i| Some((i, seen.amperes(name, i)?)))
        .collect();
    let taken = given.iter().map(|(_, a)| *a).fold(0.0, f64::max);
    if !seen.loaded() && taken < 1e-3 * into {
        return Some(format!(
            "Nothing is taken, so the {} of the {} only magnetise the core and feed its loss.",
            amperes(into),
            called(&wound.windings[fed])
        ));
    }
    let outs: Vec<String> = given
        .iter()
        .map(|(i, a)| format!("{} in the {}", amperes(*a), called(&wound.windings[*i])))
        .collect();
    Some(format!(
        "For {} the {} carries {}: the ampere-turns of all windings balance but for what magnetises the core.",
        list(&outs),
        called(&wound.windings[fed]),
        amperes(into)
    ))
}

/// What a loaded winding loses inside itself.
fn drop(seen: &Seen<'_>, part: &Part, wound: &Wound, others: &[usize]) -> Option<String> {
    if !seen.loaded() {
        return None;
    }
    let name = &part.designation;
    let (i, made, out) = others.iter().find_map(|&i| {
        Some((
            i,
            seen.emf(name, i)?,
            seen.across(name, &wound.windings[i])?.norm(),
        ))
    })?;
    (made > out).then(|| {
        format!(
            "The {} makes {} and loses {} of it in its own resistance and leakage.",
            called(&wound.windings[i]),
            volts(made),
            volts(made - out)
        )
    })
}

/// How hard the core is driven.
fn driven(seen: &Seen<'_>, part: &Part) -> Option<String> {
    let (driven, knee) = seen.driven(&part.designation)?;
    let share = |x: f64| show(x, Unit::Percent, 2);
    Some(format!(
        "Its core is driven at {} of its rated volts per hertz; its knee is taken to lie at {}.",
        share(driven),
        share(knee)
    ))
}

/// What stands between the windings.
fn isolation(
    seen: &Seen<'_>,
    part: &Part,
    wound: &Wound,
    fed: usize,
    others: &[usize],
) -> Option<String> {
    let end = |i: usize| {
        wound.windings[i]
            .points
            .first()
            .map(|p| terminal(&part.designation, &p.terminal))
    };
    let first = end(fed)?;
    let parted = others
        .iter()
        .all(|&i| end(i).is_some_and(|t| seen.parted(&first, &t)));
    parted.then(|| "No conductor joins what is fed with what is given; how good that isolation is, only a legible mark on the plate can say.".to_owned())
}

fn sisters(seen: &Seen<'_>, part: &Part) -> Option<String> {
    let transformers = seen.find.parts.iter().filter(|p| {
        matches!(p.kind, PartKind::Transformer(_)) && p.designation != part.designation
    });
    let alike: Vec<&str> = transformers
        .filter(|p| part.phase.is_some() && p.phase.is_some())
        .map(|p| p.designation.as_str())
        .collect();
    (!alike.is_empty()).then(|| format!("{} do the same for the other phases.", list(&alike)))
}
