//! A transformer with a primary and one or two secondaries, tapped perhaps; or three of them as a bank.

use super::assemble::{USUAL, add, join, start, strip, winding, wound, written};
use super::{Arrangement, Choice, Options};
use gear::{Dot, Find, PartKind, Winding};
use quantity::Unit;

/// The one arrangement of this family.
pub(super) const TRANSFORMER: Arrangement = Arrangement {
    key: "transformer",
    name: "two-winding transformer",
    seen_by: "Two or three windings on one core with no copper path between them.",
    choices: &[
        Choice {
            key: "phases",
            name: "phases",
            values: &[
                ("1", "one phase"),
                ("3", "three phases, three alike as a bank"),
            ],
        },
        Choice {
            key: "secondaries",
            name: "secondaries",
            values: &[("1", "one secondary"), ("2", "two secondaries")],
        },
        Choice {
            key: "taps",
            name: "taps",
            values: &[
                ("none", "none"),
                ("primary", "one in the primary"),
                ("secondary", "a centre tap in each secondary"),
            ],
        },
        Choice {
            key: "bank",
            name: "bank (three phases)",
            values: &[
                ("star-star", "star to star"),
                ("delta-star", "delta to star"),
                ("star-delta", "star to delta"),
                ("delta-delta", "delta to delta"),
            ],
        },
    ],
    build,
};

fn build(options: &Options) -> Find {
    let phases: usize = if options.get(&TRANSFORMER, "phases") == "3" {
        3
    } else {
        1
    };
    let secondaries: usize = if options.get(&TRANSFORMER, "secondaries") == "2" {
        2
    } else {
        1
    };
    let mut find = start(TRANSFORMER.key, options, Some(phases as u8));
    for k in 1..=phases {
        let mut wound = wound(windings(options, secondaries));
        wound.power = written(options, "winding_power", Unit::VoltAmpere);
        let phase = (phases == 3).then_some(k as u8);
        add(
            &mut find,
            &format!("T{k}"),
            "transformer",
            phase,
            PartKind::Transformer(wound),
        );
    }
    if phases == 3 {
        bank(&mut find, options, secondaries)
    } else {
        single(&mut find, secondaries)
    }
    find
}

fn windings(options: &Options, secondaries: usize) -> Vec<Winding> {
    let taps = options.get(&TRANSFORMER, "taps");
    let marks: &[&str] = if taps == "primary" {
        &["1.1", "1.3", "1.2"]
    } else {
        &["1.1", "1.2"]
    };
    let mut primary = winding("primary", marks, Dot::First);
    primary.volts = written(options, "winding_volts", Unit::Volt);
    let mut all = vec![primary];
    for s in 0..secondaries {
        let n = s + 2;
        let (first, middle, last) = (format!("{n}.1"), format!("{n}.3"), format!("{n}.2"));
        let name = if secondaries == 1 {
            "secondary".to_owned()
        } else {
            format!("secondary {}", s + 1)
        };
        let tapped = taps == "secondary";
        let marks: Vec<&str> = if tapped {
            vec![&first, &middle, &last]
        } else {
            vec![&first, &last]
        };
        let mut secondary = winding(&name, &marks, Dot::First);
        if tapped {
            secondary.points[1].at = super::assemble::quantity("0.50");
        }
        secondary.volts = written(options, "secondary_volts", Unit::Volt);
        all.push(secondary);
    }
    all
}

/// Primary on X1, each secondary on its own pair of X2.
fn single(find: &mut Find, secondaries: usize) {
    strip(find, "X1", "input", &["1", "2", "PE"]);
    let marks: &[&str] = if secondaries == 2 {
        &["1", "2", "3", "4"]
    } else {
        &["1", "2"]
    };
    strip(find, "X2", "output", marks);
    join(find, &["X1:1", "T1:1.1"], USUAL);
    join(find, &["X1:2", "T1:1.2"], USUAL);
    for s in 0..secondaries {
        join(
            find,
            &[&format!("T1:{}.1", s + 2), &format!("X2:{}", 2 * s + 1)],
            USUAL,
        );
        join(
            find,
            &[&format!("T1:{}.2", s + 2), &format!("X2:{}", 2 * s + 2)],
            USUAL,
        );
    }
}

/// Primaries on X1, first secondaries on X2, second secondaries on X3, each in star or delta.
fn bank(find: &mut Find, options: &Options, secondaries: usize) {
    let (primary, secondary) = options
        .get(&TRANSFORMER, "bank")
        .split_once('-')
        .unwrap_or(("star", "star"));
    strip(find, "X1", "input", &["1", "2", "3", "N", "PE"]);
    group(find, "X1", 1, primary == "delta");
    for s in 0..secondaries {
        let strip_name = format!("X{}", s + 2);
        strip(find, &strip_name, "output", &["1", "2", "3", "N"]);
        group(find, &strip_name, s + 2, secondary == "delta");
    }
}

/// Joins winding `number` of T1 to T3 to a strip: in star its ends on N; in delta each end on the next one's start.
fn group(find: &mut Find, strip_name: &str, number: usize, delta: bool) {
    for k in 1..=3 {
        let (line, start) = (format!("{strip_name}:{k}"), format!("T{k}:{number}.1"));
        let before = format!("T{}:{number}.2", if k == 1 { 3 } else { k - 1 });
        let mut terminals = vec![line.as_str(), start.as_str()];
        if delta {
            terminals.push(&before);
        }
        join(find, &terminals, USUAL);
    }
    if !delta {
        let ends: Vec<String> = (1..=3)
            .map(|k| format!("T{k}:{number}.2"))
            .chain([format!("{strip_name}:N")])
            .collect();
        join(
            find,
            &ends.iter().map(String::as_str).collect::<Vec<_>>(),
            "star point; as such gear is usually wired, nobody has looked",
        );
    }
}
