//! A current: an arrow on the conductor that carries just this current, its figures beside it.

use super::patch::Patch;
use crate::schematic::Annotation;
use crate::schematic::circuit::Circuit;
use crate::schematic::route;
use crate::schematic::sketch::{Item, Layer, Run, Sketch};
use crate::svg::{BoxKind, LineKind, Path, Point, Rect, at};
use gear::TerminalRef;

/// A current: an arrow on the conductor, its figures beside it. False if no stretch carries just this current.
pub(super) fn flow(
    sketch: &mut Sketch,
    circuit: &Circuit<'_>,
    note: &Annotation,
    terminal: &TerminalRef,
) -> bool {
    let patch = Patch::of(note);
    let mut best: Option<(f64, Point, Point, LineKind, Point)> = None;
    for (chained, (start, node, away)) in starts(sketch, circuit, terminal).into_iter().enumerate()
    {
        for run in sketch.runs.clone().iter().filter(|r| r.node == node) {
            let Some(from_start) = joints_on_way(sketch, node, start, run) else {
                continue;
            };
            let direction = if from_start == away { 1.0 } else { -1.0 };
            let (dx, dy) = (run.to.x - run.from.x, run.to.y - run.from.y);
            let long = dx.abs() + dy.abs();
            if long < 34.0 {
                continue;
            }
            let unit = at(dx / long * direction, dy / long * direction);
            let kind = sketch.kind_of(run);
            let mut along = 17.0;
            while along <= long - 17.0 {
                let tip = at(
                    run.from.x + dx / long * along + 6.5 * unit.x,
                    run.from.y + dy / long * along + 6.5 * unit.y,
                );
                let body = Rect::around(at(tip.x - 6.5 * unit.x, tip.y - 6.5 * unit.y), 15.0, 15.0);
                let sides = if run.is_level() {
                    [
                        at(tip.x - 6.5 * unit.x, run.from.y - patch.height / 2.0 - 13.0),
                        at(tip.x - 6.5 * unit.x, run.from.y + patch.height / 2.0 + 12.0),
                    ]
                } else {
                    [
                        at(tip.x + patch.width / 2.0 + 12.0, tip.y),
                        at(tip.x - patch.width / 2.0 - 12.0, tip.y),
                    ]
                };
                for (place, centre) in sides.into_iter().enumerate() {
                    let covers = patch.covers(centre).grown(3.0);
                    if !sketch.is_free(&body) || !sketch.is_free(&covers) || !sketch.is_dry(&covers)
                    {
                        continue;
                    }
                    let cost = (tip.x - start.x).abs()
                        + (tip.y - start.y).abs()
                        + 60.0 * place as f64
                        + 90.0 * chained as f64
                        + if run.is_level() { 0.0 } else { 40.0 };
                    if best.as_ref().is_none_or(|b| cost < b.0) {
                        best = Some((cost, tip, unit, kind, centre));
                    }
                }
                along += 6.0;
            }
        }
    }
    let Some((_, tip, unit, kind, centre)) = best else {
        return false;
    };
    let tail = at(tip.x - 13.0 * unit.x, tip.y - 13.0 * unit.y);
    let head = Path::through(&[
        tip,
        at(tail.x - 6.0 * unit.y, tail.y + 6.0 * unit.x),
        at(tail.x + 6.0 * unit.y, tail.y - 6.0 * unit.x),
    ])
    .close();
    sketch.put(Layer::Symbol, Item::Flow { kind, path: head });
    let covers = Rect::around(
        at((tip.x + tail.x) / 2.0, (tip.y + tail.y) / 2.0),
        13.0,
        13.0,
    );
    sketch.put(
        Layer::Symbol,
        Item::Box {
            kind: BoxKind::Sign,
            what: format!("current {}", note.number),
            covers,
        },
    );
    sketch.obstacles.push(covers);
    patch.put(sketch, centre);
    true
}

/// Points a current may be followed from: start, conductor, and whether it flows away from the start.
pub(super) fn starts(
    sketch: &Sketch,
    circuit: &Circuit<'_>,
    terminal: &TerminalRef,
) -> Vec<(Point, usize, bool)> {
    let name = terminal.to_string();
    let Some(node) = circuit.node(terminal) else {
        return Vec::new();
    };
    if let Some((_, p)) = sketch.ports.iter().find(|p| p.0 == name) {
        let mut all = vec![(*p, node, true)];
        // The same current goes on behind a fuse or switch that is alone on the conductor.
        if circuit.landings(node) == 2
            && let Some(e) = circuit
                .elements
                .iter()
                .find(|e| !e.is_wound() && e.touches(node))
        {
            let other = if e.pins[0].node == node {
                &e.pins[1]
            } else {
                &e.pins[0]
            };
            let far = other.terminal.to_string();
            all.extend(
                sketch
                    .landings
                    .iter()
                    .find(|l| l.terminal == far)
                    .map(|l| (l.at, other.node, true)),
            );
        }
        return all;
    }
    sketch
        .landings
        .iter()
        .find(|l| l.terminal == name)
        .map(|l| (l.at, node, false))
        .into_iter()
        .collect()
}

/// If a conductor's current from `start` passes whole through `run`: whether `start` lies on the side of the run's first end.
fn joints_on_way(sketch: &Sketch, node: usize, start: Point, run: &Run) -> Option<bool> {
    let joints = route::joints(sketch);
    let is_joint = |p: Point| {
        joints
            .iter()
            .any(|j| (j.x - p.x).abs() + (j.y - p.y).abs() < 0.5)
    };
    let runs: Vec<Run> = sketch
        .runs
        .iter()
        .filter(|r| r.node == node)
        .copied()
        .collect();
    if joints
        .iter()
        .any(|j| run.holds(*j) && ![run.from, run.to].contains(j))
    {
        return None;
    }
    let mut seen = vec![start];
    let mut at_point = vec![start];
    while let Some(p) = at_point.pop() {
        if (p.x - run.from.x).abs() + (p.y - run.from.y).abs() < 0.5 {
            return Some(true);
        }
        if (p.x - run.to.x).abs() + (p.y - run.to.y).abs() < 0.5 {
            return Some(false);
        }
        if is_joint(p) {
            continue;
        }
        for r in runs.iter().filter(|r| r.holds(p)) {
            if joints
                .iter()
                .any(|j| r.holds(*j) && ![r.from, r.to].contains(j))
            {
                continue;
            }
            for end in [r.from, r.to] {
                if !seen.contains(&end) {
                    seen.push(end);
                    at_point.push(end);
                }
            }
        }
    }
    None
}
