//! The wiring: the drawing in its own frame, the joins with what they rest on, and what keeps the network from being solved.

use crate::document::Schematic;
use crate::terms::term;
use maud::{Markup, PreEscaped, html};

/// A drawing in a frame that scrolls sideways, so that its texts are never shrunk. `over` is laid over it: the live page puts its
/// slider there.
pub fn schematic_figure(schematic: &Schematic, over: Markup) -> Markup {
    html! {
        figure class="drawing" {
            div class="wide-figure" tabindex="0" role="group" aria-label=(schematic.title) {
                div class="plot" { (PreEscaped(&schematic.svg)) (over) }
            }
        }
    }
}

/// The joins: terminals that are one conductor, and whether that is assumed, found or seen.
pub fn joins_table(joins: &[(Vec<String>, String)]) -> Markup {
    html! {
        @if !joins.is_empty() {
            table class="joins" {
                caption class="hidden" { "Joins" }
                thead { tr { th scope="col" { "terminals that are one conductor" (term("join")) } th scope="col" { "state" (term("state")) } } }
                tbody {
                    @for (terminals, state) in joins {
                        tr {
                            td { @for terminal in terminals { span class="joined" { (terminal) } " " } }
                            td class="state" { span class=[(state == "assumed").then_some("assumed")] { (state) } }
                        }
                    }
                }
            }
        }
    }
}

/// What keeps the network from being solved, with the remedy; nothing where nothing does.
pub fn wiring_faults(faults: &[String]) -> Markup {
    html! {
        @if !faults.is_empty() {
            section class="note" aria-label="What keeps the network from being solved" {
                h3 { "What keeps the network from being solved" }
                @for fault in faults { p class="said" { (fault) } }
            }
        }
    }
}
