//! What stands between the lines: simple parts, windings with their scale, windings round a core.

use super::{COLUMN, DROP, HEIGHT, LEAD_ROOM, Placer, TO_SCALE, spaced_text, value};
use crate::schematic::circuit::{Element, is_neutral};
use crate::schematic::lines::OnLine;
use crate::schematic::scale;
use crate::schematic::sketch::Way;
use crate::schematic::symbols::{self, Upright};
use crate::svg::{Anchor, Point, Rect, Svg, TextStyle, at};

impl Placer<'_> {
    pub(super) fn crossings_at(
        &mut self,
        index: usize,
        bottom_from: &mut f64,
        bottom_to: &mut Option<f64>,
    ) {
        let groups: Vec<Vec<usize>> = self
            .lines
            .crossings
            .iter()
            .filter(|(i, _)| *i == index)
            .map(|(_, g)| g.clone())
            .collect();
        for group in groups {
            let (left, right) = if group.len() > 1 {
                self.cluster(&group)
            } else {
                self.crossing(index, group[0])
            };
            if self.lines.top.get(index) == Some(&OnLine::Break) {
                if let Some(before) = self.node_before(index) {
                    self.run_top(before, self.from, left.max(self.from));
                }
                // Behind separate windings of one-phase gear there is no supply line any more.
                if group.len() > 1 && !self.circuit.three_phase {
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
    pub(super) fn crossing(&mut self, index: usize, number: usize) -> (f64, f64) {
        let element = &self.circuit.elements[number];
        if !element.is_wound() {
            return self.crossing_part(number);
        }
        let through = self.lines.top.get(index) == Some(&OnLine::Break);
        let right = through || self.partner_is_right(index, element);
        let leads = if right { Way::Right } else { Way::Left };
        let other_side = if through {
            self.node_before(index)
        } else {
            None
        };
        let has_scale = element.pins.iter().any(|p| p.slider.is_some());
        let scale_room = if has_scale {
            TO_SCALE + 74.0 + self.remark_room(element)
        } else {
            30.0
        };
        let columns = self.room.columns(number) as f64 * COLUMN;
        let has_side = element
            .pins
            .iter()
            .any(|p| p.slider.is_some() || (p.at > 0.0 && p.at < 1.0));
        let lead_room = if has_side { LEAD_ROOM } else { 60.0 };
        let (need_left, need_right) = if right {
            (scale_room + columns, lead_room)
        } else {
            (lead_room, scale_room + columns)
        };
        // Columns of readings left of a scale hang from this very stretch of the line.
        let hung = if right && columns > 0.0 {
            self.from + need_left
        } else {
            0.0
        };
        let x = (self.on_line + 30.0)
            .max(self.beneath + need_left)
            .max(hung);
        self.beneath = x + need_right;
        self.on_line = x + 20.0;
        let how = Upright {
            x,
            y0: DROP,
            y1: HEIGHT - DROP,
            bulge: leads,
            leads,
            first_top: self.first_is_upper(element),
            marked: true,
            level_ends: false,
            other_side,
        };
        symbols::upright_winding(&mut self.sketch, element, how);
        self.name_crossing(element, how);
        if has_scale {
            scale::scale(
                &mut self.sketch,
                self.circuit.find,
                element,
                how,
                x + TO_SCALE * leads.back().step().x,
            );
        }
        self.star_remark(element, x);
        // Where the line comes in by a tap, it ends over the tap's lead.
        let entered = through
            && element.pins.iter().any(|p| {
                p.at > 0.0 && p.at < 1.0 && p.slider.is_none() && Some(p.node) == other_side
            });
        (if entered { x - 17.0 } else { x }, x + 84.0)
    }

    /// A part of two terminals between the lines.
    fn crossing_part(&mut self, number: usize) -> (f64, f64) {
        let element = &self.circuit.elements[number];
        let x = (self.on_line + 30.0).max(self.beneath + 50.0);
        let up = self.is_upper(element.pins[0].node) || !self.is_upper(element.pins[1].node);
        let (a, b) = symbols::simple(
            &mut self.sketch,
            element,
            at(x, HEIGHT / 2.0),
            if up { Way::Up } else { Way::Down },
        );
        for (pin, place) in element.pins.iter().zip([a, b]) {
            let way = if place.y < HEIGHT / 2.0 {
                Way::Up
            } else {
                Way::Down
            };
            self.sketch
                .landing(pin.terminal.to_string(), pin.node, place, way);
        }
        let name = self.sketch.text(
            TextStyle::Name,
            Anchor::Start,
            at(x + 16.0, HEIGHT / 2.0),
            element.part.designation.as_str(),
        );
        let wide = value(element.part).map_or(0.0, |v| {
            self.sketch
                .text(
                    TextStyle::Terminal,
                    Anchor::Start,
                    at(x + 16.0, HEIGHT / 2.0 + 16.0),
                    &v,
                )
                .width()
        });
        self.beneath = x + 16.0 + wide.max(name.width());
        self.on_line = x + 16.0;
        (x, x + 60.0)
    }

    pub(super) fn name_crossing(&mut self, element: &Element<'_>, how: Upright) {
        let out = how.leads.step().x;
        let anchor = if out > 0.0 {
            Anchor::Start
        } else {
            Anchor::End
        };
        // Corridors of the leads: names stand beside them.
        let corridors: Vec<Rect> = self
            .sketch
            .landings
            .iter()
            .filter(|l| l.way == how.leads && (l.at.x - how.x).abs() < 30.0)
            .map(|l| {
                Rect::new(
                    at(l.at.x, l.at.y - 9.0),
                    at(l.at.x + 90.0 * out, l.at.y + 9.0),
                )
            })
            .collect();
        let volts = element
            .winding
            .and_then(|w| w.volts.as_ref())
            .map(spaced_text);
        let block = if volts.is_some() { 17.0 } else { 0.0 };
        let x = how.x + 20.0 * out;
        let tries = [2.0, 34.0, 66.0, 96.0, 130.0, 160.0, 190.0].map(|dy| at(x, how.y0 + dy));
        let free = |p: &Point| {
            let name = Svg::text_box(
                TextStyle::Name,
                anchor,
                *p,
                element.part.designation.as_str(),
            );
            let whole = Rect {
                y1: name.y1 + block,
                x0: name.x0.min(x + 40.0 * out),
                x1: name.x1.max(x + 40.0 * out),
                ..name
            }
            .grown(3.0);
            !corridors.iter().any(|c| c.overlaps(&whole)) && self.sketch.is_free(&whole)
        };
        let place = tries.iter().find(|p| free(p)).copied().unwrap_or(tries[0]);
        self.sketch.text(
            TextStyle::Name,
            anchor,
            place,
            element.part.designation.as_str(),
        );
        if let Some(volts) = volts {
            self.sketch.text(
                TextStyle::Terminal,
                anchor,
                at(place.x, place.y + 16.0),
                &volts,
            );
        }
    }

    /// Windings of one core between the lines: the first left of the core, the others right of it.
    pub(super) fn cluster(&mut self, group: &[usize]) -> (f64, f64) {
        let left_first = group
            .iter()
            .position(|e| self.touches_input(*e))
            .unwrap_or(0);
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
    pub(super) fn core_gap(&self, element: usize) -> f64 {
        let power = self.circuit.elements[element]
            .part
            .kind
            .wound()
            .and_then(|w| w.power.as_ref());
        power.map_or(44.0, |p| {
            (TextStyle::Terminal.width(&spaced_text(p)) + 26.0).max(44.0)
        })
    }

    pub(super) fn windings_round_core(
        &mut self,
        left: usize,
        others: &[usize],
        [x, right]: [f64; 2],
        [y0, y1]: [f64; 2],
        marked: bool,
    ) {
        let middle = (x + right) / 2.0;
        let first = &self.circuit.elements[left];
        let how = Upright {
            x,
            y0,
            y1,
            bulge: Way::Right,
            leads: Way::Left,
            first_top: self.first_is_upper(first),
            marked,
            level_ends: !marked,
            other_side: None,
        };
        symbols::upright_winding(&mut self.sketch, first, how);
        symbols::core(&mut self.sketch, at(middle, y0), at(middle, y1));
        let gap = 44.0;
        let each = (y1 - y0 - gap * (others.len().max(1) - 1) as f64) / others.len().max(1) as f64;
        for (place, other) in others.iter().enumerate() {
            let element = &self.circuit.elements[*other];
            let top = y0 + (each + gap) * place as f64;
            let how = Upright {
                x: right,
                y0: top,
                y1: top + each,
                bulge: Way::Left,
                leads: Way::Right,
                first_top: self.first_is_upper(element),
                marked,
                level_ends: !marked || others.len() > 1,
                other_side: None,
            };
            let before = self.sketch.landings.len();
            symbols::upright_winding(&mut self.sketch, element, how);
            // Windings above each other have their leads level.
            if others.len() > 1 && marked {
                self.sketch.landings[before..]
                    .iter_mut()
                    .for_each(|l| l.way = Way::Right);
            }
            self.winding_volts(element, how);
        }
        self.winding_volts(first, how);
        let name = [
            (Anchor::Middle, at(middle, y0 - 10.0)),
            (Anchor::Middle, at(middle, y1 + 22.0)),
        ];
        self.sketch
            .text_where_free(TextStyle::Name, &name, first.part.designation.as_str(), &[]);
        if let Some(power) = first.part.kind.wound().and_then(|w| w.power.as_ref()) {
            self.sketch.text_where_free(
                TextStyle::Terminal,
                &[
                    (Anchor::Middle, at(middle, y1 + 18.0)),
                    (Anchor::Middle, at(middle, y1 + 34.0)),
                ],
                &spaced_text(power),
                &[],
            );
        }
    }

    pub(super) fn winding_volts(&mut self, element: &Element<'_>, how: Upright) {
        let Some(volts) = element.winding.and_then(|w| w.volts.as_ref()) else {
            return;
        };
        let out = how.leads.step().x;
        let anchor = if out > 0.0 {
            Anchor::Start
        } else {
            Anchor::End
        };
        let middle = (how.y0 + how.y1) / 2.0 + 4.0;
        let places =
            [0.0, 30.0, -30.0, 50.0, -50.0].map(|dy| (anchor, at(how.x + 12.0 * out, middle + dy)));
        self.sketch
            .text_where_free(TextStyle::Terminal, &places, &spaced_text(volts), &[]);
    }

    /// Whether what a crossing's taps and sliders lead to stands further right.
    pub(super) fn partner_is_right(&self, index: usize, element: &Element<'_>) -> bool {
        let inner: Vec<usize> = element
            .pins
            .iter()
            .filter(|p| p.slider.is_some() || (p.at > 0.0 && p.at < 1.0))
            .map(|p| p.node)
            .collect();
        let touches = |e: &usize| inner.iter().any(|n| self.circuit.elements[*e].touches(*n));
        self.lines
            .top
            .iter()
            .enumerate()
            .any(|(i, item)| match item {
                OnLine::Series(s, ..) => {
                    i > index
                        && self
                            .lines
                            .under
                            .get(s)
                            .is_some_and(|u| u.iter().any(touches))
                }
                OnLine::Node(n) => i > index && inner.contains(n),
                OnLine::Break => false,
            })
    }

    pub(super) fn remark_room(&self, element: &Element<'_>) -> f64 {
        let widest = scale::remarks(self.circuit.find, element)
            .iter()
            .flat_map(|d| d.lines.iter().map(|l| TextStyle::Said.width(l)))
            .fold(0.0, f64::max);
        if widest > 0.0 {
            (widest - 40.0).max(0.0)
        } else {
            0.0
        }
    }

    pub(super) fn star_remark(&mut self, element: &Element<'_>, x: f64) {
        let Some(pin) = [element.first(), element.last()].into_iter().find(|p| {
            Some(p.node) == self.lines.bottom_in || Some(p.node) == self.lines.bottom_out
        }) else {
            return;
        };
        let Some(others) = self.circuit.foreign.get(&pin.node) else {
            return;
        };
        let like: Vec<String> = others
            .iter()
            .filter(|d| {
                self.circuit.find.part(d).is_some_and(|p| {
                    std::mem::discriminant(&p.kind) == std::mem::discriminant(&element.part.kind)
                })
            })
            .map(ToString::to_string)
            .collect();
        if like.is_empty() {
            return;
        }
        let is_star = self.bottom_mark().is_none_or(|m| is_neutral(&m));
        let text = format!(
            "{}with {}",
            if is_star { "star point, " } else { "" },
            like.join(" and ")
        );
        self.remarks.push((x, text));
    }
}
