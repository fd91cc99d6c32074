//! Gives lines and crossings their coordinates: the upper line at 0, the lower at [`HEIGHT`], input left, output right.
//!
//! Two cursors run from left to right, one on the line, one beneath it; each symbol takes the room it and its marks need, and
//! the room the readings will want.

mod crossing;
mod loose;
mod series;

use super::Room;
use super::circuit::{Circuit, Element, is_neutral, line_phase};
use super::lines::{Lines, OnLine};
use super::sketch::{Item, Landing, Layer, Run, Sketch, Way};
use super::symbols;
use crate::svg::{Anchor, LineKind, Point, TextStyle, at};
use gear::PartKind;
use quantity::Quantity;

/// Distance between the lines.
const HEIGHT: f64 = 304.0;
/// Length of the leads between a line and a crossing.
const DROP: f64 = 32.0;
/// From a line to the core under it, and on to the winding under that.
const TO_CORE: f64 = 32.0;
const TO_UNDER: f64 = 62.0;
/// Length of a level winding.
const LEVEL: f64 = 120.0;
/// From a winding to its scale.
const TO_SCALE: f64 = 38.0;
/// Room on the side of a crossing where its leads leave, and beside a winding under a line.
const LEAD_ROOM: f64 = 104.0;
const UNDER_ROOM: f64 = 66.0;
/// Room for one current's figures on a stretch of line.
const CURRENT_ROOM: f64 = 104.0;
/// Room for one column of dimension lines.
const COLUMN: f64 = 108.0;
/// Length of a lead that ends at an open terminal of its own winding.
const OPEN_LEAD: f64 = 44.0;
/// The same where the winding stands between lines.
const SHORT_LEAD: f64 = 14.0;
/// From the lower line to the earth under it.
const TO_EARTH: f64 = 42.0;

/// Puts everything of one phase into a sketch. `flips` turns windings under a line about, in their order.
pub(super) fn place(
    circuit: &Circuit<'_>,
    lines: &Lines,
    room: &Room,
    phase: u8,
    flips: &[bool],
) -> Sketch {
    let mut placer = Placer {
        circuit,
        lines,
        room,
        phase,
        sketch: Sketch::default(),
        on_line: 0.0,
        beneath: 12.0,
        flips: flips.to_vec(),
        from: 0.0,
        broken: false,
        remarks: Vec::new(),
    };
    if lines.any() {
        placer.lines();
    }
    placer.loose();
    placer.sketch
}

struct Placer<'a> {
    circuit: &'a Circuit<'a>,
    lines: &'a Lines,
    room: &'a Room,
    phase: u8,
    sketch: Sketch,
    /// Right end of what stands on the line.
    on_line: f64,
    /// Right end of what stands beneath it.
    beneath: f64,
    flips: Vec<bool>,
    /// Where the present stretch of the upper line began.
    from: f64,
    /// Whether the line was broken by separate windings: what follows is no supply line any more.
    broken: bool,
    /// Remarks under the lower line: where, what.
    remarks: Vec<(f64, String)>,
}

impl Placer<'_> {
    fn lines(&mut self) {
        let top = self.lines.top.clone();
        if let Some(port) = self.lines.line_in {
            self.port(port, at(0.0, 0.0), true, false);
        }
        self.on_line = 14.0;
        let mut bottom_from = 0.0;
        let mut bottom_to: Option<f64> = None;
        for (index, item) in top.iter().enumerate() {
            match *item {
                OnLine::Node(node) => {
                    self.on_line += CURRENT_ROOM * self.room.currents(node) as f64;
                    self.crossings_at(index, &mut bottom_from, &mut bottom_to);
                }
                OnLine::Series(element, a, _) => self.series(index, element, a),
                OnLine::Break => {
                    let node = self.node_before(index);
                    self.line_end(node, None);
                    self.crossings_at(index, &mut bottom_from, &mut bottom_to);
                }
            }
        }
        if top.is_empty() {
            self.crossings_at(0, &mut bottom_from, &mut bottom_to);
        }
        let end = (self.on_line + 60.0).max(self.beneath + 24.0);
        let last = top.iter().rev().find_map(|t| {
            if let OnLine::Node(n) = t {
                Some(*n)
            } else {
                None
            }
        });
        if let Some(port) = self.lines.line_out {
            if let Some(node) = last {
                self.run_top(node, self.from, end);
            }
            self.port(port, at(end, 0.0), true, self.broken);
        } else if let (Some(node), false) = (last, top.last() == Some(&OnLine::Break)) {
            self.line_end(Some(node), Some(self.on_line));
        }
        self.bottom(end, bottom_from, bottom_to);
        self.other_ports(end);
        self.open_ends();
        self.on_line = self.on_line.max(end);
        self.beneath = self.beneath.max(end);
        for (index, port) in self.lines.earth.iter().enumerate() {
            let place = at(0.0, HEIGHT + TO_EARTH + 30.0 * index as f64);
            let p = &self.circuit.ports[*port];
            symbols::terminal(&mut self.sketch, place, &p.terminal.to_string());
            symbols::earth(&mut self.sketch, place, p.node);
            self.sketch.text(
                TextStyle::Terminal,
                Anchor::End,
                at(-12.0, place.y + 4.0),
                &p.terminal.to_string(),
            );
        }
        self.put_remarks();
    }

    /// Pins that lead nowhere on this drawing end in an open terminal; one joined to another phase says so.
    fn open_ends(&mut self) {
        let is_port = |l: &Landing| self.sketch.ports.iter().any(|p| p.0 == l.terminal);
        let open: Vec<Landing> = self
            .sketch
            .landings
            .iter()
            .filter(|l| {
                self.circuit.landings(l.node) == 1
                    && !is_port(l)
                    && !self.sketch.runs.iter().any(|r| r.node == l.node)
            })
            .cloned()
            .collect();
        for landing in open {
            let out = landing.way.step();
            let end = at(
                landing.at.x + SHORT_LEAD * out.x,
                landing.at.y + SHORT_LEAD * out.y,
            );
            self.run(LineKind::Lead, landing.node, landing.at, end);
            symbols::terminal(&mut self.sketch, end, &landing.terminal);
            self.elsewhere(landing.node, end);
        }
    }

    /// Says beside an open terminal which parts of other phases it is joined to.
    fn elsewhere(&mut self, node: usize, end: Point) {
        let Some(others) = self.circuit.foreign.get(&node) else {
            return;
        };
        let names: Vec<String> = others.iter().map(ToString::to_string).collect();
        let places = [
            (Anchor::Start, at(end.x + 10.0, end.y + 4.0)),
            (Anchor::End, at(end.x - 10.0, end.y + 4.0)),
            (Anchor::Start, at(end.x + 10.0, end.y - 12.0)),
            (Anchor::Start, at(end.x + 10.0, end.y + 20.0)),
        ];
        self.sketch.text_where_free(
            TextStyle::Said,
            &places,
            &format!("to {}", names.join(", ")),
            &[],
        );
    }

    /// Terminals of strips that begin or end no line stand at the right, each at the height of what it leads to.
    fn other_ports(&mut self, end: f64) {
        for port in &self.circuit.ports {
            let name = port.terminal.to_string();
            let is_earth = self
                .lines
                .earth
                .iter()
                .any(|i| self.circuit.ports[*i].terminal == port.terminal);
            if is_earth || self.sketch.ports.iter().any(|p| p.0 == name) {
                continue;
            }
            let wanted = self
                .sketch
                .landings
                .iter()
                .filter(|l| l.node == port.node)
                .map(|l| l.at.y)
                .next_back()
                .unwrap_or(HEIGHT + 40.0);
            let free = |y: &f64| {
                !self
                    .sketch
                    .ports
                    .iter()
                    .any(|p| (p.1.x - end).abs() < 1.0 && (p.1.y - y).abs() < 24.0)
            };
            let y = (0..20)
                .flat_map(|i| [wanted + 26.0 * f64::from(i), wanted - 26.0 * f64::from(i)])
                .find(free)
                .unwrap_or(wanted);
            symbols::terminal(&mut self.sketch, at(end, y), &name);
            self.sketch
                .landing(name.clone(), port.node, at(end, y), Way::Left);
            self.sketch.text(
                TextStyle::Terminal,
                Anchor::Start,
                at(end + 10.0, y + 4.0),
                &name,
            );
        }
    }

    fn node_before(&self, index: usize) -> Option<usize> {
        self.lines.top[..index].iter().rev().find_map(|t| {
            if let OnLine::Node(n) = t {
                Some(*n)
            } else {
                None
            }
        })
    }

    fn line_kind(&self) -> LineKind {
        if self.broken {
            LineKind::Lead
        } else {
            LineKind::of_phase(if self.circuit.three_phase {
                self.phase
            } else {
                1
            })
        }
    }

    fn run_top(&mut self, node: usize, from: f64, to: f64) {
        if to - from > 0.5 {
            self.run(self.line_kind(), node, at(from, 0.0), at(to, 0.0));
        }
    }

    fn run(&mut self, kind: LineKind, node: usize, from: Point, to: Point) {
        self.sketch.put(
            Layer::Wire,
            Item::Line {
                kind,
                points: vec![from, to],
                node: Some(node),
            },
        );
        self.sketch.runs.push(Run { node, from, to });
    }

    /// Ends the stretch of the upper line at the last landing of its conductor, or at `least`.
    fn line_end(&mut self, node: Option<usize>, least: Option<f64>) {
        let Some(node) = node else { return };
        let reach = self
            .sketch
            .landings
            .iter()
            .filter(|l| l.node == node && l.way == Way::Up)
            .map(|l| l.at.x)
            .fold(f64::NEG_INFINITY, f64::max);
        let to = reach.max(least.unwrap_or(self.from));
        self.run_top(node, self.from, to);
        self.from = to;
    }

    fn is_upper(&self, node: usize) -> bool {
        self.lines.top.contains(&OnLine::Node(node))
    }

    fn first_is_upper(&self, element: &Element<'_>) -> bool {
        let lower = |n: usize| Some(n) == self.lines.bottom_in || Some(n) == self.lines.bottom_out;
        let (first, last) = (element.first().node, element.last().node);
        (!lower(first) || lower(last)) && (!self.is_upper(last) || self.is_upper(first))
    }

    fn touches_input(&self, element: usize) -> bool {
        let before: Vec<usize> = self
            .lines
            .top
            .iter()
            .take_while(|t| **t != OnLine::Break)
            .filter_map(|t| {
                if let OnLine::Node(n) = t {
                    Some(*n)
                } else {
                    None
                }
            })
            .collect();
        before
            .iter()
            .any(|n| self.circuit.elements[element].touches(*n))
    }

    /// Remarks under the lower line, when everything else there has its place.
    fn put_remarks(&mut self) {
        for (x, text) in std::mem::take(&mut self.remarks) {
            let y = HEIGHT + 22.0;
            let places = [
                (Anchor::Middle, at(x, y)),
                (Anchor::Start, at(x - 4.0, y)),
                (Anchor::Start, at(x - 4.0, y + 20.0)),
                (Anchor::Start, at(x + 60.0, y + 44.0)),
            ];
            self.sketch
                .text_where_free(TextStyle::Said, &places, &text, &[]);
        }
    }

    /// The phase whose line the lower one is, in delta.
    fn other_line(&self, mark: &str) -> Option<u8> {
        line_phase(mark).filter(|_| self.circuit.three_phase)
    }

    fn bottom_mark(&self) -> Option<String> {
        self.lines
            .return_in
            .or(self.lines.return_out)
            .map(|i| self.circuit.ports[i].terminal.terminal.clone())
    }

    fn bottom(&mut self, end: f64, from: f64, to: Option<f64>) {
        let kind_at = |port: Option<usize>| {
            let mark = port
                .map(|i| self.circuit.ports[i].terminal.terminal.clone())
                .or_else(|| self.bottom_mark());
            mark.map_or(LineKind::Lead, |m| {
                self.other_line(&m)
                    .map_or(LineKind::Neutral, LineKind::of_phase)
            })
        };
        let (kind, kind_out) = (
            kind_at(self.lines.return_in),
            kind_at(self.lines.return_out),
        );
        let lowest = |s: &Sketch, node: usize| {
            let xs: Vec<f64> = s
                .landings
                .iter()
                .filter(|l| l.node == node && l.way == Way::Down)
                .map(|l| l.at.x)
                .collect();
            // A line nothing stands on by its foot is joined from wherever there is room.
            let least = xs.iter().copied().reduce(f64::min).unwrap_or(60.0);
            let most = xs.iter().copied().reduce(f64::max).unwrap_or(60.0);
            (least, most)
        };
        if let Some(node) = self.lines.bottom_in {
            let (least, most) = lowest(&self.sketch, node);
            let whole = self.lines.bottom_out == Some(node);
            let right = if whole && self.lines.return_out.is_some() {
                end
            } else {
                to.unwrap_or(most.max(40.0))
            };
            let left = if self.lines.return_in.is_some() {
                0.0
            } else {
                least.min(right) - 50.0
            };
            let right = if self.lines.return_in.is_none() && self.lines.return_out.is_none() {
                most + 50.0
            } else {
                right
            };
            self.run(kind, node, at(left, HEIGHT), at(right, HEIGHT));
        }
        if let Some(node) = self
            .lines
            .bottom_out
            .filter(|n| Some(*n) != self.lines.bottom_in)
        {
            let kind = if self.broken {
                LineKind::Lead
            } else {
                kind_out
            };
            let (least, _) = lowest(&self.sketch, node);
            let from = if to.is_some() {
                from
            } else {
                least.min(end - 60.0)
            };
            self.run(kind, node, at(from, HEIGHT), at(end, HEIGHT));
        }
        if let Some(port) = self.lines.return_in {
            self.port(port, at(0.0, HEIGHT), false, false);
        }
        if let Some(port) = self.lines.return_out {
            self.port(port, at(end, HEIGHT), false, self.broken);
        }
    }

    fn port(&mut self, port: usize, place: Point, upper: bool, parted: bool) {
        let terminal = self.circuit.ports[port].terminal.clone();
        symbols::terminal(&mut self.sketch, place, &terminal.to_string());
        let (mark, letter) = if upper { (-14.0, 24.0) } else { (22.0, -12.0) };
        self.sketch.text(
            TextStyle::Terminal,
            Anchor::Middle,
            at(place.x, place.y + mark),
            &terminal.to_string(),
        );
        let name = if upper && !parted {
            if self.circuit.three_phase {
                format!("L{}", self.phase)
            } else {
                "L".to_owned()
            }
        } else if !upper && is_neutral(&terminal.terminal) && !parted {
            "N".to_owned()
        } else if let (false, false, Some(other)) =
            (upper, parted, self.other_line(&terminal.terminal))
        {
            format!("L{other}")
        } else {
            return;
        };
        self.sketch.text(
            TextStyle::Name,
            Anchor::Middle,
            at(place.x, place.y + letter),
            &name,
        );
    }
}

/// The value written beside a simple part.
fn value(part: &gear::Part) -> Option<String> {
    let quantity = match &part.kind {
        PartKind::Fuse { current } => current.as_ref(),
        PartKind::Resistor { resistance } | PartKind::Load { resistance, .. } => {
            resistance.as_ref()
        }
        PartKind::Capacitor { capacitance } => capacitance.as_ref(),
        _ => None,
    };
    quantity.map(spaced_text)
}

/// A quantity's text with no-break spaces.
pub(super) fn spaced_text(quantity: &Quantity) -> String {
    quantity.text().replace(' ', "\u{a0}")
}
