//! The scale beside a winding with a slider: 0.00 to 1.00, the handle on it, damage hatched, remarks in italics.

use super::circuit::Element;
use super::sketch::{Item, Layer, Run, Sketch, Slide};
use super::symbols::Upright;
use crate::svg::{Anchor, Path, Point, Rect, Svg, TextStyle, at};
use gear::Find;

/// Length of the ticks at the ends and middle, and of the others.
const TICKS: (f64, f64) = (8.0, 5.0);
/// Width of the hatched strip.
const STRIP: f64 = 10.0;
/// A remark longer than this is set in more lines.
const REMARK: usize = 20;

/// Damage to be shown on a scale.
pub(super) struct Hurt {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) lines: Vec<String>,
}

/// Damage of a winding's part that has a place on the travel.
pub(super) fn remarks(find: &Find, element: &Element<'_>) -> Vec<Hurt> {
    find.damage
        .iter()
        .filter(|d| d.part == element.part.designation)
        .filter_map(|d| {
            let travel = d.travel.as_ref()?;
            let (from, to) = (travel.from.value()?, travel.to.value()?);
            Some(Hurt {
                from: from.min(to).clamp(0.0, 1.0),
                to: from.max(to).clamp(0.0, 1.0),
                lines: wrap(&d.what),
            })
        })
        .collect()
}

fn wrap(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= REMARK => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Puts the scale of a winding at `x`, with the handles of its sliders.
pub(super) fn scale(sketch: &mut Sketch, find: &Find, element: &Element<'_>, how: Upright, x: f64) {
    let side = if x > how.x { 1.0 } else { -1.0 };
    let mut path = Path::through(&[at(x, how.y0), at(x, how.y1)]);
    for tenth in 0..=10 {
        let y = how.y0 + (how.y1 - how.y0) * f64::from(tenth) / 10.0;
        let long = if tenth % 5 == 0 { TICKS.0 } else { TICKS.1 };
        path = path.move_to(at(x, y)).line_to(at(x - long * side, y));
    }
    sketch.path("rule", path);
    sketch.covers(
        "scale",
        Rect::new(at(x - TICKS.0 * side, how.y0), at(x, how.y1)),
    );
    let slides: Vec<Slide> = element
        .pins
        .iter()
        .filter_map(|pin| {
            let known = pin.slider?;
            Some(Slide {
                terminal: pin.terminal.to_string(),
                zero: at(x + 2.0 * side, how.y(0.0)),
                one: at(x + 2.0 * side, how.y(1.0)),
                position: pin.at,
                known,
                side,
            })
        })
        .collect();
    let covers: Vec<Rect> = slides.iter().map(Slide::covers).collect();
    for (slide, pin) in slides
        .iter()
        .zip(element.pins.iter().filter(|p| p.slider.is_some()))
    {
        let covers = slide.covers();
        sketch.obstacles.push(covers);
        let beyond = if side > 0.0 {
            covers.x1 + 6.0
        } else {
            covers.x0 - 6.0
        };
        let y = slide.tip().y;
        sketch.shadows.push(Run {
            node: pin.node,
            from: at(beyond, y),
            to: at(beyond, y),
        });
        sketch.put(Layer::Front, Item::Handle(slide.clone()));
    }
    let anchor = if side > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    for (position, figure) in [(0.0, "0.00"), (1.0, "1.00")] {
        let place = at(x + 8.0 * side, how.y(position) + 4.0);
        // The handle's own number stands in for an end it stands at.
        let taken = Svg::text_box(TextStyle::Terminal, anchor, place, figure).grown(3.0);
        if !covers.iter().any(|c| c.overlaps(&taken)) {
            sketch.text(TextStyle::Terminal, anchor, place, figure);
        }
    }
    for hurt in remarks(find, element) {
        damage(sketch, &hurt, how, x, side);
    }
}

fn damage(sketch: &mut Sketch, hurt: &Hurt, how: Upright, x: f64, side: f64) {
    let (a, b) = (how.y(hurt.from), how.y(hurt.to));
    let middle = (a + b) / 2.0;
    let high = (a - b).abs().max(8.0);
    let strip = Rect::around(at(x - STRIP / 2.0 * side, middle), STRIP, high);
    sketch.put(
        Layer::Symbol,
        Item::Rect {
            class: "patch",
            rect: strip,
            round: 0.0,
        },
    );
    sketch.path("hatch", hatch(strip));
    sketch.put(
        Layer::Symbol,
        Item::Rect {
            class: "frame",
            rect: strip,
            round: 0.0,
        },
    );
    let anchor = if side > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    let line_height = 17.0;
    let block = |y: f64| -> Vec<Point> {
        (0..hurt.lines.len())
            .map(|i| at(x + 20.0 * side, y + 4.0 + line_height * i as f64))
            .collect()
    };
    let free = |y: &f64| {
        block(*y).iter().zip(&hurt.lines).all(|(p, line)| {
            sketch.is_free(&Svg::text_box(TextStyle::Said, anchor, *p, line).grown(2.0))
        })
    };
    let tries = [0.0, 14.0, -14.0, 24.0, -24.0, 36.0, -36.0, 50.0, -50.0].map(|d| middle + d);
    let y = tries.iter().copied().find(|y| free(y)).unwrap_or(middle);
    // From the strip to the remark; round the handle where that stands between them.
    let end = y.clamp(middle - high / 2.0, middle + high / 2.0);
    let mut leader = Path::new();
    if (end - y).abs() > 0.5 {
        leader = leader
            .move_to(at(x - STRIP / 2.0 * side, end))
            .line_to(at(x - STRIP / 2.0 * side, y))
            .line_to(at(x + 16.0 * side, y));
    } else {
        leader = leader
            .move_to(at(x + 2.0 * side, y))
            .line_to(at(x + 16.0 * side, y));
    }
    sketch.path("dim", leader);
    for (place, line) in block(y).into_iter().zip(&hurt.lines) {
        sketch.text(TextStyle::Said, anchor, place, line);
    }
}

/// Slanting strokes inside a rectangle, reckoned so that no clipping is needed.
fn hatch(r: Rect) -> Path {
    let mut path = Path::new();
    let mut offset = r.x0 - r.height() + 2.0;
    while offset < r.x1 {
        // The stroke x = offset + (r.y1 - y), rising to the right.
        let low = at(offset.max(r.x0), r.y1 - (offset.max(r.x0) - offset));
        let high_x = (offset + r.height()).min(r.x1);
        let high = at(high_x, r.y1 - (high_x - offset));
        if high_x > low.x {
            path = path.move_to(low).line_to(high);
        }
        offset += 4.0;
    }
    path
}
