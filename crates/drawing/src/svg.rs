//! Writes SVG and keeps account of what stands where.
//!
//! Everything put down is recorded: texts, symbols and signs as boxes, conductors and dimension lines as segments. The account
//! is what the tests measure ("no wire through a symbol, no text over text"), and what the layout asks for extents. Styling is by
//! class names of the look; no colour is written here. Coordinates are px, y downwards, rounded to 0.01.

use std::fmt::Write as _;

pub use crate::account::{BoxKind, Drawing, Handle, LineKind, Placed, Segment};
pub use crate::plane::{Path, Point, Rect, at, escape, number};
use crate::signs::Sign;
pub use crate::style::{Anchor, TextStyle};

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

    /// What is put down from here on counts from `origin`: rows of one kind, each drawn about its own corner.
    pub fn from_origin(&mut self, origin: Point) {
        self.offset = Some(origin);
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
        self.rect_with(class, rect, round, &[]);
    }

    /// As [`Svg::rect`], with further attributes.
    pub fn rect_with(&mut self, class: &str, rect: Rect, round: f64, attributes: &[(&str, &str)]) {
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
        all.extend(
            attributes
                .iter()
                .map(|(key, value)| (*key, (*value).to_owned())),
        );
        self.start("rect", &all, true);
    }

    /// Puts down a sign by name; the page, or the file of its own, brings its symbol.
    pub fn sign(&mut self, sign: Sign, covers: Rect) {
        let place = self.shift_rect(covers);
        let all = [
            ("href", format!("#{}", sign.id())),
            ("x", number(place.x0)),
            ("y", number(place.y0)),
            ("width", number(covers.width())),
            ("height", number(covers.height())),
        ];
        self.start("use", &all, true);
        self.record(BoxKind::Sign, sign.id(), covers);
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
