//! The next reading: what to set up, where to read, of which class it is, the cautions of the step, and what each wiring expects there.

use crate::cautions::caution_note;
use crate::terms::term;
use crate::words::probability;
use judgement::{ExpectedSaid, NextSaid, ProposalSaid};
use maud::{Markup, html};

/// The next reading; `act` gives what may be done about a proposal (the report has nothing there). With `hidden` what is expected stays
/// folded away: nobody who is about to read a meter should know what it is hoped to show.
pub fn next_note(
    next: Option<&NextSaid>,
    hidden: bool,
    act: impl Fn(&ProposalSaid) -> Markup,
) -> Markup {
    let Some(said) = next else { return html! {} };
    html! {
        section class="note next" id="next-reading" aria-labelledby="next-title" {
            h3 id="next-title" { "Next reading: " (said.question) (term("next-reading")) }
            p class="said" { (said.summary) }
            @if let Some((first, rest)) = said.proposals.split_first() {
                (proposal(first, hidden, &act))
                @if !rest.is_empty() {
                    details {
                        summary { "others that tell something" }
                        @for one in rest { (proposal(one, true, &act)) }
                    }
                }
            }
        }
    }
}

fn proposal(said: &ProposalSaid, hidden: bool, act: &impl Fn(&ProposalSaid) -> Markup) -> Markup {
    let acts = act(said);
    html! {
        div class="proposal" {
            p class="place" {
                b { (said.place) } " "
                span class="small" { (said.measured) @if !said.instrument.is_empty() { ", with " (said.instrument) } }
            }
            p class="said" {
                @if said.new_setup { "A new setup: " } @else { "Setup " (said.setup) " again: " }
                (said.setup_words) "."
            }
            (class_line(said.class, &said.class_why))
            p class="said" { (said.why) }
            @for caution in &said.cautions { (caution_note(caution)) }
            @if !acts.0.is_empty() { p class="acts" { (acts) } }
            @if !said.expected.is_empty() {
                details class="expected" open[!hidden] {
                    summary { "what is expected there" }
                    (expectations(&said.expected))
                }
            }
        }
    }
}

/// The class in a word, with the place and the value that decide it.
pub(crate) fn class_line(class: &str, why: &str) -> Markup {
    html! { p class="class" { b { (class) } (term(class)) " " span class="small" { (without_class(class, why)) } } }
}

/// A reason without the class it begins with: "Low: at most 24 V ..." beside the word *low*.
pub(crate) fn without_class<'a>(class: &str, why: &'a str) -> &'a str {
    let begins = |head: &str| head.eq_ignore_ascii_case(class);
    match why.split_once(": ") {
        Some((head, rest)) if begins(head) => rest,
        _ => why,
    }
}

fn expectations(expected: &[ExpectedSaid]) -> Markup {
    html! {
        table class="odds" {
            caption class="hidden" { "What each wiring expects there" }
            thead class="hidden" { tr { th scope="col" { "wiring" } th scope="col" { "expected" } th scope="col" { "probability" } } }
            tbody {
                @for one in expected {
                    tr {
                        td { (one.words) }
                        td class="r" { (one.value) }
                        td class="p" { (probability(one.probability)) }
                    }
                }
            }
        }
    }
}
