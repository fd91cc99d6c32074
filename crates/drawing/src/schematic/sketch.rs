//! A drawing in the making: what is put down, what is in the way, where leads land.
//!
//! Items are kept with the layer they are painted in; obstacles and pins are what the routing and the dimension lines ask for.

use crate::signs::Sign;
use crate::svg::{Anchor, BoxKind, LineKind, Path, Point, Rect, Svg, TextStyle};

/// Order of painting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Layer {
    Extension,
    Wire,
    Dimension,
    Symbol,
    Front,
}

/// One thing put down.
#[derive(Debug, Clone)]
pub(super) enum Item {
    Line {
        kind: LineKind,
        points: Vec<Point>,
        node: Option<usize>,
    },
    Path {
        class: String,
        path: Path,
    },
    /// An arrow head on a conductor.
    Flow {
        kind: LineKind,
        path: Path,
    },
    Circle {
        class: &'static str,
        centre: Point,
        radius: f64,
    },
    Rect {
        class: &'static str,
        rect: Rect,
        round: f64,
    },
    Text {
        style: TextStyle,
        anchor: Anchor,
        at: Point,
        text: String,
        id: Option<String>,
    },
    Sign {
        sign: Sign,
        covers: Rect,
    },
    Handle(Slide),
    Box {
        kind: BoxKind,
        what: String,
        covers: Rect,
    },
}

/// A slider's handle on its scale.
#[derive(Debug, Clone)]
pub(super) struct Slide {
    pub(super) terminal: String,
    /// Tip of the wedge at positions 0 and 1.
    pub(super) zero: Point,
    pub(super) one: Point,
    pub(super) position: f64,
    /// Whether a setup says so; else no number stands beside it.
    pub(super) known: bool,
    /// +1 when the wedge points left, its number to the right of it; -1 mirrored.
    pub(super) side: f64,
}

/// Length and height of a handle's wedge, px.
const WEDGE: (f64, f64) = (22.0, 20.0);

impl Slide {
    pub(super) fn tip(&self) -> Point {
        Point {
            x: self.zero.x,
            y: self.zero.y + (self.one.y - self.zero.y) * self.position,
        }
    }

    pub(super) fn number(&self) -> String {
        if self.known {
            format!("{:.2}", self.position)
        } else {
            String::new()
        }
    }

    pub(super) fn wedge(&self) -> Path {
        let (tip, base) = (self.tip(), self.tip().x + WEDGE.0 * self.side);
        Path::through(&[
            tip,
            Point {
                x: base,
                y: tip.y - WEDGE.1 / 2.0,
            },
            Point {
                x: base,
                y: tip.y + WEDGE.1 / 2.0,
            },
        ])
        .close()
    }

    /// Anchor and place of the number.
    pub(super) fn number_at(&self) -> (Anchor, Point) {
        let anchor = if self.side > 0.0 {
            Anchor::Start
        } else {
            Anchor::End
        };
        (
            anchor,
            Point {
                x: self.tip().x + (WEDGE.0 + 4.0) * self.side,
                y: self.tip().y + TextStyle::Read.cap_height() / 2.0,
            },
        )
    }

    /// What wedge and number cover.
    pub(super) fn covers(&self) -> Rect {
        let tip = self.tip();
        let (anchor, at) = self.number_at();
        let wedge = Rect::new(
            Point {
                x: tip.x,
                y: tip.y - WEDGE.1 / 2.0,
            },
            Point {
                x: tip.x + WEDGE.0 * self.side,
                y: tip.y + WEDGE.1 / 2.0,
            },
        );
        if self.known {
            wedge.with(&Svg::text_box(TextStyle::Read, anchor, at, &self.number()))
        } else {
            wedge
        }
    }
}

/// The way a lead leaves a pin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Way {
    Left,
    Right,
    Up,
    Down,
}

impl Way {
    pub(super) fn step(self) -> Point {
        let (x, y) = match self {
            Self::Left => (-1.0, 0.0),
            Self::Right => (1.0, 0.0),
            Self::Up => (0.0, -1.0),
            Self::Down => (0.0, 1.0),
        };
        Point { x, y }
    }

    pub(super) fn back(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            Self::Up => Self::Down,
            Self::Down => Self::Up,
        }
    }

    pub(super) fn is_level(self) -> bool {
        matches!(self, Self::Left | Self::Right)
    }
}

/// A pin in its place.
#[derive(Debug, Clone)]
pub(super) struct Landing {
    /// `T1:4`.
    pub(super) terminal: String,
    pub(super) node: usize,
    pub(super) at: Point,
    pub(super) way: Way,
}

/// A straight wire laid down before routing, or by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Run {
    pub(super) node: usize,
    pub(super) from: Point,
    pub(super) to: Point,
}

impl Run {
    pub(super) fn is_level(&self) -> bool {
        (self.from.y - self.to.y).abs() < 1e-6
    }

    pub(super) fn holds(&self, p: Point) -> bool {
        let near = 1e-6;
        p.x >= self.from.x.min(self.to.x) - near
            && p.x <= self.from.x.max(self.to.x) + near
            && p.y >= self.from.y.min(self.to.y) - near
            && p.y <= self.from.y.max(self.to.y) + near
    }
}

/// The drawing in the making.
#[derive(Debug, Clone, Default)]
pub(super) struct Sketch {
    pub(super) items: Vec<(Layer, Item)>,
    /// Boxes nothing may pass through.
    pub(super) obstacles: Vec<Rect>,
    pub(super) landings: Vec<Landing>,
    pub(super) runs: Vec<Run>,
    /// Level stretches that stand for a conductor though they are no wire (behind a slider's handle, beside a pin): only dimension lines use them.
    pub(super) shadows: Vec<Run>,
    /// Terminals of strips, where they stand.
    pub(super) ports: Vec<(String, Point)>,
}

impl Sketch {
    pub(super) fn put(&mut self, layer: Layer, item: Item) {
        self.items.push((layer, item));
    }

    /// Records what a symbol covers and puts it in the way.
    pub(super) fn covers(&mut self, what: &str, rect: Rect) {
        self.put(
            Layer::Symbol,
            Item::Box {
                kind: BoxKind::Symbol,
                what: what.to_owned(),
                covers: rect,
            },
        );
        self.obstacles.push(rect);
    }

    pub(super) fn path(&mut self, class: &str, path: Path) {
        self.put(
            Layer::Symbol,
            Item::Path {
                class: class.to_owned(),
                path,
            },
        );
    }

    pub(super) fn text(&mut self, style: TextStyle, anchor: Anchor, at: Point, text: &str) -> Rect {
        let covers = Svg::text_box(style, anchor, at, text);
        self.obstacles.push(covers);
        self.put(
            Layer::Front,
            Item::Text {
                style,
                anchor,
                at,
                text: text.to_owned(),
                id: None,
            },
        );
        covers
    }

    /// Puts a text at the first of these places where nothing stands; the first one if all are taken.
    pub(super) fn text_where_free(
        &mut self,
        style: TextStyle,
        places: &[(Anchor, Point)],
        text: &str,
        keep_off: &[Rect],
    ) -> Rect {
        let free = |(anchor, at): &&(Anchor, Point)| {
            let covers = Svg::text_box(style, *anchor, *at, text).grown(2.0);
            !self
                .obstacles
                .iter()
                .chain(keep_off)
                .any(|o| o.overlaps(&covers))
                && !self.runs.iter().any(|r| covers.is_crossed_by(r.from, r.to))
        };
        let (anchor, at) = places
            .iter()
            .find(free)
            .or(places.first())
            .copied()
            .unwrap_or((Anchor::Start, Point { x: 0.0, y: 0.0 }));
        self.text(style, anchor, at, text)
    }

    pub(super) fn landing(&mut self, terminal: String, node: usize, at: Point, way: Way) {
        self.landings.push(Landing {
            terminal,
            node,
            at,
            way,
        });
    }

    /// Whether nothing solid stands in a rectangle.
    pub(super) fn is_free(&self, rect: &Rect) -> bool {
        !self.obstacles.iter().any(|o| o.overlaps(rect))
    }

    /// Whether no wire passes through a rectangle.
    pub(super) fn is_dry(&self, rect: &Rect) -> bool {
        !self.runs.iter().any(|r| rect.is_crossed_by(r.from, r.to))
    }

    /// What line a run was drawn as.
    pub(super) fn kind_of(&self, run: &Run) -> LineKind {
        let as_drawn = self.items.iter().find_map(|(_, item)| match item {
            Item::Line {
                kind,
                points,
                node: Some(node),
            } if *node == run.node
                && points
                    .windows(2)
                    .any(|w| w[0] == run.from && w[1] == run.to) =>
            {
                Some(*kind)
            }
            _ => None,
        });
        as_drawn.unwrap_or(LineKind::Lead)
    }

    /// What everything reaches over.
    pub(super) fn extent(&self) -> Rect {
        let boxes = self.obstacles.iter().copied();
        let runs = self.runs.iter().map(|r| Rect::new(r.from, r.to));
        boxes.chain(runs).reduce(|a, b| a.with(&b)).unwrap_or(Rect {
            x0: 0.0,
            y0: 0.0,
            x1: 1.0,
            y1: 1.0,
        })
    }
}
