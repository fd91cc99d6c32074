//! The figures of one reading on their patch of paper: ring with the number, reading with its sign, prediction.

use crate::schematic::sketch::{Item, Layer, Sketch};
use crate::schematic::{Annotation, Mark};
use crate::signs::Sign;
use crate::svg::{Anchor, BoxKind, Path, Point, Rect, TextStyle, at};

/// Side of a verdict's sign beside a reading.
pub(super) const SIGN: f64 = 14.0;

/// Height of the ring with the number.
pub(super) const RING: f64 = 19.0;

/// A reading's patch, relative to its centre.
pub(super) struct Patch<'a> {
    pub(super) note: &'a Annotation,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl<'a> Patch<'a> {
    pub(super) fn of(note: &'a Annotation) -> Self {
        let predicted = note
            .predicted
            .as_ref()
            .map_or(0.0, |p| TextStyle::Predicted.width(p));
        let bare = Self {
            note,
            width: 0.0,
            height: 0.0,
        };
        Self {
            note,
            width: bare
                .reading_width()
                .max(predicted)
                .max(ring_width(note.number))
                + 8.0,
            height: if note.predicted.is_some() { 58.0 } else { 42.0 }
                + if note.queried { 8.0 } else { 0.0 },
        }
    }

    pub(super) fn covers(&self, centre: Point) -> Rect {
        Rect::around(centre, self.width, self.height)
    }

    /// Width of the figures with their sign.
    pub(super) fn reading_width(&self) -> f64 {
        TextStyle::Read.width(&self.note.read)
            + if self.note.verdict.sign().is_some() {
                SIGN + 5.0
            } else {
                0.0
            }
    }

    /// Height of the middle of the reading's figures below the patch's centre.
    pub(super) fn figures(&self) -> f64 {
        (if self.note.predicted.is_some() {
            0.5
        } else {
            8.5
        }) - if self.note.queried { 4.0 } else { 0.0 }
    }

    pub(super) fn put(&self, sketch: &mut Sketch, centre: Point) {
        let covers = self.covers(centre);
        sketch.put(
            Layer::Front,
            Item::Rect {
                class: "patch",
                rect: covers,
                round: 0.0,
            },
        );
        sketch.obstacles.push(covers);
        ring(
            sketch,
            at(centre.x, covers.y0 + RING / 2.0 - 1.0),
            self.note.number,
        );
        let base = centre.y + self.figures() + TextStyle::Read.cap_height() / 2.0;
        reading(sketch, self.note, Some(centre.x), 0.0, base);
        if let Some(predicted) = &self.note.predicted {
            let below = if self.note.queried { 24.0 } else { 17.0 };
            predicted_text(
                sketch,
                Anchor::Middle,
                at(centre.x, base + below),
                predicted,
                self.note.number,
            );
        }
    }
}

pub(super) fn ring_width(number: u32) -> f64 {
    (TextStyle::Ring.width(&number.to_string()) + 8.0).max(RING)
}

pub(super) fn ring(sketch: &mut Sketch, centre: Point, number: u32) {
    let covers = Rect::around(centre, ring_width(number), RING);
    sketch.put(
        Layer::Front,
        Item::Rect {
            class: "ring",
            rect: covers,
            round: RING / 2.0,
        },
    );
    sketch.put(
        Layer::Front,
        Item::Box {
            kind: BoxKind::Sign,
            what: format!("ring {number}"),
            covers,
        },
    );
    sketch.put(
        Layer::Front,
        Item::Text {
            style: TextStyle::Ring,
            anchor: Anchor::Middle,
            at: at(centre.x, centre.y + TextStyle::Ring.cap_height() / 2.0),
            text: number.to_string(),
            id: None,
        },
    );
}

/// Reading and sign, about a middle or from a left end. Returns the right end.
pub(super) fn reading(
    sketch: &mut Sketch,
    note: &Annotation,
    middle: Option<f64>,
    left: f64,
    base: f64,
) -> f64 {
    let wide = TextStyle::Read.width(&note.read);
    let sign = note.verdict.sign();
    let whole = wide + if sign.is_some() { SIGN + 5.0 } else { 0.0 };
    let x = middle.map_or(left, |m| m - whole / 2.0);
    sketch.put(
        Layer::Front,
        Item::Text {
            style: TextStyle::Read,
            anchor: Anchor::Start,
            at: at(x, base),
            text: note.read.clone(),
            id: None,
        },
    );
    if note.queried {
        // Only the figures are dotted under, not their unit.
        let figures = note
            .read
            .rsplit_once([' ', '\u{a0}'])
            .map_or(note.read.as_str(), |(f, _)| f);
        let end = x + TextStyle::Read.width(figures);
        let mut dots = Path::new();
        for y in [4.5, 8.5] {
            dots = dots
                .move_to(at(x + 1.0, base + y))
                .line_to(at(end, base + y));
        }
        sketch.put(
            Layer::Front,
            Item::Path {
                class: "dots2".to_owned(),
                path: dots,
            },
        );
    }
    if let Some(sign) = sign {
        let centre = at(
            x + wide + 5.0 + SIGN / 2.0,
            base - TextStyle::Read.cap_height() / 2.0,
        );
        sketch.put(
            Layer::Front,
            Item::Sign {
                sign,
                covers: Rect::around(centre, SIGN, SIGN),
            },
        );
    }
    x + whole
}

pub(super) fn predicted_text(
    sketch: &mut Sketch,
    anchor: Anchor,
    place: Point,
    text: &str,
    number: u32,
) {
    sketch.put(
        Layer::Front,
        Item::Text {
            style: TextStyle::Predicted,
            anchor,
            at: place,
            text: text.to_owned(),
            id: Some(format!("predicted-{number}")),
        },
    );
}

impl Mark {
    /// Its sign.
    pub(super) fn sign(self) -> Option<Sign> {
        match self {
            Self::Agrees => Some(Sign::Agrees),
            Self::Doubtful => Some(Sign::Doubtful),
            Self::Contradicts => Some(Sign::Contradicts),
            Self::Floating => Some(Sign::Floating),
            Self::NotJudged | Self::Struck => None,
        }
    }
}
