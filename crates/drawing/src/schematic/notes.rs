//! Readings on the drawing: a voltage as a dimension line between its two places, a current as an arrow on its conductor.
//!
//! Every reading looks for the place where it disturbs least: its patch of paper may cover nothing, its line may run through
//! nothing solid. Short ones choose first; the lines outside always have room, so the drawing grows rather than text shrink.
//! What has no two places on this drawing is written in a row beneath it.

use super::circuit::Circuit;
use super::sketch::{Item, Layer, Run, Sketch};
use super::{Annotation, Mark, joints_on_way};
use crate::signs::Sign;
use crate::svg::{Anchor, BoxKind, LineKind, Path, Point, Rect, TextStyle, at};
use gear::{Place, TerminalRef};

/// Side of a verdict's sign beside a reading.
const SIGN: f64 = 14.0;
/// Height of the ring with the number.
const RING: f64 = 19.0;
/// From one row of level dimension lines to the next, and from a line to the first.
const ROW: f64 = 66.0;
const FIRST_ROW: f64 = 50.0;
/// A dimension line shorter than this has no room for its ticks.
const SHORTEST: f64 = 22.0;
/// Extension lines begin this far from what they come from.
const GAP: f64 = 12.0;
/// Width a row's words are wrapped to.
const WORDS: f64 = 620.0;

/// A reading's patch, relative to its centre.
struct Patch<'a> {
    note: &'a Annotation,
    width: f64,
    height: f64,
}

impl<'a> Patch<'a> {
    fn of(note: &'a Annotation) -> Self {
        let read = TextStyle::Read.width(&note.read) + if note.verdict.sign().is_some() { SIGN + 5.0 } else { 0.0 };
        let predicted = note.predicted.as_ref().map_or(0.0, |p| TextStyle::Predicted.width(p));
        Self { note, width: read.max(predicted).max(ring_width(note.number)) + 8.0, height: if note.predicted.is_some() { 58.0 } else { 42.0 } }
    }

    fn covers(&self, centre: Point) -> Rect {
        Rect::around(centre, self.width, self.height)
    }

    /// Height of the middle of the reading's figures below the patch's centre.
    fn figures(&self) -> f64 {
        if self.note.predicted.is_some() { 0.5 } else { 8.5 }
    }

    fn put(&self, sketch: &mut Sketch, centre: Point) {
        let covers = self.covers(centre);
        sketch.put(Layer::Front, Item::Rect { class: "patch", rect: covers, round: 0.0 });
        sketch.obstacles.push(covers);
        ring(sketch, at(centre.x, covers.y0 + RING / 2.0 - 1.0), self.note.number);
        let base = centre.y + self.figures() + TextStyle::Read.cap_height() / 2.0;
        reading(sketch, self.note, Some(centre.x), 0.0, base);
        if let Some(predicted) = &self.note.predicted {
            predicted_text(sketch, Anchor::Middle, at(centre.x, base + 17.0), predicted, self.note.number);
        }
    }
}

fn ring_width(number: u32) -> f64 {
    (TextStyle::Ring.width(&number.to_string()) + 8.0).max(RING)
}

fn ring(sketch: &mut Sketch, centre: Point, number: u32) {
    let covers = Rect::around(centre, ring_width(number), RING);
    sketch.put(Layer::Front, Item::Rect { class: "ring", rect: covers, round: RING / 2.0 });
    sketch.put(Layer::Front, Item::Text { style: TextStyle::Ring, anchor: Anchor::Middle, at: at(centre.x, centre.y + TextStyle::Ring.cap_height() / 2.0), text: number.to_string(), id: None });
}

/// Reading and sign, about a middle or from a left end. Returns the right end.
fn reading(sketch: &mut Sketch, note: &Annotation, middle: Option<f64>, left: f64, base: f64) -> f64 {
    let wide = TextStyle::Read.width(&note.read);
    let sign = note.verdict.sign();
    let whole = wide + if sign.is_some() { SIGN + 5.0 } else { 0.0 };
    let x = middle.map_or(left, |m| m - whole / 2.0);
    sketch.put(Layer::Front, Item::Text { style: TextStyle::Read, anchor: Anchor::Start, at: at(x, base), text: note.read.clone(), id: None });
    if note.queried {
        // Only the figures are dotted under, not their unit.
        let figures = note.read.rsplit_once([' ', '\u{a0}']).map_or(note.read.as_str(), |(f, _)| f);
        let end = x + TextStyle::Read.width(figures);
        let mut dots = Path::new();
        for y in [4.5, 8.5] {
            dots = dots.move_to(at(x + 1.0, base + y)).line_to(at(end, base + y));
        }
        sketch.put(Layer::Front, Item::Path { class: "dots2".to_owned(), path: dots });
    }
    if let Some(sign) = sign {
        let centre = at(x + wide + 5.0 + SIGN / 2.0, base - TextStyle::Read.cap_height() / 2.0);
        sketch.put(Layer::Front, Item::Sign { sign, covers: Rect::around(centre, SIGN, SIGN) });
    }
    x + whole
}

fn predicted_text(sketch: &mut Sketch, anchor: Anchor, place: Point, text: &str, number: u32) {
    sketch.put(Layer::Front, Item::Text { style: TextStyle::Predicted, anchor, at: place, text: text.to_owned(), id: Some(format!("predicted-{number}")) });
}

impl Mark {
    /// Its sign.
    pub(super) fn sign(self) -> Option<Sign> {
        match self {
            Self::Agrees => Some(Sign::Agrees),
            Self::Doubtful => Some(Sign::Doubtful),
            Self::Contradicts => Some(Sign::Contradicts),
            Self::Floating => Some(Sign::Floating),
            Self::NotJudged | Self::Struck => None,
        }
    }
}

/// Puts every reading where it belongs.
pub(super) fn annotate(sketch: &mut Sketch, circuit: &Circuit<'_>, notes: &[Annotation]) {
    let mut rows: Vec<&Annotation> = Vec::new();
    let mut dims: Vec<(f64, &Annotation, Ends)> = Vec::new();
    for note in notes.iter().filter(|n| n.verdict != Mark::Struck) {
        match &note.place {
            Place::Between(a, b) => match Ends::of(sketch, circuit, a, b) {
                Some(ends) => dims.push((ends.span(), note, ends)),
                None => rows.push(note),
            },
            Place::Into(terminal) | Place::PowerInto { into: terminal, .. } => {
                if !flow(sketch, circuit, note, terminal) {
                    rows.push(note);
                }
            }
            _ => rows.push(note),
        }
    }
    dims.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut drawn: Vec<Run> = Vec::new();
    for (_, note, ends) in dims {
        let level = ends.is_level();
        let done = if level { level_dimension(sketch, note, &ends, &mut drawn) } else { upright_dimension(sketch, note, &ends, &mut drawn) };
        if !done {
            rows.push(note);
        }
    }
    rows.sort_by_key(|n| n.number);
    for note in rows {
        row(sketch, circuit, note);
    }
}

/// Where the two places of a reading are on the drawing.
struct Ends {
    /// The very terminals, where they are drawn.
    exact: [Option<Point>; 2],
    /// Level stretches that stand for each place.
    stretches: [Vec<Run>; 2],
    /// Whether each is a terminal of a strip.
    port: [bool; 2],
}

impl Ends {
    fn of(sketch: &Sketch, circuit: &Circuit<'_>, a: &TerminalRef, b: &TerminalRef) -> Option<Self> {
        let side = |t: &TerminalRef| -> Option<(Option<Point>, Vec<Run>, bool)> {
            let name = t.to_string();
            let port = sketch.ports.iter().find(|p| p.0 == name).map(|p| p.1);
            let exact = port.or_else(|| sketch.landings.iter().find(|l| l.terminal == name).map(|l| l.at));
            let node = circuit.node(t)?;
            let mut stretches: Vec<Run> = sketch.runs.iter().chain(&sketch.shadows).filter(|r| r.node == node && r.is_level()).copied().collect();
            // A terminal on a line is measured at the line wherever there is room; one that hangs alone, where it hangs.
            if let Some(p) = exact {
                stretches.push(Run { node, from: p, to: p });
            }
            if stretches.is_empty() { None } else { Some((exact, stretches, port.is_some())) }
        };
        if circuit.node(a) == circuit.node(b) {
            return None;
        }
        let (ea, sa, pa) = side(a)?;
        let (eb, sb, pb) = side(b)?;
        Some(Self { exact: [ea, eb], stretches: [sa, sb], port: [pa, pb] })
    }

    fn is_level(&self) -> bool {
        match self.exact {
            [Some(a), Some(b)] => (a.y - b.y).abs() < SHORTEST && (a.x - b.x).abs() >= 50.0,
            _ => false,
        }
    }

    /// How far apart the two are: short ones choose their place first.
    fn span(&self) -> f64 {
        match self.exact {
            [Some(a), Some(b)] => (a.x - b.x).abs().min(2000.0) * if self.is_level() { 1.0 } else { 0.1 } + (a.y - b.y).abs(),
            _ => 1000.0,
        }
    }
}

/// Wires a stretch passes, other than those that end on it.
fn wires_met(sketch: &Sketch, from: Point, to: Point) -> usize {
    let probe = Run { node: usize::MAX, from, to };
    sketch.runs.iter().filter(|r| super::route::crosses(&probe, r)).filter(|r| ![from, to].iter().any(|e| r.holds(*e))).count()
}

/// Whether a stretch runs close along a wire or another dimension line.
fn runs_along(runs: &[Run], from: Point, to: Point, off: f64) -> bool {
    let upright = (from.x - to.x).abs() < 1e-6;
    runs.iter().filter(|r| r.is_level() != upright).any(|r| {
        if upright {
            (r.from.x - from.x).abs() < off && r.from.y.max(r.to.y).min(from.y.max(to.y)) - r.from.y.min(r.to.y).max(from.y.min(to.y)) > 1.0
        } else {
            (r.from.y - from.y).abs() < off && r.from.x.max(r.to.x).min(from.x.max(to.x)) - r.from.x.min(r.to.x).max(from.x.min(to.x)) > 1.0
        }
    })
}

fn passes_solid(sketch: &Sketch, from: Point, to: Point, off: f64) -> bool {
    sketch.obstacles.iter().any(|o| o.grown(off).is_crossed_by(from, to))
}

struct Found {
    cost: f64,
    line: [Point; 2],
    extensions: Vec<[Point; 2]>,
    centre: Point,
}

fn level_dimension(sketch: &mut Sketch, note: &Annotation, ends: &Ends, drawn: &mut Vec<Run>) -> bool {
    let [Some(a), Some(b)] = ends.exact else { return false };
    let (left, right) = if a.x < b.x { (a, b) } else { (b, a) };
    let patch = Patch::of(note);
    let mut best: Option<Found> = None;
    for row in 0..9 {
        for sign in [-1.0, 1.0] {
            let shift = if sign < 0.0 { FIRST_ROW } else { 40.0 };
            let y = if sign < 0.0 { left.y.min(right.y) } else { left.y.max(right.y) } + sign * (shift + ROW / 3.0 * f64::from(row));
            let line = [at(left.x, y), at(right.x, y)];
            if passes_solid(sketch, line[0], line[1], 3.0) || runs_along(&sketch.runs, line[0], line[1], 14.0) || runs_along(drawn, line[0], line[1], 12.0) {
                continue;
            }
            let extensions: Vec<[Point; 2]> = [left, right].iter().map(|p| [at(p.x, p.y + sign * 6.0), at(p.x, y)]).collect();
            if extensions.iter().any(|e| passes_solid(sketch, e[0], e[1], 1.0) || runs_along(&sketch.runs, e[0], e[1], 3.0)) {
                continue;
            }
            let met: usize = extensions.iter().map(|e| wires_met(sketch, e[0], e[1])).sum::<usize>() + 3 * wires_met(sketch, line[0], line[1]);
            for along in [0.5, 0.35, 0.65, 0.2, 0.8] {
                let x = left.x + (right.x - left.x) * along;
                let centre = at(x, y - patch.figures());
                let covers = patch.covers(centre).grown(4.0);
                if !sketch.is_free(&covers) || !sketch.is_dry(&covers) || drawn.iter().any(|d| covers.is_crossed_by(d.from, d.to)) {
                    continue;
                }
                let above = if sign > 0.0 && left.y < 1.0 { 200.0 } else { 0.0 };
                let cost = (y - left.y).abs() + 60.0 * met as f64 + (along - 0.5).abs() * 80.0 + above;
                if best.as_ref().is_none_or(|b| cost < b.cost) {
                    best = Some(Found { cost, line, extensions: extensions.clone(), centre });
                }
            }
        }
    }
    commit(sketch, note, best, drawn)
}

fn upright_dimension(sketch: &mut Sketch, note: &Annotation, ends: &Ends, drawn: &mut Vec<Run>) -> bool {
    let patch = Patch::of(note);
    let extent = sketch.extent();
    let mut best: Option<Found> = None;
    for a in &ends.stretches[0] {
        for b in &ends.stretches[1] {
            let (top, bottom) = if a.from.y < b.from.y { (a, b) } else { (b, a) };
            if bottom.from.y - top.from.y < SHORTEST {
                continue;
            }
            let mut x = (extent.x0 - patch.width - 60.0).floor();
            while x < extent.x1 + patch.width + 60.0 {
                try_column(sketch, ends, &patch, (top, bottom), x, drawn, &mut best);
                x += 6.0;
            }
        }
    }
    commit(sketch, note, best, drawn)
}

/// Where a level stretch comes nearest to a column, and the dotted line from there if it does not reach it.
fn reach(run: &Run, x: f64) -> (f64, Option<[Point; 2]>) {
    let (low, high) = (run.from.x.min(run.to.x), run.from.x.max(run.to.x));
    let near = x.clamp(low, high);
    let away = (x - near).abs();
    if away < 1e-6 {
        return (0.0, None);
    }
    let toward = (x - near).signum();
    (away, Some([at(near + GAP.min(away) * toward, run.from.y), at(x, run.from.y)]))
}

fn try_column(sketch: &Sketch, ends: &Ends, patch: &Patch<'_>, (top, bottom): (&Run, &Run), x: f64, drawn: &[Run], best: &mut Option<Found>) {
    let line = [at(x, top.from.y), at(x, bottom.from.y)];
    let ((far_top, ext_top), (far_bottom, ext_bottom)) = (reach(top, x), reach(bottom, x));
    let mut cost = far_top + far_bottom;
    // Between terminals of a strip the place is outside, where the strip is.
    for (exact, port) in ends.exact.iter().zip(ends.port) {
        if let (Some(p), true) = (exact, port) {
            cost += (x - p.x).abs() * 0.5;
            if ends.port[0] && ends.port[1] && (x - p.x).signum() == if p.x > 1.0 { -1.0 } else { 1.0 } {
                cost += 400.0;
            }
        }
    }
    // Where the very terminal is drawn, nearness to it counts a little.
    for exact in ends.exact.iter().flatten() {
        cost += 0.15 * (x - exact.x).abs();
    }
    if best.as_ref().is_some_and(|b| b.cost <= cost) {
        return;
    }
    let inner = [at(x, top.from.y + 4.0), at(x, bottom.from.y - 4.0)];
    if passes_solid(sketch, inner[0], inner[1], 5.0) || runs_along(&sketch.runs, line[0], line[1], 16.0) || runs_along(drawn, line[0], line[1], 14.0) {
        return;
    }
    let extensions: Vec<[Point; 2]> = [ext_top, ext_bottom].into_iter().flatten().collect();
    if extensions.iter().any(|e| passes_solid(sketch, e[0], e[1], 1.5) || runs_along(&sketch.runs, e[0], e[1], 3.0)) {
        return;
    }
    cost += 160.0 * wires_met(sketch, line[0], line[1]) as f64;
    cost += extensions.iter().map(|e| 50.0 * wires_met(sketch, e[0], e[1]) as f64).sum::<f64>();
    let crossed = |e: &[Point; 2]| drawn.iter().filter(|d| super::route::crosses(d, &Run { node: 0, from: e[0], to: e[1] })).count() as f64;
    cost += extensions.iter().map(|e| 15.0 * crossed(e)).sum::<f64>();
    // Two readings in one column add up to a third.
    if drawn.iter().any(|d| (d.from.x - x).abs() < 1e-6 && (d.to.x - x).abs() < 1e-6) {
        cost -= 40.0;
    }
    let length = line[1].y - line[0].y;
    let room = length - patch.height - 16.0;
    let middle = (line[0].y + line[1].y) / 2.0;
    let on_line = [0.0, -0.2, 0.2, -0.4, 0.4].map(|f| at(x, middle + f * room.max(0.0)));
    let beside = [at(x + patch.width / 2.0 + 6.0, middle), at(x - patch.width / 2.0 - 6.0, middle)];
    let tries: Vec<(f64, Point)> = if room > 0.0 {
        on_line.iter().map(|p| ((p.y - middle).abs() * 0.3, *p)).collect()
    } else {
        beside.iter().map(|p| (20.0, *p)).collect()
    };
    for (extra, centre) in tries {
        let covers = patch.covers(centre).grown(4.0);
        if !sketch.is_free(&covers) || !sketch.is_dry(&covers) {
            continue;
        }
        let on_other = drawn.iter().any(|d| covers.is_crossed_by(d.from, d.to));
        let on_extension = sketch.items.iter().any(|(_, i)| matches!(i, Item::Line { kind: LineKind::Extension, points, .. } if covers.is_crossed_by(points[0], points[1])));
        if on_other || on_extension {
            continue;
        }
        if best.as_ref().is_none_or(|b| cost + extra < b.cost) {
            *best = Some(Found { cost: cost + extra, line, extensions: extensions.clone(), centre });
        }
    }
}

fn commit(sketch: &mut Sketch, note: &Annotation, found: Option<Found>, drawn: &mut Vec<Run>) -> bool {
    let Some(found) = found else { return false };
    for e in &found.extensions {
        sketch.put(Layer::Extension, Item::Line { kind: LineKind::Extension, points: e.to_vec(), node: None });
    }
    sketch.put(Layer::Dimension, Item::Line { kind: LineKind::Dimension, points: found.line.to_vec(), node: None });
    let mut ticks = Path::new();
    for p in found.line {
        ticks = ticks.move_to(at(p.x - 4.0, p.y + 4.0)).line_to(at(p.x + 4.0, p.y - 4.0));
    }
    sketch.put(Layer::Dimension, Item::Path { class: "dim".to_owned(), path: ticks });
    drawn.push(Run { node: usize::MAX, from: found.line[0], to: found.line[1] });
    Patch::of(note).put(sketch, found.centre);
    true
}

/// A current: an arrow on the conductor, its figures beside it. False if no stretch carries just this current.
fn flow(sketch: &mut Sketch, circuit: &Circuit<'_>, note: &Annotation, terminal: &TerminalRef) -> bool {
    let patch = Patch::of(note);
    let mut best: Option<(f64, Point, Point, LineKind, Point)> = None;
    for (start, node, away) in starts(sketch, circuit, terminal) {
        for run in sketch.runs.clone().iter().filter(|r| r.node == node) {
            let Some(from_start) = joints_on_way(sketch, node, start, run) else { continue };
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
                let tip = at(run.from.x + dx / long * along + 6.5 * unit.x, run.from.y + dy / long * along + 6.5 * unit.y);
                let body = Rect::around(at(tip.x - 6.5 * unit.x, tip.y - 6.5 * unit.y), 15.0, 15.0);
                let sides = if run.is_level() {
                    [at(tip.x - 6.5 * unit.x, run.from.y - patch.height / 2.0 - 13.0), at(tip.x - 6.5 * unit.x, run.from.y + patch.height / 2.0 + 12.0)]
                } else {
                    [at(tip.x + patch.width / 2.0 + 12.0, tip.y), at(tip.x - patch.width / 2.0 - 12.0, tip.y)]
                };
                for (place, centre) in sides.into_iter().enumerate() {
                    let covers = patch.covers(centre).grown(3.0);
                    if !sketch.is_free(&body) || !sketch.is_free(&covers) || !sketch.is_dry(&covers) {
                        continue;
                    }
                    let cost = (tip.x - start.x).abs() + (tip.y - start.y).abs() + 60.0 * place as f64 + if run.is_level() { 0.0 } else { 40.0 };
                    if best.as_ref().is_none_or(|b| cost < b.0) {
                        best = Some((cost, tip, unit, kind, centre));
                    }
                }
                along += 6.0;
            }
        }
    }
    let Some((_, tip, unit, kind, centre)) = best else { return false };
    let tail = at(tip.x - 13.0 * unit.x, tip.y - 13.0 * unit.y);
    let head = Path::through(&[tip, at(tail.x - 6.0 * unit.y, tail.y + 6.0 * unit.x), at(tail.x + 6.0 * unit.y, tail.y - 6.0 * unit.x)]).close();
    sketch.put(Layer::Symbol, Item::Flow { kind, path: head });
    let covers = Rect::around(at((tip.x + tail.x) / 2.0, (tip.y + tail.y) / 2.0), 13.0, 13.0);
    sketch.put(Layer::Symbol, Item::Box { kind: BoxKind::Sign, what: format!("current {}", note.number), covers });
    sketch.obstacles.push(covers);
    patch.put(sketch, centre);
    true
}

/// Points a current may be followed from: start, conductor, and whether it flows away from the start.
fn starts(sketch: &Sketch, circuit: &Circuit<'_>, terminal: &TerminalRef) -> Vec<(Point, usize, bool)> {
    let name = terminal.to_string();
    let Some(node) = circuit.node(terminal) else { return Vec::new() };
    if let Some((_, p)) = sketch.ports.iter().find(|p| p.0 == name) {
        let mut all = vec![(*p, node, true)];
        // The same current goes on behind a fuse or switch that is alone on the conductor.
        if circuit.landings(node) == 2 {
            if let Some(e) = circuit.elements.iter().find(|e| !e.is_wound() && e.touches(node)) {
                let other = if e.pins[0].node == node { &e.pins[1] } else { &e.pins[0] };
                let far = other.terminal.to_string();
                all.extend(sketch.landings.iter().find(|l| l.terminal == far).map(|l| (l.at, other.node, true)));
            }
        }
        return all;
    }
    sketch.landings.iter().find(|l| l.terminal == name).map(|l| (l.at, node, false)).into_iter().collect()
}

/// A reading without two places here: ring, figures, sign, and in words where it was taken.
fn row(sketch: &mut Sketch, circuit: &Circuit<'_>, note: &Annotation) {
    let extent = sketch.extent();
    let earth = circuit.ports.iter().find(|p| super::circuit::is_earth(&p.terminal.terminal) && note.place.terminals().contains(&&p.terminal));
    let beside = earth.and_then(|p| sketch.ports.iter().find(|q| q.0 == p.terminal.to_string())).map(|q| at(q.1.x + 62.0, q.1.y));
    let words = words(note);
    let lines = wrap(&words);
    let needed = |p: Point| {
        let figures = ring_width(note.number) + 6.0 + TextStyle::Read.width(&note.read) + SIGN + 12.0;
        let widest = lines.iter().map(|l| TextStyle::Predicted.width(l)).fold(0.0, f64::max);
        Rect { x0: p.x, y0: p.y - 10.0, x1: p.x + figures + widest, y1: p.y + 6.0 + 16.0 * (lines.len() - 1) as f64 }
    };
    let start = beside.filter(|p| sketch.is_free(&needed(*p).grown(2.0)) && sketch.is_dry(&needed(*p))).unwrap_or(at(extent.x0.max(-60.0), extent.y1 + 22.0));
    ring(sketch, at(start.x + ring_width(note.number) / 2.0, start.y), note.number);
    let base = start.y + TextStyle::Read.cap_height() / 2.0;
    let mut x = reading(sketch, note, None, start.x + ring_width(note.number) + 6.0, base) + 8.0;
    if let Some(predicted) = &note.predicted {
        predicted_text(sketch, Anchor::Start, at(x, base - 1.0), predicted, note.number);
        x += TextStyle::Predicted.width(predicted) + 10.0;
    }
    for (index, line) in lines.iter().enumerate() {
        sketch.text(TextStyle::Predicted, Anchor::Start, at(x, base - 1.0 + 16.0 * index as f64), line);
    }
    sketch.obstacles.push(needed(start));
}

fn words(note: &Annotation) -> String {
    let place = note.place.to_string();
    match (&note.remark, note.verdict) {
        (Some(remark), _) => format!("{place}, {remark}"),
        (None, Mark::Floating) => format!("{place}, floating: this number proves nothing"),
        (None, _) => place,
    }
}

fn wrap(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split(' ') {
        let Some(line) = lines.last_mut() else { break };
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if line.is_empty() || TextStyle::Predicted.width(&longer) <= WORDS {
            *line = longer;
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

/// Room a level dimension line's figures take.
pub(super) fn patch_width(note: &Annotation) -> f64 {
    Patch::of(note).width
}
