//! Cautions: striped edge, triangle, one word in capitals, plain words. They stand before the act they concern.

use crate::head::Section;
use crate::signs::triangle_of;
use judgement::Caution;
use maud::{Markup, html};

/// One caution.
pub fn caution_note(caution: &Caution) -> Markup {
    html! {
        div class="caution" role="note" {
            svg aria-hidden="true" { use href={ "#" (triangle_of(caution.danger).id()) } {} }
            p class="said" { b class="word" { (caution.danger.word()) } " " (caution.words) }
        }
    }
}

/// Cautions under one line that names their dangers: for a small page, where the words are one tap away or stand there at once (`open`).
pub fn cautions_folded(cautions: &[Caution], open: bool) -> Markup {
    let word = |caution: &Caution| caution.danger.word();
    let words: Vec<&str> = cautions.iter().map(word).collect();
    html! {
        @if let Some(gravest) = cautions.first() {
            details class="heed" open[open] {
                summary {
                    svg aria-hidden="true" { use href={ "#" (triangle_of(gravest.danger).id()) } {} }
                    b class="word" { (words.join(", ")) }
                }
                @for caution in cautions { (caution_note(caution)) }
            }
        }
    }
}

/// The cautions of a section, for the place before anything is done there.
pub fn caution_notes(cautions: &[Caution], section: Section) -> Markup {
    html! {
        @for caution in cautions.iter().filter(|c| c.section == section.title()) { (caution_note(caution)) }
    }
}

/// Cautions that name no section there is to see: none may be lost, so they stand before everything else.
pub fn cautions_without_section(cautions: &[Caution]) -> Markup {
    let homeless = |caution: &&Caution| Section::ALL.iter().all(|s| s.title() != caution.section);
    html! {
        @for caution in cautions.iter().filter(homeless) { (caution_note(caution)) }
    }
}
