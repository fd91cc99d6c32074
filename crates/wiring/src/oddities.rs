//! Joins that can hardly be meant: a winding shorted by its own ends, a fuse bridged, two supply phases tied together.
//!
//! Each is a remark with its remedy, not an error: a short-circuit test shorts a winding on purpose.

use crate::Conductors;
use gear::{Find, Part, PartKind, Setup, Winding};

/// A join that can hardly be meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Oddity {
    /// What is odd: "T1:1 and T1:3 are joined: that shorts the winding `winding` of T1".
    pub what: String,
    /// What to do about it.
    pub remedy: String,
}

/// Marks of phases on a terminal strip (IEC 60445 and plain numbers).
const PHASE_MARKS: [&str; 9] = ["1", "2", "3", "L", "L1", "L2", "L3", "U", "V"];
/// Marks of the neutral.
const NEUTRAL_MARK: &str = "N";
/// Mark of the protective conductor.
const PROTECTIVE_MARK: &str = "PE";

/// Everything odd about the joins of a find; in a setup, if one is given (what the setup itself clips together is meant).
pub fn oddities(find: &Find, setup: Option<&Setup>) -> Vec<Oddity> {
    let lifted_only = setup.map(|s| Setup {
        joined: Vec::new(),
        ..s.clone()
    });
    let conductors = Conductors::of(find, lifted_only.as_ref());
    let mut found = Vec::new();
    for part in &find.parts {
        match &part.kind {
            PartKind::Terminals(marks) => strip(part, marks, &conductors, &mut found),
            kind => match kind.wound() {
                Some(wound) => wound
                    .windings
                    .iter()
                    .for_each(|w| shorted(part, w, &conductors, &mut found)),
                None => bridged(part, &conductors, &mut found),
            },
        }
    }
    found
}

fn shorted(part: &Part, winding: &Winding, conductors: &Conductors, found: &mut Vec<Oddity>) {
    let marks: Vec<&str> = winding.terminals().collect();
    let points = winding.points.len();
    for (i, one) in marks.iter().enumerate() {
        for (j, other) in marks.iter().enumerate().skip(i + 1) {
            let (one, other) = (part.terminal(one), part.terminal(other));
            if !conductors.joined(&one, &other) {
                continue;
            }
            let whole = i == 0 && j + 1 == points;
            let shorts = match (whole, j < points) {
                (true, _) => "that shorts the winding",
                (false, true) => "that shorts turns of the winding",
                (false, false) => {
                    "wherever the slider stands away from there, that shorts turns of the winding"
                }
            };
            found.push(Oddity {
                what: format!("{one} and {other} are joined: {shorts} `{}` of {}", winding.name, part.designation),
                remedy: format!(
                    "look at the joins and leads that hold {one} or {other} and take the wrong one out; if it was only for a test, put it into that setup instead"
                ),
            });
        }
    }
}

fn bridged(part: &Part, conductors: &Conductors, found: &mut Vec<Oddity>) {
    let (one, other) = (part.terminal("1"), part.terminal("2"));
    if conductors.joined(&one, &other) {
        found.push(Oddity {
            what: format!(
                "{one} and {other} are joined: the {} {} is bridged",
                part.kind.word(),
                part.designation
            ),
            remedy: format!(
                "take one of them out of the join, or take {} out of the find if it does nothing",
                part.designation
            ),
        });
    }
}

fn strip(part: &Part, marks: &[String], conductors: &Conductors, found: &mut Vec<Oddity>) {
    for (i, one) in marks.iter().enumerate() {
        for other in &marks[i + 1..] {
            let (a, b) = (part.terminal(one), part.terminal(other));
            if !conductors.joined(&a, &b) {
                continue;
            }
            let phase = |m: &String| PHASE_MARKS.contains(&m.as_str());
            let neutral = |m: &String| m == NEUTRAL_MARK;
            let what = match () {
                () if phase(one) && phase(other) => "a three-phase supply put on them is shorted",
                () if (phase(one) && neutral(other)) || (neutral(one) && phase(other)) => {
                    "a supply put on them is shorted"
                }
                () if (one == PROTECTIVE_MARK) != (other == PROTECTIVE_MARK) => {
                    "the protective conductor carries current then"
                }
                () => continue,
            };
            found.push(Oddity {
                what: format!("{a} and {b} are joined: {what}"),
                remedy: format!(
                    "look at the joins and leads that hold {a} or {b} and take the wrong one out"
                ),
            });
        }
    }
}
