//! Small pictures where they belong: in the sections of a find, in its lists, on the tags, beside a reading that is queried.

use book::{Noun, PhotoOf};
use maud::{Markup, html};

use super::{address, subjects};
use crate::find_page::View;
use crate::routes::percent;

/// A photo in words, for whoever does not see it: its caption, else what it is of.
pub(crate) fn words(photo: &PhotoOf) -> String {
    match (photo.caption.as_str(), subjects::words(photo)) {
        ("", of) if of.is_empty() => "photo".to_owned(),
        ("", of) => format!("photo of {of}"),
        (caption, _) => caption.to_owned(),
    }
}

/// The small picture, leading to the photo's page.
pub(crate) fn small(slug: &str, photo: &PhotoOf) -> Markup {
    let to = address(slug, &photo.digest);
    html! { a.photo href={ (to) "/about" } { img src={ (to) "/small" } alt=(words(photo)) loading="lazy" decoding="async"; } }
}

/// Small pictures with their captions, side by side.
pub(crate) fn strip<'a>(slug: &str, photos: impl Iterator<Item = &'a PhotoOf>) -> Markup {
    let mut photos = photos.peekable();
    html! {
        @if photos.peek().is_some() {
            ul.photos {
                @for photo in photos {
                    li { figure { (small(slug, photo)) figcaption { (photo.caption) @let of = subjects::words(photo); @if !of.is_empty() { " " span.small { (of) } } } } }
                }
            }
        }
    }
}

/// The photos of a section of the find's page, and the way to add one of `of`.
pub(crate) fn of_section(view: &View, section: &str, of: Option<&Noun>) -> Markup {
    let Some(photos) = view.photos else {
        return html! {};
    };
    let belongs = |photo: &&PhotoOf| photo.nouns().any(|n| subjects::section(n) == section);
    html! {
        (strip(view.slug, photos.iter().filter(belongs)))
        p.acts { a.act href=(list_address(view.slug, of)) { "Add a photo" } }
    }
}

/// Photos of which nobody said yet what they are of, or of what has no section: they stand with the record.
pub(crate) fn unplaced(photos: Option<&[PhotoOf]>) -> impl Iterator<Item = &PhotoOf> {
    let elsewhere = |photo: &PhotoOf| photo.nouns().any(|n| subjects::section(n) != "record");
    let photos = photos.unwrap_or_default().iter();
    photos.filter(move |photo| !elsewhere(photo))
}

/// The page of all photos, its form ready for one of `of`.
fn list_address(slug: &str, of: Option<&Noun>) -> String {
    match of {
        Some(noun) => format!("/find/{slug}/photos?of={}", percent(&subjects::word(noun))),
        None => format!("/find/{slug}/photos"),
    }
}

/// The cell of a list: the small pictures of its noun, and the way to add one.
pub(crate) fn cell(view: &View, noun: &Noun) -> Markup {
    let photos = view.photos.unwrap_or_default();
    html! {
        @for photo in photos.iter().filter(|p| p.shows(noun)) { (small(view.slug, photo)) " " }
        a href=(list_address(view.slug, Some(noun))) aria-label={ "Add a photo of " (noun) } { "Add" }
    }
}

/// The photos of a reading's display, large enough to see its decimal point.
pub(crate) fn of_display(slug: &str, photos: Option<&[PhotoOf]>, number: u32) -> Markup {
    let noun = Noun::Reading(number);
    let shown = photos.unwrap_or_default().iter();
    html! {
        @for photo in shown.filter(|p| p.shows(&noun)) {
            @let to = address(slug, &photo.digest);
            a.photo.display href={ (to) "/about" } { img src=(to) alt=(words(photo)) loading="lazy" decoding="async"; }
        }
    }
}
