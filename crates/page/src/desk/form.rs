//! The form of one noun, made from the sheet's own table of keys: a field a key, a fieldset for each table inside it.

use gear::Find;
use maud::{Markup, html};
use sheet::typed::{Field, Group, How};

use super::Noun;
use crate::opened::Opened;
use crate::submitted::{Errors, Submitted};
use crate::{clock, frame, places};

/// The page with the form: of the one told by `key`, else of a new one. `came` holds what was typed so far, if anything.
/// `None` where the find has no such thing, or is a sheet that cannot be read.
pub(crate) fn show(
    slug: &str,
    opened: &Opened,
    noun: &Noun,
    key: Option<&str>,
    came: &Submitted,
    errors: &Errors,
) -> Option<Markup> {
    let find = opened.find.as_ref().ok()?;
    let index = match key {
        Some(key) => Some(noun.index_of(find, key)?),
        None if noun.is_single() => Some(0),
        None => None,
    };
    // What was typed already outranks what stands there; a bare address may still bring single fields along.
    let mut fields = came.clone();
    if !came.has("typed") {
        let standing = match index {
            Some(index) => noun.typed(find, index),
            None => prefilled(noun, find, came),
        };
        for (name, value) in standing {
            if !fields.has(&name) {
                fields.set(&name, value);
            }
        }
    }
    let title = match (noun.is_single(), key) {
        (true, _) => format!("The {}", noun.one),
        (false, Some(key)) if noun.key.is_some() => format!("{} {key}", capital(noun.one)),
        (false, Some(_)) => capital(noun.one),
        (false, None) => format!("Another {}", noun.one),
    };
    let head = frame::plain_head(&find.name, noun.many);
    let body = html! {
        main.spread.alone.edit {
            div.margin.top { p { b { (noun.one) } } p { a href=(noun.back(slug)) { "Back" } } }
            div.leaf.top {
                h1 { (title) }
                (refusals(errors))
                (form(slug, find, noun, key, index, &fields, errors))
                @if let (Some(index), false) = (index, noun.is_single()) { (take_out(slug, find, noun, key, index)) }
            }
        }
    };
    Some(frame::document(&title, &head, &body))
}

fn form(
    slug: &str,
    find: &Find,
    noun: &Noun,
    key: Option<&str>,
    index: Option<usize>,
    fields: &Submitted,
    errors: &Errors,
) -> Markup {
    let kind = (noun.list == "part").then(|| fields.given("kind").unwrap_or("transformer"));
    let (mut own, groups) = sheet::typed::fields(noun.list, kind);
    if kind.is_some() {
        // What was typed for another kind stays in sight, so that it can be refused or emptied.
        let (all, _) = sheet::typed::fields(noun.list, None);
        own.extend(
            all.into_iter()
                .filter(|f| fields.given(&f.name).is_some())
                .filter(|f| !own_has(&own_names(noun, kind), &f.name)),
        );
    }
    let was = index.and_then(|index| sheet::block_of(find, noun.list, index));
    let action = noun.address(slug, key);
    html! {
        form #edit method="post" action=(action) novalidate {
            input type="hidden" name="typed" value="yes";
            @if let Some(was) = &was { input type="hidden" name="was" value=(was); }
            @if noun.list == "plate" { (plate_text(fields, errors)) }
            div.grid { @for one in own.iter().filter(|f| noun.list != "plate" || f.name != "text") { (field_of(one, &one.name, fields, errors)) } }
            @if kind.is_some() { p.acts { button formmethod="get" formnovalidate { "Show the fields of this kind" } } }
            @for group in &groups { (group_of(group, least_of(group, kind, index), fields, errors)) }
            p.acts { button.inked type="submit" { "Write it down" } a.act href=(noun.back(slug)) { "Leave it" } }
            datalist #terminals { @for row in places::rows(find) { @for terminal in &row.terminals { option value=(terminal) {} } } }
        }
    }
}

fn own_names(noun: &Noun, kind: Option<&str>) -> Vec<String> {
    let (own, _) = sheet::typed::fields(noun.list, kind);
    own.into_iter().map(|f| f.name).collect()
}

fn own_has(names: &[String], name: &str) -> bool {
    names.iter().any(|known| known == name)
}

/// What is wrong with the whole rather than a field of it.
fn refusals(errors: &Errors) -> Markup {
    html! {
        @if !errors.is_empty() {
            div.refused role="alert" {
                p.said { "Not written yet; nothing typed is lost." }
                @for (_, message) in errors.all().filter(|(field, _)| field.is_empty()) { p.wrong { (message) } }
            }
        }
    }
}

/// How many windings a new part of its kind has at the least.
fn least_of(group: &Group, kind: Option<&str>, index: Option<usize>) -> usize {
    match (group.name, kind, index) {
        ("winding", Some(kind), None) => windings_of(kind),
        _ => 0,
    }
}

/// The tables inside a noun: those in which something stands, `least` of a new noun, and one more than are shown where that was asked for.
fn group_of(group: &Group, least: usize, fields: &Submitted, errors: &Errors) -> Markup {
    let prefix = format!("{}.", group.name);
    let number = |name: &str| -> Option<usize> {
        let rest = name.strip_prefix(&prefix)?;
        rest.split('.').next()?.parse().ok()
    };
    let more = fields.get("more") == group.name;
    let stands = |(name, value): &(String, String)| {
        number(name).filter(|_| more || !value.trim().is_empty())
    };
    let last = fields.0.iter().filter_map(stands).max();
    let shown = last.map_or(0, |last| last + 1) + usize::from(more);
    let shown = shown.max(least).min(MOST_TABLES);
    html! {
        @for n in 0..shown {
            fieldset.group {
                legend { (capital(group.name)) " " (n + 1) }
                div.grid { @for one in &group.fields { (field_of(one, &format!("{prefix}{n}.{}", one.name), fields, errors)) } }
            }
        }
        p.acts {
            button name="more" value=(group.name) formmethod="get" formnovalidate { @if shown == 0 { "Add a " } @else { "Another " } (group.name) }
            @if shown > 0 { span.hint { "Emptied of everything, it is taken out." } }
        }
    }
}

/// More windings or ranges than this has no noun that a hand typed.
const MOST_TABLES: usize = 40;

fn field_of(field: &Field, name: &str, fields: &Submitted, errors: &Errors) -> Markup {
    let wrong = errors.of(name);
    let value = fields.get(name);
    let id = format!("edit-{name}");
    let note = format!("{id}-note");
    let last = field.name.rsplit('.').next().unwrap_or(&field.name);
    let label = if field.name.starts_with("core.") {
        format!("core {last}")
    } else {
        last.replace('_', " ")
    };
    let hint = match &field.how {
        How::OneOf(_) | How::YesNo => field.words.to_owned(),
        _ if field.example.is_empty() => field.words.to_owned(),
        // In a field a gap in a list is a question mark, in a sheet an empty text.
        _ => format!("{}; as in {}", field.words, field.example).replace("`\"\"`", "?"),
    };
    let list = (field.how == How::Terminal).then_some("terminals");
    let control = match &field.how {
        How::Lines => {
            html! { textarea id=(id) name=(name) rows="4" required[field.required] aria-invalid[wrong.is_some()] aria-describedby=(note) { (value) } }
        }
        How::YesNo => choice(
            &id,
            name,
            &[("true", "yes"), ("false", "no")],
            value,
            false,
            wrong.is_some(),
        ),
        How::OneOf(words) => {
            let pairs: Vec<_> = words.iter().map(|word| (*word, *word)).collect();
            choice(&id, name, &pairs, value, field.required, wrong.is_some())
        }
        _ => html! {
            input id=(id) name=(name) value=(value) type="text" autocomplete="off" spellcheck="false" list=[list]
                required[field.required] aria-invalid[wrong.is_some()] aria-describedby=(note);
        },
    };
    html! {
        div.field.whole[field.how == How::Lines] {
            div.asked { label for=(id) { (label) } (crate::asked::mark(&field.name)) }
            (control)
            p id=(note) class=(if wrong.is_some() { "wrong" } else { "hint" }) { (wrong.unwrap_or(&hint)) }
        }
    }
}

fn choice(
    id: &str,
    name: &str,
    options: &[(&str, &str)],
    value: &str,
    required: bool,
    wrong: bool,
) -> Markup {
    // A word the list does not know is shown as it was typed, to be refused with its words.
    let strange = !value.is_empty() && !options.iter().any(|(known, _)| *known == value);
    html! {
        select id=(id) name=(name) aria-invalid[wrong] aria-describedby={ (id) "-note" } {
            @if !required { option value="" { "not said" } }
            @if strange { option value=(value) selected { (value) } }
            @for (known, words) in options { option value=(known) selected[*known == value] { (words) } }
        }
    }
}

/// The plate as it is read, with what follows from it below.
fn plate_text(fields: &Submitted, errors: &Errors) -> Markup {
    let wrong = errors.of("text");
    let said = judgement::plate::judge(&judgement::plate::read(fields.get("text")), None);
    html! {
        label for="text" { "As it is read" }
        textarea #text.plate name="text" rows="4" spellcheck="false" autocomplete="off" aria-describedby="text-note" aria-invalid[wrong.is_some()] { (fields.get("text")) }
        p #text-note class=(if wrong.is_some() { "wrong" } else { "hint" }) {
            (wrong.unwrap_or("Line by line as it stands there; a figure you cannot read is a ?. What is written into a field below outranks the lines."))
        }
        div #said role="status" { @if fields.given("text").is_some() { (report::plate_section(&said)) } }
    }
}

/// The act that takes a noun out again; whatever still names it speaks against it.
fn take_out(slug: &str, find: &Find, noun: &Noun, key: Option<&str>, index: usize) -> Markup {
    html! {
        form.take-out method="post" action=(noun.address(slug, key)) {
            input type="hidden" name="out" value="yes";
            input type="hidden" name="was" value=(sheet::block_of(find, noun.list, index).unwrap_or_default());
            button { "Take this " (noun.one) " out" }
        }
    }
}

/// What a new noun begins with.
fn prefilled(noun: &Noun, find: &Find, came: &Submitted) -> Vec<(String, String)> {
    let next = |letter: &str, taken: Vec<String>| {
        let free = (1..).find(|n| !taken.contains(&format!("{letter}{n}")));
        format!("{letter}{}", free.unwrap_or(1))
    };
    let field = |name: &str, value: String| (name.to_owned(), value);
    match noun.word {
        "lead" => {
            let taken = find.leads.iter().map(|l| l.designation.to_string());
            vec![
                field("designation", next("W", taken.collect())),
                field("state", "seen".to_owned()),
            ]
        }
        "instrument" => {
            let taken = find.instruments.iter().map(|i| i.designation.to_string());
            vec![field("designation", next("P", taken.collect()))]
        }
        "part" => {
            let kind = came.given("kind").unwrap_or("transformer");
            let taken = find.parts.iter().map(|p| p.designation.to_string());
            vec![
                field("designation", next(letter_of(kind), taken.collect())),
                field("kind", kind.to_owned()),
            ]
        }
        "join" => {
            let ends: Vec<&str> = ["a", "b"].iter().filter_map(|f| came.given(f)).collect();
            vec![
                field("terminals", ends.join(", ")),
                field("state", "seen".to_owned()),
            ]
        }
        "setup" => {
            let last = find.setups.iter().map(|s| s.number).max().unwrap_or(0);
            vec![
                field("number", (last + 1).to_string()),
                field("at", clock::now()),
            ]
        }
        "damage" | "note" => vec![field("at", clock::now())],
        _ => Vec::new(),
    }
}

/// The letter a kind of part is designated with (IEC 81346-2).
fn letter_of(kind: &str) -> &'static str {
    match kind {
        "fuse" => "F",
        "switch" => "Q",
        "resistor" | "choke" => "R",
        "capacitor" => "C",
        "load" => "E",
        "terminals" => "X",
        _ => "T",
    }
}

fn windings_of(kind: &str) -> usize {
    match kind {
        "transformer" => 2,
        "variable autotransformer" | "choke" => 1,
        _ => 0,
    }
}

pub(crate) fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}
