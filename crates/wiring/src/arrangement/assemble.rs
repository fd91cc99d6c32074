//! The pieces arrangements are built from: parts, joins, and the quantities the owner may have given.
//!
//! Parts are numbered phase by phase within their kind; terminals of a variable autotransformer are `1` line end, `2` tap,
//! `3` star end, `4` slider; those of a transformer `1.1`, `1.2` ... for the first winding, `2.1` ... for the second.

use super::Options;
use gear::{
    Designation, Dot, Find, Join, JoinState, Part, PartKind, Plate, Point, Slider, TerminalRef,
    Winding, Wound,
};
use quantity::{Quantity, Unit};

/// What is said of every join an arrangement makes.
pub(super) const USUAL: &str = "as such gear is usually wired; nobody has looked";

/// A find of an arrangement, empty but for name and plate.
pub(super) fn start(key: &str, options: &Options, phases: Option<u8>) -> Find {
    Find {
        name: options.name.clone(),
        arrangement: Some(key.to_owned()),
        plate: Plate {
            text: options.plate.clone(),
            phases,
            ..Plate::default()
        },
        ..Find::default()
    }
}

/// The quantity written under a key, if it can be read and has this unit.
pub(super) fn written(options: &Options, key: &str, unit: Unit) -> Option<Quantity> {
    options
        .written(key)
        .and_then(|text| Quantity::parse_as(text.trim(), unit).ok())
}

/// A quantity of our own making.
pub(super) fn quantity(text: &str) -> Option<Quantity> {
    Quantity::parse(text).ok()
}

/// A plain designation, letters and number.
pub(super) fn designation(letters: &str, number: usize) -> Option<Designation> {
    Designation::parse(&format!("{letters}{number}")).ok()
}

/// Adds a part; `phase` counts from 1 and is given only where there are three like it.
pub(super) fn add(
    find: &mut Find,
    designation: &str,
    name: &str,
    phase: Option<u8>,
    kind: PartKind,
) {
    if let Ok(designation) = Designation::parse(designation) {
        let of = |name: &str| match phase {
            Some(phase) => format!("{name} of L{phase}"),
            None => name.to_owned(),
        };
        find.parts.push(Part {
            designation,
            name: (!name.is_empty()).then(|| of(name)),
            phase,
            kind,
        });
    }
}

/// Adds a terminal strip.
pub(super) fn strip(find: &mut Find, designation: &str, name: &str, marks: &[&str]) {
    let marks = marks.iter().map(|&m| m.to_owned()).collect();
    add(find, designation, name, None, PartKind::Terminals(marks));
}

/// Adds an assumed join of terminals written `T1:4`.
pub(super) fn join(find: &mut Find, terminals: &[&str], note: &str) {
    let terminals: Vec<TerminalRef> = terminals
        .iter()
        .filter_map(|t| TerminalRef::parse(t).ok())
        .collect();
    if terminals.len() > 1 {
        find.joins.push(Join {
            terminals,
            state: JoinState::Assumed,
            note: Some(note.to_owned()),
        });
    }
}

/// A winding with these terminals in order of its turns.
pub(super) fn winding(name: &str, marks: &[&str], dot: Dot) -> Winding {
    let points = marks
        .iter()
        .map(|&m| Point {
            terminal: m.to_owned(),
            at: None,
        })
        .collect();
    Winding {
        name: name.to_owned(),
        points,
        dot,
        ..Winding::default()
    }
}

/// The winding of a variable autotransformer, from the star end `3` over a tap `2`, if any, to the line end `1`, with its slider
/// `4`. The tap's position is given where the arrangement knows it.
pub(super) fn variable_winding(tap: bool, at: Option<&str>) -> Winding {
    let marks: &[&str] = if tap { &["3", "2", "1"] } else { &["3", "1"] };
    let mut winding = winding("winding", marks, Dot::Last);
    if let (true, Some(at)) = (tap, at) {
        winding.points[1].at = quantity(at);
    }
    winding.sliders.push(Slider {
        terminal: "4".to_owned(),
        brush: None,
    });
    winding
}

/// A wound part of these windings.
pub(super) fn wound(windings: Vec<Winding>) -> Wound {
    Wound {
        windings,
        ..Wound::default()
    }
}

/// Volts rounded to three figures, as one would write them on a part.
pub(super) fn volts(value: f64) -> Option<Quantity> {
    let decimals = (2 - value.abs().log10().floor() as i32).clamp(0, 6) as usize;
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    quantity(&format!("{text} V"))
}
