//! Stabilizers with a booster in series with the line, fed by a variable autotransformer.
//!
//! One phase: fuse, booster secondary in the line; the autotransformer stands between line and neutral on the input or the output
//! side of the booster; the booster primary hangs between the slider and a fixed point of the autotransformer. Three phases are
//! three of these with their star points on the neutral and their sliders on one chain.

use super::assemble::{USUAL, add, join, start, strip, variable_winding, winding, wound, written};
use super::{Arrangement, Choice, Options, assemble};
use gear::{Dot, Find, Gang, PartKind, Winding};
use quantity::Unit;

const PHASES: Choice = Choice {
    key: "phases",
    name: "phases",
    values: &[("3", "three phases"), ("1", "one phase")],
};

const SIDE: Choice = Choice {
    key: "side",
    name: "side of the booster",
    values: &[
        (
            "output",
            "autotransformer on the output side of the booster",
        ),
        ("input", "autotransformer on the input side of the booster"),
    ],
};

const BOOSTER: Choice = Choice {
    key: "booster",
    name: "booster",
    values: &[
        ("usual", "as usual: adds when the slider goes up"),
        ("reversed", "reversed: takes away when the slider goes up"),
    ],
};

const FED: Choice = Choice {
    key: "fed",
    name: "booster fed between",
    values: &[
        ("star", "slider and star end: only adds"),
        (
            "line",
            "slider and line end: adds most with the slider at the star end",
        ),
    ],
};

const BOOSTER_AT_LINE_END: Choice = Choice {
    key: "booster",
    name: "booster",
    values: &[
        ("usual", "as usual: adds to the line"),
        ("reversed", "reversed: takes from the line"),
    ],
};

/// Where the booster primary is fed from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fed {
    Tap,
    Star,
    Line,
}

/// Booster fed from centre tap and slider.
pub(super) const CENTRE_TAP: Arrangement = Arrangement {
    key: "stabilizer-centre-tap",
    name: "stabilizer, booster fed from centre tap and slider",
    seen_by: "A fixed lead leaves each autotransformer at the middle of its winding; it and the slider's lead go to the thinner winding of a second transformer.",
    choices: &[PHASES, SIDE, BOOSTER],
    build: |options| build(&CENTRE_TAP, options, Fed::Tap),
};

/// Booster fed from an end and the slider.
pub(super) const END_FED: Arrangement = Arrangement {
    key: "stabilizer-end-fed",
    name: "stabilizer, booster fed from an end and slider",
    seen_by: "The autotransformer has no lead at the middle of its winding; the thinner winding of a second transformer hangs between the slider and one end.",
    choices: &[PHASES, FED, SIDE, BOOSTER_AT_LINE_END],
    build: |options| {
        let fed = if options.get(&END_FED, "fed") == "line" {
            Fed::Line
        } else {
            Fed::Star
        };
        build(&END_FED, options, fed)
    },
};

fn build(arrangement: &Arrangement, options: &Options, fed: Fed) -> Find {
    let phases: usize = if options.get(arrangement, "phases") == "1" {
        1
    } else {
        3
    };
    let mut find = start(arrangement.key, options, Some(phases as u8));
    let phase = |k: usize| (phases == 3).then_some(k as u8);
    for k in 1..=phases {
        let kind = PartKind::VariableAutotransformer(wound(vec![autotransformer(options, fed)]));
        add(
            &mut find,
            &format!("T{k}"),
            "autotransformer",
            phase(k),
            kind,
        );
        set_power(
            &mut find,
            written(options, "winding_power", Unit::VoltAmpere),
        );
    }
    for k in 1..=phases {
        let kind = PartKind::Transformer(wound(booster(options, fed)));
        add(
            &mut find,
            &format!("T{}", phases + k),
            "booster",
            phase(k),
            kind,
        );
        set_power(
            &mut find,
            written(options, "booster_power", Unit::VoltAmpere),
        );
    }
    for k in 1..=phases {
        let kind = PartKind::Fuse {
            current: written(options, "fuse", Unit::Ampere),
        };
        add(&mut find, &format!("F{k}"), "fuse", phase(k), kind);
    }
    let (input, output): (&[&str], &[&str]) = match phases {
        1 => (&["1", "N", "PE"], &["1", "N"]),
        _ => (&["1", "2", "3", "N", "PE"], &["1", "2", "3", "N"]),
    };
    strip(&mut find, "X1", "input", input);
    strip(&mut find, "X2", "output", output);
    join_up(&mut find, arrangement, options, fed, phases);
    if phases == 3 {
        let parts = (1..=3)
            .filter_map(|k| assemble::designation("T", k))
            .collect();
        find.gangs.push(Gang {
            name: "chain".to_owned(),
            parts,
        });
    }
    find
}

fn join_up(find: &mut Find, arrangement: &Arrangement, options: &Options, fed: Fed, phases: usize) {
    let reversed = options.get(arrangement, "booster") == "reversed";
    let on_input = options.get(arrangement, "side") == "input";
    for k in 1..=phases {
        let (auto, boost) = (format!("T{k}"), format!("T{}", phases + k));
        let at = |part: &str, mark: &str| format!("{part}:{mark}");
        let (line_end, from, to) = (at(&auto, "1"), at(&boost, "2.1"), at(&boost, "2.2"));
        let (input, output) = (format!("X1:{k}"), format!("X2:{k}"));
        let (fuse_in, fuse_out) = (format!("F{k}:1"), format!("F{k}:2"));
        join(find, &[&input, &fuse_in], USUAL);
        if on_input {
            join(find, &[&fuse_out, &line_end, &from], USUAL);
            join(find, &[&to, &output], USUAL);
        } else {
            join(find, &[&fuse_out, &from], USUAL);
            join(find, &[&to, &line_end, &output], USUAL);
        }
        // The start of the primary takes the end that rises when the booster is to add.
        let slider = at(&auto, "4");
        let (high, low) = match fed {
            Fed::Tap => (slider, at(&auto, "2")),
            Fed::Star => (slider, at(&auto, "3")),
            Fed::Line => (at(&auto, "1"), slider),
        };
        let (start, end) = if reversed { (low, high) } else { (high, low) };
        join(find, &[&start, &at(&boost, "1.2")], USUAL);
        join(find, &[&end, &at(&boost, "1.1")], USUAL);
    }
    let mut star: Vec<String> = (1..=phases).map(|k| format!("T{k}:3")).collect();
    star.extend(["X1:N".to_owned(), "X2:N".to_owned()]);
    let star: Vec<&str> = star.iter().map(String::as_str).collect();
    join(
        find,
        &star,
        if phases == 3 {
            "star point; as such gear is usually wired, nobody has looked"
        } else {
            USUAL
        },
    );
}

fn autotransformer(options: &Options, fed: Fed) -> Winding {
    let winding = variable_winding(fed == Fed::Tap, Some("0.50"));
    Winding {
        volts: written(options, "winding_volts", Unit::Volt),
        ..winding
    }
}

/// Primary and secondary, dots at `1.2` and `2.2`. Volts follow from the autotransformer's and the ratio, if both are given: the
/// primary sees half the winding from a centre tap, else all of it.
fn booster(options: &Options, fed: Fed) -> Vec<Winding> {
    let mut primary = winding("primary", &["1.2", "1.1"], Dot::First);
    let mut secondary = winding("secondary", &["2.2", "2.1"], Dot::First);
    let whole = written(options, "winding_volts", Unit::Volt).and_then(|q| q.value());
    let ratio = written(options, "booster_ratio", Unit::One).and_then(|q| q.value());
    if let (Some(whole), Some(ratio)) = (whole, ratio.filter(|r| *r > 0.0)) {
        let fed_volts = if fed == Fed::Tap { whole / 2.0 } else { whole };
        primary.volts = assemble::volts(fed_volts);
        secondary.volts = assemble::volts(fed_volts / ratio);
    }
    vec![primary, secondary]
}

fn set_power(find: &mut Find, power: Option<quantity::Quantity>) {
    let Some(part) = find.parts.last_mut() else {
        return;
    };
    if let PartKind::Transformer(wound) | PartKind::VariableAutotransformer(wound) = &mut part.kind
    {
        wound.power = power;
    }
}
