//! The plate: what was typed off it, what an illegible figure means, what it implies, and where it contradicts itself.

use crate::figure::{Widths, in_column};
use crate::signs::sign;
use crate::unlocks::unlock_list;
use drawing::signs::Sign;
use judgement::{Contradiction, Deduction, PlateSaid};
use maud::{Markup, html};

/// The fields as typed, in the typewriter face, each with what an illegible figure means; then what was not understood.
pub fn plate_fields(plate: &PlateSaid) -> Markup {
    html! {
        @if plate.fields.is_empty() {
            p class="said" { "Nothing of the plate has been typed in yet." }
        } @else {
            table class="plate" {
                caption class="hidden" { "The plate as read" }
                thead class="hidden" { tr { th scope="col" { "field" } th scope="col" { "as typed" } th scope="col" { "what it means" } } }
                tbody {
                    @for (name, typed, meaning) in &plate.fields {
                        tr {
                            th scope="row" { (name) }
                            td class="typed" { (typed) }
                            td class="pred" { @if let Some(meaning) = meaning { (meaning) } }
                        }
                    }
                }
            }
        }
        @if !plate.not_understood.is_empty() {
            p class="small" { "Kept, but not understood: "
                @for (index, words) in plate.not_understood.iter().enumerate() {
                    @if index > 0 { ", " } span class="typed" { (words) }
                }
                "."
            }
        }
    }
}

/// What the plate implies: what, value with unit, how it follows.
pub fn deductions_table(deductions: &[Deduction]) -> Markup {
    let widths = Widths::of(deductions.iter().map(|d| d.value.as_str()));
    let style = format!("--w:{}ch;--f:{}ch", widths.whole.max(1), widths.fraction);
    html! {
        @if !deductions.is_empty() {
            table class="deduced" style=(style) {
                caption class="hidden" { "What the plate implies" }
                thead { tr { th scope="col" { "what it implies" } th scope="col" { "value" } th scope="col" { "how it follows" } } }
                tbody {
                    @for deduction in deductions {
                        tr {
                            td { (deduction.what) }
                            td class="val" { (in_column(&deduction.value, "read")) span class="unit" { (deduction.unit) } }
                            td class="how" {
                                (deduction.how)
                                @if let Some(source) = &deduction.source { " " i { "(" (source) ")" } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Where the plate contradicts itself; nothing where it does not.
pub fn plate_contradictions(contradictions: &[Contradiction]) -> Markup {
    html! {
        @if !contradictions.is_empty() {
            section class="note" aria-label="Contradictions on the plate" {
                h3 { (sign(Sign::Contradicts)) "The plate contradicts itself" }
                @for contradiction in contradictions { p class="said" { (contradiction.sentence) } }
            }
        }
    }
}

/// The whole section without its cautions: fields and deductions, contradictions, what a further figure would unlock.
pub fn plate_section(plate: &PlateSaid) -> Markup {
    html! {
        (plate_fields(plate))
        (deductions_table(&plate.deductions))
        (plate_contradictions(&plate.contradictions))
        (unlock_list("What the next legible figure would unlock", &plate.unlocks))
    }
}
