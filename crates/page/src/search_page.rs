//! What was found: words in all finds, each hit with the noun it is in and a way to where that stands.

use book::{Hit, Noun};
use maud::{Markup, html};

use crate::PageError;
use crate::desk;
use crate::finds_list::search_field;
use crate::frame;
use crate::routes::percent;
use crate::store::Store;
use crate::submitted::Submitted;

/// Longer questions are no words to look for.
const LONGEST: usize = 500;

/// The page of what the address asks for.
pub(crate) fn page(store: &Store, came: &Submitted) -> Result<Markup, PageError> {
    let words = came.get("words");
    let too_long = words.len() > LONGEST;
    let hits = if too_long {
        Vec::new()
    } else {
        store.search(words)?
    };
    let body = html! {
        main.spread.alone.hits {
            div.margin.top { p { b { "search" } } p { a href="/" { "Back" } } }
            div.leaf.top {
                h1 { "Search" }
                (search_field(words))
                p.said role="status" {
                    @if too_long { "That is longer than " (LONGEST) " letters; look for a few words." }
                    @else if words.is_empty() { "Type a word, or how it begins: names, plates, parts, leads, notes, damage and what was noted with readings are looked through." }
                    @else if hits.is_empty() { "Nothing holds " (if words.contains(char::is_whitespace) { "all of these words" } else { "this word" }) ". Try fewer letters: the beginning of a word is enough." }
                    @else { (told(&hits)) }
                }
                @if store.bound().is_none() { p.hint { "In a folder of sheets only names, origins and plates are looked through; a book looks through every word." } }
                (found(&hits))
            }
        }
    };
    Ok(frame::document(
        "Search",
        &frame::plain_head("The finds", "search"),
        &body,
    ))
}

fn told(hits: &[Hit]) -> String {
    let finds = by_find(hits).len();
    let places = hits.len();
    format!(
        "{places} {} in {finds} {}, the best first.",
        if places == 1 { "place" } else { "places" },
        if finds == 1 { "find" } else { "finds" },
    )
}

/// Hits of one find together, the find with the best hit first.
fn by_find(hits: &[Hit]) -> Vec<(&str, Vec<&Hit>)> {
    let mut finds: Vec<(&str, Vec<&Hit>)> = Vec::new();
    for hit in hits {
        match finds.iter_mut().find(|(slug, _)| *slug == hit.slug) {
            Some((_, of_it)) => of_it.push(hit),
            None => finds.push((&hit.slug, vec![hit])),
        }
    }
    finds
}

fn found(hits: &[Hit]) -> Markup {
    html! {
        @for (slug, hits) in by_find(hits) {
            section.hits aria-label=[hits.first().map(|h| &h.name)] {
                h2 { a href={ "/find/" (slug) } { @if let Some(hit) = hits.first() { (hit.name) } } }
                ul { @for hit in hits { li { a href=(place_of(slug, &hit.noun)) { (hit.noun) } p { (snippet(hit)) } } } }
            }
        }
    }
}

fn snippet(hit: &Hit) -> Markup {
    html! { @for piece in &hit.snippet { @if piece.found { mark { (piece.text) } } @else { (piece.text) } } }
}

/// Where a noun stands on its find's page.
fn place_of(slug: &str, noun: &Noun) -> String {
    let row = |word: &str, key: &str| {
        let row = percent(&desk::lists::row_id(word, key));
        format!("/find/{slug}?list={word}#{row}")
    };
    let list = |word: &str| format!("/find/{slug}?list={word}#list-{word}");
    match noun {
        Noun::Find | Noun::Plate => format!("/find/{slug}#plate"),
        Noun::Tags => format!("/find/{slug}#tagged"),
        Noun::Photo(digest) => format!("/find/{slug}/photo/{}/about", percent(digest)),
        Noun::Reading(number) => format!("/find/{slug}#reading-{number}"),
        Noun::Setup(number) => row("setup", &number.to_string()),
        Noun::Part(key) => row("part", key),
        Noun::Terminal(name) => row("part", name.split(':').next().unwrap_or(name)),
        Noun::Gang(key) => row("gang", key),
        Noun::Lead(key) => row("lead", key),
        Noun::Instrument(key) => row("instrument", key),
        Noun::Source(key) => row("source", key),
        Noun::Limiter(key) => row("limiter", key),
        Noun::Load(key) => row("load", key),
        Noun::Protection(key) => row("protection", key),
        Noun::Join(_) => list("join"),
        Noun::Damage { .. } => list("damage"),
        Noun::Note(_) => list("note"),
    }
}
