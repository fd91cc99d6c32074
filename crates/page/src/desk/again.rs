//! A stored judgement derived again: from the entries it knew, by this program, held against what was said then.

use book::{EntryId, What};
use judgement::{Brief, Judge};
use maud::{Markup, html};
use serde::Deserialize;

use crate::PageError;
use crate::frame;
use crate::store::Store;

/// The page of one stored judgement of a find; `None` where there is none of that number.
pub(crate) fn page(store: &Store, slug: &str, entry: u64) -> Result<Option<Markup>, PageError> {
    let Some(bound) = store.bound() else {
        return Ok(None);
    };
    let book = bound.book();
    let (Some(id), Some(entry)) = (book.by_slug(slug)?, book.entry(EntryId(entry))?) else {
        return Ok(None);
    };
    let What::Judged {
        version,
        at_entry,
        judgement,
        ..
    } = &entry.what
    else {
        return Ok(None);
    };
    if entry.find != id {
        return Ok(None);
    }
    let state = book.find_at(id, *at_entry)?;
    let name = state.find.name.clone();
    let then = Brief::deserialize(judgement).ok();
    let now = Brief::of(Judge::new(state.find).promptly());
    let back = format!("/find/{slug}/history#entry-{}", entry.id);
    let body = html! {
        main.spread.alone.diary {
            div.margin.top { p { b { "judged" } } p { a href=(back) { "Back" } } }
            div.leaf.top {
                h1 { "Derived again" }
                p.said { (outcome(then.as_ref(), &now, version)) }
                (told(&format!("As it was said on {}, by version {version}", entry.at.text), then.as_ref()))
                (told(&format!("Derived now from entries up to {at_entry}, by version {}", env!("CARGO_PKG_VERSION")), Some(&now)))
            }
        }
    };
    let head = frame::plain_head(&name, "a judgement");
    let title = format!("A judgement of {name}");
    Ok(Some(frame::document(&title, &head, &body)))
}

fn outcome(then: Option<&Brief>, now: &Brief, version: &str) -> String {
    match then {
        Some(then) if then.words() == now.words() => {
            "The same entries give the same verdicts again.".to_owned()
        }
        Some(_) if version == env!("CARGO_PKG_VERSION") => {
            "The same entries give other verdicts now, by the same version: where one stood near a border it may fall to either side.".to_owned()
        }
        Some(_) => "The same entries give other verdicts now: another version of the program weighs them otherwise.".to_owned(),
        None => "What was said then is in a form this version does not read.".to_owned(),
    }
}

fn told(title: &str, brief: Option<&Brief>) -> Markup {
    html! {
        @if let Some(brief) = brief {
            h2 { (title) }
            p.said { (brief.words()) "." }
            @if let Some(wiring) = &brief.wiring { p.said { (wiring) } }
            @if !brief.queried.is_empty() {
                ul.faults { @for q in &brief.queried { li {
                    "reading " (q.number) ": " b { (q.read) } @if let Some(predicted) = &q.predicted { ", predicted " (predicted) }
                    @if let Some(wrong) = q.wrong { ", wrong " (report::probability(wrong)) } " " (report::verdict(q.verdict))
                } } }
            }
        }
    }
}
