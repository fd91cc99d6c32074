//! Which wiring the find may have, and which reading to repeat first.

use crate::arguments::share;
use crate::words::probability;
use judgement::{CandidateSaid, CandidatesSaid, RepeatSaid};
use maud::{Markup, html};

/// The ranking of wirings: what is decided, each candidate with its bar of belief and what speaks against it. Nothing where there is none.
/// `act` gives what may be done about the candidate in a place of the ranking (the report has nothing there).
pub fn ranking_note(
    candidates: Option<&CandidatesSaid>,
    act: impl Fn(usize, &CandidateSaid) -> Markup,
) -> Markup {
    let Some(said) = candidates else {
        return html! {};
    };
    html! {
        section class="note which" aria-labelledby="which-wiring" {
            h3 id="which-wiring" { (title(said)) }
            p class="said" { (said.summary) }
            @if said.ranked.len() > 1 {
                table class="odds ranking" {
                    caption class="hidden" { "Wirings, most probable first" }
                    thead class="hidden" { tr { th scope="col" { "wiring" } th scope="col" { "probability" } th scope="col" { "bar" } } }
                    tbody {
                        @for (place, candidate) in said.ranked.iter().enumerate() {
                            tr {
                                td {
                                    @if candidate.as_recorded { b { "as recorded" } } @else { (candidate.words) }
                                    @if let Some(against) = &candidate.against { p class="small" { "against it: " (against) } }
                                    @if let (Some(look), true) = (&candidate.look_at, candidate.probability >= 0.05) { p class="small" { "to know: " (look) } }
                                    (act(place, candidate))
                                }
                                td class="p" { (probability(candidate.probability)) }
                                td class="bar" { span class="belief" style={ "--p:" (share(candidate.probability)) } {} }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The note's title.
pub(crate) fn title(said: &CandidatesSaid) -> &'static str {
    match (said.decided, said.as_recorded) {
        (true, true) => "The wiring holds",
        (true, false) => "The drawing is probably wrong",
        (false, _) => "Which wiring is undecided",
    }
}

/// Which reading to repeat first; nothing where none is worth it.
pub fn repeat_line(repeat: Option<&RepeatSaid>) -> Markup {
    html! {
        @if let Some(repeat) = repeat {
            p class="said" { "Repeat " a href={ "#reading-" (repeat.number) } { "reading " (repeat.number) } " first. " (repeat.why) }
        }
    }
}
