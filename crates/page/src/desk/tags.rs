//! Tags for the leads, to print, cut out and tie on: the designation large, where it goes, what it looks like.

use book::{Noun, PhotoOf};
use gear::{Find, Lead};
use maud::{Markup, html};

use crate::frame;
use crate::photos::shown;

/// The page of all tags of a find.
pub(crate) fn page(slug: &str, find: &Find, photos: &[PhotoOf]) -> Markup {
    let head = frame::plain_head(&find.name, "tags");
    let body = html! {
        main.tags-page {
            div.tags-words {
                h1 { "Tags" }
                p.said {
                    @if find.leads.is_empty() { "There is no lead yet to print a tag for." }
                    @else { "Print on A4, cut along the broken lines, tie each to its lead before anything is taken apart." }
                }
                p.acts { a.act href={ "/find/" (slug) "?list=lead#list-lead" } { "Back to the leads" } }
            }
            div.tags { @for lead in &find.leads { (tag(slug, find, lead, photos)) } }
        }
    };
    frame::document(&format!("Tags of {}", find.name), &head, &body)
}

fn tag(slug: &str, find: &Find, lead: &Lead, photos: &[PhotoOf]) -> Markup {
    let noun = Noun::Lead(lead.designation.to_string());
    let photo = photos.iter().find(|photo| photo.shows(&noun));
    let seen = [
        lead.colour.clone(),
        lead.section.as_ref().map(ToString::to_string),
        lead.mark.as_ref().map(|mark| format!("marked {mark}")),
    ];
    let seen: Vec<String> = seen.into_iter().flatten().collect();
    html! {
        section.tag aria-label={ "Tag " (lead.designation) } {
            @if let Some(photo) = photo { (shown::small(slug, photo)) }
            h2 { (lead.designation) }
            p.way { (lead.from) " – " @match &lead.to { Some(to) => (to), None => "cut end" } }
            p.look { (seen.join(", ")) }
            p.of { (find.name) @if let Some(number) = find.number { ", find " (number) } }
        }
    }
}
