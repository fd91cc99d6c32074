//! The next reading: what to set up, where to read, of which class it is, and what each wiring expects there.

use judgement::{NextSaid, ProposalSaid};
use maud::{Markup, html};

/// What stands under every proposal of a class, in plain words.
pub(crate) fn steps(class: &str) -> &'static str {
    if class == "dead" {
        "Dead: plug in sight, proved dead with a two-pole tester that is itself proved before and after, capacitors discharged. Local codes and licensed practice come first."
    } else {
        "Low: an isolated source only, everything clipped on while dead; switch on, read, switch off before a clip is moved. Local codes and licensed practice come first."
    }
}

/// The next reading; `act` gives what may be done about a proposal (the report has nothing there).
pub fn next_note(next: Option<&NextSaid>, act: impl Fn(&ProposalSaid) -> Markup) -> Markup {
    let Some(said) = next else { return html! {} };
    html! {
        section class="note" id="next-reading" aria-labelledby="next-title" {
            h3 id="next-title" { "Next reading: " (said.question) }
            p class="said" { (said.summary) }
            @if let Some((first, rest)) = said.proposals.split_first() {
                (proposal(first, &act))
                @if !rest.is_empty() {
                    details {
                        summary { "other readings that tell something" }
                        @for one in rest { (proposal(one, &act)) }
                    }
                }
            }
        }
    }
}

fn proposal(said: &ProposalSaid, act: &impl Fn(&ProposalSaid) -> Markup) -> Markup {
    html! {
        div class="proposal" {
            p class="said" {
                b { (said.place) } ", " (said.measured)
                @if !said.instrument.is_empty() { ", with " (said.instrument) }
                "; "
                @if said.new_setup { "a new setup: " } @else { "setup " (said.setup) ": " }
                (said.setup_words) "."
            }
            p class="small" { (said.class_why) " " (steps(said.class)) }
            p class="small" { (said.why) }
            @if !said.expected.is_empty() {
                details {
                    summary { "what is expected there" }
                    table class="odds" {
                        caption class="hidden" { "What each wiring expects" }
                        tbody { @for (words, value) in &said.expected { tr { td { (words) } td class="p" { (value) } } } }
                    }
                }
            }
            @let acts = act(said);
            @if !acts.0.is_empty() { p class="acts" { (acts) } }
        }
    }
}
