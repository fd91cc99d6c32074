//! Gives lines and crossings their coordinates: the upper line at 0, the lower at [`HEIGHT`], input left, output right.
//!
//! Two cursors run from left to right, one on the line, one beneath it; each symbol takes the room it and its marks need, and
//! the room the readings will want.

use super::Room;
use super::circuit::{Circuit, Element, is_neutral, line_phase};
use super::lines::{Lines, OnLine};
use super::sketch::{Item, Landing, Layer, Run, Sketch, Way};
use super::symbols::{self, BODY, Level, Upright};
use crate::svg::{Anchor, LineKind, Point, Rect, Svg, TextStyle, at};
use gear::PartKind;
use quantity::Quantity;

/// Distance between the lines.
pub(super) const HEIGHT: f64 = 304.0;
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
pub(super) const COLUMN: f64 = 108.0;
/// Length of a lead that ends at an open terminal of its own winding.
const OPEN_LEAD: f64 = 44.0;
/// The same where the winding stands between lines.
const SHORT_LEAD: f64 = 14.0;
/// From the lower line to the earth under it.
const TO_EARTH: f64 = 42.0;

/// Puts everything of one phase into a sketch. `flips` turns windings under a line about, in their order.
pub(super) fn place(circuit: &Circuit<'_>, lines: &Lines, room: &Room, phase: u8, flips: &[bool]) -> Sketch {
    let mut placer = Placer { circuit, lines, room, phase, sketch: Sketch::default(), on_line: 0.0, beneath: 12.0, flips: flips.to_vec(), from: 0.0, broken: false, remarks: Vec::new() };
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
            self.port(port, at(0.0, 0.0), true);
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
        let last = top.iter().rev().find_map(|t| if let OnLine::Node(n) = t { Some(*n) } else { None });
        if let Some(port) = self.lines.line_out {
            if let Some(node) = last {
                self.run_top(node, self.from, end);
            }
            self.port(port, at(end, 0.0), true);
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
            self.sketch.text(TextStyle::Terminal, Anchor::End, at(-12.0, place.y + 4.0), &p.terminal.to_string());
        }
        self.put_remarks();
    }

    /// Pins that lead nowhere end in an open terminal.
    fn open_ends(&mut self) {
        let open: Vec<Landing> = self.sketch.landings.iter().filter(|l| self.circuit.landings(l.node) == 1 && !self.sketch.ports.iter().any(|p| p.0 == l.terminal)).cloned().collect();
        for landing in open {
            let out = landing.way.step();
            let end = at(landing.at.x + SHORT_LEAD * out.x, landing.at.y + SHORT_LEAD * out.y);
            self.run(LineKind::Lead, landing.node, landing.at, end);
            symbols::terminal(&mut self.sketch, end, &landing.terminal);
        }
    }

    /// Terminals of strips that begin or end no line stand at the right, each at the height of what it leads to.
    fn other_ports(&mut self, end: f64) {
        for port in &self.circuit.ports {
            let name = port.terminal.to_string();
            let is_earth = self.lines.earth.iter().any(|i| self.circuit.ports[*i].terminal == port.terminal);
            if is_earth || self.sketch.ports.iter().any(|p| p.0 == name) {
                continue;
            }
            let wanted = self.sketch.landings.iter().filter(|l| l.node == port.node).map(|l| l.at.y).next_back().unwrap_or(HEIGHT + 40.0);
            let free = |y: &f64| !self.sketch.ports.iter().any(|p| (p.1.x - end).abs() < 1.0 && (p.1.y - y).abs() < 24.0);
            let y = (0..20).flat_map(|i| [wanted + 26.0 * f64::from(i), wanted - 26.0 * f64::from(i)]).find(free).unwrap_or(wanted);
            symbols::terminal(&mut self.sketch, at(end, y), &name);
            self.sketch.landing(name.clone(), port.node, at(end, y), Way::Left);
            self.sketch.text(TextStyle::Terminal, Anchor::Start, at(end + 10.0, y + 4.0), &name);
        }
    }

    fn node_before(&self, index: usize) -> Option<usize> {
        self.lines.top[..index].iter().rev().find_map(|t| if let OnLine::Node(n) = t { Some(*n) } else { None })
    }

    fn line_kind(&self) -> LineKind {
        if self.broken { LineKind::Lead } else { LineKind::of_phase(if self.circuit.three_phase { self.phase } else { 1 }) }
    }

    fn run_top(&mut self, node: usize, from: f64, to: f64) {
        if to - from > 0.5 {
            self.run(self.line_kind(), node, at(from, 0.0), at(to, 0.0));
        }
    }

    fn run(&mut self, kind: LineKind, node: usize, from: Point, to: Point) {
        self.sketch.put(Layer::Wire, Item::Line { kind, points: vec![from, to], node: Some(node) });
        self.sketch.runs.push(Run { node, from, to });
    }

    /// Ends the stretch of the upper line at the last landing of its conductor, or at `least`.
    fn line_end(&mut self, node: Option<usize>, least: Option<f64>) {
        let Some(node) = node else { return };
        let reach = self.sketch.landings.iter().filter(|l| l.node == node && l.way == Way::Up).map(|l| l.at.x).fold(f64::NEG_INFINITY, f64::max);
        let to = reach.max(least.unwrap_or(self.from));
        self.run_top(node, self.from, to);
        self.from = to;
    }

    fn series(&mut self, index: usize, number: usize, enters: usize) {
        let element = &self.circuit.elements[number];
        let Some(node) = self.node_before(index) else { return };
        if !element.is_wound() {
            let x = self.on_line + 12.0 + BODY.0 / 2.0;
            let from = if enters == 0 { Way::Left } else { Way::Right };
            let (a, b) = symbols::simple(&mut self.sketch, element, at(x, 0.0), from);
            self.sketch.landing(element.pins[0].terminal.to_string(), element.pins[0].node, a, from);
            self.sketch.landing(element.pins[1].terminal.to_string(), element.pins[1].node, b, from.back());
            let name = self.sketch.text(TextStyle::Name, Anchor::Middle, at(x, if element.open { -30.0 } else { -14.0 }), element.part.designation.as_str());
            let wide = match value(element.part) {
                Some(text) => self.sketch.text(TextStyle::Terminal, Anchor::Middle, at(x, 24.0), &text).width(),
                None => 0.0,
            };
            self.run_top(node, self.from, x - BODY.0 / 2.0);
            self.from = x + BODY.0 / 2.0;
            self.on_line = self.from.max(x + wide.max(name.width()) / 2.0) + 14.0;
            return;
        }
        let under = self.lines.under.get(&number).cloned().unwrap_or_default();
        let long = LEVEL * (under.len().max(1) as f64) + self.room.over(number);
        let gap = if under.is_empty() { 44.0 } else { UNDER_ROOM };
        let x0 = (self.on_line + 40.0).max(self.beneath + gap);
        let x1 = x0 + long;
        let first_left = (element.pins[enters].at) < 0.5;
        symbols::level_winding(&mut self.sketch, element, Level { x0, x1, y: 0.0, bulge: Way::Down, first_left, turns: (long / 24.0) as usize });
        let core_y = TO_CORE;
        symbols::core(&mut self.sketch, at(x0, core_y), at(x1, core_y));
        let name = [(Anchor::End, at(x0 - 16.0, core_y + 5.0)), (Anchor::Start, at(x1 + 16.0, core_y + 5.0))];
        self.sketch.text_where_free(TextStyle::Name, &name, element.part.designation.as_str(), &[]);
        let each = (x1 - x0 - 28.0 * (under.len().max(1) - 1) as f64) / under.len().max(1) as f64;
        for (place, winding) in under.iter().enumerate() {
            let w0 = x0 + (each + 28.0) * place as f64;
            let flip = self.flips.pop().unwrap_or(false);
            symbols::level_winding(
                &mut self.sketch,
                &self.circuit.elements[*winding],
                Level { x0: w0, x1: w0 + each, y: TO_UNDER, bulge: Way::Up, first_left: !flip, turns: (each / 15.0) as usize },
            );
        }
        self.run_top(node, self.from, x0);
        self.from = x1;
        self.on_line = x1 + 14.0;
        self.beneath = if under.is_empty() { self.beneath.max(x1) } else { x1 + UNDER_ROOM };
    }

    fn crossings_at(&mut self, index: usize, bottom_from: &mut f64, bottom_to: &mut Option<f64>) {
        let groups: Vec<Vec<usize>> = self.lines.crossings.iter().filter(|(i, _)| *i == index).map(|(_, g)| g.clone()).collect();
        for group in groups {
            let (left, right) = if group.len() > 1 { self.cluster(&group) } else { self.crossing(index, group[0]) };
            if self.lines.top.get(index) == Some(&OnLine::Break) {
                if let Some(before) = self.node_before(index) {
                    self.run_top(before, self.from, left.max(self.from));
                }
                if group.len() > 1 {
                    self.broken = true;
                }
                self.from = right;
                self.on_line = self.on_line.max(right);
            }
            if self.lines.bottom_in != self.lines.bottom_out && group.len() > 1 {
                *bottom_to = Some(left);
                *bottom_from = right;
            }
        }
    }

    /// A winding or a simple part between the lines. Returns where the upper line ends and where it may begin again.
    fn crossing(&mut self, index: usize, number: usize) -> (f64, f64) {
        let element = &self.circuit.elements[number];
        if !element.is_wound() {
            let x = (self.on_line + 30.0).max(self.beneath + 50.0);
            let up = self.is_upper(element.pins[0].node) || !self.is_upper(element.pins[1].node);
            let (a, b) = symbols::simple(&mut self.sketch, element, at(x, HEIGHT / 2.0), if up { Way::Up } else { Way::Down });
            for (pin, place) in element.pins.iter().zip([a, b]) {
                let way = if place.y < HEIGHT / 2.0 { Way::Up } else { Way::Down };
                self.sketch.landing(pin.terminal.to_string(), pin.node, place, way);
            }
            let name = self.sketch.text(TextStyle::Name, Anchor::Start, at(x + 16.0, HEIGHT / 2.0), element.part.designation.as_str());
            let wide = value(element.part).map_or(0.0, |v| self.sketch.text(TextStyle::Terminal, Anchor::Start, at(x + 16.0, HEIGHT / 2.0 + 16.0), &v).width());
            self.beneath = x + 16.0 + wide.max(name.width());
            self.on_line = x + 16.0;
            return (x, x + 60.0);
        }
        let through = self.lines.top.get(index) == Some(&OnLine::Break);
        let right = through || self.partner_is_right(index, element);
        let leads = if right { Way::Right } else { Way::Left };
        let other_side = if through { self.node_before(index) } else { None };
        let has_scale = element.pins.iter().any(|p| p.slider.is_some());
        let scale_room = if has_scale { TO_SCALE + 74.0 + self.remark_room(element) } else { 30.0 };
        let columns = self.room.columns(number) as f64 * COLUMN;
        let has_side = element.pins.iter().any(|p| p.slider.is_some() || (p.at > 0.0 && p.at < 1.0));
        let lead_room = if has_side { LEAD_ROOM } else { 60.0 };
        let (need_left, need_right) = if right { (scale_room + columns, lead_room) } else { (lead_room, scale_room + columns) };
        // Columns of readings left of a scale hang from this very stretch of the line.
        let hung = if right && columns > 0.0 { self.from + need_left } else { 0.0 };
        let x = (self.on_line + 30.0).max(self.beneath + need_left).max(hung);
        self.beneath = x + need_right;
        self.on_line = x + 20.0;
        let how = Upright { x, y0: DROP, y1: HEIGHT - DROP, bulge: leads, leads, first_top: self.first_is_upper(element), marked: true, level_ends: false, other_side };
        symbols::upright_winding(&mut self.sketch, element, how);
        self.name_crossing(element, how);
        if has_scale {
            super::scale::scale(&mut self.sketch, self.circuit.find, element, how, x + TO_SCALE * leads.back().step().x);
        }
        self.star_remark(element, x);
        // Where the line comes in by a tap, it ends over the tap's lead.
        let entered = through && element.pins.iter().any(|p| p.at > 0.0 && p.at < 1.0 && p.slider.is_none() && Some(p.node) == other_side);
        (if entered { x - 17.0 } else { x }, x + 84.0)
    }

    fn name_crossing(&mut self, element: &Element<'_>, how: Upright) {
        let out = how.leads.step().x;
        let anchor = if out > 0.0 { Anchor::Start } else { Anchor::End };
        // Corridors of the leads: names stand beside them.
        let corridors: Vec<Rect> = self
            .sketch
            .landings
            .iter()
            .filter(|l| l.way == how.leads && (l.at.x - how.x).abs() < 30.0)
            .map(|l| Rect::new(at(l.at.x, l.at.y - 9.0), at(l.at.x + 90.0 * out, l.at.y + 9.0)))
            .collect();
        let volts = element.winding.and_then(|w| w.volts.as_ref()).map(spaced_text);
        let block = if volts.is_some() { 17.0 } else { 0.0 };
        let x = how.x + 20.0 * out;
        let tries = [2.0, 34.0, 66.0, 96.0, 130.0, 160.0, 190.0].map(|dy| at(x, how.y0 + dy));
        let free = |p: &Point| {
            let name = Svg::text_box(TextStyle::Name, anchor, *p, element.part.designation.as_str());
            let whole = Rect { y1: name.y1 + block, x0: name.x0.min(x + 40.0 * out), x1: name.x1.max(x + 40.0 * out), ..name }.grown(3.0);
            !corridors.iter().any(|c| c.overlaps(&whole)) && self.sketch.is_free(&whole)
        };
        let place = tries.iter().find(|p| free(p)).copied().unwrap_or(tries[0]);
        self.sketch.text(TextStyle::Name, anchor, place, element.part.designation.as_str());
        if let Some(volts) = volts {
            self.sketch.text(TextStyle::Terminal, anchor, at(place.x, place.y + 16.0), &volts);
        }
    }

    /// Windings of one core between the lines: the first left of the core, the others right of it.
    fn cluster(&mut self, group: &[usize]) -> (f64, f64) {
        let left_first = group.iter().position(|e| self.touches_input(*e)).unwrap_or(0);
        let mut order = group.to_vec();
        let left = order.remove(left_first);
        let x = (self.on_line + 40.0).max(self.beneath + 74.0);
        let right = x + self.core_gap(left);
        self.windings_round_core(left, &order, [x, right], [DROP, HEIGHT - DROP], true);
        self.beneath = right + 74.0;
        self.on_line = right + 14.0;
        self.star_remark(&self.circuit.elements[left], x);
        (x, right)
    }

    /// Distance of the windings on both sides of a core: its power is written between their leads.
    fn core_gap(&self, element: usize) -> f64 {
        let power = self.circuit.elements[element].part.kind.wound().and_then(|w| w.power.as_ref());
        power.map_or(44.0, |p| (TextStyle::Terminal.width(&spaced_text(p)) + 26.0).max(44.0))
    }

    fn windings_round_core(&mut self, left: usize, others: &[usize], [x, right]: [f64; 2], [y0, y1]: [f64; 2], marked: bool) {
        let middle = (x + right) / 2.0;
        let first = &self.circuit.elements[left];
        let how = Upright { x, y0, y1, bulge: Way::Right, leads: Way::Left, first_top: self.first_is_upper(first), marked, level_ends: !marked, other_side: None };
        symbols::upright_winding(&mut self.sketch, first, how);
        symbols::core(&mut self.sketch, at(middle, y0), at(middle, y1));
        let gap = 44.0;
        let each = (y1 - y0 - gap * (others.len().max(1) - 1) as f64) / others.len().max(1) as f64;
        for (place, other) in others.iter().enumerate() {
            let element = &self.circuit.elements[*other];
            let top = y0 + (each + gap) * place as f64;
            let how = Upright { x: right, y0: top, y1: top + each, bulge: Way::Left, leads: Way::Right, first_top: self.first_is_upper(element), marked, level_ends: !marked || others.len() > 1, other_side: None };
            let before = self.sketch.landings.len();
            symbols::upright_winding(&mut self.sketch, element, how);
            // Windings above each other have their leads level.
            if others.len() > 1 && marked {
                self.sketch.landings[before..].iter_mut().for_each(|l| l.way = Way::Right);
            }
            self.winding_volts(element, how);
        }
        self.winding_volts(first, how);
        let name = [(Anchor::Middle, at(middle, y0 - 10.0)), (Anchor::Middle, at(middle, y1 + 22.0))];
        self.sketch.text_where_free(TextStyle::Name, &name, first.part.designation.as_str(), &[]);
        if let Some(power) = first.part.kind.wound().and_then(|w| w.power.as_ref()) {
            self.sketch.text_where_free(TextStyle::Terminal, &[(Anchor::Middle, at(middle, y1 + 18.0)), (Anchor::Middle, at(middle, y1 + 34.0))], &spaced_text(power), &[]);
        }
    }

    fn winding_volts(&mut self, element: &Element<'_>, how: Upright) {
        let Some(volts) = element.winding.and_then(|w| w.volts.as_ref()) else { return };
        let out = how.leads.step().x;
        let anchor = if out > 0.0 { Anchor::Start } else { Anchor::End };
        let middle = (how.y0 + how.y1) / 2.0 + 4.0;
        let places = [0.0, 30.0, -30.0, 50.0, -50.0].map(|dy| (anchor, at(how.x + 12.0 * out, middle + dy)));
        self.sketch.text_where_free(TextStyle::Terminal, &places, &spaced_text(volts), &[]);
    }

    fn is_upper(&self, node: usize) -> bool {
        self.lines.top.iter().any(|t| *t == OnLine::Node(node))
    }

    fn first_is_upper(&self, element: &Element<'_>) -> bool {
        let lower = |n: usize| Some(n) == self.lines.bottom_in || Some(n) == self.lines.bottom_out;
        let (first, last) = (element.first().node, element.last().node);
        !(lower(first) && !lower(last)) && !(self.is_upper(last) && !self.is_upper(first))
    }

    fn touches_input(&self, element: usize) -> bool {
        let before: Vec<usize> = self.lines.top.iter().take_while(|t| **t != OnLine::Break).filter_map(|t| if let OnLine::Node(n) = t { Some(*n) } else { None }).collect();
        before.iter().any(|n| self.circuit.elements[element].touches(*n))
    }

    /// Whether what a crossing's taps and sliders lead to stands further right.
    fn partner_is_right(&self, index: usize, element: &Element<'_>) -> bool {
        let inner: Vec<usize> = element.pins.iter().filter(|p| p.slider.is_some() || (p.at > 0.0 && p.at < 1.0)).map(|p| p.node).collect();
        let touches = |e: &usize| inner.iter().any(|n| self.circuit.elements[*e].touches(*n));
        self.lines.top.iter().enumerate().any(|(i, item)| match item {
            OnLine::Series(s, ..) => i > index && self.lines.under.get(s).is_some_and(|u| u.iter().any(touches)),
            OnLine::Node(n) => i > index && inner.contains(n),
            OnLine::Break => false,
        })
    }

    fn remark_room(&self, element: &Element<'_>) -> f64 {
        let widest = super::scale::remarks(self.circuit.find, element).iter().flat_map(|d| d.lines.iter().map(|l| TextStyle::Said.width(l))).fold(0.0, f64::max);
        if widest > 0.0 { (widest - 40.0).max(0.0) } else { 0.0 }
    }

    fn star_remark(&mut self, element: &Element<'_>, x: f64) {
        let Some(pin) = [element.first(), element.last()].into_iter().find(|p| Some(p.node) == self.lines.bottom_in || Some(p.node) == self.lines.bottom_out) else { return };
        let Some(others) = self.circuit.foreign.get(&pin.node) else { return };
        let like: Vec<String> = others
            .iter()
            .filter(|d| self.circuit.find.part(d).is_some_and(|p| std::mem::discriminant(&p.kind) == std::mem::discriminant(&element.part.kind)))
            .map(ToString::to_string)
            .collect();
        if like.is_empty() {
            return;
        }
        let is_star = self.bottom_mark().is_none_or(|m| is_neutral(&m));
        let text = format!("{}with {}", if is_star { "star point, " } else { "" }, like.join(" and "));
        self.remarks.push((x, text));
    }

    /// Remarks under the lower line, when everything else there has its place.
    fn put_remarks(&mut self) {
        for (x, text) in std::mem::take(&mut self.remarks) {
            let y = HEIGHT + 22.0;
            let places = [(Anchor::Middle, at(x, y)), (Anchor::Start, at(x - 4.0, y)), (Anchor::Start, at(x - 4.0, y + 20.0)), (Anchor::Start, at(x + 60.0, y + 44.0))];
            self.sketch.text_where_free(TextStyle::Said, &places, &text, &[]);
        }
    }

    /// The phase whose line the lower one is, in delta.
    fn other_line(&self, mark: &str) -> Option<u8> {
        line_phase(mark).filter(|_| self.circuit.three_phase)
    }

    fn bottom_mark(&self) -> Option<String> {
        self.lines.return_in.or(self.lines.return_out).map(|i| self.circuit.ports[i].terminal.terminal.clone())
    }

    fn bottom(&mut self, end: f64, from: f64, to: Option<f64>) {
        let kind = match self.bottom_mark() {
            Some(mark) => self.other_line(&mark).map_or(LineKind::Neutral, LineKind::of_phase),
            None => LineKind::Lead,
        };
        let lowest = |s: &Sketch, node: usize| {
            let xs: Vec<f64> = s.landings.iter().filter(|l| l.node == node && l.way == Way::Down).map(|l| l.at.x).collect();
            (xs.iter().copied().fold(f64::INFINITY, f64::min), xs.iter().copied().fold(f64::NEG_INFINITY, f64::max))
        };
        if let Some(node) = self.lines.bottom_in {
            let (least, most) = lowest(&self.sketch, node);
            let whole = self.lines.bottom_out == Some(node);
            let right = if whole && self.lines.return_out.is_some() { end } else { to.unwrap_or(most.max(40.0)) };
            let left = if self.lines.return_in.is_some() { 0.0 } else { least.min(right) - 50.0 };
            let right = if self.lines.return_in.is_none() && self.lines.return_out.is_none() { most + 50.0 } else { right };
            self.run(kind, node, at(left, HEIGHT), at(right, HEIGHT));
        }
        if let Some(node) = self.lines.bottom_out.filter(|n| Some(*n) != self.lines.bottom_in) {
            let kind = if self.broken { LineKind::Lead } else { kind };
            let (least, _) = lowest(&self.sketch, node);
            let from = if to.is_some() { from } else { least.min(end - 60.0) };
            self.run(kind, node, at(from, HEIGHT), at(end, HEIGHT));
        }
        if let Some(port) = self.lines.return_in {
            self.port(port, at(0.0, HEIGHT), false);
        }
        if let Some(port) = self.lines.return_out {
            self.port(port, at(end, HEIGHT), false);
        }
    }

    fn port(&mut self, port: usize, place: Point, upper: bool) {
        let terminal = self.circuit.ports[port].terminal.clone();
        symbols::terminal(&mut self.sketch, place, &terminal.to_string());
        let (mark, letter) = if upper { (-14.0, 24.0) } else { (22.0, -12.0) };
        self.sketch.text(TextStyle::Terminal, Anchor::Middle, at(place.x, place.y + mark), &terminal.to_string());
        let name = if upper && !self.broken {
            if self.circuit.three_phase { format!("L{}", self.phase) } else { "L".to_owned() }
        } else if !upper && is_neutral(&terminal.terminal) && !self.broken {
            "N".to_owned()
        } else if let (false, Some(other)) = (upper, self.other_line(&terminal.terminal)) {
            format!("L{other}")
        } else {
            return;
        };
        self.sketch.text(TextStyle::Name, Anchor::Middle, at(place.x, place.y + letter), &name);
    }

    /// What fits no line: windings round their cores side by side, with their leads.
    fn loose(&mut self) {
        let groups = self.lines.loose.clone();
        let mut x = if self.lines.any() { self.on_line.max(self.beneath) + 40.0 } else { 0.0 };
        for group in groups {
            x = self.loose_group(&group, x) + 40.0;
        }
    }

    fn loose_group(&mut self, group: &[usize], x: f64) -> f64 {
        let first = &self.circuit.elements[group[0]];
        let before = self.sketch.landings.len();
        let longest = group.iter().flat_map(|e| &self.circuit.elements[*e].pins).map(|p| self.room.currents(p.node)).max().unwrap_or(0) as f64 * CURRENT_ROOM;
        let start = x + 90.0 + longest;
        let end = if !first.is_wound() {
            let (a, b) = symbols::simple(&mut self.sketch, first, at(start + 10.0, 120.0), Way::Up);
            for (pin, place) in first.pins.iter().zip([a, b]) {
                let way = if place.y < 120.0 { Way::Up } else { Way::Down };
                self.sketch.landing(pin.terminal.to_string(), pin.node, place, way);
            }
            self.sketch.text(TextStyle::Name, Anchor::Start, at(start + 28.0, 120.0), first.part.designation.as_str());
            if let Some(text) = value(first.part) {
                self.sketch.text(TextStyle::Terminal, Anchor::Start, at(start + 28.0, 136.0), &text);
            }
            start + 80.0
        } else if group.len() == 1 {
            let has_scale = first.pins.iter().any(|p| p.slider.is_some());
            // Position 1 of a travel stands at the top.
            let how = Upright { x: start + 20.0, y0: 20.0, y1: 240.0, bulge: Way::Left, leads: Way::Left, first_top: !has_scale, marked: false, level_ends: false, other_side: None };
            symbols::upright_winding(&mut self.sketch, first, how);
            self.name_crossing(first, how);
            if has_scale {
                super::scale::scale(&mut self.sketch, self.circuit.find, first, how, how.x + TO_SCALE);
                start + 20.0 + TO_SCALE + 74.0 + self.remark_room(first)
            } else {
                start + 60.0
            }
        } else {
            let high = (110.0 * (group.len() - 1) as f64 + 44.0 * (group.len() - 2) as f64).max(150.0);
            let gap = self.core_gap(group[0]);
            self.windings_round_core(group[0], &group[1..], [start, start + gap], [20.0, 20.0 + high], false);
            start + gap + 90.0 + longest
        };
        let landings: Vec<_> = self.sketch.landings.drain(before..).collect();
        let mut landings = landings;
        // Windings stacked beside a core have their leads level, away from it.
        for landing in landings.iter_mut().filter(|l| group.len() > 1 && !l.way.is_level()) {
            landing.way = if landing.at.x <= start { Way::Left } else { Way::Right };
        }
        // All on one side are as long as the one that has most currents to show.
        let long = |way: Way| landings.iter().filter(|l| l.way == way && way.is_level()).map(|l| self.room.currents(l.node)).max().unwrap_or(0) as f64 * CURRENT_ROOM;
        let lengths: Vec<f64> = landings.iter().map(|l| OPEN_LEAD + long(l.way)).collect();
        let ends: Vec<Landing> = landings.iter().zip(lengths).map(|(l, long)| self.loose_lead(l, long)).collect();
        let circles: Vec<Rect> = ends.iter().map(|l| Rect::around(l.at, 9.0, 9.0)).collect();
        for landing in &ends {
            self.mark_loose(landing, &circles);
        }
        end
    }

    /// A lead from a winding that fits no line to its open terminal; joined ones go on from there.
    fn loose_lead(&mut self, landing: &Landing, long: f64) -> Landing {
        let out = landing.way.step();
        let end = Landing { at: at(landing.at.x + long * out.x, landing.at.y + long * out.y), ..landing.clone() };
        self.run(LineKind::Lead, landing.node, landing.at, end.at);
        symbols::terminal(&mut self.sketch, end.at, &landing.terminal);
        self.sketch.landings.push(end.clone());
        end
    }

    fn mark_loose(&mut self, landing: &Landing, circles: &[Rect]) {
        let joined = self.circuit.landings(landing.node) > 1;
        let end = landing.at;
        let beside = [(Anchor::Start, at(end.x + 10.0, end.y + 4.0)), (Anchor::End, at(end.x - 10.0, end.y + 4.0))];
        let above_or_below = [(Anchor::Middle, at(end.x, end.y - 11.0)), (Anchor::Middle, at(end.x, end.y + 20.0))];
        let places = match landing.way {
            Way::Up | Way::Down if joined => beside,
            Way::Down => [above_or_below[1], beside[0]],
            _ => above_or_below,
        };
        self.sketch.text_where_free(TextStyle::Terminal, &places, &landing.terminal, circles);
    }
}

/// The value written beside a simple part.
fn value(part: &gear::Part) -> Option<String> {
    let quantity = match &part.kind {
        PartKind::Fuse { current } => current.as_ref(),
        PartKind::Resistor { resistance } | PartKind::Load { resistance, .. } => resistance.as_ref(),
        PartKind::Capacitor { capacitance } => capacitance.as_ref(),
        _ => None,
    };
    quantity.map(spaced_text)
}

/// A quantity's text with no-break spaces.
pub(super) fn spaced_text(quantity: &Quantity) -> String {
    quantity.text().replace(' ', "\u{a0}")
}
