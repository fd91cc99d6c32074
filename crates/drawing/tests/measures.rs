//! Measures every drawing by its own account: no wire through a symbol or a figure, no text over text, dots only where leads
//! join, terminals marked, crossings counted, everything on the paper. Over every arrangement, every example, and with readings.

#![allow(clippy::unwrap_used)]

mod finds;

use drawing::svg::{BoxKind, LineKind, Placed, Point, Rect, Segment};
use drawing::{Annotation, Drawing, DrawingError, Mark, schematic};
use finds::*;
use gear::Place;

fn shrunk(b: &Rect, by: f64) -> Rect {
    b.grown(-by)
}

fn near(a: Point, b: Point) -> bool {
    (a.x - b.x).abs() + (a.y - b.y).abs() < 1.0
}

fn inside(r: &Rect, p: Point) -> bool {
    p.x > r.x0 - 0.6 && p.x < r.x1 + 0.6 && p.y > r.y0 - 0.6 && p.y < r.y1 + 0.6
}

fn holds(s: &Segment, p: Point) -> bool {
    inside(&Rect::new(s.from, s.to), p)
}

fn level(s: &Segment) -> bool {
    (s.from.y - s.to.y).abs() < 0.01
}

/// Wires that cross wires of another conductor.
fn crossings(drawing: &Drawing) -> usize {
    let wires: Vec<&Segment> = drawing
        .segments
        .iter()
        .filter(|s| s.kind.is_wire())
        .collect();
    let mut count = 0;
    for (i, a) in wires.iter().enumerate() {
        for b in &wires[i + 1..] {
            if a.node != b.node && level(a) != level(b) {
                let (l, u) = if level(a) { (a, b) } else { (b, a) };
                let p = Point {
                    x: u.from.x,
                    y: l.from.y,
                };
                count += usize::from(holds(l, p) && holds(u, p));
            }
        }
    }
    count
}

/// Everything wrong with a drawing, in words.
fn faults(drawing: &Drawing) -> Vec<String> {
    let mut found = Vec::new();
    through_boxes(drawing, &mut found);
    over_each_other(drawing, &mut found);
    joints(drawing, &mut found);
    terminals_marked(drawing, &mut found);
    let paper = Rect {
        x0: 0.0,
        y0: 0.0,
        x1: drawing.width,
        y1: drawing.height,
    };
    for b in &drawing.boxes {
        if b.at.x0 < 4.0 || b.at.y0 < 4.0 || b.at.x1 > paper.x1 - 4.0 || b.at.y1 > paper.y1 - 4.0 {
            found.push(format!("`{}` leaves the paper", b.what));
        }
    }
    for s in &drawing.segments {
        if !inside(&paper, s.from) || !inside(&paper, s.to) {
            found.push(format!("a {:?} line leaves the paper", s.kind));
        }
    }
    found
}

fn is_landing(b: &Placed) -> bool {
    b.what.starts_with("terminal ") || b.what == "joint"
}

fn through_boxes(drawing: &Drawing, found: &mut Vec<String>) {
    for s in &drawing.segments {
        if !(s.kind.is_wire() || matches!(s.kind, LineKind::Dimension | LineKind::Extension)) {
            continue;
        }
        for b in &drawing.boxes {
            // An arrow lies on its conductor; a wire ends in a terminal; dimension lines tick where they please on wires.
            let own = b.what.starts_with("current ")
                || (is_landing(b)
                    && (!s.kind.is_wire()
                        || inside(&b.at, s.from)
                        || inside(&b.at, s.to)
                        || b.what == "joint"));
            if !own && shrunk(&b.at, 0.8).is_crossed_by(s.from, s.to) {
                found.push(format!(
                    "a {:?} line passes through `{}` ({:?})",
                    s.kind, b.what, b.kind
                ));
            }
        }
    }
}

fn over_each_other(drawing: &Drawing, found: &mut Vec<String>) {
    for (i, a) in drawing.boxes.iter().enumerate() {
        for b in &drawing.boxes[i + 1..] {
            let ring = |x: &Placed, y: &Placed| x.what == format!("ring {}", y.what);
            let brush = |x: &Placed, y: &Placed| {
                x.what.starts_with("brush ") && y.what.starts_with("winding of")
            };
            let meet = |x: &Placed| x.what == "joint";
            if ring(a, b)
                || ring(b, a)
                || brush(a, b)
                || brush(b, a)
                || ((meet(a) || meet(b)) && a.kind == BoxKind::Symbol && b.kind == BoxKind::Symbol)
            {
                continue;
            }
            if shrunk(&a.at, 0.4).overlaps(&shrunk(&b.at, 0.4)) {
                found.push(format!("`{}` lies over `{}`", a.what, b.what));
            }
        }
    }
}

fn joints(drawing: &Drawing, found: &mut Vec<String>) {
    let wires: Vec<&Segment> = drawing
        .segments
        .iter()
        .filter(|s| s.kind.is_wire())
        .collect();
    let dots: Vec<&Placed> = drawing.boxes.iter().filter(|b| b.what == "joint").collect();
    let centre = |b: &Placed| Point {
        x: (b.at.x0 + b.at.x1) / 2.0,
        y: (b.at.y0 + b.at.y1) / 2.0,
    };
    for dot in &dots {
        let p = centre(dot);
        let mut ways: Vec<(Option<usize>, i32, i32)> = Vec::new();
        for s in wires.iter().filter(|s| holds(s, p)) {
            for end in [s.from, s.to] {
                if !near(end, p) {
                    ways.push((
                        s.node,
                        ((end.x - p.x) / 2.0).clamp(-1.0, 1.0) as i32,
                        ((end.y - p.y) / 2.0).clamp(-1.0, 1.0) as i32,
                    ));
                }
            }
        }
        ways.sort_unstable();
        ways.dedup();
        let most = ways
            .iter()
            .map(|w| ways.iter().filter(|v| v.0 == w.0).count())
            .max()
            .unwrap_or(0);
        let symbol = drawing.boxes.iter().any(|b| {
            b.kind == BoxKind::Symbol
                && b.what.contains(' ')
                && b.at.grown(1.0).overlaps(&dot.at)
                && !is_landing(b)
        });
        if most + usize::from(symbol) < 3 {
            found.push(format!("a dot where only {most} leads meet"));
        }
    }
    for a in &wires {
        for b in &wires {
            for end in [a.from, a.to] {
                let inner = holds(b, end) && !near(b.from, end) && !near(b.to, end);
                if inner && a.node != b.node {
                    found.push("a conductor ends on another".to_owned());
                }
                if inner
                    && a.node == b.node
                    && level(a) != level(b)
                    && !dots.iter().any(|d| near(centre(d), end))
                {
                    found.push("leads join without a dot".to_owned());
                }
            }
        }
    }
}

fn terminals_marked(drawing: &Drawing, found: &mut Vec<String>) {
    for terminal in drawing
        .boxes
        .iter()
        .filter_map(|b| b.what.strip_prefix("terminal ").map(|t| (t, b.at)))
    {
        let short = terminal.0.split(':').nth(1).unwrap();
        let close = |b: &Placed| {
            b.kind == BoxKind::Text
                && (b.what == terminal.0 || b.what == short)
                && b.at.grown(32.0).overlaps(&terminal.1)
        };
        if !drawing.boxes.iter().any(close) {
            found.push(format!("terminal {} has no mark", terminal.0));
        }
    }
}

fn must_be_clean(name: &str, drawing: &Drawing) {
    let mut found = faults(drawing);
    if drawing.svg.contains("not drawn:") {
        let at = drawing.svg.find("not drawn:").unwrap();
        found.push(drawing.svg[at..].lines().next().unwrap().to_owned());
    }
    assert!(found.is_empty(), "{name}: {found:#?}");
    assert!(
        !drawing.svg.contains("NaN") && !drawing.svg.contains("inf"),
        "{name} has a figure that is none"
    );
}

const THREE: [&str; 3] = ["X1:1", "X1:2", "X1:3"];

/// Readings between every pair of terminals of each winding, and along the lines.
fn many_notes(find: &gear::Find, phase: u8) -> Vec<Annotation> {
    let mut notes = Vec::new();
    for part in find
        .parts
        .iter()
        .filter(|p| p.phase.is_none_or(|q| q == phase))
    {
        let Some(wound) = part.kind.wound() else {
            continue;
        };
        for winding in &wound.windings {
            let marks: Vec<&str> = winding.terminals().collect();
            for pair in marks.windows(2) {
                let place = Place::Between(part.terminal(pair[0]), part.terminal(pair[1]));
                notes.push(note(
                    notes.len() as u32 + 95,
                    place,
                    "123.4 V",
                    Mark::Doubtful,
                    "118.4 ± 1.1",
                ));
            }
        }
    }
    notes
}

#[test]
fn the_creamery_phase_is_clean_and_nothing_crosses() {
    let find = stabilizer(Way::Output, 3);
    let drawing = schematic(&find, Some(&setup("0.70", &THREE)), 1, &creamery_notes()).unwrap();
    must_be_clean("creamery", &drawing);
    assert_eq!(crossings(&drawing), 0);
    let text = |what: &str| {
        drawing
            .boxes
            .iter()
            .any(|b| b.kind == BoxKind::Text && b.what == what)
    };
    assert!(text("star point, with T2 and T3") && text("track pitted") && text("0.70"));
    assert!(
        !drawing.svg.contains("13.09"),
        "a struck reading is not drawn"
    );
    for number in [21, 22, 23, 24, 25, 26, 28, 29] {
        assert!(
            drawing.svg.contains(&format!("id=\"predicted-{number}\"")),
            "prediction {number} cannot be found by a page"
        );
    }
    // Every voltage between two places here is a distance: only the floating one is told in words.
    assert!(text(
        "X1:1 to X1:PE, floating: this number proves nothing. Not proven dead; use a low-impedance two-pole tester."
    ));
    assert!(!text("T1:1 to T1:4"));
}

#[test]
fn the_handle_stands_where_the_slider_stands() {
    let find = stabilizer(Way::Output, 3);
    let drawing = schematic(&find, Some(&setup("0.70", &THREE)), 1, &[]).unwrap();
    let handle = &drawing.handles[0];
    assert_eq!(
        (drawing.handles.len(), handle.terminal.as_str()),
        (1, "T1:4")
    );
    assert!((handle.position - 0.70).abs() < 1e-9);
    assert!(
        handle.one.y < handle.zero.y,
        "position 1 is the line end, above"
    );
    let y = handle.zero.y + 0.70 * (handle.one.y - handle.zero.y);
    assert!(handle.covers.y0 < y && y < handle.covers.y1);
    assert!(drawing.svg.contains("id=\"slider-T1\""));
}

#[test]
fn every_slider_position_is_clean() {
    for way in [Way::Output, Way::Input, Way::Reversed, Way::EndFed] {
        let find = stabilizer(way, 3);
        for percent in (0..=100).step_by(5).chain([48, 49, 51, 52, 53]) {
            let slider = format!("{:.2}", f64::from(percent) / 100.0);
            let drawing = schematic(&find, Some(&setup(&slider, &THREE)), 1, &[]).unwrap();
            must_be_clean(&format!("{way:?}, slider at {slider}"), &drawing);
            assert_eq!(crossings(&drawing), 0, "{way:?}, slider at {slider}");
        }
    }
}

#[test]
fn every_arrangement_is_clean_in_every_phase() {
    for (name, find, phases) in all_arrangements() {
        for phase in 1..=phases {
            let drawing = match schematic(&find, None, phase, &[]) {
                Err(DrawingError::NoParts) if find.parts.is_empty() => continue,
                other => other.unwrap(),
            };
            must_be_clean(&format!("{name}, phase {phase}"), &drawing);
            assert_eq!(crossings(&drawing), 0, "{name}, phase {phase}");
        }
    }
}

#[test]
fn readings_everywhere_stay_clean() {
    for way in [Way::Output, Way::Input, Way::Reversed, Way::EndFed] {
        let find = stabilizer(way, 3);
        for slider in ["0.00", "0.21", "0.50", "0.70", "1.00"] {
            let mut notes = many_notes(&find, 1);
            notes.extend(creamery_notes());
            let drawing = schematic(&find, Some(&setup(slider, &THREE)), 1, &notes).unwrap();
            must_be_clean(&format!("readings, slider at {slider}"), &drawing);
        }
    }
}

#[test]
fn other_gear_is_clean() {
    for (name, find) in [
        ("transformer", transformer()),
        ("transformer on strips", transformer_on_strips()),
        ("variable", variable(false)),
        ("variable on strips", variable(true)),
        ("crate", unmarked_crate()),
    ] {
        must_be_clean(name, &schematic(&find, None, 1, &[]).unwrap());
        let drawing = schematic(&find, None, 1, &many_notes(&find, 1)).unwrap();
        must_be_clean(&format!("{name} with readings"), &drawing);
    }
}

#[test]
fn every_example_is_clean() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    for entry in std::fs::read_dir(folder)
        .unwrap()
        .map(Result::unwrap)
        .filter(|e| e.path().extension().is_some_and(|x| x == "toml"))
    {
        let name = entry.path().display().to_string();
        let find = sheet::read(&std::fs::read_to_string(entry.path()).unwrap()).unwrap();
        if find.parts.is_empty() {
            continue;
        }
        for phase in 1..=3 {
            for setup in find.setups.iter().map(Some).chain([None]) {
                let notes: Vec<Annotation> = find
                    .readings
                    .iter()
                    .filter(|r| setup.is_some_and(|s| s.number == r.setup) && r.struck.is_none())
                    .map(|r| {
                        note(
                            r.number,
                            r.place.clone(),
                            r.shown.as_ref().map_or("beep", |s| s.text()),
                            Mark::Agrees,
                            "12.34 ± 0.12",
                        )
                    })
                    .collect();
                match schematic(&find, setup, phase, &notes) {
                    Err(DrawingError::NothingOfPhase(_)) => {}
                    drawing => must_be_clean(
                        &format!("{name}, phase {phase}, setup {:?}", setup.map(|s| s.number)),
                        &drawing.unwrap(),
                    ),
                }
            }
        }
    }
}

#[test]
fn an_open_fuse_and_a_missing_phase_are_told() {
    let find = stabilizer(Way::Output, 3);
    let mut open = setup("0.70", &THREE);
    open.switches.push(gear::SwitchSetting {
        part: d("F1"),
        closed: false,
    });
    let (drawn, shut) = (
        schematic(&find, Some(&open), 1, &[]).unwrap(),
        schematic(&find, Some(&setup("0.70", &THREE)), 1, &[]).unwrap(),
    );
    assert_ne!(drawn.svg, shut.svg);
    must_be_clean("open fuse", &drawn);
    assert_eq!(
        schematic(&gear::Find::default(), None, 1, &[]),
        Err(DrawingError::NoParts)
    );
    assert!(matches!(
        schematic(&find, None, 7, &[]),
        Err(DrawingError::NothingOfPhase(7))
    ));
}

#[test]
fn the_measures_can_fail() {
    let mut drawing = schematic(&stabilizer(Way::Output, 3), None, 1, &[]).unwrap();
    let rail = *drawing
        .segments
        .iter()
        .find(|s| s.kind == LineKind::L1)
        .unwrap();
    let middle = Point {
        x: (rail.from.x + rail.to.x) / 2.0,
        y: rail.from.y,
    };
    let put = |what: &str, kind| Placed {
        kind,
        what: what.into(),
        at: Rect::around(middle, 7.6, 7.6),
    };
    drawing.boxes.push(put("joint", BoxKind::Symbol));
    drawing.boxes.push(put("text", BoxKind::Text));
    drawing.segments.push(Segment {
        kind: LineKind::Lead,
        from: Point {
            x: middle.x,
            y: 20.0,
        },
        to: Point {
            x: middle.x,
            y: 300.0,
        },
        node: Some(999),
    });
    drawing.boxes.push(Placed {
        kind: BoxKind::Symbol,
        what: "terminal X9:9".into(),
        at: Rect::around(Point { x: -50.0, y: 0.0 }, 9.0, 9.0),
    });
    let found = faults(&drawing).join("\n");
    for words in [
        "a dot where only",
        "passes through `text`",
        "lies over",
        "terminal X9:9 has no mark",
        "leaves the paper",
    ] {
        assert!(found.contains(words), "{words} was not seen in:\n{found}");
    }
    assert!(crossings(&drawing) > 0);
}
