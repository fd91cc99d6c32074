//! Travel charts: quantities against slider position, one quantity a panel, all panels on one slider axis.
//!
//! There is never a second scale in a panel, and never a legend: a line is named on itself, at its right end. The read-out rule
//! stands at the handle with the value of every line. What a script needs to move it has names: the group `travel` carries the
//! slider axis (`data-left`, `data-right`, px), the group `travel-handle` is what moves sideways, and every `read-out-P-S` (panel
//! and series, counted from 0) is a value beside the line with the same `data-panel` and `data-series`, whose path has one corner
//! for each slider position. Lines that lie on one another are drawn once, under the first of them. The handle is also told in [`Drawing::handles`] under the terminal [`TRAVEL`].

mod labels;
mod panel;
mod ticks;

pub use ticks::{Ticks, ticks};

use crate::svg::{
    Anchor, BoxKind, Drawing, Handle, LineKind, Path, Point, Rect, Svg, TextStyle, at,
};
use panel::{Layout, draw_panel, panel_height};

/// Under this name the handle of a travel chart stands in [`Drawing::handles`].
pub const TRAVEL: &str = "travel";

/// Quantities against slider position.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TravelChart {
    /// What the chart shows, in words; read out in place of the picture.
    pub title: String,
    /// Slider positions of the points, 0 to 1, rising.
    pub slider: Vec<f64>,
    /// Where the handle stands, 0 to 1.
    pub handle: f64,
    /// What lies at position 0 and at position 1: "star end", "line end".
    pub ends: (String, String),
    /// Panels, top to bottom.
    pub panels: Vec<Panel>,
    /// Stretches of the travel that are hurt.
    pub damage: Vec<DamagedTravel>,
}

/// One quantity.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Panel {
    /// "output".
    pub what: String,
    /// "V"; set at the top tick.
    pub unit: String,
    /// Its lines.
    pub series: Vec<Series>,
}

/// One line of a panel.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Series {
    /// Its name, set at its right end.
    pub name: String,
    /// The phase whose colour it has, 1 to 3; ink if none.
    pub phase: Option<u8>,
    /// Values at the slider positions; nothing where there is none.
    pub values: Vec<Option<f64>>,
    /// Half widths of the 95 % band, where there are any.
    pub half_widths: Vec<Option<f64>>,
    /// The value at the handle in words, with its unit.
    pub read_out: Option<String>,
}

/// A stretch of the travel that is hurt.
#[derive(Debug, Clone, PartialEq)]
pub struct DamagedTravel {
    /// From here, 0 to 1.
    pub from: f64,
    /// To here.
    pub to: f64,
    /// "track pitted".
    pub words: String,
}

const HEAD_ROW: f64 = 24.0;
const BETWEEN_PANELS: f64 = 14.0;
const STRIP_ROW: f64 = 26.0;
const STRIP_HEIGHT: f64 = 10.0;
const WEDGE_ROW: f64 = 30.0;
const WORDS_ROW: f64 = 22.0;
/// Least width of the plot itself: 0.01 of travel is then 3 px, which a finger can still set by the arrow keys and an eye can see.
const LEAST_PLOT: f64 = 300.0;
/// Room right of the axis for the number of a handle that stands at its end.
const NUMBER_ROOM: f64 = 64.0;

/// Draws the chart, `width` px wide (wider, if names and figures leave less than 300 px for the plot).
pub fn travel_chart(chart: &TravelChart, width: f64) -> Drawing {
    let panels: Vec<_> = chart.panels.iter().map(panel::Prepared::new).collect();
    let left = panels.iter().map(|p| p.figure_width()).fold(28.0, f64::max) + 10.0;
    let names = panels.iter().map(|p| p.name_width()).fold(0.0, f64::max);
    let right = (width - (names + 18.0).max(NUMBER_ROOM)).max(left + LEAST_PLOT);
    let mut layout = Layout {
        left,
        right,
        handle: share(chart.handle),
        slider: &chart.slider,
        top: 0.0,
        bottom: 0.0,
    };
    let mut svg = Svg::new();
    let (axis_left, axis_right) = (crate::svg::number(left), crate::svg::number(right));
    svg.open_group(&[
        ("id", TRAVEL),
        ("data-left", &axis_left),
        ("data-right", &axis_right),
    ]);
    let heights: f64 = panels
        .iter()
        .map(|p| HEAD_ROW + panel_height(p) + BETWEEN_PANELS)
        .sum();
    let axis = heights + STRIP_ROW;
    draw_damage_limits(&mut svg, &chart.damage, &layout, axis);
    let mut y = 0.0;
    for (index, prepared) in panels.iter().enumerate() {
        layout.top = y + HEAD_ROW;
        layout.bottom = layout.top + panel_height(prepared);
        draw_panel(&mut svg, prepared, index, &layout);
        y = layout.bottom + BETWEEN_PANELS;
    }
    draw_axis(&mut svg, chart, &layout, axis);
    draw_handle(&mut svg, &layout, axis);
    for (index, prepared) in panels.iter().enumerate() {
        panel::draw_read_outs(
            &mut svg,
            prepared,
            index,
            &panel_layout(&layout, &panels, index),
        );
    }
    draw_damage(&mut svg, &chart.damage, &layout, axis);
    svg.close_group();
    svg.finish(
        &chart.title,
        right + (names + 18.0).max(NUMBER_ROOM),
        axis + WEDGE_ROW + WORDS_ROW,
    )
}

/// The layout with the height of one panel.
fn panel_layout<'a>(
    layout: &Layout<'a>,
    panels: &[panel::Prepared<'_>],
    index: usize,
) -> Layout<'a> {
    let above: f64 = panels[..index]
        .iter()
        .map(|p| HEAD_ROW + panel_height(p) + BETWEEN_PANELS)
        .sum();
    Layout {
        top: above + HEAD_ROW,
        bottom: above + HEAD_ROW + panel_height(&panels[index]),
        ..*layout
    }
}

fn share(position: f64) -> f64 {
    if position.is_finite() {
        position.clamp(0.0, 1.0)
    } else {
        0.0
    }
}

fn draw_axis(svg: &mut Svg, chart: &TravelChart, layout: &Layout<'_>, axis: f64) {
    svg.line(
        LineKind::Rule,
        &[at(layout.left, axis), at(layout.right, axis)],
        None,
    );
    for quarter in 0..=4 {
        let x = layout.x(f64::from(quarter) / 4.0);
        svg.line(LineKind::Rule, &[at(x, axis), at(x, axis + 5.0)], None);
    }
    let words = axis + WEDGE_ROW + 14.0;
    let start = format!("0 {}", chart.ends.0);
    let end = format!("1 {}", chart.ends.1);
    svg.text(
        TextStyle::Terminal,
        Anchor::Start,
        at(layout.left, words),
        start.trim_end(),
    );
    svg.text(
        TextStyle::Terminal,
        Anchor::End,
        at(layout.right, words),
        end.trim_end(),
    );
    let half = layout.x(0.5);
    let room = layout.right
        - layout.left
        - TextStyle::Terminal
            .width(&start)
            .max(TextStyle::Terminal.width(&end))
            * 2.0;
    if room > 60.0 {
        svg.text(TextStyle::Terminal, Anchor::Middle, at(half, words), "0.5");
    }
}

fn draw_handle(svg: &mut Svg, layout: &Layout<'_>, axis: f64) {
    let x = layout.x(layout.handle);
    let position = format!("{:.2}", layout.handle);
    svg.open_group(&[("id", "travel-handle"), ("data-at", &position)]);
    svg.path(
        "fine",
        &Path::through(&[at(x, HEAD_ROW - 6.0), at(x, axis)]),
    );
    svg.path(
        "dot",
        &Path::through(&[
            at(x, axis + 2.0),
            at(x - 10.0, axis + 24.0),
            at(x + 10.0, axis + 24.0),
        ])
        .close(),
    );
    let wedge = Rect {
        x0: x - 10.0,
        y0: axis + 2.0,
        x1: x + 10.0,
        y1: axis + 24.0,
    };
    svg.record(BoxKind::Sign, "handle", wedge);
    let number = svg.text_with(
        TextStyle::Read,
        Anchor::Start,
        at(x + 15.0, axis + 22.0),
        &position,
        &[("id", "travel-number")],
    );
    svg.close_group();
    svg.record_handle(Handle {
        terminal: TRAVEL.to_owned(),
        zero: at(layout.left, axis),
        one: at(layout.right, axis),
        position: layout.handle,
        covers: wedge.with(&number),
    });
}

fn draw_damage_limits(svg: &mut Svg, damage: &[DamagedTravel], layout: &Layout<'_>, axis: f64) {
    for stretch in damage {
        for end in [stretch.from, stretch.to] {
            let x = layout.x(share(end));
            svg.line(LineKind::Extension, &[at(x, HEAD_ROW), at(x, axis)], None);
        }
    }
}

/// The hatched strip on the axis and its remark, on that side where neither the rule nor another remark stands.
fn draw_damage(svg: &mut Svg, damage: &[DamagedTravel], layout: &Layout<'_>, axis: f64) {
    let rule = layout.x(layout.handle);
    let mut taken: Vec<Rect> = vec![Rect {
        x0: rule - 3.0,
        y0: axis - STRIP_ROW,
        x1: rule + 3.0,
        y1: axis,
    }];
    for stretch in damage {
        let strip = strip_of(stretch, layout, axis);
        svg.rect("patch", strip, 0.0);
        svg.path("sym", &hatch(strip));
        svg.record(BoxKind::Symbol, "damaged travel", strip);
        taken.push(strip);
    }
    for stretch in damage {
        let strip = strip_of(stretch, layout, axis);
        let base = axis - 2.0;
        let sides = [
            (Anchor::Start, at(strip.x1 + 8.0, base)),
            (Anchor::End, at(strip.x0 - 8.0, base)),
            (Anchor::Start, at(strip.x1 + 8.0, base - 13.0)),
            (Anchor::End, at(strip.x0 - 8.0, base - 13.0)),
        ];
        let free = sides.into_iter().find(|(anchor, point)| {
            let text = Svg::text_box(TextStyle::Said, *anchor, *point, &stretch.words);
            text.x0 > layout.left
                && text.x1 < layout.right
                && !taken.iter().any(|t| t.overlaps(&text))
        });
        let (anchor, point) = free.unwrap_or(sides[0]);
        svg.open_group(&[("class", "halo")]);
        taken.push(svg.text(TextStyle::Said, anchor, point, &stretch.words));
        svg.close_group();
    }
}

fn strip_of(stretch: &DamagedTravel, layout: &Layout<'_>, axis: f64) -> Rect {
    Rect::new(
        at(layout.x(share(stretch.from)), axis - STRIP_HEIGHT),
        at(layout.x(share(stretch.to)), axis),
    )
}

/// The outline of a rectangle with oblique strokes inside it, 5 px apart.
fn hatch(strip: Rect) -> Path {
    let mut path = Path::through(&[
        at(strip.x0, strip.y1),
        at(strip.x0, strip.y0),
        at(strip.x1, strip.y0),
        at(strip.x1, strip.y1),
    ])
    .close();
    let height = strip.height();
    let mut foot = strip.x0 - height + 5.0;
    while foot < strip.x1 {
        let from = foot.max(strip.x0);
        let to = (foot + height).min(strip.x1);
        let y = |x: f64| strip.y1 - (x - foot);
        if to > from {
            path = path.move_to(at(from, y(from))).line_to(at(to, y(to)));
        }
        foot += 5.0;
    }
    path
}

/// A point of a line.
fn corner(layout: &Layout<'_>, axis: &Ticks, slider: f64, value: f64) -> Point {
    at(layout.x(slider), layout.y(axis, value))
}

#[cfg(test)]
mod tests;
