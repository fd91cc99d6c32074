//! Writes SVG and keeps account of what stands where.
//!
//! Everything put down is recorded: texts, symbols and signs as boxes, conductors and dimension lines as segments. The account
//! is what the tests measure ("no wire through a symbol, no text over text"), and what the layout asks for extents. Styling is by
//! class names of the look; no colour is written here. Coordinates are px, y downwards, rounded to 0.01.

use crate::face::{self, Weight};
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

/// How a text is set: class, size and weight go together, as in the look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TextStyle {
    /// Designations and line letters, 16 bold.
    Name,
    /// Values read, 16 bold.
    Read,
    /// Predictions, 12.
    Predicted,
    /// Terminal marks, rated values, scale figures, 12.
    Terminal,
    /// The number in a ring, 12 bold.
    Ring,
    /// Remarks, 14 italic in the voice that argues. Its face is the reader's own; reckoned with the regular widths of ours, which are wider.
    Said,
    /// Plain, 13.
    Plain,
}

impl TextStyle {
    /// Class name; empty for plain.
    pub fn class(self) -> &'static str {
        match self {
            Self::Name => "t-name",
            Self::Read => "t-read",
            Self::Predicted => "t-pred",
            Self::Terminal => "t-term",
            Self::Ring => "t-ring",
            Self::Said => "t-said",
            Self::Plain => "",
        }
    }

    /// Size, px.
    pub fn size(self) -> f64 {
        match self {
            Self::Name | Self::Read => 16.0,
            Self::Predicted | Self::Terminal | Self::Ring => 12.0,
            Self::Said => 14.0,
            Self::Plain => 13.0,
        }
    }

    /// Weight.
    pub fn weight(self) -> Weight {
        match self {
            Self::Name | Self::Read | Self::Ring => Weight::Bold,
            _ => Weight::Regular,
        }
    }

    /// Width of a text in it, px.
    pub fn width(self, text: &str) -> f64 {
        face::width(text, self.size(), self.weight())
    }

    /// Height of capitals, px.
    pub fn cap_height(self) -> f64 {
        face::cap_height(self.size())
    }
}

/// Which point of a text stands at its coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// What a recorded box holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BoxKind {
    /// A text.
    Text,
    /// A symbol: winding, fuse, core, terminal, dot, scale.
    Symbol,
    /// A sign: verdict, ring with a number, current arrow.
    Sign,
}

/// A box put down.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// What it holds.
    pub kind: BoxKind,
    /// What it is, in words or the text itself.
    pub what: String,
    /// Where.
    pub at: Rect,
}

/// What a recorded line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// Conductor L1.
    L1,
    /// Conductor L2; cased, so that black is seen in the dark.
    L2,
    /// Conductor L3.
    L3,
    /// Neutral.
    Neutral,
    /// Protective earth, green and yellow.
    Earth,
    /// A lead inside the find.
    Lead,
    /// The short stretch of a lead that belongs to a symbol.
    Symbol,
    /// A dimension line.
    Dimension,
    /// Its extension line, dotted.
    Extension,
    /// A mechanical link, or what is not so; dashed.
    Link,
    /// Grid.
    Hair,
    /// Rules and scales.
    Rule,
    /// A fine line.
    Fine,
}

impl LineKind {
    /// Class name.
    pub fn class(self) -> &'static str {
        match self {
            Self::L1 => "l1",
            Self::L2 => "l2",
            Self::L3 => "l3",
            Self::Neutral => "n",
            Self::Earth => "pe",
            Self::Lead => "lead",
            Self::Symbol => "sym",
            Self::Dimension => "dim",
            Self::Extension => "ext",
            Self::Link => "ghost",
            Self::Hair => "hair",
            Self::Rule => "rule",
            Self::Fine => "fine",
        }
    }

    /// Whether current flows in it: these may not pass through anything.
    pub fn is_wire(self) -> bool {
        matches!(
            self,
            Self::L1 | Self::L2 | Self::L3 | Self::Neutral | Self::Earth | Self::Lead
        )
    }

    /// The line of a phase, 1 to 3.
    pub fn of_phase(phase: u8) -> Self {
        match phase {
            2 => Self::L2,
            3 => Self::L3,
            _ => Self::L1,
        }
    }
}

/// A straight stretch of a line put down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// What line.
    pub kind: LineKind,
    /// One end.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// The conductor it belongs to, where it is a wire.
    pub node: Option<usize>,
}

/// A slider's handle, for a page that lays a control over the drawing. Coordinates of the drawing, px.
#[derive(Debug, Clone, PartialEq)]
pub struct Handle {
    /// The slider's terminal, `T1:4`.
    pub terminal: String,
    /// Where the tip of the handle stands at position 0.
    pub zero: Point,
    /// Where it stands at position 1.
    pub one: Point,
    /// Its position now, 0 to 1.
    pub position: f64,
    /// What handle and number cover now.
    pub covers: Rect,
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The `<svg>` element; styled by the classes of the look, which the page brings.
    pub svg: String,
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
    /// Every box put down.
    pub boxes: Vec<Placed>,
    /// Every stretch of line put down.
    pub segments: Vec<Segment>,
    /// Handles of sliders.
    pub handles: Vec<Handle>,
}

impl Drawing {
    /// The drawing as a file of its own: light colours and the face embedded.
    pub fn standalone(&self) -> String {
        let style = format!(
            "<style>{}{}</style><rect class=\"ground\" width=\"100%\" height=\"100%\"/>",
            face::css(),
            include_str!("standalone.css")
        );
        match self.svg.find('>') {
            Some(end) => format!("{}{style}{}", &self.svg[..=end], &self.svg[end + 1..]),
            None => self.svg.clone(),
        }
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

    fn data(&self, offset: Point) -> String {
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

/// The writer.
#[derive(Debug, Clone, Default)]
pub struct Svg {
    body: String,
    offset: Option<Point>,
    boxes: Vec<Placed>,
    segments: Vec<Segment>,
    handles: Vec<Handle>,
    open: usize,
}

impl Svg {
    /// An empty drawing.
    pub fn new() -> Self {
        Self::default()
    }

    /// An empty drawing that shifts everything by `offset`, for a layout that learns only in the end how far it reaches.
    pub fn shifted(offset: Point) -> Self {
        Self {
            offset: Some(offset),
            ..Self::default()
        }
    }

    fn offset(&self) -> Point {
        self.offset.unwrap_or(at(0.0, 0.0))
    }

    fn shift(&self, point: Point) -> Point {
        at(point.x + self.offset().x, point.y + self.offset().y)
    }

    fn shift_rect(&self, rect: Rect) -> Rect {
        let o = self.offset();
        Rect {
            x0: rect.x0 + o.x,
            y0: rect.y0 + o.y,
            x1: rect.x1 + o.x,
            y1: rect.y1 + o.y,
        }
    }

    /// The box a text takes: cap height above the base line, a little below it for descenders; before any shift.
    pub fn text_box(style: TextStyle, anchor: Anchor, point: Point, text: &str) -> Rect {
        let width = style.width(text);
        let left = match anchor {
            Anchor::Start => point.x,
            Anchor::Middle => point.x - width / 2.0,
            Anchor::End => point.x - width,
        };
        let below = if text.chars().any(|c| "gjpqy,;()Qµμφβρ".contains(c)) {
            0.2 * style.size()
        } else {
            1.0
        };
        Rect {
            x0: left,
            y0: point.y - style.cap_height(),
            x1: left + width,
            y1: point.y + below,
        }
    }

    /// Puts down a text with its base line at `point`; returns the box it takes.
    pub fn text(&mut self, style: TextStyle, anchor: Anchor, point: Point, text: &str) -> Rect {
        self.text_with(style, anchor, point, text, &[])
    }

    /// As [`Svg::text`], with further attributes (`id`, `data-...`).
    pub fn text_with(
        &mut self,
        style: TextStyle,
        anchor: Anchor,
        point: Point,
        text: &str,
        attributes: &[(&str, &str)],
    ) -> Rect {
        let taken = Self::text_box(style, anchor, point, text);
        let mut classes: Vec<&str> = Vec::new();
        if !style.class().is_empty() {
            classes.push(style.class());
        }
        match anchor {
            Anchor::Start => {}
            Anchor::Middle if style == TextStyle::Ring => {}
            Anchor::Middle => classes.push("mid"),
            Anchor::End => classes.push("end"),
        }
        let place = self.shift(point);
        let mut all = vec![
            ("class", classes.join(" ")),
            ("x", number(place.x)),
            ("y", number(place.y)),
        ];
        if classes.is_empty() {
            all.remove(0);
        }
        all.extend(
            attributes
                .iter()
                .map(|(key, value)| (*key, (*value).to_owned())),
        );
        self.start("text", &all, false);
        let _ = writeln!(self.body, "{}</text>", escape(text));
        self.boxes.push(Placed {
            kind: BoxKind::Text,
            what: text.to_owned(),
            at: self.shift_rect(taken),
        });
        taken
    }

    /// Puts down a line through `points` (upright and level stretches) and records each stretch. `node` is the conductor it belongs to.
    pub fn line(&mut self, kind: LineKind, points: &[Point], node: Option<usize>) {
        let path = Path::through(points);
        if kind == LineKind::L2 {
            self.path("case", &path);
        }
        self.path(kind.class(), &path);
        if kind == LineKind::Earth {
            self.path("pe-y", &path);
        }
        for pair in points.windows(2) {
            self.segments.push(Segment {
                kind,
                from: self.shift(pair[0]),
                to: self.shift(pair[1]),
                node,
            });
        }
    }

    /// Puts down a shape that is not recorded by itself; record what it covers with [`Svg::record`].
    pub fn path(&mut self, class: &str, path: &Path) {
        self.path_with(class, path, &[]);
    }

    /// As [`Svg::path`], with further attributes.
    pub fn path_with(&mut self, class: &str, path: &Path, attributes: &[(&str, &str)]) {
        let mut all = vec![("class", class.to_owned()), ("d", path.data(self.offset()))];
        all.extend(
            attributes
                .iter()
                .map(|(key, value)| (*key, (*value).to_owned())),
        );
        self.start("path", &all, true);
    }

    /// Puts down a circle.
    pub fn circle(&mut self, class: &str, centre: Point, radius: f64) {
        let centre = self.shift(centre);
        self.start(
            "circle",
            &[
                ("class", class.to_owned()),
                ("cx", number(centre.x)),
                ("cy", number(centre.y)),
                ("r", number(radius)),
            ],
            true,
        );
    }

    /// Puts down a rectangle with corners rounded by `round`.
    pub fn rect(&mut self, class: &str, rect: Rect, round: f64) {
        let place = self.shift_rect(rect);
        let mut all = vec![
            ("class", class.to_owned()),
            ("x", number(place.x0)),
            ("y", number(place.y0)),
            ("width", number(rect.width())),
            ("height", number(rect.height())),
        ];
        if round > 0.0 {
            all.push(("rx", number(round)));
        }
        self.start("rect", &all, true);
    }

    /// Records a box that something put down covers.
    pub fn record(&mut self, kind: BoxKind, what: &str, covers: Rect) {
        let shifted = self.shift_rect(covers);
        self.boxes.push(Placed {
            kind,
            what: what.to_owned(),
            at: shifted,
        });
    }

    /// Records a slider's handle.
    pub fn record_handle(&mut self, handle: Handle) {
        let shifted = Handle {
            zero: self.shift(handle.zero),
            one: self.shift(handle.one),
            covers: self.shift_rect(handle.covers),
            ..handle
        };
        self.handles.push(shifted);
    }

    /// A coordinate pair as it will stand in the file, for `data-` attributes.
    pub fn coordinates(&self, point: Point) -> (String, String) {
        let place = self.shift(point);
        (number(place.x), number(place.y))
    }

    /// Opens a group.
    pub fn open_group(&mut self, attributes: &[(&str, &str)]) {
        let all: Vec<_> = attributes
            .iter()
            .map(|(key, value)| (*key, (*value).to_owned()))
            .collect();
        self.start("g", &all, false);
        self.body.push('\n');
        self.open += 1;
    }

    /// Closes the group opened last.
    pub fn close_group(&mut self) {
        if self.open > 0 {
            self.open -= 1;
            self.body.push_str("</g>\n");
        }
    }

    /// What everything put down so far reaches over; nothing if nothing was put down.
    pub fn extent(&self) -> Option<Rect> {
        let boxes = self.boxes.iter().map(|b| b.at);
        let lines = self.segments.iter().map(|s| Rect::new(s.from, s.to));
        boxes.chain(lines).reduce(|all, next| all.with(&next))
    }

    /// Finishes the drawing. `title` says in words what it shows; it is read out in place of the picture.
    pub fn finish(mut self, title: &str, width: f64, height: f64) -> Drawing {
        while self.open > 0 {
            self.close_group();
        }
        let (wide, high) = (number(width), number(height));
        let title = escape(title);
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide} {high}\" width=\"{wide}\" height=\"{high}\" role=\"img\" aria-label=\"{title}\">\n<title>{title}</title>\n{}</svg>\n",
            self.body
        );
        Drawing {
            svg,
            width,
            height,
            boxes: self.boxes,
            segments: self.segments,
            handles: self.handles,
        }
    }

    fn start(&mut self, element: &str, attributes: &[(&str, String)], closed: bool) {
        let _ = write!(self.body, "<{element}");
        for (key, value) in attributes {
            let _ = write!(self.body, " {key}=\"{}\"", escape(value));
        }
        self.body.push_str(if closed { "/>\n" } else { ">" });
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_escaped_and_rounded() {
        let mut svg = Svg::new();
        svg.text_with(
            TextStyle::Read,
            Anchor::Middle,
            at(1.0 / 3.0, 20.0),
            "a < b & \"c\"\u{7}",
            &[("id", "x'y")],
        );
        let drawing = svg.finish("<t>", 40.0, 30.5);
        assert!(drawing.svg.contains(r#"<text class="t-read mid" x="0.33" y="20" id="x&#39;y">a &lt; b &amp; &quot;c&quot; </text>"#), "{}", drawing.svg);
        assert!(drawing.svg.contains(r#"viewBox="0 0 40 30.5""#));
        assert!(drawing.svg.contains("<title>&lt;t&gt;</title>"));
    }

    #[test]
    fn what_is_put_down_is_recorded_where_it_stands() {
        let mut svg = Svg::shifted(at(10.0, 5.0));
        let taken = svg.text(TextStyle::Name, Anchor::End, at(50.0, 20.0), "T1");
        assert!((taken.x1 - 50.0).abs() < 1e-9 && taken.width() > 15.0);
        svg.line(
            LineKind::L2,
            &[at(0.0, 0.0), at(30.0, 0.0), at(30.0, 9.0)],
            Some(3),
        );
        let drawing = svg.finish("", 100.0, 50.0);
        assert!((drawing.boxes[0].at.x1 - 60.0).abs() < 1e-9);
        assert_eq!(drawing.segments.len(), 2);
        assert_eq!(drawing.segments[1].to, at(40.0, 14.0));
        assert!(
            drawing
                .svg
                .contains(r#"<path class="case" d="M10 5L40 5L40 14"/>"#),
            "black needs its casing: {}",
            drawing.svg
        );
    }

    #[test]
    fn numbers_have_no_noise() {
        assert_eq!(number(12.345_6), "12.35");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(120.0), "120");
        assert_eq!(number(f64::NAN), "0");
    }

    #[test]
    fn a_file_of_its_own_has_face_and_colours() {
        let file = Svg::new().finish("empty", 10.0, 10.0).standalone();
        assert!(file.contains("@font-face") && file.contains("--paper:"));
        assert!(
            file.find("<style>")
                .is_some_and(|style| file.find("<title>").is_some_and(|title| style < title))
        );
    }
}
