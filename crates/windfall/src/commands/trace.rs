//! `windfall trace`: an unmarked part's leads sorted as far as its readings go, and the next test.

use crate::arguments::{Trace, Where};
use crate::failure::{Failure, Outcome};
use crate::given::{self, Given};
use crate::input;
use gear::{Designation, Dot, Find, Part, PartKind, Unmarked};
use serde_json::{Value, json};
use std::fmt::Write as _;
use trace::{Next, Traced, TracedWinding};

pub(crate) fn run(asked: &Trace) -> Result<Outcome, Failure> {
    let (at, wanted) = with_part(asked);
    let given = given::find(&at)?;
    let (part, unmarked) = chosen(&given, wanted)?;
    let intended = judgement::volts(asked.volts.as_deref(), 0.0)
        .map_err(|e| Failure::input(format!("--volts: {e}")))?;
    let intended = (intended > 0.0).then_some(intended);
    let traced = trace::traced_at(&given.find, &part.designation, intended)
        .ok_or_else(|| Failure::Program(format!("{} is not traced", part.designation)))?;
    if asked.sheet.json {
        input::print_json(&document(&traced))?;
    } else if asked.adopt {
        input::print(&adopted(part, unmarked, &traced))?;
    } else {
        input::print(&text(&traced))?;
    }
    Ok(Outcome::of(!traced.contradictions.is_empty()))
}

/// Where the find is and which part is meant: with --find the one word that stands alone is the part.
fn with_part(asked: &Trace) -> (Where, Option<&str>) {
    let mut at = asked.sheet.at.clone();
    let alone = asked.sheet.at.sheet.as_ref().and_then(|word| word.to_str());
    if at.find.is_some() && asked.part.is_none() && alone.is_some() {
        at.sheet = None;
        return (at, alone);
    }
    (at, asked.part.as_deref())
}

/// The part asked for, or the only unmarked one.
fn chosen<'a>(given: &'a Given, wanted: Option<&str>) -> Result<(&'a Part, &'a Unmarked), Failure> {
    let name = &given.name;
    let all: Vec<(&Part, &Unmarked)> = given
        .find
        .parts
        .iter()
        .filter_map(|p| match &p.kind {
            PartKind::Unmarked(u) => Some((p, u)),
            _ => None,
        })
        .collect();
    let known: Vec<&str> = all.iter().map(|(p, _)| p.designation.as_str()).collect();
    match (wanted, all.as_slice()) {
        (_, []) => Err(Failure::input(format!(
            "{name}: no part of kind `unmarked windings`; add one with its `leads`, or start with `windfall new unmarked-windings`"
        ))),
        (None, [one]) => Ok(*one),
        (None, _) => Err(Failure::input(format!(
            "{name}: several unmarked parts; say which: {}",
            known.join(", ")
        ))),
        (Some(wanted), _) => {
            let wanted = Designation::parse(wanted).map_err(Failure::input)?;
            all.into_iter()
                .find(|(p, _)| p.designation == wanted)
                .ok_or_else(|| {
                    Failure::input(format!(
                        "{name}: {wanted} is no unmarked part; known: {}",
                        known.join(", ")
                    ))
                })
        }
    }
}

fn text(traced: &Traced) -> String {
    let mut text = format!("{}: {} leads\n", traced.part, traced.leads.len());
    for w in &traced.windings {
        let _ = writeln!(text, "  {:<11}{}", w.name, row(w));
    }
    if !traced.unplaced.is_empty() {
        let _ = writeln!(text, "  not placed yet: {}", traced.unplaced.join(", "));
    }
    for c in &traced.contradictions {
        let numbers: Vec<String> = c.readings.iter().map(u32::to_string).collect();
        let _ = writeln!(
            text,
            "\nContradiction: {} (readings {})",
            c.what,
            numbers.join(", ")
        );
    }
    for phase in &traced.phases {
        let halves: Vec<String> = phase
            .halves
            .iter()
            .map(|(start, finish)| {
                let finish = finish.as_deref().unwrap_or("the star inside");
                format!("{start} to {finish}")
            })
            .collect();
        let _ = writeln!(text, "  phase {}: {}", phase.name, halves.join(", "));
    }
    for remark in &traced.remarks {
        let _ = writeln!(text, "\n{remark}.");
    }
    match (&traced.next, &traced.blocked) {
        (Some(next), _) => {
            for caution in &next.cautions {
                let _ = writeln!(text, "\n! {caution}");
            }
            let _ = writeln!(
                text,
                "\nNext test, {}: {}.\n  why: {}\n  class: {}",
                next.class.word(),
                next.what,
                next.why,
                next.class_why
            );
            let _ = write!(text, "  {}", written(next));
            let _ = writeln!(
                text,
                "\nLeft at worst, this one included: {} {}, one reading each, if none has to be repeated.",
                traced.left,
                if traced.left == 1 { "test" } else { "tests" }
            );
        }
        (None, Some(why)) => {
            let _ = writeln!(text, "\nNo test can be proposed: {why}.");
        }
        (None, None) => {
            text.push_str("\nAll is told. `--adopt` prints the part with these windings.\n")
        }
    }
    text
}

/// "1 - 5 (0.50) - 3, start 1, 12.3 Ω, ratio 1".
fn row(w: &TracedWinding) -> String {
    let points: Vec<String> = w
        .points
        .iter()
        .map(|p| match p.at {
            Some((at, u)) => format!("{} (at {at:.2} ± {:.2})", p.terminal, (2.0 * u).max(0.01)),
            None => p.terminal.clone(),
        })
        .collect();
    let mut row = points.join(" - ");
    if let Some(start) = start(w) {
        let _ = write!(row, ", start {start}");
    }
    if let Some(ohms) = w.ohms {
        let _ = write!(row, ", {ohms:.2} Ω");
    }
    if let Some((ratio, u)) = w.ratio {
        let _ = write!(row, ", {ratio:.3} ± {:.3} of the fed winding", 2.0 * u);
    }
    if let Some((turns, u)) = w.turns {
        let _ = write!(row, ", {turns:.0} ± {:.0} turns", (2.0 * u).max(1.0));
    }
    row
}

fn start(w: &TracedWinding) -> Option<&str> {
    let point = match w.dot {
        Dot::First => w.points.first(),
        Dot::Last => w.points.last(),
        Dot::Unknown => None,
    };
    point.map(|p| p.terminal.as_str())
}

/// Where to write it down.
fn written(next: &Next) -> String {
    match (next.repeats, next.new_setup) {
        (Some(_), _) => format!("write it as a new reading in setup {}\n", next.setup.number),
        (None, false) => format!("write it into setup {}\n", next.setup.number),
        (None, true) => format!(
            "a new setup:\n\n{}",
            block(
                Find {
                    name: "x".into(),
                    setups: vec![next.setup.clone()],
                    ..Find::default()
                },
                "[[setup]]"
            )
        ),
    }
}

/// The text of a sheet from this heading on.
fn block(find: Find, heading: &str) -> String {
    let text = sheet::write(&find);
    text.find(heading)
        .map_or(String::new(), |at| text[at..].to_owned())
}

/// The part as a transformer with the windings found.
fn adopted(part: &Part, unmarked: &Unmarked, traced: &Traced) -> String {
    let part = Part {
        kind: PartKind::Transformer(traced.wound(unmarked)),
        ..part.clone()
    };
    let how = if !traced.phases.is_empty() {
        "# three phases do not share one core: make one part of each phase's halves before a sheet is judged with it\n"
    } else if traced.settled {
        "# all told by its readings; put it in the place of the unmarked part\n"
    } else {
        "# not all is told yet: what is missing is left out\n"
    };
    let find = Find {
        name: "x".into(),
        parts: vec![part],
        ..Find::default()
    };
    format!("{how}{}", block(find, "[[part]]"))
}

fn document(traced: &Traced) -> Value {
    let pair = |v: Option<(f64, f64)>| v.map(|(value, u)| json!({ "value": value, "u": u }));
    let windings: Vec<Value> = traced
        .windings
        .iter()
        .map(|w| {
            let points: Vec<Value> = w
                .points
                .iter()
                .map(|p| json!({ "terminal": p.terminal, "at": pair(p.at) }))
                .collect();
            json!({
                "name": w.name, "points": points, "start": start(w), "ohms": w.ohms, "ratio": pair(w.ratio),
                "turns": pair(w.turns), "by_elimination": w.by_elimination,
            })
        })
        .collect();
    let contradictions: Vec<Value> = traced
        .contradictions
        .iter()
        .map(|c| json!({ "readings": c.readings, "what": c.what }))
        .collect();
    let next = traced.next.as_ref().map(|n| {
        json!({
            "what": n.what, "why": n.why, "class": n.class.word(), "class_why": n.class_why, "measured": n.measured.word(),
            "place": n.place.terminals().iter().map(ToString::to_string).collect::<Vec<_>>(),
            "setup": n.setup.number, "new_setup": n.new_setup.then(|| written(n)), "cautions": n.cautions, "repeats": n.repeats,
        })
    });
    let phases: Vec<Value> = traced
        .phases
        .iter()
        .map(|p| json!({ "name": p.name, "halves": p.halves.iter().map(|(s, f)| json!([s, f])).collect::<Vec<_>>() }))
        .collect();
    json!({
        "phases": phases,
        "part": traced.part.as_str(), "leads": traced.leads, "windings": windings, "unplaced": traced.unplaced,
        "contradictions": contradictions, "next": next, "left": traced.left, "settled": traced.settled, "blocked": traced.blocked,
        "remarks": traced.remarks,
    })
}
