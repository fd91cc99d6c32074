//! Where else the leads, or the clamp, may have been.

use super::Seen;
use crate::{OtherPlace, SlipKind};
use gear::{Find, Measured, Place, TerminalRef};
use network::Question;

/// Other places of volts looked at for wrong-pair slips: the nearest ones are enough.
const PAIRS_OF_VOLTS: usize = 6;
/// Of ohms and amperes, which are fewer and seldom mistaken.
const OTHERS: usize = 3;

/// Where the leads may have been instead: each end on another terminal of the same part; the clamp on a neighbouring lead. `here` is
/// the question asked, which no other place may repeat.
pub(super) fn other_places(seen: &Seen, here: &Question, burden: f64) -> Vec<OtherPlace> {
    let measured = seen.reading.measured;
    match (&seen.reading.place, measured) {
        (Place::Between(a, b), Measured::AcVoltage | Measured::DcVoltage) => {
            pairs(seen, (a, b), here, burden, PAIRS_OF_VOLTS)
        }
        (Place::Between(a, b), Measured::Resistance) => pairs(seen, (a, b), here, burden, OTHERS),
        (Place::Into(at), Measured::AcCurrent | Measured::DcCurrent) => {
            leads(seen, at, here, burden)
        }
        _ => Vec::new(),
    }
}

fn pairs(
    seen: &Seen,
    (a, b): (&TerminalRef, &TerminalRef),
    here: &Question,
    burden: f64,
    most: usize,
) -> Vec<OtherPlace> {
    let mut found: Vec<OtherPlace> = Vec::new();
    let pairs = neighbours(seen.find, b)
        .into_iter()
        .map(|n| (a.clone(), n))
        .chain(neighbours(seen.find, a).into_iter().map(|n| (n, b.clone())));
    for (x, y) in pairs {
        let apart = seen.model.node(&x) != seen.model.node(&y);
        let place = Place::Between(x.clone(), y.clone());
        let Ok(question) = seen.model.question(&place, seen.reading.measured, burden) else {
            continue;
        };
        let same = |other: &Question| *other == question || *other == turned(&question);
        let taken = same(here) || found.iter().any(|f| same(&f.question));
        if !apart || taken || found.len() == most {
            continue;
        }
        let one = on_one_winding(seen.find, a, b) && on_one_winding(seen.find, &x, &y);
        found.push(OtherPlace {
            kind: if one {
                SlipKind::OtherHalf
            } else {
                SlipKind::WrongTerminal
            },
            place: place.to_string(),
            question,
        });
    }
    found
}

/// The same with the two leads exchanged.
fn turned(question: &Question) -> Question {
    match question {
        Question::Voltage { a, b, burden } => Question::Voltage {
            a: *b,
            b: *a,
            burden: *burden,
        },
        Question::Resistance { a, b } => Question::Resistance { a: *b, b: *a },
        other => other.clone(),
    }
}

/// Neighbouring leads a clamp may have been around; not the other end of the same conductor, which carries the same current.
fn leads(seen: &Seen, at: &TerminalRef, here: &Question, burden: f64) -> Vec<OtherPlace> {
    let through = |question: &Question| match question {
        Question::Current { through, .. } => through.iter().map(|(e, _)| *e).collect(),
        _ => Vec::new(),
    };
    let mut taken = vec![through(here)];
    let mut found = Vec::new();
    for other in neighbours(seen.find, at) {
        let place = Place::Into(other);
        let Ok(question) = seen.model.question(&place, seen.reading.measured, burden) else {
            continue;
        };
        let elements = through(&question);
        if found.len() < OTHERS && !taken.contains(&elements) {
            taken.push(elements);
            found.push(OtherPlace {
                kind: SlipKind::WrongTerminal,
                place: place.to_string(),
                question,
            });
        }
    }
    found
}

/// Whether two terminals are on one winding: then a slip between them is the other half or another stretch of it.
fn on_one_winding(find: &Find, a: &TerminalRef, b: &TerminalRef) -> bool {
    let windings = find
        .part(&a.part)
        .filter(|_| a.part == b.part)
        .and_then(|p| p.kind.wound())
        .map(|w| &w.windings);
    windings.is_some_and(|w| {
        w.iter().any(|w| {
            [a, b]
                .iter()
                .all(|t| w.terminals().any(|m| m == t.terminal))
        })
    })
}

fn neighbours(find: &Find, terminal: &TerminalRef) -> Vec<TerminalRef> {
    let Some(part) = find.part(&terminal.part) else {
        return Vec::new();
    };
    part.terminals()
        .into_iter()
        .filter(|t| *t != terminal.terminal)
        .map(|t| part.terminal(t))
        .collect()
}
