//! The symbols (IEC 60617): windings as half-circles, fuse and resistor as rectangles, contacts, capacitor, earth, terminals.
//!
//! Each function puts one symbol into the sketch, with the box it covers; those with leads add their landings.

use super::circuit::{Element, Pin};
use super::sketch::{Item, Layer, Sketch, Way};
use crate::svg::{Anchor, LineKind, Path, Point, Rect, TextStyle, at};
use gear::{Dot, PartKind};

/// Length and width of the body of a simple part, px.
pub(super) const BODY: (f64, f64) = (46.0, 16.0);
/// Length and half height of an arrow head that stands for a brush.
pub(super) const ARROW: (f64, f64) = (13.0, 5.0);
/// Radius of a dot at a winding's start.
const START_DOT: f64 = 2.8;
/// Height of a half-circle of an upright winding, about; they are fitted to the height.
const TURN: f64 = 12.0;
/// Least distance between a brush's arrow and a tap on the same side; the handle on the scale shows the true place.
const BRUSH_TO_TAP: f64 = 15.0;

/// How an upright winding is put down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Upright {
    pub(super) x: f64,
    pub(super) y0: f64,
    pub(super) y1: f64,
    /// Side the half-circles bulge to.
    pub(super) bulge: Way,
    /// Side the leads of taps and sliders leave by.
    pub(super) leads: Way,
    /// Whether the first point is at the top.
    pub(super) first_top: bool,
    /// Whether terminal marks are written at the pins.
    pub(super) marked: bool,
    /// Whether the leads of the ends leave level, so that the start dot keeps off them.
    pub(super) level_ends: bool,
    /// A conductor whose tap leads leave by the other side: the line that comes in from there.
    pub(super) other_side: Option<usize>,
}

impl Upright {
    fn turns(&self) -> f64 {
        ((self.y1 - self.y0) / TURN).round().max(3.0)
    }

    fn radius(&self) -> f64 {
        (self.y1 - self.y0) / self.turns() / 2.0
    }

    /// Whether this is a tap whose lead leaves by the other side.
    fn rises(&self, pin: &Pin) -> bool {
        pin.slider.is_none() && pin.at > 0.0 && pin.at < 1.0 && Some(pin.node) == self.other_side
    }

    /// Height of a position on it.
    pub(super) fn y(&self, position: f64) -> f64 {
        if self.first_top {
            self.y0 + position * (self.y1 - self.y0)
        } else {
            self.y1 - position * (self.y1 - self.y0)
        }
    }

    /// The height between two half-circles next to a position that is not an end.
    fn cusp(&self, position: f64) -> f64 {
        let pitch = (self.y1 - self.y0) / self.turns();
        let steps = ((self.y(position) - self.y0) / pitch)
            .round()
            .clamp(1.0, self.turns() - 1.0);
        self.y0 + steps * pitch
    }
}

/// An upright winding with its taps, sliders and start dot.
pub(super) fn upright_winding(sketch: &mut Sketch, element: &Element<'_>, how: Upright) {
    let radius = how.radius();
    let right = how.bulge == Way::Right;
    let mut path = Path::new().move_to(at(how.x, how.y0));
    let mut y = how.y0;
    for _ in 0..how.turns() as usize {
        y += 2.0 * radius;
        path = path.arc_to(radius, right, at(how.x, y));
    }
    sketch.path("sym", path);
    let reach = how.x + radius * how.bulge.step().x;
    sketch.covers(
        &format!("winding of {}", element.part.designation),
        Rect::new(at(reach, how.y0), at(how.x, how.y1)),
    );
    // Figures and the dot stand away from the half-circles, unless a tap's lead rises there.
    let risen = element.pins.iter().any(|p| how.rises(p));
    let off = if risen {
        how.bulge.step().x
    } else {
        how.bulge.back().step().x
    };
    let anchor = if off > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    for pin in [element.first(), element.last()] {
        let top = (pin.at == 0.0) == how.first_top;
        let (y, way) = if top {
            (how.y0, Way::Up)
        } else {
            (how.y1, Way::Down)
        };
        sketch.landing(pin.terminal.to_string(), pin.node, at(how.x, y), way);
        let base = if top { y - 12.0 } else { y + 18.0 };
        if how.marked {
            sketch.text(
                TextStyle::Terminal,
                anchor,
                at(how.x + 8.0 * off, base),
                &pin.terminal.terminal,
            );
        }
    }
    if let Some(first) = dot_at_first(element) {
        let inward = if how.level_ends { 11.0 } else { 4.0 };
        let y = if first == how.first_top {
            how.y0 + inward
        } else {
            how.y1 - inward
        };
        let aside = if risen { how.radius() + 8.0 } else { 10.0 };
        start_dot(sketch, at(how.x + aside * off, y));
    }
    side_pins(sketch, element, how);
}

/// Taps and brushes on the side of an upright winding.
fn side_pins(sketch: &mut Sketch, element: &Element<'_>, how: Upright) {
    let out = how.leads.step().x;
    let edge = if how.leads == how.bulge {
        how.x + (how.radius() + 1.0) * out
    } else {
        how.x + 1.0 * out
    };
    let anchor = if out > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    let taps: Vec<(&Pin, f64)> = element
        .pins
        .iter()
        .filter(|p| p.slider.is_none() && p.at > 0.0 && p.at < 1.0)
        .map(|p| (p, how.cusp(p.at)))
        .collect();
    let mut taken: Vec<f64> = taps
        .iter()
        .filter(|t| !how.rises(t.0))
        .map(|t| t.1)
        .collect();
    let brushes: Vec<(&Pin, f64)> = element
        .pins
        .iter()
        .filter(|p| p.slider.is_some())
        .map(|p| {
            let y = clear_of(how.y(p.at), &taken, how.y0 + 2.0, how.y1 - 2.0);
            taken.push(y);
            (p, y)
        })
        .collect();
    for (pin, y) in &taps {
        let (edge, out, way) = if how.rises(pin) {
            let out = how.leads.back().step().x;
            (how.x + out, out, how.leads.back())
        } else {
            (edge, out, how.leads)
        };
        sketch.path("sym", Path::through(&[at(how.x, *y), at(edge, *y)]));
        sketch.landing(pin.terminal.to_string(), pin.node, at(edge, *y), way);
        let anchor = if out > 0.0 {
            Anchor::Start
        } else {
            Anchor::End
        };
        // The mark stands below its lead, or above it where a brush stands close below.
        let near_below = brushes.iter().any(|(_, o)| *o > *y && *o - *y < 26.0);
        let base = if near_below { y - 8.0 } else { y + 16.0 };
        if how.marked {
            sketch.text(
                TextStyle::Terminal,
                anchor,
                at(edge + 8.0 * out, base),
                &pin.terminal.terminal,
            );
        }
    }
    for (pin, y) in &brushes {
        let tip = at(edge, *y);
        let tail = edge + ARROW.0 * out;
        sketch.path(
            "dot",
            Path::through(&[tip, at(tail, y - ARROW.1), at(tail, y + ARROW.1)]).close(),
        );
        sketch.covers(
            &format!("brush {}", pin.terminal),
            Rect::new(at(edge, y - ARROW.1), at(tail, y + ARROW.1)),
        );
        sketch.landing(pin.terminal.to_string(), pin.node, at(tail, *y), how.leads);
        let near_above = taps
            .iter()
            .any(|(p, o)| !how.rises(p) && *o < *y && *y - *o < 26.0);
        let base = if near_above { y + 18.0 } else { y - 9.0 };
        if how.marked {
            sketch.text(
                TextStyle::Terminal,
                anchor,
                at(tail + 4.0 * out, base),
                &pin.terminal.terminal,
            );
        }
    }
}

/// The height nearest to `y` that keeps its distance from those taken.
fn clear_of(y: f64, taken: &[f64], least: f64, most: f64) -> f64 {
    let mut tries = vec![y];
    for other in taken {
        let (up, down) = (other - BRUSH_TO_TAP, other + BRUSH_TO_TAP);
        tries.extend(if y <= *other { [up, down] } else { [down, up] });
    }
    tries.sort_by(|a, b| (a - y).abs().total_cmp(&(b - y).abs()));
    tries
        .into_iter()
        .find(|t| {
            *t >= least - 2.0
                && *t <= most + 2.0
                && taken.iter().all(|o| (o - t).abs() >= BRUSH_TO_TAP - 1e-6)
        })
        .unwrap_or(y)
        .clamp(least, most)
}

/// How a level winding is put down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Level {
    pub(super) x0: f64,
    pub(super) x1: f64,
    pub(super) y: f64,
    /// Side the half-circles bulge to: `Down` on a line, `Up` under one.
    pub(super) bulge: Way,
    pub(super) first_left: bool,
    pub(super) turns: usize,
}

/// A level winding with its marks, taps and start dot.
pub(super) fn level_winding(sketch: &mut Sketch, element: &Element<'_>, how: Level) {
    let radius = (how.x1 - how.x0) / how.turns as f64 / 2.0;
    let mut path = Path::new().move_to(at(how.x0, how.y));
    let mut x = how.x0;
    for _ in 0..how.turns {
        x += 2.0 * radius;
        path = path.arc_to(radius, how.bulge == Way::Up, at(x, how.y));
    }
    sketch.path("sym", path);
    let down = how.bulge.step().y;
    sketch.covers(
        &format!("winding of {}", element.part.designation),
        Rect::new(at(how.x0, how.y), at(how.x1, how.y + radius * down)),
    );
    // Marks stand on the core's side of the leads.
    let base = if down > 0.0 {
        how.y + 17.0
    } else {
        how.y - 8.0
    };
    let dot_left = dot_at_first(element).map(|first| first == how.first_left);
    for pin in [element.first(), element.last()] {
        let left = (pin.at == 0.0) == how.first_left;
        let (x, way, out, anchor) = if left {
            (how.x0, Way::Left, -1.0, Anchor::End)
        } else {
            (how.x1, Way::Right, 1.0, Anchor::Start)
        };
        sketch.landing(pin.terminal.to_string(), pin.node, at(x, how.y), way);
        let dotted = dot_left == Some(left);
        sketch.text(
            TextStyle::Terminal,
            anchor,
            at(x + if dotted { 18.0 } else { 6.0 } * out, base),
            &pin.terminal.terminal,
        );
        if dotted {
            start_dot(sketch, at(x + 9.0 * out, how.y + 11.0 * down));
        }
    }
    let away = how.bulge.back();
    for pin in element
        .pins
        .iter()
        .filter(|p| p.slider.is_some() || (p.at > 0.0 && p.at < 1.0))
    {
        let along = if how.first_left { pin.at } else { 1.0 - pin.at };
        let steps = (along * how.turns as f64)
            .round()
            .clamp(1.0, how.turns as f64 - 1.0);
        let x = how.x0 + steps * 2.0 * radius;
        let y = how.y + away.step().y;
        sketch.landing(pin.terminal.to_string(), pin.node, at(x, y), away);
        sketch.text(
            TextStyle::Terminal,
            Anchor::Start,
            at(x + 6.0, if away == Way::Up { y - 6.0 } else { y + 14.0 }),
            &pin.terminal.terminal,
        );
    }
}

fn dot_at_first(element: &Element<'_>) -> Option<bool> {
    match element.winding.map(|w| w.dot) {
        Some(Dot::First) => Some(true),
        Some(Dot::Last) => Some(false),
        _ => None,
    }
}

fn start_dot(sketch: &mut Sketch, centre: Point) {
    sketch.put(
        Layer::Symbol,
        Item::Circle {
            class: "dot",
            centre,
            radius: START_DOT,
        },
    );
    sketch.covers(
        "winding start",
        Rect::around(centre, 2.0 * START_DOT, 2.0 * START_DOT),
    );
}

/// The core line between windings.
pub(super) fn core(sketch: &mut Sketch, from: Point, to: Point) {
    sketch.path("sym", Path::through(&[from, to]));
    sketch.covers("core", Rect::new(from, to).grown(0.5));
}

/// A terminal: an open circle.
pub(super) fn terminal(sketch: &mut Sketch, centre: Point, what: &str) {
    sketch.put(
        Layer::Front,
        Item::Circle {
            class: "term",
            centre,
            radius: 4.5,
        },
    );
    sketch.ports.push((what.to_owned(), centre));
    sketch.put(
        Layer::Symbol,
        Item::Box {
            kind: crate::svg::BoxKind::Symbol,
            what: format!("terminal {what}"),
            covers: Rect::around(centre, 9.0, 9.0),
        },
    );
}

/// A part of two terminals round `centre`, its first terminal towards `from`. Returns the places of its two ends.
pub(super) fn simple(
    sketch: &mut Sketch,
    element: &Element<'_>,
    centre: Point,
    from: Way,
) -> (Point, Point) {
    let axis = from.back().step();
    let place = |u: f64, v: f64| {
        at(
            centre.x + u * axis.x - v * axis.y,
            centre.y + u * axis.y + v * axis.x,
        )
    };
    let half = BODY.0 / 2.0;
    let across = BODY.1 / 2.0;
    let body = |long: f64| {
        Path::through(&[
            place(-long, -across),
            place(long, -across),
            place(long, across),
            place(-long, across),
        ])
        .close()
    };
    match &element.part.kind {
        PartKind::Fuse { .. } if !element.open => {
            sketch.path("sym", body(half));
            sketch.path("sym", Path::through(&[place(-half, 0.0), place(half, 0.0)]));
        }
        PartKind::Fuse { .. } | PartKind::Switch => contact(sketch, element, &place),
        PartKind::Capacitor { .. } => {
            sketch.path(
                "sym",
                Path::through(&[place(-3.5, -13.0), place(-3.5, 13.0)])
                    .move_to(place(3.5, -13.0))
                    .line_to(place(3.5, 13.0)),
            );
            sketch.path(
                "sym",
                Path::through(&[place(-half, 0.0), place(-3.5, 0.0)])
                    .move_to(place(3.5, 0.0))
                    .line_to(place(half, 0.0)),
            );
        }
        _ => sketch.path("sym", body(half)),
    }
    let rise = if element.open { 24.0 } else { across };
    sketch.covers(
        &format!("{} {}", element.part.kind.word(), element.part.designation),
        Rect::new(place(-half, -rise), place(half, across)),
    );
    (place(-half, 0.0), place(half, 0.0))
}

/// A contact, or a fuse that stands open: the arm turns about its first end.
fn contact(sketch: &mut Sketch, element: &Element<'_>, place: &dyn Fn(f64, f64) -> Point) {
    let half = BODY.0 / 2.0;
    let (sin, cos) = if element.open {
        (-26.0_f64).to_radians().sin_cos()
    } else {
        (0.0, 1.0)
    };
    let hinge = -half + 5.0;
    let arm = |u: f64, v: f64| place(hinge + u * cos - v * sin, u * sin + v * cos);
    sketch.path(
        "sym",
        Path::through(&[place(-half, 0.0), place(hinge, 0.0)])
            .move_to(place(half - 5.0, 0.0))
            .line_to(place(half, 0.0)),
    );
    sketch.path(
        "sym",
        Path::through(&[arm(0.0, 0.0), arm(2.0 * half - 10.0, 0.0)]),
    );
    if matches!(element.part.kind, PartKind::Fuse { .. }) {
        sketch.path(
            "sym",
            Path::through(&[
                arm(5.0, -6.0),
                arm(31.0, -6.0),
                arm(31.0, 6.0),
                arm(5.0, 6.0),
            ])
            .close(),
        );
    } else {
        sketch.put(
            Layer::Symbol,
            Item::Circle {
                class: "dot",
                centre: place(hinge, 0.0),
                radius: 2.2,
            },
        );
        sketch.put(
            Layer::Symbol,
            Item::Circle {
                class: "dot",
                centre: place(half - 5.0, 0.0),
                radius: 2.2,
            },
        );
    }
}

/// A protective earth on a stub of green and yellow.
pub(super) fn earth(sketch: &mut Sketch, from: Point, node: usize) {
    let end = at(from.x + 36.0, from.y);
    sketch.put(
        Layer::Wire,
        Item::Line {
            kind: LineKind::Earth,
            points: vec![from, end],
            node: Some(node),
        },
    );
    let bar = |x: f64, h: f64| (at(end.x + x, end.y - h), at(end.x + x, end.y + h));
    let mut path = Path::new();
    for (x, h) in [(0.0, 9.0), (6.0, 6.0), (12.0, 3.0)] {
        let (a, b) = bar(x, h);
        path = path.move_to(a).line_to(b);
    }
    sketch.path("sym", path);
    sketch.covers(
        "earth",
        Rect {
            x0: end.x + 0.5,
            y0: end.y - 9.0,
            x1: end.x + 13.0,
            y1: end.y + 9.0,
        },
    );
}
