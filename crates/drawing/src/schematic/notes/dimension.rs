//! A voltage is a distance: a dimension line between the two places of a reading, level or upright.
//!
//! Every place that would do is weighed: short dotted lines, few wires passed, readings in one column, outside for terminals.

use super::board::{Board, Found, runs_along};
use super::patch::Patch;
use crate::schematic::Annotation;
use crate::schematic::circuit::Circuit;
use crate::schematic::sketch::{Item, Layer, Run, Sketch};
use crate::svg::{LineKind, Path, Point, Rect, at};
use gear::TerminalRef;

/// From one row of level dimension lines to the next, and from a line to the first.
pub(super) const ROW: f64 = 66.0;

pub(super) const FIRST_ROW: f64 = 50.0;

/// A dimension line shorter than this has no room for its ticks.
pub(super) const SHORTEST: f64 = 22.0;

/// Extension lines begin this far from what they come from.
pub(super) const GAP: f64 = 12.0;

/// A dimension line at a strip's terminals stands at least this far outside them.
pub(super) const OUTSIDE: f64 = 34.0;

/// Where the two places of a reading are on the drawing.
pub(super) struct Ends {
    /// The very terminals, where they are drawn.
    pub(super) exact: [Option<Point>; 2],
    /// Level stretches that stand for each place.
    pub(super) stretches: [Vec<Run>; 2],
    /// Whether each is a terminal of a strip.
    pub(super) port: [bool; 2],
}

impl Ends {
    pub(super) fn of(
        sketch: &Sketch,
        circuit: &Circuit<'_>,
        a: &TerminalRef,
        b: &TerminalRef,
    ) -> Option<Self> {
        let side = |t: &TerminalRef| -> Option<(Option<Point>, Vec<Run>, bool)> {
            let name = t.to_string();
            let port = sketch.ports.iter().find(|p| p.0 == name).map(|p| p.1);
            let exact = port.or_else(|| {
                sketch
                    .landings
                    .iter()
                    .find(|l| l.terminal == name)
                    .map(|l| l.at)
            });
            let node = circuit.node(t)?;
            let mut stretches: Vec<Run> = sketch
                .runs
                .iter()
                .chain(&sketch.shadows)
                .filter(|r| r.node == node && r.is_level())
                .copied()
                .collect();
            // A terminal on a line is measured at the line wherever there is room; one that hangs alone, where it hangs.
            if let Some(p) = exact {
                stretches.push(Run {
                    node,
                    from: p,
                    to: p,
                });
            }
            if stretches.is_empty() {
                None
            } else {
                Some((exact, stretches, port.is_some()))
            }
        };
        if circuit.node(a) == circuit.node(b) {
            return None;
        }
        let (ea, sa, pa) = side(a)?;
        let (eb, sb, pb) = side(b)?;
        Some(Self {
            exact: [ea, eb],
            stretches: [sa, sb],
            port: [pa, pb],
        })
    }

    pub(super) fn is_level(&self) -> bool {
        match self.exact {
            [Some(a), Some(b)] => (a.y - b.y).abs() < SHORTEST && (a.x - b.x).abs() >= 50.0,
            _ => false,
        }
    }

    /// How far apart the two are: short ones choose their place first.
    pub(super) fn span(&self) -> f64 {
        match self.exact {
            [Some(a), Some(b)] => {
                (a.x - b.x).abs().min(2000.0) * if self.is_level() { 1.0 } else { 0.1 }
                    + (a.y - b.y).abs()
            }
            _ => 1000.0,
        }
    }
}

pub(super) fn level_dimension(board: &Board<'_>, note: &Annotation, ends: &Ends) -> Option<Found> {
    let [Some(a), Some(b)] = ends.exact else {
        return None;
    };
    let (left, right) = if a.x < b.x { (a, b) } else { (b, a) };
    let patch = Patch::of(note);
    let mut best: Option<Found> = None;
    for row in 0..24 {
        for sign in [-1.0, 1.0] {
            let shift = if sign < 0.0 { FIRST_ROW } else { 40.0 };
            let y = if sign < 0.0 {
                left.y.min(right.y)
            } else {
                left.y.max(right.y)
            } + sign * (shift + ROW / 3.0 * f64::from(row));
            let line = [at(left.x, y), at(right.x, y)];
            if board.passes_solid(line[0], line[1], 3.0)
                || board.along_wire(line, 14.0)
                || board.along_line(line, 12.0)
            {
                continue;
            }
            let extensions: Vec<[Point; 2]> = [left, right]
                .iter()
                .map(|p| [at(p.x, p.y + sign * 6.0), at(p.x, y)])
                .collect();
            if extensions.iter().any(|e| {
                board.passes_solid(e[0], e[1], 1.0)
                    || runs_along(&board.sketch.runs, e[0], e[1], 3.0)
            }) {
                continue;
            }
            let met: usize = extensions
                .iter()
                .map(|e| board.wires_met(e[0], e[1]) + board.lines_met(e[0], e[1]))
                .sum::<usize>()
                + 3 * board.wires_met(line[0], line[1])
                + board.extensions_met(line[0], line[1]);
            for along in [0.5, 0.35, 0.65, 0.2, 0.8] {
                let centre = at(left.x + (right.x - left.x) * along, y - patch.figures());
                let covers = patch.covers(centre);
                let wrong_side = if sign > 0.0 && left.y < 1.0 {
                    200.0
                } else {
                    0.0
                };
                let cost = (y - left.y).abs()
                    + 60.0 * met as f64
                    + (along - 0.5).abs() * 80.0
                    + wrong_side;
                if best.as_ref().is_none_or(|b| cost < b.cost) && board.has_room(&covers.grown(4.0))
                {
                    best = Some(Found {
                        cost,
                        line,
                        extensions: extensions.clone(),
                        centre,
                        patch: covers,
                    });
                }
            }
        }
    }
    best
}

pub(super) fn upright_dimension(
    board: &Board<'_>,
    note: &Annotation,
    ends: &Ends,
) -> Option<Found> {
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
            for x in board
                .lines
                .iter()
                .filter(|l| !l.is_level())
                .map(|l| l.from.x)
                .chain(grid)
            {
                try_column(board, ends, &patch, (top, bottom), x, &mut best);
            }
        }
    }
    best
}

/// Where a level stretch comes nearest to a column, and the dotted line from there if it does not reach it.
pub(super) fn reach(run: &Run, x: f64) -> (f64, Option<[Point; 2]>) {
    let (low, high) = (run.from.x.min(run.to.x), run.from.x.max(run.to.x));
    let near = x.clamp(low, high);
    let away = (x - near).abs();
    if away < 1e-6 {
        return (0.0, None);
    }
    let toward = (x - near).signum();
    (
        away,
        Some([
            at(near + GAP.min(away) * toward, run.from.y),
            at(x, run.from.y),
        ]),
    )
}

pub(super) fn column_cost(ends: &Ends, x: f64) -> Option<f64> {
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

pub(super) fn try_column(
    board: &Board<'_>,
    ends: &Ends,
    patch: &Patch<'_>,
    (top, bottom): (&Run, &Run),
    x: f64,
    best: &mut Option<Found>,
) {
    let line = [at(x, top.from.y), at(x, bottom.from.y)];
    let ((far_top, ext_top), (far_bottom, ext_bottom)) = (reach(top, x), reach(bottom, x));
    let Some(mut cost) = column_cost(ends, x) else {
        return;
    };
    cost += far_top + far_bottom;
    let worse = |cost: f64, best: &Option<Found>| best.as_ref().is_some_and(|b| b.cost <= cost);
    // Two readings in one column add up to a third.
    if board
        .lines
        .iter()
        .any(|d| (d.from.x - x).abs() < 1e-6 && (d.to.x - x).abs() < 1e-6)
    {
        cost -= 50.0;
    }
    if worse(cost, best) {
        return;
    }
    if board.passes_solid(at(x, line[0].y + 4.0), at(x, line[1].y - 4.0), 5.0)
        || board.along_wire(line, 16.0)
        || board.along_line(line, 14.0)
    {
        return;
    }
    let extensions: Vec<[Point; 2]> = [ext_top, ext_bottom].into_iter().flatten().collect();
    if extensions.iter().any(|e| {
        board.passes_solid(e[0], e[1], 1.5) || runs_along(&board.sketch.runs, e[0], e[1], 3.0)
    }) {
        return;
    }
    cost += 160.0 * board.wires_met(line[0], line[1]) as f64
        + 25.0 * board.extensions_met(line[0], line[1]) as f64;
    cost += extensions
        .iter()
        .map(|e| {
            50.0 * board.wires_met(e[0], e[1]) as f64 + 25.0 * board.lines_met(e[0], e[1]) as f64
        })
        .sum::<f64>();
    let room = line[1].y - line[0].y - patch.height - 16.0;
    let middle = (line[0].y + line[1].y) / 2.0;
    let tries: Vec<(f64, Point)> = if room > 0.0 {
        [0.0, -0.2, 0.2, -0.4, 0.4]
            .iter()
            .map(|f| (f * room, at(x, middle + f * room)))
            .map(|(d, p)| (d.abs() * 0.3, p))
            .collect()
    } else {
        [1.0, -1.0]
            .map(|s| (20.0, at(x + s * (patch.width / 2.0 + 6.0), middle)))
            .to_vec()
    };
    for (extra, centre) in tries {
        let covers = patch.covers(centre);
        if !worse(cost + extra, best) && board.has_room(&covers.grown(4.0)) {
            *best = Some(Found {
                cost: cost + extra,
                line,
                extensions: extensions.clone(),
                centre,
                patch: covers,
            });
        }
    }
}

/// Puts a dimension line down, parted where its own figures stand.
pub(super) fn commit(sketch: &mut Sketch, note: &Annotation, found: &Found) {
    for e in &found.extensions {
        sketch.put(
            Layer::Extension,
            Item::Line {
                kind: LineKind::Extension,
                points: e.to_vec(),
                node: None,
            },
        );
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
        sketch.put(
            Layer::Dimension,
            Item::Line {
                kind: LineKind::Dimension,
                points: piece.to_vec(),
                node: None,
            },
        );
    }
    let mut ticks = Path::new();
    for p in found.line {
        ticks = ticks
            .move_to(at(p.x - 4.0, p.y + 4.0))
            .line_to(at(p.x + 4.0, p.y - 4.0));
    }
    sketch.put(
        Layer::Dimension,
        Item::Path {
            class: "dim".to_owned(),
            path: ticks,
        },
    );
    Patch::of(note).put(sketch, found.centre);
}
