//! Unmarked parts: windings found so far, leads not placed yet, and the next test with its class and cautions.

use crate::next::class_line;
use judgement::{TestSaid, TracedSaid};
use maud::{Markup, html};

/// Every unmarked part; `act` gives what may be done about its next test (the report has nothing there).
pub fn tracing_notes(tracing: &[TracedSaid], act: impl Fn(&TestSaid) -> Markup) -> Markup {
    html! { @for part in tracing { (one(part, &act)) } }
}

fn one(said: &TracedSaid, act: &impl Fn(&TestSaid) -> Markup) -> Markup {
    let id = format!("trace-{}", said.part);
    html! {
        section class="note trace" aria-labelledby=(id) {
            h3 id=(id) { "Tracing " (said.part) }
            p class="said" { (said.summary) }
            (found(said))
            @for words in said.contradictions.iter().chain(&said.remarks) { p class="said" { (words) } }
            @if let Some(next) = &said.next { (test(next, &act(next))) }
        }
    }
}

fn found(said: &TracedSaid) -> Markup {
    let rows = said.windings.iter().chain(&said.phases);
    html! {
        @if !said.windings.is_empty() || !said.unplaced.is_empty() {
            table class="traced" {
                caption class="hidden" { "What is found of " (said.part) }
                tbody {
                    @for (name, row) in rows { tr { th scope="row" { (name) } td { (row) } } }
                    @if !said.unplaced.is_empty() { tr { th scope="row" { "not placed yet" } td { (said.unplaced.join(", ")) } } }
                }
            }
        }
    }
}

fn test(said: &TestSaid, acts: &Markup) -> Markup {
    html! {
        div class="proposal" {
            p class="place" { span class="small" { "next test" } " " b { (said.what) } }
            p class="said" {
                @if said.set_up.is_some() { "A new setup: " } @else { "Setup " (said.setup) ": " }
                (said.setup_words) "."
            }
            (class_line(said.class, &said.class_why))
            p class="said" { (said.why) }
            @for caution in &said.cautions { p class="said step" { (caution) } }
            @if !acts.0.is_empty() { p class="acts" { (acts) } }
        }
    }
}
