//! What a dimension line may not disturb: the sketch, and the dimension lines placed so far.

use crate::schematic::route::crosses;
use crate::schematic::sketch::{Run, Sketch};
use crate::svg::{Point, Rect};

/// A place found for a dimension line.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) cost: f64,
    pub(super) line: [Point; 2],
    pub(super) extensions: Vec<[Point; 2]>,
    pub(super) centre: Point,
    pub(super) patch: Rect,
}

/// The sketch with the dimension lines placed so far.
pub(super) struct Board<'s> {
    pub(super) sketch: &'s Sketch,
    pub(super) lines: Vec<Run>,
    pub(super) patches: Vec<Rect>,
    pub(super) extensions: Vec<[Point; 2]>,
}

impl<'s> Board<'s> {
    pub(super) fn of<'f>(sketch: &'s Sketch, others: impl Iterator<Item = &'f Found>) -> Self {
        let mut board = Self {
            sketch,
            lines: Vec::new(),
            patches: Vec::new(),
            extensions: Vec::new(),
        };
        for other in others {
            board.lines.push(Run {
                node: usize::MAX,
                from: other.line[0],
                to: other.line[1],
            });
            board.patches.push(other.patch);
            board.extensions.extend(&other.extensions);
        }
        board
    }

    /// Whether a patch may be laid here.
    pub(super) fn has_room(&self, patch: &Rect) -> bool {
        self.sketch.is_free(patch)
            && self.sketch.is_dry(patch)
            && !self.patches.iter().any(|p| p.overlaps(patch))
            && !self.lines.iter().any(|l| patch.is_crossed_by(l.from, l.to))
            && !self
                .extensions
                .iter()
                .any(|e| patch.is_crossed_by(e[0], e[1]))
    }

    pub(super) fn passes_solid(&self, from: Point, to: Point, off: f64) -> bool {
        self.sketch
            .obstacles
            .iter()
            .chain(&self.patches)
            .any(|o| o.grown(off).is_crossed_by(from, to))
    }

    /// Wires a stretch passes, other than those that end on it.
    pub(super) fn wires_met(&self, from: Point, to: Point) -> usize {
        let probe = Run {
            node: usize::MAX,
            from,
            to,
        };
        self.sketch
            .runs
            .iter()
            .filter(|r| crosses(&probe, r))
            .filter(|r| ![from, to].iter().any(|e| r.holds(*e)))
            .count()
    }

    /// Dimension lines a stretch passes.
    pub(super) fn lines_met(&self, from: Point, to: Point) -> usize {
        let probe = Run {
            node: usize::MAX,
            from,
            to,
        };
        self.lines
            .iter()
            .filter(|l| crosses(&probe, l))
            .filter(|l| ![from, to].iter().any(|e| l.holds(*e)))
            .count()
    }

    /// Dotted lines a dimension line passes.
    pub(super) fn extensions_met(&self, from: Point, to: Point) -> usize {
        let probe = Run {
            node: usize::MAX,
            from,
            to,
        };
        self.extensions
            .iter()
            .filter(|e| {
                crosses(
                    &probe,
                    &Run {
                        node: 0,
                        from: e[0],
                        to: e[1],
                    },
                )
            })
            .filter(|e| ![from, to].contains(&e[1]))
            .count()
    }

    pub(super) fn along_wire(&self, line: [Point; 2], off: f64) -> bool {
        runs_along(&self.sketch.runs, line[0], line[1], off)
    }

    pub(super) fn along_line(&self, line: [Point; 2], off: f64) -> bool {
        runs_along(&self.lines, line[0], line[1], off)
    }

    pub(super) fn extent(&self) -> Rect {
        self.patches
            .iter()
            .fold(self.sketch.extent(), |all, p| all.with(p))
    }
}

/// Whether a stretch runs close along one of these.
pub(super) fn runs_along(runs: &[Run], from: Point, to: Point, off: f64) -> bool {
    let upright = (from.x - to.x).abs() < 1e-6;
    let shared =
        |a: f64, b: f64, c: f64, d: f64| a.max(b).min(c.max(d)) - a.min(b).max(c.min(d)) > 1.0;
    runs.iter().filter(|r| r.is_level() != upright).any(|r| {
        if upright {
            (r.from.x - from.x).abs() < off && shared(r.from.y, r.to.y, from.y, to.y)
        } else {
            (r.from.y - from.y).abs() < off && shared(r.from.x, r.to.x, from.x, to.x)
        }
    })
}
