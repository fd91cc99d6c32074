//! Leads in free channels: upright and level stretches from landing to landing, round everything that stands.
//!
//! A shortest-way search over a grid drawn through the landings and beside every obstacle. Length costs, a bend costs more, a
//! crossing costs most; passing through a symbol or a text, or along another conductor, is not possible.

use super::sketch::{Item, Landing, Layer, Run, Sketch, Way};
use crate::svg::{LineKind, Point, Rect, at};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// What a bend costs, in px of length.
const BEND: f64 = 30.0;
/// What a crossing costs.
const CROSSING: f64 = 900.0;
/// What running close beside another conductor costs, per px.
const CLOSE: f64 = 3.0;
/// Leads keep this far from each other where they can.
const CHANNEL: f64 = 14.0;
/// A lead goes straight out of its landing this far.
const STUB: f64 = 16.0;
/// Leads keep this far from obstacles.
const CLEAR: f64 = 5.0;

/// What routing cost: crossings, bends, and conductors that could not be joined up.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Cost {
    pub(super) crossings: usize,
    pub(super) length: f64,
    /// Terminals no way was found for, each with one it is joined to.
    pub(super) unjoined: Vec<(String, String)>,
}

impl Cost {
    pub(super) fn total(&self) -> f64 {
        self.length + CROSSING * self.crossings as f64 + 1e6 * self.unjoined.len() as f64
    }
}

/// Joins all landings of each conductor with each other and with the runs already laid down for it.
pub(super) fn route(sketch: &mut Sketch) -> Cost {
    let mut nets: BTreeMap<usize, Vec<Landing>> = BTreeMap::new();
    for landing in &sketch.landings {
        nets.entry(landing.node).or_default().push(landing.clone());
    }
    let mut cost = Cost::default();
    // Landings that only drop onto their own line come first: nothing may take their way.
    let mut order: Vec<(usize, Vec<Landing>)> = nets.into_iter().collect();
    order.sort_by(|a, b| span(sketch, a).total_cmp(&span(sketch, b)));
    for (node, mut landings) in order {
        let mut tree = longest_tree(sketch, node);
        let mut joined: Vec<Landing> = Vec::new();
        if tree.is_empty() {
            if landings.len() < 2 {
                continue;
            }
            joined.push(landings.remove(0));
        }
        landings.retain(|l| !tree.iter().any(|r| r.holds(l.at)));
        landings.sort_by(|a, b| {
            to_net(sketch, node, &joined, a).total_cmp(&to_net(sketch, node, &joined, b))
        });
        for landing in landings {
            match search(sketch, &tree, &landing, &joined) {
                Some(points) => {
                    lay(sketch, node, &points, &mut cost);
                    tree = grown(sketch, node, landing.at);
                }
                None => cost
                    .unjoined
                    .push((landing.terminal.clone(), partner(sketch, &landing))),
            }
            joined.push(landing);
        }
    }
    cost
}

/// Another terminal on the same conductor.
fn partner(sketch: &Sketch, landing: &Landing) -> String {
    let other = sketch
        .landings
        .iter()
        .find(|l| l.node == landing.node && l.terminal != landing.terminal);
    let line = || {
        sketch
            .ports
            .iter()
            .map(|p| p.0.clone())
            .find(|p| *p != landing.terminal)
    };
    other
        .map(|l| l.terminal.clone())
        .or_else(line)
        .unwrap_or_default()
}

/// The runs of a conductor that hang together with the longest of them.
fn longest_tree(sketch: &Sketch, node: usize) -> Vec<Run> {
    let long = |r: &Run| (r.from.x - r.to.x).abs() + (r.from.y - r.to.y).abs();
    let longest = sketch
        .runs
        .iter()
        .filter(|r| r.node == node)
        .max_by(|a, b| long(a).total_cmp(&long(b)));
    longest.map_or_else(Vec::new, |r| grown(sketch, node, r.from))
}

/// The runs of a conductor that hang together with a point.
fn grown(sketch: &Sketch, node: usize, seed: Point) -> Vec<Run> {
    let of_node: Vec<Run> = sketch
        .runs
        .iter()
        .filter(|r| r.node == node)
        .copied()
        .collect();
    let mut tree: Vec<Run> = of_node.iter().filter(|r| r.holds(seed)).copied().collect();
    loop {
        let touches = |r: &Run| {
            tree.iter()
                .any(|t| t.holds(r.from) || t.holds(r.to) || r.holds(t.from) || r.holds(t.to))
        };
        let more: Vec<Run> = of_node
            .iter()
            .filter(|r| !tree.contains(r) && touches(r))
            .copied()
            .collect();
        if more.is_empty() {
            return tree;
        }
        tree.extend(more);
    }
}

fn span(sketch: &Sketch, net: &(usize, Vec<Landing>)) -> f64 {
    net.1
        .iter()
        .map(|l| to_net(sketch, net.0, &net.1, l))
        .fold(0.0, f64::max)
}

fn to_net(sketch: &Sketch, node: usize, joined: &[Landing], landing: &Landing) -> f64 {
    let to_run = |r: &Run| {
        let box_of = Rect::new(r.from, r.to);
        (landing.at.x - landing.at.x.clamp(box_of.x0, box_of.x1)).abs()
            + (landing.at.y - landing.at.y.clamp(box_of.y0, box_of.y1)).abs()
    };
    let runs = sketch.runs.iter().filter(|r| r.node == node).map(to_run);
    let pins = joined
        .iter()
        .filter(|l| l.at != landing.at)
        .map(|l| (l.at.x - landing.at.x).abs() + (l.at.y - landing.at.y).abs());
    runs.chain(pins).fold(f64::INFINITY, f64::min)
}

fn lay(sketch: &mut Sketch, node: usize, points: &[Point], cost: &mut Cost) {
    sketch.put(
        Layer::Wire,
        Item::Line {
            kind: LineKind::Lead,
            points: points.to_vec(),
            node: Some(node),
        },
    );
    for pair in points.windows(2) {
        let run = Run {
            node,
            from: pair[0],
            to: pair[1],
        };
        cost.crossings += sketch
            .runs
            .iter()
            .filter(|r| r.node != node && crosses(r, &run))
            .count();
        cost.length += (run.from.x - run.to.x).abs() + (run.from.y - run.to.y).abs() + BEND;
        sketch.runs.push(run);
    }
}

/// Whether two runs, one upright and one level, cross.
pub(super) fn crosses(a: &Run, b: &Run) -> bool {
    if a.is_level() == b.is_level() {
        return false;
    }
    let (level, upright) = if a.is_level() { (a, b) } else { (b, a) };
    let within = |v: f64, p: f64, q: f64| v > p.min(q) - 1e-6 && v < p.max(q) + 1e-6;
    within(upright.from.x, level.from.x, level.to.x)
        && within(level.from.y, upright.from.y, upright.to.y)
}

struct Grid {
    xs: Vec<f64>,
    ys: Vec<f64>,
}

impl Grid {
    fn of(sketch: &Sketch) -> Self {
        let (mut xs, mut ys) = (Vec::new(), Vec::new());
        for landing in &sketch.landings {
            let out = landing.way.step();
            xs.extend([landing.at.x, landing.at.x + STUB * out.x]);
            ys.extend([landing.at.y, landing.at.y + STUB * out.y]);
        }
        for o in &sketch.obstacles {
            xs.extend([o.x0 - CHANNEL, o.x1 + CHANNEL]);
            ys.extend([o.y0 - CHANNEL, o.y1 + CHANNEL]);
        }
        for r in &sketch.runs {
            for p in [r.from, r.to] {
                xs.extend([p.x, p.x - CHANNEL, p.x + CHANNEL]);
                ys.extend([p.y, p.y - CHANNEL, p.y + CHANNEL]);
            }
        }
        Self {
            xs: spaced(xs),
            ys: spaced(ys),
        }
    }

    fn point(&self, i: usize, j: usize) -> Point {
        at(self.xs[i], self.ys[j])
    }

    fn index(values: &[f64], value: f64) -> Option<usize> {
        values.iter().position(|v| (v - value).abs() < 1e-6)
    }
}

/// In order, without doubles, and with the middle of every wide gap.
fn spaced(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let middles: Vec<f64> = values
        .windows(2)
        .filter(|w| w[1] - w[0] > 40.0)
        .map(|w| ((w[0] + w[1]) / 2.0).round())
        .collect();
    values.extend(middles);
    values.sort_by(f64::total_cmp);
    values
}

const WAYS: [Way; 4] = [Way::Left, Way::Right, Way::Up, Way::Down];

/// The cheapest way from a landing to its net: the corners, landing first. Nothing if there is none.
fn search(
    sketch: &Sketch,
    tree: &[Run],
    landing: &Landing,
    joined: &[Landing],
) -> Option<Vec<Point>> {
    let grid = Grid::of(sketch);
    let (nx, ny) = (grid.xs.len(), grid.ys.len());
    let out = landing.way.step();
    let start = at(landing.at.x + STUB * out.x, landing.at.y + STUB * out.y);
    let node = landing.node;
    let own = |p: Point| tree.iter().any(|r| r.holds(p));
    // A landing that drops straight onto its line within the stub needs no search.
    if let Some(run) = tree.iter().find(|r| {
        crosses(
            r,
            &Run {
                node,
                from: landing.at,
                to: start,
            },
        )
    }) {
        let hit = if run.is_level() {
            at(landing.at.x, run.from.y)
        } else {
            at(run.from.x, landing.at.y)
        };
        return Some(vec![landing.at, hit]);
    }
    let key = |i: usize, j: usize, way: usize| (i * ny + j) * 4 + way;
    let first_way = WAYS.iter().position(|w| *w == landing.way)?;
    let first = key(
        Grid::index(&grid.xs, start.x)?,
        Grid::index(&grid.ys, start.y)?,
        first_way,
    );
    let mut best = vec![f64::INFINITY; nx * ny * 4];
    let mut from = vec![usize::MAX; nx * ny * 4];
    let mut heap = BinaryHeap::from([(Reverse(0_u64), first)]);
    best[first] = 0.0;
    while let Some((Reverse(milli), here)) = heap.pop() {
        let so_far = best[here];
        if milli as f64 / 1000.0 > so_far + 0.01 {
            continue;
        }
        let (i, j, way) = (here / 4 / ny, here / 4 % ny, here % 4);
        let p = grid.point(i, j);
        let arrives = joined.iter().any(|l| {
            let o = l.way.step();
            (l.at.x + STUB * o.x - p.x).abs() < 1e-6
                && (l.at.y + STUB * o.y - p.y).abs() < 1e-6
                && WAYS[way] != l.way
        });
        if own(p) || arrives {
            let mut points = corners(&grid, &from, here, landing.at);
            if !own(p)
                && let Some(l) = joined.iter().find(|l| {
                    let o = l.way.step();
                    (l.at.x + STUB * o.x - p.x).abs() < 1e-6
                        && (l.at.y + STUB * o.y - p.y).abs() < 1e-6
                })
            {
                points.push(l.at);
            }
            return Some(straighten(points));
        }
        for (next_way, step_way) in WAYS.iter().enumerate() {
            if *step_way == WAYS[way].back() {
                continue;
            }
            let (di, dj) = (step_way.step().x as isize, step_way.step().y as isize);
            let (ni, nj) = (i as isize + di, j as isize + dj);
            if ni < 0 || nj < 0 || ni >= nx as isize || nj >= ny as isize {
                continue;
            }
            let (ni, nj) = (ni as usize, nj as usize);
            let q = grid.point(ni, nj);
            let Some(price) = price(sketch, node, p, q) else {
                continue;
            };
            let total = so_far + price + if next_way == way { 0.0 } else { BEND };
            let there = key(ni, nj, next_way);
            if total + 1e-9 < best[there] {
                best[there] = total;
                from[there] = here;
                heap.push((Reverse((total * 1000.0) as u64), there));
            }
        }
    }
    None
}

/// What one step costs; nothing if it may not be taken.
fn price(sketch: &Sketch, node: usize, p: Point, q: Point) -> Option<f64> {
    let level = (p.y - q.y).abs() < 1e-6;
    if sketch
        .obstacles
        .iter()
        .any(|o| o.grown(CLEAR).is_crossed_by(p, q))
    {
        return None;
    }
    let length = (p.x - q.x).abs() + (p.y - q.y).abs();
    let mut price = length;
    let step = Run {
        node,
        from: p,
        to: q,
    };
    for run in sketch.runs.iter().filter(|r| r.node != node) {
        if run.is_level() == level {
            let (off, overlap) = if level {
                (
                    (run.from.y - p.y).abs(),
                    overlap(run.from.x, run.to.x, p.x, q.x),
                )
            } else {
                (
                    (run.from.x - p.x).abs(),
                    overlap(run.from.y, run.to.y, p.y, q.y),
                )
            };
            if off < 1.0 && overlap > -1e-6 {
                return None;
            }
            if off < CHANNEL - 1.0 && overlap > 0.0 {
                price += CLOSE * overlap;
            }
        } else if crosses(run, &step) {
            // Touching another conductor at a corner of either would look like a joint.
            let cross = if level {
                at(run.from.x, p.y)
            } else {
                at(p.x, run.from.y)
            };
            let end = [run.from, run.to]
                .iter()
                .any(|e| (e.x - cross.x).abs() + (e.y - cross.y).abs() < 3.0);
            if end {
                return None;
            }
            // A crossing point that is a grid point is met by two steps: half each.
            let at_step_end = [p, q]
                .iter()
                .any(|e| (e.x - cross.x).abs() + (e.y - cross.y).abs() < 1e-6);
            price += if at_step_end {
                CROSSING / 2.0
            } else {
                CROSSING
            };
        }
    }
    Some(price)
}

fn overlap(a: f64, b: f64, c: f64, d: f64) -> f64 {
    a.max(b).min(c.max(d)) - a.min(b).max(c.min(d))
}

fn corners(grid: &Grid, from: &[usize], mut here: usize, landing: Point) -> Vec<Point> {
    let ny = grid.ys.len();
    let mut points = Vec::new();
    while here != usize::MAX {
        points.push(grid.point(here / 4 / ny, here / 4 % ny));
        here = from[here];
    }
    points.push(landing);
    points.reverse();
    points
}

/// Leaves out points that lie on the straight between their neighbours.
fn straighten(points: Vec<Point>) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    for p in points {
        if let [.., a, b] = out[..] {
            let same_x = (a.x - b.x).abs() < 1e-6 && (b.x - p.x).abs() < 1e-6;
            let same_y = (a.y - b.y).abs() < 1e-6 && (b.y - p.y).abs() < 1e-6;
            if same_x || same_y {
                out.pop();
            }
        }
        if out.last() != Some(&p) {
            out.push(p);
        }
    }
    out
}

/// Points where three or more ends of one conductor meet, counting each landing as an end: these get a dot.
pub(super) fn joints(sketch: &Sketch) -> Vec<Point> {
    let mut found: Vec<Point> = Vec::new();
    let ends = sketch
        .runs
        .iter()
        .flat_map(|r| [(r.node, r.from), (r.node, r.to)]);
    for (node, p) in ends.chain(sketch.landings.iter().map(|l| (l.node, l.at))) {
        if found
            .iter()
            .any(|f| (f.x - p.x).abs() + (f.y - p.y).abs() < 0.5)
        {
            continue;
        }
        let mut ways: Vec<Way> = Vec::new();
        for run in sketch.runs.iter().filter(|r| r.node == node && r.holds(p)) {
            for end in [run.from, run.to] {
                let (dx, dy) = (end.x - p.x, end.y - p.y);
                if dx.abs() + dy.abs() > 0.5 {
                    ways.push(if dx.abs() > dy.abs() {
                        if dx > 0.0 { Way::Right } else { Way::Left }
                    } else if dy > 0.0 {
                        Way::Down
                    } else {
                        Way::Up
                    });
                }
            }
        }
        // A landing is the symbol's own end, met from its other side.
        ways.extend(
            sketch
                .landings
                .iter()
                .filter(|l| l.node == node && (l.at.x - p.x).abs() + (l.at.y - p.y).abs() < 0.5)
                .map(|l| l.way.back()),
        );
        ways.sort();
        ways.dedup();
        if ways.len() >= 3 {
            found.push(p);
        }
    }
    found
}
