//! Which wiring the find may have, and which reading to repeat first.

use crate::arguments::share;
use crate::terms::term;
use crate::words::probability;
use judgement::{CandidateSaid, CandidatesSaid, RepeatSaid};
use maud::{Markup, html};

/// With the wiring as recorded below this, some other one holds.
const HARDLY: f64 = 0.05;
/// Below this nobody need go and look.
const WORTH_A_LOOK: f64 = 0.05;

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
            h3 id="which-wiring" { (title(said)) (term("candidate")) }
            p class="said" { (said.summary) }
            @if said.ranked.len() > 1 {
                table class="odds ranking" {
                    caption class="hidden" { "Wirings, most probable first" }
                    thead class="hidden" { tr { th scope="col" { "wiring" } th scope="col" { "probability" } th scope="col" { "bar" } } }
                    @for (place, candidate) in said.ranked.iter().enumerate() {
                        tbody {
                            tr {
                                th scope="row" { @if candidate.as_recorded { "as recorded" } @else { (candidate.words) } }
                                td class="p" { (probability(candidate.probability)) }
                                td class="bar" { span class="belief" style={ "--p:" (share(candidate.probability)) } {} }
                            }
                            (more(candidate, &act(place, candidate)))
                        }
                    }
                }
            }
        }
    }
}

/// Whether the ranking stands before the readings' arguments: where the drawing is doubted, it explains them.
pub fn ranking_leads(candidates: Option<&CandidatesSaid>) -> bool {
    candidates.is_some_and(|said| !(said.decided && said.as_recorded))
}

/// What speaks against a candidate, how to know, and what may be done, in a row of its own under it.
fn more(candidate: &CandidateSaid, act: &Markup) -> Markup {
    let look = candidate.look_at.as_ref();
    let look = look.filter(|_| candidate.probability >= WORTH_A_LOOK);
    html! {
        @if look.is_some() || candidate.against.is_some() || !act.0.is_empty() {
            tr class="more" { td class="small" colspan="3" {
                @if let Some(against) = &candidate.against { p { "against it: " (against) } }
                @if let Some(look) = look { p { "to know: " (look) } }
                (act)
            } }
        }
    }
}

/// The note's title.
pub(crate) fn title(said: &CandidatesSaid) -> &'static str {
    let recorded = said.ranked.iter().filter(|c| c.as_recorded);
    let hardly_recorded = recorded.map(|c| c.probability).sum::<f64>() < HARDLY;
    match (said.decided, said.as_recorded) {
        (true, true) => "The wiring holds",
        (true, false) => "The drawing is probably wrong",
        (false, _) if hardly_recorded => "The drawing is probably wrong; how is undecided",
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
