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
        let predicted = note.predicted.as_ref().map_or(0.0, |p| TextStyle::Predicted.width(p));
        let bare = Self { note, width: 0.0, height: 0.0 };
        Self { note, width: bare.reading_width().max(predicted).max(ring_width(note.number)) + 8.0, height: if note.predicted.is_some() { 58.0 } else { 42.0 } + if note.queried { 8.0 } else { 0.0 } }
    }

    fn covers(&self, centre: Point) -> Rect {
        Rect::around(centre, self.width, self.height)
    }

    /// Width of the figures with their sign.
    fn reading_width(&self) -> f64 {
        TextStyle::Read.width(&self.note.read) + if self.note.verdict.sign().is_some() { SIGN + 5.0 } else { 0.0 }
    }

    /// Height of the middle of the reading's figures below the patch's centre.
    fn figures(&self) -> f64 {
        (if self.note.predicted.is_some() { 0.5 } else { 8.5 }) - if self.note.queried { 4.0 } else { 0.0 }
    }

    fn put(&self, sketch: &mut Sketch, centre: Point) {
        let covers = self.covers(centre);
        sketch.put(Layer::Front, Item::Rect { class: "patch", rect: covers, round: 0.0 });
        sketch.obstacles.push(covers);
        ring(sketch, at(centre.x, covers.y0 + RING / 2.0 - 1.0), self.note.number);
        let base = centre.y + self.figures() + TextStyle::Read.cap_height() / 2.0;
        reading(sketch, self.note, Some(centre.x), 0.0, base);
        if let Some(predicted) = &self.note.predicted {
            let below = if self.note.queried { 24.0 } else { 17.0 };
            predicted_text(sketch, Anchor::Middle, at(centre.x, base + below), predicted, self.note.number);
        }
    }
}

fn ring_width(number: u32) -> f64 {
    (TextStyle::Ring.width(&number.to_string()) + 8.0).max(RING)
}

fn ring(sketch: &mut Sketch, centre: Point, number: u32) {
    let covers = Rect::around(centre, ring_width(number), RING);
    sketch.put(Layer::Front, Item::Rect { class: "ring", rect: covers, round: RING / 2.0 });
    sketch.put(Layer::Front, Item::Box { kind: BoxKind::Sign, what: format!("ring {number}"), covers });
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
    let mut found: Vec<Option<Found>> = vec![None; dims.len()];
    // Each in turn, then again with the others in their places: a chain of readings comes to stand in one column.
    for _ in 0..ROUNDS {
        for (index, (_, note, ends)) in dims.iter().enumerate() {
            let others = found.iter().enumerate().filter(|(i, _)| *i != index).filter_map(|(_, f)| f.as_ref());
            let board = Board::of(sketch, others);
            let next = if ends.is_level() { level_dimension(&board, note, ends) } else { upright_dimension(&board, note, ends) };
            found[index] = next.or(found[index].take());
        }
    }
    for ((_, note, _), found) in dims.iter().zip(found) {
        match found {
            Some(found) => commit(sketch, note, &found),
            None => rows.push(note),
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

/// Rounds of placing: the second and third let early ones make way.
const ROUNDS: usize = 3;
/// A dimension line at a strip's terminals stands at least this far outside them.
const OUTSIDE: f64 = 34.0;

/// A place found for a dimension line.
#[derive(Debug, Clone)]
struct Found {
    cost: f64,
    line: [Point; 2],
    extensions: Vec<[Point; 2]>,
    centre: Point,
    patch: Rect,
}

/// The sketch with the dimension lines placed so far.
struct Board<'s> {
    sketch: &'s Sketch,
    lines: Vec<Run>,
    patches: Vec<Rect>,
    extensions: Vec<[Point; 2]>,
}

impl<'s> Board<'s> {
    fn of<'f>(sketch: &'s Sketch, others: impl Iterator<Item = &'f Found>) -> Self {
        let mut board = Self { sketch, lines: Vec::new(), patches: Vec::new(), extensions: Vec::new() };
        for other in others {
            board.lines.push(Run { node: usize::MAX, from: other.line[0], to: other.line[1] });
            board.patches.push(other.patch);
            board.extensions.extend(&other.extensions);
        }
        board
    }

    /// Whether a patch may be laid here.
    fn has_room(&self, patch: &Rect) -> bool {
        self.sketch.is_free(patch)
            && self.sketch.is_dry(patch)
            && !self.patches.iter().any(|p| p.overlaps(patch))
            && !self.lines.iter().any(|l| patch.is_crossed_by(l.from, l.to))
            && !self.extensions.iter().any(|e| patch.is_crossed_by(e[0], e[1]))
    }

    fn passes_solid(&self, from: Point, to: Point, off: f64) -> bool {
        self.sketch.obstacles.iter().chain(&self.patches).any(|o| o.grown(off).is_crossed_by(from, to))
    }

    /// Wires a stretch passes, other than those that end on it.
    fn wires_met(&self, from: Point, to: Point) -> usize {
        let probe = Run { node: usize::MAX, from, to };
        self.sketch.runs.iter().filter(|r| super::route::crosses(&probe, r)).filter(|r| ![from, to].iter().any(|e| r.holds(*e))).count()
    }

    /// Dimension lines a stretch passes.
    fn lines_met(&self, from: Point, to: Point) -> usize {
        let probe = Run { node: usize::MAX, from, to };
        self.lines.iter().filter(|l| super::route::crosses(&probe, l)).filter(|l| ![from, to].iter().any(|e| l.holds(*e))).count()
    }

    /// Dotted lines a dimension line passes.
    fn extensions_met(&self, from: Point, to: Point) -> usize {
        let probe = Run { node: usize::MAX, from, to };
        self.extensions.iter().filter(|e| super::route::crosses(&probe, &Run { node: 0, from: e[0], to: e[1] })).filter(|e| ![from, to].contains(&e[1])).count()
    }

    fn along_wire(&self, line: [Point; 2], off: f64) -> bool {
        runs_along(&self.sketch.runs, line[0], line[1], off)
    }

    fn along_line(&self, line: [Point; 2], off: f64) -> bool {
        runs_along(&self.lines, line[0], line[1], off)
    }

    fn extent(&self) -> Rect {
        self.patches.iter().fold(self.sketch.extent(), |all, p| all.with(p))
    }
}

/// Whether a stretch runs close along one of these.
fn runs_along(runs: &[Run], from: Point, to: Point, off: f64) -> bool {
    let upright = (from.x - to.x).abs() < 1e-6;
    let shared = |a: f64, b: f64, c: f64, d: f64| a.max(b).min(c.max(d)) - a.min(b).max(c.min(d)) > 1.0;
    runs.iter().filter(|r| r.is_level() != upright).any(|r| {
        if upright {
            (r.from.x - from.x).abs() < off && shared(r.from.y, r.to.y, from.y, to.y)
        } else {
            (r.from.y - from.y).abs() < off && shared(r.from.x, r.to.x, from.x, to.x)
        }
    })
}

fn level_dimension(board: &Board<'_>, note: &Annotation, ends: &Ends) -> Option<Found> {
    let [Some(a), Some(b)] = ends.exact else { return None };
    let (left, right) = if a.x < b.x { (a, b) } else { (b, a) };
    let patch = Patch::of(note);
    let mut best: Option<Found> = None;
    for row in 0..24 {
        for sign in [-1.0, 1.0] {
            let shift = if sign < 0.0 { FIRST_ROW } else { 40.0 };
            let y = if sign < 0.0 { left.y.min(right.y) } else { left.y.max(right.y) } + sign * (shift + ROW / 3.0 * f64::from(row));
            let line = [at(left.x, y), at(right.x, y)];
            if board.passes_solid(line[0], line[1], 3.0) || board.along_wire(line, 14.0) || board.along_line(line, 12.0) {
                continue;
            }
            let extensions: Vec<[Point; 2]> = [left, right].iter().map(|p| [at(p.x, p.y + sign * 6.0), at(p.x, y)]).collect();
            if extensions.iter().any(|e| board.passes_solid(e[0], e[1], 1.0) || runs_along(&board.sketch.runs, e[0], e[1], 3.0)) {
                continue;
            }
            let met: usize = extensions.iter().map(|e| board.wires_met(e[0], e[1]) + board.lines_met(e[0], e[1])).sum::<usize>()
                + 3 * board.wires_met(line[0], line[1])
                + board.extensions_met(line[0], line[1]);
            for along in [0.5, 0.35, 0.65, 0.2, 0.8] {
                let centre = at(left.x + (right.x - left.x) * along, y - patch.figures());
                let covers = patch.covers(centre);
                let wrong_side = if sign > 0.0 && left.y < 1.0 { 200.0 } else { 0.0 };
                let cost = (y - left.y).abs() + 60.0 * met as f64 + (along - 0.5).abs() * 80.0 + wrong_side;
                if best.as_ref().is_none_or(|b| cost < b.cost) && board.has_room(&covers.grown(4.0)) {
                    best = Some(Found { cost, line, extensions: extensions.clone(), centre, patch: covers });
                }
            }
        }
    }
    best
}

fn upright_dimension(board: &Board<'_>, note: &Annotation, ends: &Ends) -> Option<Found> {
    let patch = Patch::of(note);
    let extent = board.extent();
    let mut best: Option<Found> = None;
    for a in &ends.stretches[0] {
        for b in &ends.stretches[1] {
            let (top, bottom) = if a.from.y < b.from.y { (a, b) } else { (b, a) };
            if bottom.from.y - top.from.y < SHORTEST {
                continue;
            }
            // A grid of columns, and the columns already taken.
            let first = extent.x0 - patch.width - 60.0;
            let steps = ((extent.width() + 2.0 * patch.width + 120.0) / 6.0) as usize;
            let grid = (0..steps).map(|i| (first + 6.0 * i as f64).round());
            for x in board.lines.iter().filter(|l| !l.is_level()).map(|l| l.from.x).chain(grid) {
                try_column(board, ends, &patch, (top, bottom), x, &mut best);
            }
        }
    }
    best
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

fn column_cost(ends: &Ends, x: f64) -> Option<f64> {
    let mut cost = 0.0;
    for (exact, port) in ends.exact.iter().zip(ends.port) {
        let Some(p) = exact else { continue };
        // Where the very terminal is drawn, nearness to it counts a little.
        cost += 0.15 * (x - p.x).abs();
        if !port {
            continue;
        }
        cost += (x - p.x).abs() * 0.5;
        // Between terminals of strips the place is outside.
        if ends.port[0] && ends.port[1] {
            if (x - p.x).abs() < OUTSIDE {
                return None;
            }
            if (x - p.x).signum() == if p.x > 1.0 { -1.0 } else { 1.0 } {
                cost += 400.0;
            }
        }
    }
    Some(cost)
}

fn try_column(board: &Board<'_>, ends: &Ends, patch: &Patch<'_>, (top, bottom): (&Run, &Run), x: f64, best: &mut Option<Found>) {
    let line = [at(x, top.from.y), at(x, bottom.from.y)];
    let ((far_top, ext_top), (far_bottom, ext_bottom)) = (reach(top, x), reach(bottom, x));
    let Some(mut cost) = column_cost(ends, x) else { return };
    cost += far_top + far_bottom;
    let worse = |cost: f64, best: &Option<Found>| best.as_ref().is_some_and(|b| b.cost <= cost);
    // Two readings in one column add up to a third.
    if board.lines.iter().any(|d| (d.from.x - x).abs() < 1e-6 && (d.to.x - x).abs() < 1e-6) {
        cost -= 50.0;
    }
    if worse(cost, best) {
        return;
    }
    if board.passes_solid(at(x, line[0].y + 4.0), at(x, line[1].y - 4.0), 5.0) || board.along_wire(line, 16.0) || board.along_line(line, 14.0) {
        return;
    }
    let extensions: Vec<[Point; 2]> = [ext_top, ext_bottom].into_iter().flatten().collect();
    if extensions.iter().any(|e| board.passes_solid(e[0], e[1], 1.5) || runs_along(&board.sketch.runs, e[0], e[1], 3.0)) {
        return;
    }
    cost += 160.0 * board.wires_met(line[0], line[1]) as f64 + 25.0 * board.extensions_met(line[0], line[1]) as f64;
    cost += extensions.iter().map(|e| 50.0 * board.wires_met(e[0], e[1]) as f64 + 25.0 * board.lines_met(e[0], e[1]) as f64).sum::<f64>();
    let room = line[1].y - line[0].y - patch.height - 16.0;
    let middle = (line[0].y + line[1].y) / 2.0;
    let tries: Vec<(f64, Point)> = if room > 0.0 {
        [0.0, -0.2, 0.2, -0.4, 0.4].iter().map(|f| (f * room, at(x, middle + f * room))).map(|(d, p)| (d.abs() * 0.3, p)).collect()
    } else {
        [1.0, -1.0].map(|s| (20.0, at(x + s * (patch.width / 2.0 + 6.0), middle))).to_vec()
    };
    for (extra, centre) in tries {
        let covers = patch.covers(centre);
        if !worse(cost + extra, best) && board.has_room(&covers.grown(4.0)) {
            *best = Some(Found { cost: cost + extra, line, extensions: extensions.clone(), centre, patch: covers });
        }
    }
}

/// Puts a dimension line down, parted where its own figures stand.
fn commit(sketch: &mut Sketch, note: &Annotation, found: &Found) {
    for e in &found.extensions {
        sketch.put(Layer::Extension, Item::Line { kind: LineKind::Extension, points: e.to_vec(), node: None });
    }
    let [from, to] = found.line;
    let gap = found.patch.grown(3.0);
    let pieces = if !gap.is_crossed_by(from, to) {
        vec![[from, to]]
    } else if (from.x - to.x).abs() < 1e-6 {
        vec![[from, at(from.x, gap.y0)], [at(to.x, gap.y1), to]]
    } else {
        let figures = Rect::around(found.centre, Patch::of(note).reading_width() + 12.0, 1.0);
        vec![[from, at(figures.x0, from.y)], [at(figures.x1, to.y), to]]
    };
    for piece in pieces {
        sketch.put(Layer::Dimension, Item::Line { kind: LineKind::Dimension, points: piece.to_vec(), node: None });
    }
    let mut ticks = Path::new();
    for p in found.line {
        ticks = ticks.move_to(at(p.x - 4.0, p.y + 4.0)).line_to(at(p.x + 4.0, p.y - 4.0));
    }
    sketch.put(Layer::Dimension, Item::Path { class: "dim".to_owned(), path: ticks });
    Patch::of(note).put(sketch, found.centre);
}

/// A current: an arrow on the conductor, its figures beside it. False if no stretch carries just this current.
fn flow(sketch: &mut Sketch, circuit: &Circuit<'_>, note: &Annotation, terminal: &TerminalRef) -> bool {
    let patch = Patch::of(note);
    let mut best: Option<(f64, Point, Point, LineKind, Point)> = None;
    for (chained, (start, node, away)) in starts(sketch, circuit, terminal).into_iter().enumerate() {
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
                    let cost = (tip.x - start.x).abs() + (tip.y - start.y).abs() + 60.0 * place as f64 + 90.0 * chained as f64 + if run.is_level() { 0.0 } else { 40.0 };
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
