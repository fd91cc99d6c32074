//! The list of finds on the start page: search, tags, each find with its picture, state and what is open, page by page.

use judgement::{Brief, Verdict};
use maud::{Markup, html};

use crate::listing::{Asked, Listed, Listing, MOST};
use crate::routes::percent;

/// What is open, as many as are told before the rest is only counted.
const OPEN: usize = 2;

/// The list; `place` is where the finds are kept, in words.
pub(crate) fn show(listing: &Listing, place: &str) -> Markup {
    html! {
        h2 #finds { "Your finds" }
        @if listing.is_empty() { (nothing_yet(place)) } @else {
            (search_field(""))
            (tags(listing))
            @if listing.finds.is_empty() { p.said { "No find is tagged so. " a href="/#finds" { "All finds" } } }
            ul.finds { @for find in &listing.finds { li { (entry(find)) } } }
            (pages(listing))
        }
    }
}

fn nothing_yet(place: &str) -> Markup {
    html! {
        p.said { "There is none yet in " span.typed { (place) } "." }
        p.said {
            "Type what the plate of your gear says, a ? for every figure you cannot read, and see what follows from it. "
            "Then start a find from it: parts, terminals and joins are assumed as such gear is usually wired, until readings or your eyes say more. "
            "Dead tests come first; " a href="/help/first-find" { "the first find" } " leads you from there to a verdict, and "
            a href="/help" { "each job has its page" } "."
        }
    }
}

/// The field to look for words, with what was looked for.
pub(crate) fn search_field(words: &str) -> Markup {
    html! {
        form.search role="search" action="/search" {
            label.hidden for="words" { "Words to look for in all finds" }
            input #words type="text" name="words" value=(words) placeholder="words in any find" autocomplete="off";
            button type="submit" { "Search" }
        }
    }
}

/// Where the list is on this page of it.
fn address(asked: &Asked) -> String {
    let tag = asked.tag.as_ref().map(|t| format!("tag={}", percent(t)));
    let page = (asked.page > 1).then(|| format!("page={}", asked.page));
    let fields: Vec<String> = tag.into_iter().chain(page).collect();
    match fields.join("&") {
        none if none.is_empty() => "/#finds".to_owned(),
        fields => format!("/?{fields}#finds"),
    }
}

fn tags(listing: &Listing) -> Markup {
    let chosen = listing.asked.tag.as_deref();
    let of = |tag: Option<&str>| {
        address(&Asked {
            tag: tag.map(str::to_owned),
            page: 1,
        })
    };
    let current = |this: bool| this.then_some("true");
    html! {
        @if !listing.tags.is_empty() || chosen.is_some() {
            nav.words aria-label="Finds by tag" {
                a href=(of(None)) aria-current=[current(chosen.is_none())] { "all" }
                @for (word, count) in &listing.tags {
                    a href=(of(Some(word))) aria-current=[current(chosen == Some(word))] { (word) " " span.small { (count) } }
                }
            }
        }
    }
}

/// The ways to newer and older finds.
fn pages(listing: &Listing) -> Markup {
    let asked = &listing.asked;
    let to = |page| {
        address(&Asked {
            page,
            ..asked.clone()
        })
    };
    let first = asked.skip() + 1;
    let last = asked.skip() + listing.finds.len() as u64;
    html! {
        @if listing.count > MOST {
            nav.words aria-label="Pages of the list" {
                @if asked.page > 1 { a rel="prev" href=(to(asked.page - 1)) { "Newer" } }
                span { (first) " to " (last) " of " (listing.count) }
                @if last < listing.count { a rel="next" href=(to(asked.page + 1)) { "Older" } }
            }
        }
    }
}

fn entry(find: &Listed) -> Markup {
    let at = format!("/find/{}", find.slug);
    html! {
        @if let Some(photo) = &find.photo { a.picture href=(at) tabindex="-1" aria-hidden="true" { img src={ (at) "/photo/" (photo) "/small" } alt="" width="72" height="54" loading="lazy"; } }
        div {
            a.name href=(at) { (find.name) }
            @if let Some(number) = find.number { span.small { " find " (number) } }
            @if find.faults > 0 { p.small { "cannot be read: " (counted(find.faults as u64, "fault", "faults")) } }
            @else {
                @if !find.summary.is_empty() { p.small { (find.summary) } }
                p.small.quiet { (state(find)) @if let Some(brief) = &find.judged { (verdicts(brief)) } @else if find.readings > 0 { ", not judged yet" } }
                @if let Some(brief) = &find.judged { (open(brief, find.older)) }
                @if find.touched.is_some() || !find.tags.is_empty() { (last(find)) }
            }
        }
    }
}

/// How far a find has come, in a few words.
fn state(find: &Listed) -> String {
    let parts = || counted(find.parts, "part", "parts");
    match (find.parts, find.readings) {
        (0, 0) => "plate only".to_owned(),
        (_, 0) => format!("{}, no readings yet", parts()),
        (0, _) => counted(find.readings, "reading", "readings"),
        (_, readings) => format!("{}, {}", parts(), counted(readings, "reading", "readings")),
    }
}

/// The verdicts that query a reading, each with how many have it.
fn verdicts(brief: &Brief) -> Markup {
    html! {
        @for verdict in [Verdict::Contradicts, Verdict::Doubtful] {
            @let count = brief.count(verdict);
            @if count > 0 { ", " (report::verdict_counted(verdict, count)) }
        }
    }
}

fn open(brief: &Brief, older: bool) -> Markup {
    let more = brief.open.len().saturating_sub(OPEN);
    html! {
        @if !brief.open.is_empty() {
            p.small { "open: " (brief.open.iter().take(OPEN).cloned().collect::<Vec<_>>().join("; ")) @if more > 0 { "; " (more) " more" } }
        }
        @if older { p.small { "as judged before the newest entry; open the find to have it judged anew" } }
    }
}

fn last(find: &Listed) -> Markup {
    html! {
        p.small.quiet {
            @if let Some(touched) = &find.touched { "last " (touched) }
            @for (n, word) in find.tags.iter().enumerate() {
                @if n > 0 || find.touched.is_some() { ", " }
                a href={ "/?tag=" (percent(word)) "#finds" } { (word) }
            }
        }
    }
}

fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
