//! The help pages: the first find, a page for each job, the formats, the terms. They are the files of `docs/`, kept in the program itself.
//!
//! The Markdown is turned into HTML once, when a page is first asked for. HTML inside it is not passed on, and a link leads to another
//! help page, to a place on the same one, or, written out in full, elsewhere; anything else stays plain words.

use std::sync::LazyLock;

use maud::{Markup, PreEscaped, html};
use pulldown_cmark::{CowStr, Event, Options, Parser, Tag, TagEnd};

use crate::frame;

/// A help page: its word in the address, its title, its file in `docs/` and that file's text.
struct Page {
    key: &'static str,
    title: &'static str,
    file: &'static str,
    text: &'static str,
}

macro_rules! page {
    ($key:literal, $title:literal, $file:literal) => {
        Page {
            key: $key,
            title: $title,
            file: $file,
            text: include_str!(concat!("../../../docs/", $file)),
        }
    };
}

/// The pages, in the order they are listed: the beginning, the jobs in the order of the work, the formats.
const PAGES: [Page; 14] = [
    page!("first-find", "The first find", "first-find.md"),
    page!("plate", "Plate", "jobs/plate.md"),
    page!("wiring", "Wiring", "jobs/wiring.md"),
    page!("readings", "Readings", "jobs/readings.md"),
    page!("condition", "Condition", "jobs/condition.md"),
    page!("ratings", "Ratings", "jobs/ratings.md"),
    page!("power-up", "Power-up", "jobs/power-up.md"),
    page!("behaviour", "Behaviour", "jobs/behaviour.md"),
    page!("builds", "Builds", "jobs/builds.md"),
    page!("record", "Record", "jobs/record.md"),
    page!("photos", "Photos", "photos.md"),
    page!("sheet", "The sheet", "sheet.md"),
    page!("csv", "Readings as rows", "csv.md"),
    page!("lan", "On your own network", "lan.md"),
];

/// The word of the page with all terms; it has no file of its own here, the list makes it.
const TERMS: &str = "terms";

/// The first help page.
pub(crate) fn index() -> Markup {
    shown(
        "Help",
        None,
        &html! {
            h1 { "Help" }
            p.said {
                "Begin with " a href="/help/first-find" { "the first find" } ": from nothing to a verdict on your own gear. "
                "Then a page for each job says how its sums go and where they come from, what is supposed, and what the program does not know. "
                a href="/help/terms" { "Every term" } " has a line of its own, and a ? beside it where it is used."
            }
        },
    )
}

/// The way from a section of a find to its help page, for the margin.
pub(crate) fn link(key: &str) -> Markup {
    html! { p { a href={ "/help/" (key) } { "help" } } }
}

/// A help page by its word; nothing for an unknown one.
pub(crate) fn page(key: &str) -> Option<Markup> {
    static BODIES: LazyLock<Vec<String>> =
        LazyLock::new(|| PAGES.iter().map(|p| to_html(p.text, p.file)).collect());
    if key == TERMS {
        let body = html! { h1 { "Terms" } (report::glossary()) };
        return Some(shown("Terms", Some(TERMS), &body));
    }
    let (page, body) = PAGES
        .iter()
        .zip(BODIES.iter())
        .find(|(p, _)| p.key == key)?;
    Some(shown(page.title, Some(page.key), &PreEscaped(body.clone())))
}

fn shown(title: &str, present: Option<&str>, body: &Markup) -> Markup {
    let here = |key: &str| (present == Some(key)).then_some("page");
    let head = frame::plain_head("Help", if present.is_some() { title } else { "" });
    frame::document(
        title,
        &head,
        &html! {
            main.spread.help {
                div.margin.top {}
                div.leaf.top { (body) }
                nav.facing.top aria-label="Help pages" {
                    ul {
                        @for page in &PAGES { li { a href={ "/help/" (page.key) } aria-current=[here(page.key)] { (page.title) } } }
                        li { a href={ "/help/" (TERMS) } aria-current=[here(TERMS)] { "Terms" } }
                    }
                }
            }
        },
    )
}

/// Markdown as HTML. `file` is where it stands in `docs/`, which is what its links are counted from.
fn to_html(text: &str, file: &str) -> String {
    let events = Parser::new_ext(text, Options::ENABLE_TABLES);
    let mut kept = Vec::new();
    let mut led = Vec::new();
    for event in events {
        match event {
            Event::Html(_) | Event::InlineHtml(_) => {}
            Event::Start(Tag::Image { .. }) | Event::End(TagEnd::Image) => {}
            // A table may be wider than a phone: it scrolls in its own frame.
            Event::Start(Tag::Table(columns)) => {
                kept.push(own("<div class=\"wide-figure\" tabindex=\"0\" role=\"group\" aria-label=\"Table\">"));
                kept.push(Event::Start(Tag::Table(columns)));
            }
            Event::End(TagEnd::Table) => {
                kept.push(Event::End(TagEnd::Table));
                kept.push(own("</div>"));
            }
            // What is set apart in a help page is a caution.
            Event::Start(Tag::BlockQuote(_)) => kept.push(own(CAUTION)),
            Event::End(TagEnd::BlockQuote(_)) => kept.push(own("</div></div>")),
            Event::Start(Tag::Link {
                link_type,
                dest_url,
                title,
                id,
            }) => {
                let to = address(&dest_url, file);
                led.push(to.is_some());
                if let Some(to) = to {
                    kept.push(Event::Start(Tag::Link {
                        link_type,
                        dest_url: CowStr::from(to),
                        title,
                        id,
                    }));
                }
            }
            Event::End(TagEnd::Link) => {
                if led.pop() == Some(true) {
                    kept.push(Event::End(TagEnd::Link));
                }
            }
            other => kept.push(other),
        }
    }
    let mut html = String::new();
    pulldown_cmark::html::push_html(&mut html, kept.into_iter());
    html
}

const CAUTION: &str = "<div class=\"caution\" role=\"note\"><svg aria-hidden=\"true\"><use href=\"#live\"></use></svg><div>";

fn own(html: &'static str) -> Event<'static> {
    Event::Html(CowStr::from(html))
}

/// Where a link of a file leads to on the page.
fn address(link: &str, file: &str) -> Option<String> {
    if link.starts_with("https://") || link.starts_with('#') {
        return Some(link.to_owned());
    }
    let (path, place) = link.split_once('#').unwrap_or((link, ""));
    let place = if place.is_empty() {
        String::new()
    } else {
        format!("#{place}")
    };
    let folder = file.rsplit_once('/').map_or("", |(folder, _)| folder);
    let path = match path.strip_prefix("../") {
        Some(above) => above.to_owned(),
        None if folder.is_empty() => path.to_owned(),
        None => format!("{folder}/{path}"),
    };
    let key = if path == "terms.md" {
        TERMS
    } else {
        PAGES.iter().find(|p| p.file == path)?.key
    };
    Some(format!("/help/{key}{place}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_page_is_there_and_fetches_nothing() {
        for known in PAGES.iter().map(|p| p.key).chain([TERMS]) {
            let html = page(known).unwrap().0;
            assert!(html.contains("<h1"), "{known}");
            assert_eq!(html.matches("<h1").count(), 1, "{known}");
            for outside in ["<img", "<iframe", "src=\"http", "javascript:"] {
                assert!(!html.contains(outside), "{known}: {outside}");
            }
        }
        assert!(page("no-such-page").is_none());
        assert!(index().0.contains("/help/first-find"));
    }

    /// Every link inside `docs/` that can lead to a help page does; and it leads to one that is there.
    #[test]
    fn links_lead_somewhere() {
        for known in &PAGES {
            let html = page(known.key).unwrap().0;
            for link in html.split("href=\"/help/").skip(1) {
                let key = link.split(['"', '#']).next().unwrap();
                assert!(page(key).is_some(), "{}: {key}", known.key);
            }
        }
        assert_eq!(
            address("../terms.md#word-low", "jobs/plate.md").as_deref(),
            Some("/help/terms#word-low")
        );
        assert_eq!(
            address("jobs/plate.md", "first-find.md").as_deref(),
            Some("/help/plate")
        );
        assert_eq!(
            address("wiring.md", "jobs/plate.md").as_deref(),
            Some("/help/wiring")
        );
        assert_eq!(address("javascript:alert(1)", "sheet.md"), None);
        assert_eq!(address("../numbers.md", "jobs/plate.md"), None);
    }

    #[test]
    fn markup_in_the_text_stays_text() {
        let html = to_html(
            "a <script>alert(1)</script> [b](javascript:c) `<i>`\n\n> **MAINS** d",
            "x.md",
        );
        assert!(
            !html.contains("<script") && !html.contains("javascript"),
            "{html}"
        );
        assert!(
            html.contains("&lt;i&gt;") && html.contains("class=\"caution\""),
            "{html}"
        );
    }
}
