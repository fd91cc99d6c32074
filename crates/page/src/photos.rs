//! Photos on the page: sent from a phone, said what they show, shown where they belong.
//!
//! `sent` reads what a form brought, `subjects` names what a photo may be of, `list` and `about` are the pages of all photos and of one,
//! `marks` what is drawn over it, `shown` the small pictures in the sections, `answers` the addresses. A picture is made harmless (`picture`)
//! before anything else sees it. Small pictures are made anew when they are asked for: the book keeps what was recorded, a browser keeps what
//! it has been shown.

mod about;
mod answers;
mod list;
mod marks;
mod sent;
pub(crate) mod shown;
mod subjects;

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

pub(crate) use answers::{addresses, take_in};
pub(crate) use sent::{Sent, read};

use crate::frame;

/// What a field for photos takes. Naming JPEG lets a telephone that keeps photos otherwise send them so.
const ACCEPTED: &str = "image/jpeg,image/png,image/webp";
/// Longer words are a note.
const LONGEST: usize = 500;

/// Where a picture is; behind it `/small`, `/about` and `/out`.
pub(crate) fn address(slug: &str, digest: &str) -> String {
    format!("/find/{slug}/photo/{digest}")
}

/// A field for a photo. With `camera` a telephone opens it at once, else it asks.
pub(crate) fn field(id: &str, camera: bool, required: bool, wrong: Option<&str>) -> Markup {
    html! {
        input id=(id) type="file" name="photo" accept=(ACCEPTED) capture=[camera.then_some("environment")] required[required]
            aria-invalid[wrong.is_some()] aria-describedby=[wrong.is_some().then(|| format!("{id}-note"))];
    }
}

/// What is answered to a photo refused before it has come.
pub(crate) fn too_large(path: &str) -> Response {
    let words = picture::PictureError::FileTooLarge.to_string();
    let find = path.split('/').nth(2).unwrap_or_default();
    let body = html! {
        p.wrong role="alert" { "Not kept: " (words) "." }
        p { a href={ "/find/" (find) "/photos" } { "To the photos of this find" } }
    };
    let page = frame::plain_page("Photo not kept", &body);
    (StatusCode::PAYLOAD_TOO_LARGE, crate::routes::shown(page)).into_response()
}
