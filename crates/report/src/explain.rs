//! How it works: the sentences of the judgement, in their order, in the voice that argues.

use judgement::HowItWorks;
use maud::{Markup, html};

/// The sentences as an ordered list; says so where there is no network to explain.
pub fn how_it_works(how: &HowItWorks) -> Markup {
    html! {
        @if how.sentences.is_empty() {
            p class="said" { "There is no complete network yet, so there is nothing to explain." }
        } @else {
            ol class="how-it-works" { @for sentence in &how.sentences { li { (sentence) } } }
        }
    }
}
