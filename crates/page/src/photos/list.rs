//! The page of all photos of a find, with the form that takes another one in.

use maud::{Markup, html};

use super::{field, shown, subjects};
use crate::frame::{self, Line};
use crate::opened::Opened;
use crate::submitted::{Errors, Submitted};

/// The page; `came` may name what the next photo is of, or bring back what was typed into a form that was refused.
pub(crate) fn page(slug: &str, opened: &Opened, came: &Submitted, errors: &Errors) -> Markup {
    let name = opened.find.as_ref().map_or(slug, |find| find.name.as_str());
    let body = html! {
        main.spread.alone.edit {
            div.margin.top { p { b { "photos" } } p { a href={ "/find/" (slug) } { "Back" } } (crate::help::link("photos")) }
            div.leaf.top {
                h1 { "Photos" }
                @match opened.photos() {
                    None => (no_photos(errors)),
                    Some(photos) => {
                        (form(slug, opened, came, errors))
                        @if !photos.is_empty() { h2 { "What is there" } }
                        (shown::strip(slug, photos.iter()))
                    }
                }
            }
        }
    };
    let head = frame::plain_head(name, "photos");
    frame::document(&format!("Photos of {name}"), &head, &body)
}

fn no_photos(errors: &Errors) -> Markup {
    html! {
        @if !errors.is_empty() { p.wrong role="alert" { "Not kept." } }
        p.said { "A folder of sheets keeps no photos. A book does: it holds every find with its pictures in one file." }
        p.said { "Stop this page and type " code { "windfall book import SHEET" } ", then " code { "windfall serve --book" } "; the find is there as it is here." }
    }
}

fn form(slug: &str, opened: &Opened, came: &Submitted, errors: &Errors) -> Markup {
    let subjects = opened.find.as_ref().map(subjects::all).unwrap_or_default();
    let wrong = errors.of("photo");
    let caption = Line {
        name: "caption",
        label: "what it shows",
        hint: "may be left empty, and changed later",
        default: "",
        required: false,
    };
    html! {
        form #add-photo method="post" action={ "/find/" (slug) "/photo" } enctype="multipart/form-data" {
            @if let Some(wrong) = wrong { p #camera-note.wrong role="alert" { "Not kept: " (wrong) } }
            div.pair-of-fields {
                div.field { label for="camera" { "Take a photo" } (field("camera", true, false, wrong)) }
                div.field { label for="file" { "or choose one" } (field("file", false, false, None)) }
            }
            p.hint { "Only the pixels are kept: where and with what it was taken is left out. What a photo shows beside the gear goes along when you share the find." }
            div.field {
                label for="of" { "what it is of" }
                select #of name="of" aria-invalid[errors.of("of").is_some()] aria-describedby="of-note" { (subjects::options(&subjects, came.get("of"))) }
                p #of-note class=(if errors.of("of").is_some() { "wrong" } else { "hint" }) { (errors.of("of").unwrap_or("one for now; more can be said on the photo's own page, and places marked")) }
            }
            (caption.show("photo", came, errors))
            p.acts { button.inked type="submit" { "Keep the photo" } }
        }
    }
}
