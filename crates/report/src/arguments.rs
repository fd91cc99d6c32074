//! Arguments: what speaks against a reading, and the possibilities with a bar of belief each.
//!
//! The acts (repeat, strike, keep as read) are a slot: only the live page has them. No page offers to write a value nobody read.

use crate::signs::{sign, sign_of};
use crate::words::probability;
use judgement::{Kind, ReadingSaid, Verdict};
use maud::{Markup, html};

/// The arguments of all readings that are in question, contradicting ones first. `acts` gives what may be done about one.
pub fn argument_notes(readings: &[ReadingSaid], acts: impl Fn(&ReadingSaid) -> Markup) -> Markup {
    let worst_first = [Verdict::Contradicts, Verdict::Doubtful];
    html! {
        @for verdict in worst_first {
            @for reading in readings.iter().filter(|r| r.verdict == verdict) { (note(reading, &acts(reading))) }
        }
    }
}

fn note(reading: &ReadingSaid, acts: &Markup) -> Markup {
    let id = format!("argument-{}", reading.number);
    html! {
        section class="note" aria-labelledby=(id) {
            h3 id=(id) {
                @if let Some(of) = sign_of(reading.verdict) { (sign(of)) }
                (title(reading))
            }
            @if let Some(argument) = &reading.argument { p class="said" { (argument) } }
            (possibilities(&reading.kinds))
            @if !acts.0.is_empty() { div class="acts" { (acts) } }
        }
    }
}

/// What the note says in one line. "Misread" only where a slip of the reading leads; the verdict alone says that reading or drawing is wrong.
pub(crate) fn title(reading: &ReadingSaid) -> String {
    let number = reading.number;
    let leads = leading(&reading.kinds);
    let slip = leads.is_some_and(|kind| kind.slip);
    match reading.verdict {
        Verdict::Contradicts if leads.is_some_and(|kind| kind.drawing) => {
            format!("Reading {number} speaks against the drawing")
        }
        Verdict::Contradicts if slip => format!("Reading {number} was probably misread"),
        Verdict::Contradicts => format!("Reading {number} or the drawing is wrong"),
        _ => format!("Reading {number} is doubtful"),
    }
}

fn leading(kinds: &[Kind]) -> Option<&Kind> {
    kinds
        .iter()
        .max_by(|a, b| a.probability.total_cmp(&b.probability))
}

/// Possibilities: words, probability, a bar of belief on a hairline that is 1.
fn possibilities(kinds: &[Kind]) -> Markup {
    html! {
        @if !kinds.is_empty() {
            table class="odds" {
                caption class="hidden" { "Possibilities" }
                thead class="hidden" { tr { th scope="col" { "possibility" } th scope="col" { "probability" } th scope="col" { "bar" } } }
                tbody {
                    @for kind in kinds {
                        tr {
                            td { (kind.words) }
                            td class="p" { (probability(kind.probability)) }
                            td class="bar" { span class="belief" style={ "--p:" (share(kind.probability)) } {} }
                        }
                    }
                }
            }
        }
    }
}

/// A length for the style sheet.
pub(crate) fn share(value: f64) -> String {
    if value.is_finite() {
        format!("{:.3}", value.clamp(0.0, 1.0))
    } else {
        "0".to_owned()
    }
}
