//! The one-phase schematic, laid out by lines and crossings, with its readings as dimension lines.
//!
//! What lies in series between input and output sits on a line; what lies between lines stands as a crossing; windings on one
//! core stand side by side; what is left is drawn as its windings with their leads. The steps, one file each: `circuit` picks
//! the phase, `lines` sorts it, `place` gives coordinates with `symbols` and `scale`, `route` leads, `notes` readings.

mod circuit;
mod doubt;
mod lines;
mod notes;
mod place;
mod route;
mod scale;
mod sketch;
mod symbols;

use crate::svg::{Anchor, BoxKind, Drawing, Handle, LineKind, Path, Rect, Svg, TextStyle, at};
use circuit::Circuit;
pub use doubt::Doubt;
use gear::{Find, Place, Setup};
use lines::{Lines, OnLine};
use sketch::{Item, Sketch};
use std::collections::BTreeMap;

/// A reading to be shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Annotation {
    /// Its number.
    pub number: u32,
    /// Where it was taken.
    pub place: Place,
    /// As shown, with its unit: "24.14 V".
    pub read: String,
    /// Its verdict.
    pub verdict: Mark,
    /// Prediction with its ±, no unit: "24.16 ± 0.16".
    pub predicted: Option<String>,
    /// Dotted twice: asked about.
    pub queried: bool,
    /// Words for where it has to be told beneath the drawing.
    pub remark: Option<String>,
}

/// The verdict shown beside a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Disc.
    Agrees,
    /// Half-inked diamond.
    Doubtful,
    /// Saltire.
    Contradicts,
    /// Dashed ring.
    Floating,
    /// No sign.
    NotJudged,
    /// Struck by the owner: not drawn.
    Struck,
}

/// Why there is no drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DrawingError {
    /// The find has no parts yet.
    NoParts,
    /// No part belongs to the phase asked for.
    NothingOfPhase(u8),
}

impl std::fmt::Display for DrawingError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoParts => f.write_str("the find has no parts to draw; record at least one winding, or start from an arrangement"),
            Self::NothingOfPhase(phase) => {
                write!(f, "no part belongs to phase L{phase}; give the parts their phase, or join them to the terminals of that phase")
            }
        }
    }
}

impl std::error::Error for DrawingError {}

/// Paper left round the drawing, px.
const BORDER: f64 = 16.0;
/// No more windings than this are tried both ways round.
const FLIPS: usize = 4;

/// Draws one phase of a find. `phase` is 1 to 3; for one-phase gear and crates of unmarked windings it does not matter.
/// With a setup, its links, lifted terminals, open switches and slider positions are drawn.
/// # Errors
/// [`DrawingError`] if there is nothing to draw.
pub fn schematic(
    find: &Find,
    setup: Option<&Setup>,
    phase: u8,
    notes: &[Annotation],
) -> Result<Drawing, DrawingError> {
    schematic_doubted(find, setup, phase, notes, None)
}

/// As [`schematic`], with what is doubted in it drawn with gaps and said beneath.
/// # Errors
/// [`DrawingError`] if there is nothing to draw.
pub fn schematic_doubted(
    find: &Find,
    setup: Option<&Setup>,
    phase: u8,
    notes: &[Annotation],
    doubt: Option<&Doubt>,
) -> Result<Drawing, DrawingError> {
    let circuit = Circuit::of(find, setup, phase)?;
    let lines = Lines::of(&circuit, setup);
    let room = Room::of(&circuit, &lines, notes);
    let (mut sketch, unjoined) = best_sketch(&circuit, &lines, &room, phase);
    for place in route::joints(&sketch) {
        sketch.put(
            sketch::Layer::Front,
            Item::Circle {
                class: "dot",
                centre: place,
                radius: 3.8,
            },
        );
        sketch.put(
            sketch::Layer::Front,
            Item::Box {
                kind: BoxKind::Symbol,
                what: "joint".to_owned(),
                covers: Rect::around(place, 7.6, 7.6),
            },
        );
        sketch.obstacles.push(Rect::around(place, 7.6, 7.6));
    }
    notes::annotate(&mut sketch, &circuit, notes);
    if let Some(doubt) = doubt {
        doubt::mark(&mut sketch, doubt);
    }
    // A join that found no way is told: a drawing may not keep silent about one.
    for (one, other) in unjoined {
        let extent = sketch.extent();
        let words = format!("not drawn: {one} is joined to {other}");
        sketch.text(
            TextStyle::Said,
            Anchor::Start,
            at(extent.x0, extent.y1 + 22.0),
            &words,
        );
    }
    Ok(paint(&mut sketch, &title(&circuit, &lines, setup, phase)))
}

/// Joins no way was found for: a terminal, and one it is joined to.
type Unjoined = Vec<(String, String)>;

/// Tries the windings under lines both ways round and keeps what crosses least; with it the joins no way was found for.
fn best_sketch(circuit: &Circuit<'_>, lines: &Lines, room: &Room, phase: u8) -> (Sketch, Unjoined) {
    let turnable = lines.under.values().map(Vec::len).sum::<usize>().min(FLIPS);
    let mut best: Option<(f64, (Sketch, Unjoined))> = None;
    for pattern in 0..(1_u32 << turnable) {
        let flips: Vec<bool> = (0..turnable).map(|bit| pattern >> bit & 1 == 1).collect();
        let mut sketch = place::place(circuit, lines, room, phase, &flips);
        let cost = route::route(&mut sketch);
        let total = cost.total();
        if best.as_ref().is_none_or(|b| total < b.0) {
            best = Some((total, (sketch, cost.unjoined)));
        }
    }
    best.map(|b| b.1).unwrap_or_default()
}

/// Room the readings will want.
#[derive(Debug, Default)]
struct Room {
    currents: BTreeMap<usize, usize>,
    columns: BTreeMap<usize, usize>,
    over: BTreeMap<usize, f64>,
}

impl Room {
    fn of(circuit: &Circuit<'_>, lines: &Lines, notes: &[Annotation]) -> Self {
        let mut room = Self::default();
        let mut spans: BTreeMap<usize, Vec<(f64, f64)>> = BTreeMap::new();
        for note in notes.iter().filter(|n| n.verdict != Mark::Struck) {
            match &note.place {
                Place::Into(t) | Place::PowerInto { into: t, .. } => {
                    if let Some(node) = circuit.node(t) {
                        *room.currents.entry(node).or_default() += 1;
                    }
                }
                Place::Between(a, b) => {
                    for (index, element) in circuit.elements.iter().enumerate() {
                        let height =
                            |t: &gear::TerminalRef| -> f64 {
                                let node = circuit.node(t);
                                let pin = element.pins.iter().find(|p| p.terminal == *t);
                                pin.map_or_else(
                                    || {
                                        if lines.top.iter().any(
                                            |o| matches!(o, OnLine::Node(n) if Some(*n) == node),
                                        ) {
                                            1.0
                                        } else {
                                            0.0
                                        }
                                    },
                                    |p| p.at,
                                )
                            };
                        let on_brush = [a, b].iter().any(|t| {
                            element
                                .pins
                                .iter()
                                .any(|p| p.slider.is_some() && p.terminal == **t)
                        });
                        if on_brush {
                            let (p, q) = (height(a), height(b));
                            spans.entry(index).or_default().push((p.min(q), p.max(q)));
                        }
                        let ends = [element.first(), element.last()];
                        if [a, b]
                            .iter()
                            .all(|t| ends.iter().any(|p| p.terminal == **t))
                        {
                            let want = notes::patch_width(note) + 28.0 - 120.0;
                            let over = room.over.entry(index).or_default();
                            *over = over.max(want);
                        }
                    }
                }
                _ => {}
            }
        }
        room.columns = spans
            .into_iter()
            .map(|(index, spans)| (index, columns(spans)))
            .collect();
        room
    }

    fn currents(&self, node: usize) -> usize {
        self.currents.get(&node).copied().unwrap_or(0)
    }

    fn columns(&self, element: usize) -> usize {
        self.columns.get(&element).copied().unwrap_or(0)
    }

    fn over(&self, element: usize) -> f64 {
        self.over.get(&element).copied().unwrap_or(0.0).max(0.0)
    }
}

/// How many columns spans need so that none overlap.
fn columns(mut spans: Vec<(f64, f64)>) -> usize {
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ends: Vec<f64> = Vec::new();
    for (from, to) in spans {
        match ends.iter_mut().find(|e| **e <= from + 1e-9) {
            Some(end) => *end = to,
            None => ends.push(to),
        }
    }
    ends.len()
}

fn title(circuit: &Circuit<'_>, lines: &Lines, setup: Option<&Setup>, phase: u8) -> String {
    let mut words = if circuit.three_phase {
        format!("Phase L{phase} of {}", name(circuit))
    } else {
        name(circuit)
    };
    let on_line: Vec<String> = lines
        .top
        .iter()
        .filter_map(|t| {
            if let OnLine::Series(e, ..) = t {
                Some(circuit.elements[*e].part.designation.to_string())
            } else {
                None
            }
        })
        .collect();
    if let (Some(a), Some(b)) = (lines.line_in, lines.line_out) {
        words.push_str(&format!(": from {} ", circuit.ports[a].terminal));
        if !on_line.is_empty() {
            words.push_str(&format!("through {} ", on_line.join(", ")));
        }
        words.push_str(&format!("to {}", circuit.ports[b].terminal));
    }
    let mut others: Vec<String> = circuit
        .elements
        .iter()
        .map(|e| format!("{} {}", e.part.kind.word(), e.part.designation))
        .collect();
    others.dedup();
    words.push_str(&format!("; parts: {}", others.join(", ")));
    if let Some(setup) = setup {
        words.push_str(&format!("; as in setup {}", setup.number));
    }
    words
}

fn name(circuit: &Circuit<'_>) -> String {
    if circuit.find.name.is_empty() {
        "a find".to_owned()
    } else {
        circuit.find.name.clone()
    }
}

/// Writes the sketch, shifted so that it begins at the border.
fn paint(sketch: &mut Sketch, title: &str) -> Drawing {
    sketch.items.sort_by_key(|(layer, _)| *layer);
    let mut trial = Svg::new();
    sketch
        .items
        .iter()
        .for_each(|(_, item)| put(&mut trial, item));
    let extent = trial.extent().unwrap_or(Rect {
        x0: 0.0,
        y0: 0.0,
        x1: 1.0,
        y1: 1.0,
    });
    let mut svg = Svg::shifted(at(
        (BORDER - extent.x0).round(),
        (BORDER - extent.y0).round(),
    ));
    sketch
        .items
        .iter()
        .for_each(|(_, item)| put(&mut svg, item));
    svg.finish(
        title,
        (extent.width() + 2.0 * BORDER).ceil(),
        (extent.height() + 2.0 * BORDER).ceil(),
    )
}

fn put(svg: &mut Svg, item: &Item) {
    match item {
        Item::Line { kind, points, node } => svg.line(*kind, points, *node),
        Item::Path { class, path } if class == "hatch" => svg.path_with(
            "hatch",
            path,
            &[
                ("fill", "none"),
                ("stroke", "var(--ink)"),
                ("stroke-width", "1.5"),
            ],
        ),
        Item::Path { class, path } => svg.path(class, path),
        Item::Flow { kind, path } => flow(svg, *kind, path),
        Item::Circle {
            class,
            centre,
            radius,
        } => svg.circle(class, *centre, *radius),
        Item::Rect { class, rect, round } => match *class {
            "patch" => svg.rect_with("patch", *rect, *round, &[("fill", "var(--paper)")]),
            "frame" => svg.rect_with(
                "frame",
                *rect,
                *round,
                &[
                    ("fill", "none"),
                    ("stroke", "var(--ink)"),
                    ("stroke-width", "1"),
                ],
            ),
            other => svg.rect(other, *rect, *round),
        },
        Item::Text {
            style,
            anchor,
            at,
            text,
            id,
        } => {
            let attributes: Vec<(&str, &str)> = id
                .as_ref()
                .map(|i| ("id", i.as_str()))
                .into_iter()
                .collect();
            svg.text_with(*style, *anchor, *at, text, &attributes);
        }
        Item::Sign { sign, covers } => svg.sign(*sign, *covers),
        Item::Handle(slide) => handle(svg, slide),
        Item::Box { kind, what, covers } => svg.record(*kind, what, *covers),
    }
}

fn flow(svg: &mut Svg, kind: LineKind, path: &Path) {
    let colour = match kind {
        LineKind::L1 | LineKind::L2 | LineKind::L3 | LineKind::Neutral => {
            format!("var(--{})", kind.class())
        }
        _ => "var(--ink)".to_owned(),
    };
    // Black is seen in the dark by its casing.
    let outline = if kind == LineKind::L2 {
        "var(--casing)"
    } else {
        "none"
    };
    svg.path_with(
        "flow",
        path,
        &[
            ("fill", &colour),
            ("stroke", outline),
            ("stroke-width", "1.5"),
        ],
    );
}

/// Handle and number as one group a page may move: by the difference of `data-y` at two positions.
fn handle(svg: &mut Svg, slide: &sketch::Slide) {
    let part = slide.terminal.split(':').next().unwrap_or(&slide.terminal);
    let (x, zero) = svg.coordinates(slide.zero);
    let (_, one) = svg.coordinates(slide.one);
    let position = format!("{:.4}", slide.position);
    svg.open_group(&[
        ("id", &format!("slider-{part}")),
        ("data-terminal", &slide.terminal),
        ("data-x0", &x),
        ("data-y0", &zero),
        ("data-y1", &one),
        ("data-position", &position),
    ]);
    svg.path("dot", &slide.wedge());
    if slide.known {
        let (anchor, place) = slide.number_at();
        let covers = Svg::text_box(TextStyle::Read, anchor, place, &slide.number());
        svg.rect_with("patch", covers.grown(2.0), 0.0, &[("fill", "var(--paper)")]);
        svg.text_with(
            TextStyle::Read,
            anchor,
            place,
            &slide.number(),
            &[("id", &format!("slider-number-{part}"))],
        );
    }
    svg.close_group();
    let wedge = Rect::new(
        slide.tip(),
        at(slide.tip().x + 22.0 * slide.side, slide.tip().y),
    )
    .grown(0.0);
    svg.record(
        BoxKind::Symbol,
        &format!("handle {}", slide.terminal),
        Rect {
            y0: wedge.y0 - 10.0,
            y1: wedge.y1 + 10.0,
            ..wedge
        },
    );
    svg.record_handle(Handle {
        terminal: slide.terminal.clone(),
        zero: slide.zero,
        one: slide.one,
        position: slide.position,
        covers: slide.covers(),
    });
}
