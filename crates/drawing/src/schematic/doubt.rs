//! What is doubted in a drawing: the leads at terminals that are likely joined otherwise are drawn with gaps, with the words beneath.
//!
//! A lead keeps its own line and colour; the gaps are paper laid over it, so that nothing else moves. What stands in a line conductor has no
//! lead of its own: there the words alone say it.

use super::sketch::{Item, Layer, Sketch};
use crate::svg::{Anchor, Path, Point, TextStyle, at};
use gear::TerminalRef;

/// A lead that ends this near a terminal is its own, px.
const OWN: f64 = 8.0;
/// The words stand this far beneath everything, px.
const BENEATH: f64 = 22.0;

/// Joins that likely are not as they are drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// The terminals that would be joined to others.
    pub terminals: Vec<TerminalRef>,
    /// What is likelier, in words: "T5's secondary stands reversed".
    pub words: String,
}

/// Lays gaps over the leads that end at doubted terminals, and the words beneath; nothing where none of them is on this drawing.
pub(super) fn mark(sketch: &mut Sketch, doubt: &Doubt) {
    let names: Vec<String> = doubt.terminals.iter().map(ToString::to_string).collect();
    let landings = sketch.landings.iter().map(|l| (&l.terminal, l.at));
    let ports = sketch.ports.iter().map(|(name, place)| (name, *place));
    let doubted = ports.chain(landings).filter(|(n, _)| names.contains(n));
    let places: Vec<Point> = doubted.map(|(_, place)| place).collect();
    let ends_at = |p: &Point| {
        let near = |q: &Point| (p.x - q.x).abs() + (p.y - q.y).abs() < OWN;
        places.iter().any(near)
    };
    let gaps: Vec<Path> = sketch
        .items
        .iter()
        .filter_map(|(_, item)| match item {
            Item::Line { kind, points, .. } if kind.is_wire() => {
                let ends = [points.first(), points.last()];
                let own = ends.into_iter().flatten().any(ends_at);
                own.then(|| Path::through(points))
            }
            _ => None,
        })
        .collect();
    if places.is_empty() {
        return;
    }
    let dashed = if gaps.is_empty() { "" } else { "dashed, " };
    let words = format!("{dashed}probably not as drawn: {}", doubt.words);
    for path in gaps {
        let class = "gap".to_owned();
        sketch.put(Layer::Wire, Item::Path { class, path });
    }
    let extent = sketch.extent();
    let place = at(extent.x0, extent.y1 + BENEATH);
    sketch.text(TextStyle::Said, Anchor::Start, place, &words);
}
