//! What fits no line: windings round their cores side by side, with their leads and open terminals.

use super::{CURRENT_ROOM, OPEN_LEAD, Placer, TO_SCALE, value};
use crate::schematic::scale;
use crate::schematic::sketch::{Landing, Way};
use crate::schematic::symbols::{self, Upright};
use crate::svg::{Anchor, LineKind, Rect, TextStyle, at};

impl Placer<'_> {
    /// What fits no line: windings round their cores side by side, with their leads.
    pub(super) fn loose(&mut self) {
        let groups = self.lines.loose.clone();
        let mut x = if self.lines.any() {
            self.on_line.max(self.beneath) + 40.0
        } else {
            0.0
        };
        for group in groups {
            x = self.loose_group(&group, x) + 40.0;
        }
    }

    pub(super) fn loose_group(&mut self, group: &[usize], x: f64) -> f64 {
        let first = &self.circuit.elements[group[0]];
        let before = self.sketch.landings.len();
        let longest = group
            .iter()
            .flat_map(|e| &self.circuit.elements[*e].pins)
            .map(|p| self.room.currents(p.node))
            .max()
            .unwrap_or(0)
            .div_ceil(2) as f64
            * CURRENT_ROOM;
        let start = x + 90.0 + longest;
        let end = if !first.is_wound() {
            let (a, b) = symbols::simple(&mut self.sketch, first, at(start + 10.0, 120.0), Way::Up);
            for (pin, place) in first.pins.iter().zip([a, b]) {
                let way = if place.y < 120.0 { Way::Up } else { Way::Down };
                self.sketch
                    .landing(pin.terminal.to_string(), pin.node, place, way);
            }
            self.sketch.text(
                TextStyle::Name,
                Anchor::Start,
                at(start + 28.0, 120.0),
                first.part.designation.as_str(),
            );
            if let Some(text) = value(first.part) {
                self.sketch.text(
                    TextStyle::Terminal,
                    Anchor::Start,
                    at(start + 28.0, 136.0),
                    &text,
                );
            }
            start + 80.0
        } else if group.len() == 1 {
            let has_scale = first.pins.iter().any(|p| p.slider.is_some());
            // Position 1 of a travel stands at the top.
            let how = Upright {
                x: start + 20.0,
                y0: 20.0,
                y1: 240.0,
                bulge: Way::Left,
                leads: Way::Left,
                first_top: !has_scale,
                marked: false,
                level_ends: false,
                other_side: None,
            };
            symbols::upright_winding(&mut self.sketch, first, how);
            self.name_crossing(first, how);
            if has_scale {
                scale::scale(
                    &mut self.sketch,
                    self.circuit.find,
                    first,
                    how,
                    how.x + TO_SCALE,
                );
                start + 20.0 + TO_SCALE + 74.0 + self.remark_room(first)
            } else {
                start + 60.0
            }
        } else {
            let high =
                (110.0 * (group.len() - 1) as f64 + 44.0 * (group.len() - 2) as f64).max(150.0);
            let gap = self.core_gap(group[0]);
            self.windings_round_core(
                group[0],
                &group[1..],
                [start, start + gap],
                [20.0, 20.0 + high],
                false,
            );
            start + gap + 90.0 + longest
        };
        let landings: Vec<_> = self.sketch.landings.drain(before..).collect();
        let mut landings = landings;
        // Windings stacked beside a core have their leads level, away from it.
        for landing in landings
            .iter_mut()
            .filter(|l| group.len() > 1 && !l.way.is_level())
        {
            landing.way = if landing.at.x <= start {
                Way::Left
            } else {
                Way::Right
            };
        }
        // All on one side are as long as the one that has most currents to show.
        let long = |way: Way| {
            landings
                .iter()
                .filter(|l| l.way == way && way.is_level())
                .map(|l| self.room.currents(l.node))
                .max()
                .unwrap_or(0)
                .div_ceil(2) as f64
                * CURRENT_ROOM
        };
        let lengths: Vec<f64> = landings.iter().map(|l| OPEN_LEAD + long(l.way)).collect();
        let ends: Vec<Landing> = landings
            .iter()
            .zip(lengths)
            .map(|(l, long)| self.loose_lead(l, long))
            .collect();
        let circles: Vec<Rect> = ends.iter().map(|l| Rect::around(l.at, 9.0, 9.0)).collect();
        for landing in &ends {
            self.mark_loose(landing, &circles);
        }
        end
    }

    /// A lead from a winding that fits no line to its open terminal; joined ones go on from there.
    pub(super) fn loose_lead(&mut self, landing: &Landing, long: f64) -> Landing {
        let out = landing.way.step();
        let end = Landing {
            at: at(landing.at.x + long * out.x, landing.at.y + long * out.y),
            ..landing.clone()
        };
        self.run(LineKind::Lead, landing.node, landing.at, end.at);
        symbols::terminal(&mut self.sketch, end.at, &landing.terminal);
        self.sketch.landings.push(end.clone());
        end
    }

    pub(super) fn mark_loose(&mut self, landing: &Landing, circles: &[Rect]) {
        let joined = self.circuit.landings(landing.node) > 1;
        let end = landing.at;
        let beside = [
            (Anchor::Start, at(end.x + 10.0, end.y + 4.0)),
            (Anchor::End, at(end.x - 10.0, end.y + 4.0)),
        ];
        let above_or_below = [
            (Anchor::Middle, at(end.x, end.y - 11.0)),
            (Anchor::Middle, at(end.x, end.y + 20.0)),
        ];
        let places = match landing.way {
            Way::Up | Way::Down if joined => beside,
            Way::Down => [above_or_below[1], beside[0]],
            _ => above_or_below,
        };
        self.sketch
            .text_where_free(TextStyle::Terminal, &places, &landing.terminal, circles);
        if !joined {
            self.elsewhere(landing.node, end);
        }
    }
}
