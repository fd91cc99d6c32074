//! The photo of the display behind a reading: one tap opens the camera, and what it takes is tied to that reading.

use book::Noun;
use judgement::ReadingSaid;
use maud::{Markup, html};

use super::{Bench, Stand};
use crate::photos::{self, shown};

/// The same for a reading that could not be sent yet: the script shows it while one waits, and keeps what it takes with that reading.
pub(super) fn of_unsent() -> Markup {
    html! {
        div #unsent-photo.take hidden { label for="waiting-photo" { "photo of display" } (photos::field("waiting-photo", true, false, None)) }
    }
}

/// The button beside the digits, with what was taken already, unless it stands `large` below. Where no photo can be kept there is none.
pub(super) fn button(bench: &Bench, stand: &Stand, reading: &ReadingSaid, large: bool) -> Markup {
    let Some(photos) = bench.photos else {
        return html! {};
    };
    let wrong = bench.errors.of("photo");
    let noun = Noun::Reading(reading.number);
    html! {
        div.display {
            @for photo in photos.iter().filter(|p| !large && p.shows(&noun)).take(1) { (shown::small(bench.slug, photo)) }
            form #display.take method="post" action={ "/find/" (bench.slug) "/bench/photo" } enctype="multipart/form-data" {
                (super::given::back(stand, reading.number))
                label for="display-photo" { "photo of display" }
                (photos::field("display-photo", true, true, wrong))
                button.without-script type="submit" { "Keep the photo" }
            }
            @if let Some(wrong) = wrong { p #display-photo-note.wrong role="alert" { "Not kept: " (wrong) } }
        }
    }
}
