//! What lies in series on the upper line: fuses and switches, and windings with the rest of their core under them.

use super::{LEVEL, Placer, TO_CORE, TO_UNDER, UNDER_ROOM, value};
use crate::schematic::sketch::Way;
use crate::schematic::symbols::{self, BODY, Level};
use crate::svg::{Anchor, TextStyle, at};

impl Placer<'_> {
    pub(super) fn series(&mut self, index: usize, number: usize, enters: usize) {
        let element = &self.circuit.elements[number];
        let Some(node) = self.node_before(index) else {
            return;
        };
        if element.is_wound() {
            self.series_winding(node, number, enters);
        } else {
            self.series_part(node, number, enters);
        }
    }

    /// A fuse, switch or other part of two terminals on the line.
    pub(super) fn series_part(&mut self, node: usize, number: usize, enters: usize) {
        let element = &self.circuit.elements[number];
        let x = self.on_line + 12.0 + BODY.0 / 2.0;
        let from = if enters == 0 { Way::Left } else { Way::Right };
        let (a, b) = symbols::simple(&mut self.sketch, element, at(x, 0.0), from);
        self.sketch.landing(
            element.pins[0].terminal.to_string(),
            element.pins[0].node,
            a,
            from,
        );
        self.sketch.landing(
            element.pins[1].terminal.to_string(),
            element.pins[1].node,
            b,
            from.back(),
        );
        let name = self.sketch.text(
            TextStyle::Name,
            Anchor::Middle,
            at(x, if element.open { -30.0 } else { -14.0 }),
            element.part.designation.as_str(),
        );
        let wide = match value(element.part) {
            Some(text) => self
                .sketch
                .text(TextStyle::Terminal, Anchor::Middle, at(x, 24.0), &text)
                .width(),
            None => 0.0,
        };
        self.run_top(node, self.from, x - BODY.0 / 2.0);
        self.from = x + BODY.0 / 2.0;
        self.on_line = self.from.max(x + wide.max(name.width()) / 2.0) + 14.0;
    }

    /// A winding on the line, with the other windings of its core under it.
    pub(super) fn series_winding(&mut self, node: usize, number: usize, enters: usize) {
        let element = &self.circuit.elements[number];
        let under = self.lines.under.get(&number).cloned().unwrap_or_default();
        let long = LEVEL * (under.len().max(1) as f64) + self.room.over(number);
        let gap = if under.is_empty() { 44.0 } else { UNDER_ROOM };
        let x0 = (self.on_line + 40.0).max(self.beneath + gap);
        let x1 = x0 + long;
        let first_left = (element.pins[enters].at) < 0.5;
        symbols::level_winding(
            &mut self.sketch,
            element,
            Level {
                x0,
                x1,
                y: 0.0,
                bulge: Way::Down,
                first_left,
                turns: (long / 24.0) as usize,
            },
        );
        let core_y = TO_CORE;
        symbols::core(&mut self.sketch, at(x0, core_y), at(x1, core_y));
        let name = [
            (Anchor::End, at(x0 - 16.0, core_y + 5.0)),
            (Anchor::Start, at(x1 + 16.0, core_y + 5.0)),
        ];
        self.sketch.text_where_free(
            TextStyle::Name,
            &name,
            element.part.designation.as_str(),
            &[],
        );
        let each = (x1 - x0 - 28.0 * (under.len().max(1) - 1) as f64) / under.len().max(1) as f64;
        for (place, winding) in under.iter().enumerate() {
            let w0 = x0 + (each + 28.0) * place as f64;
            let flip = self.flips.pop().unwrap_or(false);
            symbols::level_winding(
                &mut self.sketch,
                &self.circuit.elements[*winding],
                Level {
                    x0: w0,
                    x1: w0 + each,
                    y: TO_UNDER,
                    bulge: Way::Up,
                    first_left: !flip,
                    turns: (each / 15.0) as usize,
                },
            );
        }
        self.run_top(node, self.from, x0);
        self.from = x1;
        self.on_line = x1 + 14.0;
        self.beneath = if under.is_empty() {
            self.beneath.max(x1)
        } else {
            x1 + UNDER_ROOM
        };
    }
}
