//! Readings on the drawing: a voltage as a dimension line between its two places, a current as an arrow on its conductor.
//!
//! Every reading looks for the place where it disturbs least: its patch of paper may cover nothing, its line may run through
//! nothing solid. Short ones choose first; the lines outside always have room, so the drawing grows rather than text shrink.
//! What has no two places on this drawing is written in a row beneath it.

mod board;
mod current;
mod dimension;
mod patch;

use super::circuit::Circuit;
use super::sketch::Sketch;
use super::{Annotation, Mark};
use crate::svg::{Anchor, Point, Rect, TextStyle, at};
use board::{Board, Found};
use current::flow;
use dimension::{Ends, commit, level_dimension, upright_dimension};
use gear::Place;
use patch::{Patch, SIGN, predicted_text, reading, ring, ring_width};

/// Width a row's words are wrapped to.
const WORDS: f64 = 620.0;

/// Puts every reading where it belongs.
pub(super) fn annotate(sketch: &mut Sketch, circuit: &Circuit<'_>, notes: &[Annotation]) {
    let mut rows: Vec<&Annotation> = Vec::new();
    let mut dims: Vec<(f64, &Annotation, Ends)> = Vec::new();
    for note in notes.iter().filter(|n| n.verdict != Mark::Struck) {
        match &note.place {
            Place::Between(a, b) => match Ends::of(sketch, circuit, a, b) {
                Some(ends) => dims.push((ends.span(), note, ends)),
                None => rows.push(note),
            },
            Place::Into(terminal) | Place::PowerInto { into: terminal, .. } => {
                if !flow(sketch, circuit, note, terminal) {
                    rows.push(note);
                }
            }
            _ => rows.push(note),
        }
    }
    dims.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<Option<Found>> = vec![None; dims.len()];
    // Each in turn, then again with the others in their places: a chain of readings comes to stand in one column.
    for _ in 0..ROUNDS {
        for (index, (_, note, ends)) in dims.iter().enumerate() {
            let others = found
                .iter()
                .enumerate()
                .filter(|(i, _)| *i != index)
                .filter_map(|(_, f)| f.as_ref());
            let board = Board::of(sketch, others);
            let next = if ends.is_level() {
                level_dimension(&board, note, ends)
            } else {
                upright_dimension(&board, note, ends)
            };
            found[index] = next.or(found[index].take());
        }
    }
    for ((_, note, _), found) in dims.iter().zip(found) {
        match found {
            Some(found) => commit(sketch, note, &found),
            None => rows.push(note),
        }
    }
    rows.sort_by_key(|n| n.number);
    for note in rows {
        row(sketch, circuit, note);
    }
}

/// Rounds of placing: the second and third let early ones make way.
const ROUNDS: usize = 3;

/// A reading without two places here: ring, figures, sign, and in words where it was taken.
fn row(sketch: &mut Sketch, circuit: &Circuit<'_>, note: &Annotation) {
    let extent = sketch.extent();
    let earth = circuit.ports.iter().find(|p| {
        super::circuit::is_earth(&p.terminal.terminal)
            && note.place.terminals().contains(&&p.terminal)
    });
    let beside = earth
        .and_then(|p| sketch.ports.iter().find(|q| q.0 == p.terminal.to_string()))
        .map(|q| at(q.1.x + 62.0, q.1.y));
    let words = words(note);
    let lines = wrap(&words);
    let needed = |p: Point| {
        let figures =
            ring_width(note.number) + 6.0 + TextStyle::Read.width(&note.read) + SIGN + 12.0;
        let widest = lines
            .iter()
            .map(|l| TextStyle::Predicted.width(l))
            .fold(0.0, f64::max);
        Rect {
            x0: p.x,
            y0: p.y - 10.0,
            x1: p.x + figures + widest,
            y1: p.y + 6.0 + 16.0 * (lines.len() - 1) as f64,
        }
    };
    let start = beside
        .filter(|p| sketch.is_free(&needed(*p).grown(2.0)) && sketch.is_dry(&needed(*p)))
        .unwrap_or(at(extent.x0.max(-60.0), extent.y1 + 22.0));
    ring(
        sketch,
        at(start.x + ring_width(note.number) / 2.0, start.y),
        note.number,
    );
    let base = start.y + TextStyle::Read.cap_height() / 2.0;
    let mut x = reading(
        sketch,
        note,
        None,
        start.x + ring_width(note.number) + 6.0,
        base,
    ) + 8.0;
    if let Some(predicted) = &note.predicted {
        predicted_text(
            sketch,
            Anchor::Start,
            at(x, base - 1.0),
            predicted,
            note.number,
        );
        x += TextStyle::Predicted.width(predicted) + 10.0;
    }
    for (index, line) in lines.iter().enumerate() {
        sketch.text(
            TextStyle::Predicted,
            Anchor::Start,
            at(x, base - 1.0 + 16.0 * index as f64),
            line,
        );
    }
    sketch.obstacles.push(needed(start));
}

fn words(note: &Annotation) -> String {
    let place = note.place.to_string();
    match (&note.remark, note.verdict) {
        (Some(remark), _) => format!("{place}, {remark}"),
        (None, Mark::Floating) => format!("{place}, floating: this number proves nothing"),
        (None, _) => place,
    }
}

fn wrap(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split(' ') {
        let Some(line) = lines.last_mut() else { break };
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if line.is_empty() || TextStyle::Predicted.width(&longer) <= WORDS {
            *line = longer;
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

/// Room a level dimension line's figures take.
pub(super) fn patch_width(note: &Annotation) -> f64 {
    Patch::of(note).width
}
