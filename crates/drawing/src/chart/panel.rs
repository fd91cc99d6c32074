//! One panel of a travel chart: grid, bands, lines, their names at the right end, and the values at the read-out rule.
//!
//! Lines that lie on one another get one name and one value: "output L1, L2, L3".

use super::labels::apart;
use super::ticks::{Ticks, ticks};
use super::{Panel, Series, corner};
use crate::svg::{Anchor, LineKind, Path, Svg, TextStyle, at};

/// Most steps of a panel's scale: about 30 px each, so that figures keep clear of one another.
const MOST_STEPS: usize = 4;
const LEAST_HEIGHT: f64 = 124.0;
const NAME_GAP: f64 = 17.0;
/// A longer joint name goes on below itself, so that the plot keeps its width, px.
const WIDEST_NAME: f64 = 170.0;
const READ_OUT_GAP: f64 = 19.0;
/// Lines nearer than this share of the scale, everywhere, are one to the eye.
const SAME: f64 = 0.008;

/// Where things stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout<'a> {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
    pub(super) handle: f64,
    pub(super) slider: &'a [f64],
}

impl Layout<'_> {
    pub(super) fn x(&self, slider: f64) -> f64 {
        self.left + slider * (self.right - self.left)
    }

    pub(super) fn y(&self, axis: &Ticks, value: f64) -> f64 {
        self.bottom - (value - axis.low) / (axis.high - axis.low) * (self.bottom - self.top)
    }
}

/// A panel with its scale and the lines that go together.
pub(super) struct Prepared<'a> {
    panel: &'a Panel,
    axis: Ticks,
    groups: Vec<Group>,
}

struct Group {
    members: Vec<usize>,
    /// The joint name, in lines of at most [`WIDEST_NAME`].
    name: Vec<String>,
}

impl<'a> Prepared<'a> {
    pub(super) fn new(panel: &'a Panel) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for series in &panel.series {
            for (index, value) in known(series) {
                let half = half_width(series, index).unwrap_or(0.0);
                let least = if value < 0.0 { f64::NEG_INFINITY } else { 0.0 };
                low = low.min((value - half).max(least));
                high = high.max(value + half);
            }
        }
        let axis = ticks(low, high, MOST_STEPS);
        let groups = grouped(&panel.series, (axis.high - axis.low) * SAME);
        Self {
            panel,
            axis,
            groups,
        }
    }

    pub(super) fn figure_width(&self) -> f64 {
        (0..self.axis.figures.len())
            .map(|index| TextStyle::Terminal.width(&self.figure(index)))
            .fold(0.0, f64::max)
    }

    pub(super) fn name_width(&self) -> f64 {
        self.groups
            .iter()
            .flat_map(|group| &group.name)
            .map(|line| TextStyle::Plain.width(line))
            .fold(0.0, f64::max)
    }

    /// The top figure carries the unit.
    fn figure(&self, index: usize) -> String {
        let figure = &self.axis.figures[index];
        if index + 1 == self.axis.figures.len() && !self.panel.unit.is_empty() {
            format!("{figure}\u{a0}{}", self.panel.unit)
        } else {
            figure.clone()
        }
    }
}

fn value_of(series: &Series, index: usize) -> Option<f64> {
    let value = series.values.get(index).copied().flatten();
    value.filter(|v| v.is_finite())
}

/// Tall enough for the names of all its lines.
pub(super) fn panel_height(prepared: &Prepared<'_>) -> f64 {
    let lines: usize = prepared.groups.iter().map(|g| g.name.len()).sum();
    LEAST_HEIGHT
        .max(prepared.groups.len() as f64 * READ_OUT_GAP)
        .max(lines as f64 * NAME_GAP)
}

fn known(series: &Series) -> impl Iterator<Item = (usize, f64)> + '_ {
    series
        .values
        .iter()
        .enumerate()
        .filter_map(|(index, value)| value.filter(|v| v.is_finite()).map(|v| (index, v)))
}

fn half_width(series: &Series, index: usize) -> Option<f64> {
    series
        .half_widths
        .get(index)
        .copied()
        .flatten()
        .filter(|half| half.is_finite() && *half >= 0.0)
}

fn grouped(series: &[Series], same: f64) -> Vec<Group> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, line) in series.iter().enumerate() {
        if known(line).next().is_none() {
            continue;
        }
        let alike = groups
            .iter_mut()
            .find(|members| coincide(&series[members[0]], line, same));
        match alike {
            Some(members) => members.push(index),
            None => groups.push(vec![index]),
        }
    }
    groups
        .into_iter()
        .map(|members| Group {
            name: in_lines(&joint_name(&names_of(&members, series))),
            members,
        })
        .collect()
}

fn coincide(one: &Series, other: &Series, same: f64) -> bool {
    one.values.len() == other.values.len()
        && one.values.iter().zip(&other.values).all(|pair| match pair {
            (Some(a), Some(b)) => (a - b).abs() <= same,
            (None, None) => true,
            _ => false,
        })
}

fn names_of<'a>(members: &[usize], series: &'a [Series]) -> Vec<&'a str> {
    members.iter().map(|m| series[*m].name.as_str()).collect()
}

/// Broken after commas.
fn in_lines(name: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for piece in name.split_inclusive(", ") {
        match lines.last_mut() {
            Some(line) if TextStyle::Plain.width(&format!("{line}{piece}")) <= WIDEST_NAME => {
                line.push_str(piece);
            }
            _ => lines.push(piece.to_owned()),
        }
    }
    lines
        .iter()
        .map(|line| line.trim_end().to_owned())
        .collect()
}

/// "output L1", "output L2" become "output L1, L2".
fn joint_name(names: &[&str]) -> String {
    let words: Vec<Vec<&str>> = names.iter().map(|name| name.split(' ').collect()).collect();
    let least = words.iter().map(Vec::len).min().unwrap_or(0);
    let shared = (0..least.saturating_sub(1))
        .take_while(|k| words.iter().all(|w| w[*k] == words[0][*k]))
        .count();
    let mut rest: Vec<String> = words.iter().map(|w| w[shared..].join(" ")).collect();
    rest.dedup();
    let mut name: Vec<String> = words[0][..shared].iter().map(|w| (*w).to_owned()).collect();
    name.push(rest.join(", "));
    name.join(" ")
}

/// Grid, bands, lines and names.
pub(super) fn draw_panel(
    svg: &mut Svg,
    prepared: &Prepared<'_>,
    index: usize,
    layout: &Layout<'_>,
) {
    let heading = at(layout.left, layout.top - 10.0);
    svg.text(
        TextStyle::Plain,
        Anchor::Start,
        heading,
        &prepared.panel.what,
    );
    for series in &prepared.panel.series {
        draw_band(svg, series, prepared, layout);
    }
    for (tick, value) in prepared.axis.at.iter().enumerate() {
        let y = layout.y(&prepared.axis, *value);
        let kind = if value.abs() < 1e-12 || tick == 0 {
            LineKind::Rule
        } else {
            LineKind::Hair
        };
        svg.line(kind, &[at(layout.left, y), at(layout.right, y)], None);
        svg.text(
            TextStyle::Terminal,
            Anchor::End,
            at(layout.left - 8.0, y + 4.3),
            &prepared.figure(tick),
        );
    }
    for group in prepared.groups.iter().rev() {
        draw_line(svg, group, index, prepared, layout);
    }
    draw_names(svg, prepared, layout);
}

fn draw_band(svg: &mut Svg, series: &Series, prepared: &Prepared<'_>, layout: &Layout<'_>) {
    let mut upper = Vec::new();
    let mut lower = Vec::new();
    for (index, slider) in layout.slider.iter().enumerate() {
        let value = series.values.get(index).copied().flatten();
        let edges = value
            .zip(half_width(series, index))
            .filter(|(v, _)| v.is_finite());
        if let Some((value, half)) = edges {
            let least = prepared.axis.low;
            upper.push(corner(layout, &prepared.axis, *slider, value + half));
            lower.push(corner(
                layout,
                &prepared.axis,
                *slider,
                (value - half).max(least),
            ));
        }
        if edges.is_none() || index + 1 == layout.slider.len() {
            if upper.len() > 1 {
                upper.extend(lower.drain(..).rev());
                svg.path("band", &Path::through(&upper).close());
            }
            upper.clear();
            lower.clear();
        }
    }
}

/// One line for all members of a group; several phases on one another are ink, as no one colour would be true.
fn draw_line(
    svg: &mut Svg,
    group: &Group,
    panel: usize,
    prepared: &Prepared<'_>,
    layout: &Layout<'_>,
) {
    let first = group.members[0];
    let series = &prepared.panel.series[first];
    let mut path = Path::new();
    let mut pen_down = false;
    for (index, slider) in layout.slider.iter().enumerate() {
        let value = value_of(series, index);
        if let Some(value) = value {
            let point = corner(layout, &prepared.axis, *slider, value);
            path = if pen_down {
                path.line_to(point)
            } else {
                path.move_to(point)
            };
        }
        pen_down = value.is_some();
    }
    let phase = group
        .members
        .iter()
        .map(|m| prepared.panel.series[*m].phase)
        .reduce(|one, other| if one == other { one } else { None });
    let class = match phase.flatten() {
        Some(phase @ 1..=3) => LineKind::of_phase(phase).class(),
        _ => "sym",
    };
    if class == LineKind::L2.class() {
        svg.path("case", &path);
    }
    let (panel, line) = (panel.to_string(), first.to_string());
    svg.path_with(
        class,
        &path,
        &[("data-panel", &panel), ("data-series", &line)],
    );
}

fn draw_names(svg: &mut Svg, prepared: &Prepared<'_>, layout: &Layout<'_>) {
    let ends: Vec<(f64, f64)> = prepared
        .groups
        .iter()
        .map(|group| {
            let series = &prepared.panel.series[group.members[0]];
            known(series)
                .last()
                .and_then(|(index, value)| layout.slider.get(index).map(|slider| (*slider, value)))
                .map_or((layout.right, layout.bottom), |(slider, value)| {
                    let end = corner(layout, &prepared.axis, slider, value);
                    (end.x, end.y)
                })
        })
        .collect();
    // Every line of a name is a label of its own that wants the same place: they stay together, in order.
    let lines: Vec<(usize, &str)> = prepared
        .groups
        .iter()
        .enumerate()
        .flat_map(|(index, group)| group.name.iter().map(move |line| (index, line.as_str())))
        .collect();
    let wanted: Vec<f64> = lines.iter().map(|line| ends[line.0].1).collect();
    let places = apart(&wanted, NAME_GAP, layout.top, layout.bottom);
    let mut led = None;
    for ((group, line), y) in lines.into_iter().zip(places) {
        let (from, level) = ends[group];
        if led != Some(group) && ((y - level).abs() > 1.0 || from < layout.right - 1.0) {
            let leader = [at(from + 2.0, level), at(layout.right + 9.0, y)];
            svg.path("hair", &Path::through(&leader));
        }
        led = Some(group);
        let base = at(layout.right + 12.0, y + TextStyle::Plain.cap_height() / 2.0);
        svg.text(TextStyle::Plain, Anchor::Start, base, line);
    }
}

/// The values at the rule, each beside its line, on that side of the rule where there is room.
pub(super) fn draw_read_outs(
    svg: &mut Svg,
    prepared: &Prepared<'_>,
    index: usize,
    layout: &Layout<'_>,
) {
    let mut shown = Vec::new();
    for group in &prepared.groups {
        for member in &group.members {
            let series = &prepared.panel.series[*member];
            let value = value_at(series, layout.handle, layout);
            if let (Some(value), Some(words)) = (value, &series.read_out) {
                shown.push((*member, layout.y(&prepared.axis, value), words.as_str()));
                break;
            }
        }
    }
    let x = layout.x(layout.handle);
    let widest = shown
        .iter()
        .map(|s| TextStyle::Read.width(s.2))
        .fold(0.0, f64::max);
    let (anchor, place) = if x + 10.0 + widest < layout.right - 4.0 {
        (Anchor::Start, x + 10.0)
    } else {
        (Anchor::End, x - 10.0)
    };
    let cap = TextStyle::Read.cap_height();
    let direction = if anchor == Anchor::Start { 1.0 } else { -1.0 };
    let wanted: Vec<f64> = shown
        .iter()
        .map(|s| s.1 + beside(&prepared.panel.series[s.0], direction, layout))
        .collect();
    let places = apart(&wanted, READ_OUT_GAP, layout.top + 6.0, layout.bottom - 8.0);
    for ((series, y, words), middle) in shown.iter().zip(places) {
        svg.circle("dot", at(x, *y), 4.2);
        svg.open_group(&[("class", "halo")]);
        let id = format!("read-out-{index}-{series}");
        svg.text_with(
            TextStyle::Read,
            anchor,
            at(place, middle + cap / 2.0),
            words,
            &[("id", &id)],
        );
        svg.close_group();
    }
}

/// The value at a slider position, between its neighbours in a straight line.
fn value_at(series: &Series, position: f64, layout: &Layout<'_>) -> Option<f64> {
    let after = layout.slider.iter().position(|s| *s >= position - 1e-9)?;
    let high = value_of(series, after)?;
    if after == 0 || (layout.slider[after] - position).abs() < 1e-9 {
        return Some(high);
    }
    let low = value_of(series, after - 1)?;
    let (from, to) = (layout.slider[after - 1], layout.slider[after]);
    let share = if to > from {
        (position - from) / (to - from)
    } else {
        1.0
    };
    Some(low + share * (high - low))
}

/// Where a value stands beside its line, px below it: on the side from which the line leads away.
fn beside(series: &Series, direction: f64, layout: &Layout<'_>) -> f64 {
    const OFF: f64 = 14.0;
    let here = value_at(series, layout.handle, layout);
    let there = value_at(
        series,
        (layout.handle + direction * 0.1).clamp(0.0, 1.0),
        layout,
    );
    match here.zip(there) {
        Some((here, there)) if there > here * (1.0 + 1e-3) => OFF,
        _ => -OFF,
    }
}
