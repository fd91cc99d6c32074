//! Points, rectangles and paths in the plane of a drawing: px, x to the right, y downwards.

use std::fmt::Write as _;

/// A point, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// Short for [`Point`].
pub fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// An upright rectangle, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Left.
    pub x0: f64,
    /// Top.
    pub y0: f64,
    /// Right.
    pub x1: f64,
    /// Bottom.
    pub y1: f64,
}

impl Rect {
    /// From two corners, in any order.
    pub fn new(a: Point, b: Point) -> Self {
        Self {
            x0: a.x.min(b.x),
            y0: a.y.min(b.y),
            x1: a.x.max(b.x),
            y1: a.y.max(b.y),
        }
    }

    /// Around a centre.
    pub fn around(centre: Point, width: f64, height: f64) -> Self {
        Self {
            x0: centre.x - width / 2.0,
            y0: centre.y - height / 2.0,
            x1: centre.x + width / 2.0,
            y1: centre.y + height / 2.0,
        }
    }

    /// Width.
    pub fn width(&self) -> f64 {
        self.x1 - self.x0
    }

    /// Height.
    pub fn height(&self) -> f64 {
        self.y1 - self.y0
    }

    /// Grown by `by` on every side (shrunk, if negative).
    pub fn grown(&self, by: f64) -> Self {
        Self {
            x0: self.x0 - by,
            y0: self.y0 - by,
            x1: self.x1 + by,
            y1: self.y1 + by,
        }
    }

    /// The least rectangle that holds both.
    pub fn with(&self, other: &Self) -> Self {
        Self {
            x0: self.x0.min(other.x0),
            y0: self.y0.min(other.y0),
            x1: self.x1.max(other.x1),
            y1: self.y1.max(other.y1),
        }
    }

    /// Whether the two share area.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// Whether an upright or level stretch from `a` to `b` passes through the inside.
    pub fn is_crossed_by(&self, a: Point, b: Point) -> bool {
        self.overlaps(&Self {
            x0: a.x.min(b.x) - 1e-6,
            y0: a.y.min(b.y) - 1e-6,
            x1: a.x.max(b.x) + 1e-6,
            y1: a.y.max(b.y) + 1e-6,
        })
    }
}

/// A path, absolute coordinates.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Path {
    steps: Vec<Step>,
}

#[derive(Debug, Clone, PartialEq)]
enum Step {
    Move(Point),
    Line(Point),
    Arc {
        radius: f64,
        clockwise: bool,
        to: Point,
    },
    Close,
}

impl Path {
    /// An empty path.
    pub fn new() -> Self {
        Self::default()
    }

    /// Through these points.
    pub fn through(points: &[Point]) -> Self {
        let mut path = Self::new();
        for (index, point) in points.iter().enumerate() {
            path = if index == 0 {
                path.move_to(*point)
            } else {
                path.line_to(*point)
            };
        }
        path
    }

    /// Lifts the pen and puts it down here.
    #[must_use]
    pub fn move_to(mut self, to: Point) -> Self {
        self.steps.push(Step::Move(to));
        self
    }

    /// A straight line to here.
    #[must_use]
    pub fn line_to(mut self, to: Point) -> Self {
        self.steps.push(Step::Line(to));
        self
    }

    /// The lesser arc of a circle to here; clockwise as seen.
    #[must_use]
    pub fn arc_to(mut self, radius: f64, clockwise: bool, to: Point) -> Self {
        self.steps.push(Step::Arc {
            radius,
            clockwise,
            to,
        });
        self
    }

    /// Back to where the pen was put down.
    #[must_use]
    pub fn close(mut self) -> Self {
        self.steps.push(Step::Close);
        self
    }

    pub(crate) fn data(&self, offset: Point) -> String {
        let mut data = String::new();
        for step in &self.steps {
            let pair = |p: &Point| format!("{} {}", number(p.x + offset.x), number(p.y + offset.y));
            let _ = match step {
                Step::Move(p) => write!(data, "M{}", pair(p)),
                Step::Line(p) => write!(data, "L{}", pair(p)),
                Step::Arc {
                    radius,
                    clockwise,
                    to,
                } => {
                    write!(
                        data,
                        "A{0} {0} 0 0 {1} {2}",
                        number(*radius),
                        u8::from(*clockwise),
                        pair(to)
                    )
                }
                Step::Close => write!(data, "Z"),
            };
        }
        data
    }
}

/// Rounds to 0.01 and writes without idle noughts. What is no number is written as 0, so that the file stays readable.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let rounded = (value * 100.0).round() / 100.0;
    let text = format!("{rounded:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Escapes a text for an attribute or an element; control characters, which XML forbids, become spaces.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() || ('\u{fffe}'..='\u{ffff}').contains(&c) => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
