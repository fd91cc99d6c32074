//! What fits no drawing yet: a core with windings nobody has marked, or a find of which only the plate is known.

use super::assemble::{add, start, winding, wound};
use super::{Arrangement, Choice, Options};
use gear::{Dot, Find, PartKind};

/// Most windings offered for an unmarked part.
const MOST_WINDINGS: usize = 8;

/// A core with windings nobody has marked.
pub(super) const UNMARKED: Arrangement = Arrangement {
    key: "unmarked-windings",
    name: "unmarked windings on one core",
    seen_by: "A crate find: leads come out of a core in pairs that beep, and nothing says which is which.",
    choices: &[Choice {
        key: "windings",
        name: "windings found",
        values: &[
            ("2", "two"),
            ("3", "three"),
            ("4", "four"),
            ("5", "five"),
            ("6", "six"),
            ("7", "seven"),
            ("8", "eight"),
            ("1", "one"),
        ],
    }],
    build: |options: &Options| -> Find {
        let count = options
            .get(&UNMARKED, "windings")
            .parse()
            .unwrap_or(2usize)
            .clamp(1, MOST_WINDINGS);
        let mut find = start(UNMARKED.key, options, None);
        let windings = (1..=count)
            .map(|n| {
                winding(
                    &format!("winding {n}"),
                    &[&format!("{n}.1"), &format!("{n}.2")],
                    Dot::Unknown,
                )
            })
            .collect();
        add(
            &mut find,
            "T1",
            "transformer",
            None,
            PartKind::Transformer(wound(windings)),
        );
        find
    },
};

/// Nothing known but the plate.
pub(super) const UNKNOWN: Arrangement = Arrangement {
    key: "not-known-yet",
    name: "not known yet",
    seen_by: "The lid is still on, or it is none of the others.",
    choices: &[],
    build: |options: &Options| start(UNKNOWN.key, options, None),
};
