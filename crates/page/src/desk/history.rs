//! The history of a find, read like a bench diary: day by day, each entry in words with its time, struck ones ruled through and legible.
//!
//! Undo is striking: the find becomes what its entries add up to without the struck one, and striking a strike brings it back.

use book::{Entry, EntryId, New, Noun, What};
use judgement::Brief;
use maud::{Markup, html};
use serde::Deserialize;

use crate::PageError;
use crate::clock;
use crate::frame;
use crate::photos;
use crate::store::Store;
use crate::submitted::Submitted;

/// Why an entry is struck when nobody says more.
const NO_REASON: &str = "undone";
/// Longer reasons are notes.
const LONGEST_REASON: usize = 500;

/// The page; `None` where there is no such find. A folder of sheets keeps no history, and is told so.
pub(crate) fn page(store: &Store, slug: &str) -> Result<Option<Markup>, PageError> {
    let Some(opened) = store.open(slug)? else {
        return Ok(None);
    };
    let name = opened.find.as_ref().map_or(slug, |find| find.name.as_str());
    let body = match store.bound() {
        Some(bound) => match bound.book().by_slug(slug)? {
            Some(id) => diary(slug, &bound.book().entries(id, EntryId(0))?),
            None => return Ok(None),
        },
        None => {
            html! { p.said { "A folder of sheets keeps only what is so now. A book keeps every entry: import the sheet into one to have a history." } }
        }
    };
    let body = html! {
        main.spread.alone.diary {
            div.margin.top { p { b { "history" } } p { a href={ "/find/" (slug) } { "Back" } } }
            div.leaf.top { h1 { "History" } (body) }
        }
    };
    let head = frame::plain_head(name, "history");
    Ok(Some(frame::document(
        &format!("History of {name}"),
        &head,
        &body,
    )))
}

fn diary(slug: &str, entries: &[Entry]) -> Markup {
    let day = |entry: &Entry| entry.at.text.split(' ').next().unwrap_or("").to_owned();
    let days = entries.chunk_by(|a, b| day(a) == day(b));
    html! {
        p.said { "Nothing here is ever erased. What is struck counts no more and stays legible; striking a strike brings back what it struck." }
        @for of_day in days {
            section.day aria-label=[of_day.first().map(day)] {
                h2 { @if let Some(first) = of_day.first() { (day(first)) } }
                ol.entries { @for entry in of_day { (line(slug, entry, entries)) } }
            }
        }
    }
}

fn line(slug: &str, entry: &Entry, entries: &[Entry]) -> Markup {
    let clock = entry.at.text.split(' ').nth(1).unwrap_or("");
    let words = words_of(entry, entries);
    html! {
        li id={ "entry-" (entry.id) } {
            span.clock { (clock) }
            div {
                p.told { @if entry.struck.is_some() { s { (words) } } @else { (words) } }
                @if let Some(digest) = pictured(&entry.what) { @let to = photos::address(slug, digest); a.photo href=(to) { img src={ (to) "/small" } alt="the photo" loading="lazy" decoding="async"; } }
                @if let Some(struck) = &entry.struck { p.small { "struck: " (struck.reason) } }
                @if let Some(device) = &entry.device { p.small { "from " (device) } }
                @if let What::Judged { version, at_entry, .. } = &entry.what {
                    p.small { "by version " (version) ", knowing entries up to " (at_entry) ". " a href={ "/find/" (slug) "/judged/" (entry.id) } { "Derive it again" } }
                }
            }
            @if may_be_struck(entry) { (undo(slug, entry)) }
        }
    }
}

/// The entry's own words; of a strike, with what it struck; of a judgement, what was judged.
fn words_of(entry: &Entry, entries: &[Entry]) -> String {
    if let What::Struck { entry: of, reason } = &entry.what
        && let Some(struck) = entries.iter().find(|e| e.id == *of)
    {
        return format!("taken back ({reason}): {}", struck.what.words());
    }
    if let What::Judged { judgement, .. } = &entry.what
        && let Ok(brief) = Brief::deserialize(judgement)
    {
        return format!("judged: {}", brief.words());
    }
    entry.what.words()
}

/// The photo an entry speaks of; shown whether or not it was taken out since.
fn pictured(what: &What) -> Option<&str> {
    match what {
        What::Photo { digest, .. }
        | What::PhotoChanged { digest, .. }
        | What::Removed {
            noun: Noun::Photo(digest),
            ..
        } => Some(digest),
        _ => None,
    }
}

/// The start of a find and what was only said about it cannot be taken back, nor what is struck already.
fn may_be_struck(entry: &Entry) -> bool {
    entry.struck.is_none() && !matches!(entry.what, What::Started { .. } | What::Judged { .. })
}

fn undo(slug: &str, entry: &Entry) -> Markup {
    let act = if matches!(entry.what, What::Struck { .. }) {
        "Bring back"
    } else {
        "Undo"
    };
    html! {
        form.strike method="post" action={ "/find/" (slug) "/undo" } {
            input type="hidden" name="entry" value=(entry.id);
            label.hidden for={ "why-" (entry.id) } { "Why entry " (entry.id) " is struck" }
            input id={ "why-" (entry.id) } type="text" name="reason" placeholder="reason" autocomplete="off";
            button { (act) span.hidden { " entry " (entry.id) } }
        }
    }
}

/// Strikes an entry. `None` where there is no such find; else nothing, or in words what speaks against it.
pub(crate) fn strike(
    store: &Store,
    slug: &str,
    came: &Submitted,
) -> Result<Option<Result<(), String>>, PageError> {
    let Some(bound) = store.bound() else {
        return Ok(None);
    };
    let Some(find) = bound.book().by_slug(slug)? else {
        return Ok(None);
    };
    let entry = match came.get("entry").parse() {
        Ok(number) => EntryId(number),
        Err(_) => {
            return Ok(Some(Err(
                "no entry was named; go back and choose one".to_owned()
            )));
        }
    };
    let reason = came.given("reason").unwrap_or(NO_REASON);
    if reason.len() > LONGEST_REASON {
        return Ok(Some(Err(format!(
            "a reason has at most {LONGEST_REASON} letters; write a note for more"
        ))));
    }
    let what = What::Struck {
        entry,
        reason: reason.to_owned(),
    };
    match bound.book().append(New::of(find, clock::moment(), what)) {
        Ok(_) => Ok(Some(Ok(()))),
        Err(refused) if refused.kind == book::Kind::Refused => Ok(Some(Err(refused.to_string()))),
        Err(error) => Err(error.into()),
    }
}
