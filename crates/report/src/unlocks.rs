//! What the next missing fact would unlock.

use judgement::Unlock;
use maud::{Markup, html};

/// The facts that are missing, most useful first, each with what it gives; nothing if none is.
pub fn unlock_list(title: &str, unlocks: &[Unlock]) -> Markup {
    html! {
        @if !unlocks.is_empty() {
            section class="note" aria-label=(title) {
                h3 { (title) }
                dl class="unlock" {
                    @for unlock in unlocks { dt { (unlock.fact) } dd { (unlock.gives) } }
                }
            }
        }
    }
}
