//! The lists of what is written down about a find, each thing with its *Edit*, folded away until they are wanted.

use gear::Find;
use maud::{Markup, html};

use super::{NOUNS, Noun, form, joins};
use crate::find_page::View;
use crate::photos::shown;

/// What tells a row of a list in an address: an id has no white space in it.
pub(crate) fn row_id(word: &str, key: &str) -> String {
    let key: Vec<&str> = key.split_whitespace().collect();
    format!("{word}-{}", key.join("_"))
}

/// The lists of a section of the find's page.
pub(crate) fn of_section(view: &View, section: &str) -> Markup {
    let nouns = || {
        NOUNS
            .iter()
            .filter(|noun| noun.section == section && !noun.is_single())
    };
    html! { div.written { @for noun in nouns() { (list(view, noun)) } } }
}

/// The way to the forms of the find's own words and its plate.
pub(crate) fn singles(view: &View) -> Markup {
    html! {
        p.acts {
            @for (word, words) in [("plate", "Edit the plate"), ("find", "Name, number, origin")] {
                @if let Some(noun) = Noun::of(word) { a.act href=(noun.address(view.slug, None)) { (words) } }
            }
        }
    }
}

fn list(view: &View, noun: &Noun) -> Markup {
    let count = sheet::count(view.find, noun.list);
    let open = view.came.get("list") == noun.word;
    html! {
        details id={ "list-" (noun.word) } open[open] {
            summary { (form::capital(noun.many)) ", " @if count == 0 { "none yet" } @else { (count) } }
            @if count > 0 { div.wide-figure tabindex="0" role="group" aria-label=(form::capital(noun.many)) { (table(view, noun, count)) } }
            @if noun.word == "join" { (joins::from_beeps(view)) }
            (add(view, noun))
        }
    }
}

fn add(view: &View, noun: &Noun) -> Markup {
    html! {
        p.acts {
            a.act href=(noun.address(view.slug, None)) { "Add a" @if noun.one.starts_with(['a', 'e', 'i', 'o']) { "n" } " " (noun.one) }
            @if noun.word == "lead" && !view.find.leads.is_empty() { a.act href={ "/find/" (view.slug) "/tags" } { "Tags to print" } }
        }
    }
}

fn table(view: &View, noun: &Noun, count: usize) -> Markup {
    html! {
        table.nouns {
            caption.hidden { (form::capital(noun.many)) }
            thead { tr { @for column in noun.columns { th scope="col" { (column) (crate::asked::mark(column)) } } @if photographed(view, noun) { th scope="col" { "photo" } } th scope="col" { span.hidden { "edit" } } } }
            tbody { @for index in 0..count { (row(view, noun, index)) } }
        }
    }
}

fn row(view: &View, noun: &Noun, index: usize) -> Markup {
    let fields = noun.typed(view.find, index);
    let key = noun.key_of(view.find, index);
    let cell = |column: &str| -> String {
        if let ("part", "terminals") = (noun.word, column) {
            return terminals(view.find, index);
        }
        if let ("setup", "what") = (noun.word, column) {
            return view
                .find
                .setups
                .get(index)
                .map(judgement::setup_words)
                .unwrap_or_default();
        }
        let field = fields.iter().find(|(name, _)| name == column);
        match (noun.word, column, field) {
            ("lead", "to", None) => "cut end".to_owned(),
            (_, _, Some((_, value))) if value == "true" => "yes".to_owned(),
            (_, _, Some((_, value))) if value == "false" => "no".to_owned(),
            (_, _, field) => field.map(|(_, value)| value.clone()).unwrap_or_default(),
        }
    };
    html! {
        tr id=(row_id(noun.word, &key)) {
            @for (n, column) in noun.columns.iter().enumerate() {
                @if n == 0 { th scope="row" { (cell(column)) } } @else { td { (cell(column)) } }
            }
            @if photographed(view, noun) { td { @if let Some(noun) = in_book(view.find, noun, index) { (shown::cell(view, &noun)) } } }
            td { a href=(noun.address(view.slug, Some(&key))) aria-label={ "Edit " (noun.one) " " (key) } { "Edit" } }
        }
    }
}

/// Whether the list of a noun shows photos: where some can be kept, of what a camera is held at.
fn photographed(view: &View, noun: &Noun) -> bool {
    view.photos.is_some() && matches!(noun.word, "part" | "lead" | "damage" | "setup")
}

/// The one at a place of its list, as a photo names it.
fn in_book(find: &Find, noun: &Noun, index: usize) -> Option<book::Noun> {
    Some(match noun.word {
        "part" => book::Noun::Part(find.parts.get(index)?.designation.to_string()),
        "lead" => book::Noun::Lead(find.leads.get(index)?.designation.to_string()),
        "setup" => book::Noun::Setup(find.setups.get(index)?.number),
        "damage" => {
            let damage = find.damage.get(index)?;
            book::Noun::Damage {
                part: damage.part.to_string(),
                what: damage.what.clone(),
            }
        }
        _ => return None,
    })
}

fn terminals(find: &Find, index: usize) -> String {
    let part = find.parts.get(index);
    part.map(|part| part.terminals().join(" "))
        .unwrap_or_default()
}
