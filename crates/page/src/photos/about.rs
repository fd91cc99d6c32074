//! The page of one photo: the picture with its marks, and the form for what it shows. Nothing said before is lost: the history has it.

use book::{Mark, Noun, PhotoOf};
use gear::Find;
use maud::{Markup, html};

use super::answers::within;
use super::subjects::{self, Subject};
use super::{address, marks, shown};
use crate::bound::Said;
use crate::frame::{self, Line};
use crate::submitted::{Errors, Submitted};

/// More marks on one photo than this nobody can tell apart.
const MOST_MARKS: usize = 40;
/// Empty lists offered beside what a photo is said to be of.
const SPARE: usize = 2;

/// The page of a photo of this size in pixels. `came` brings back what was typed into a form that was refused.
pub(super) fn page(
    slug: &str,
    find: &Find,
    photo: &PhotoOf,
    size: (u32, u32),
    came: Option<&Submitted>,
    errors: &Errors,
) -> Markup {
    let to = address(slug, &photo.digest);
    let fields = came.cloned().unwrap_or_else(|| typed(photo));
    let body = html! {
        main.spread.alone.edit {
            div.margin.top { p { b { "photo" } } p { a href={ "/find/" (slug) "/photos" } { "All photos" } } p { a href={ "/find/" (slug) } { "Back" } } }
            div.leaf.top {
                h1 { (shown::words(photo)) }
                @if !errors.is_empty() { p.wrong role="alert" { "Not written yet; nothing typed is lost." } }
                div.photo-and-words {
                    div {
                        div #picture.marked {
                            img src=(to) width=(size.0) height=(size.1) alt=(shown::words(photo));
                            (marks::over(&photo.marks, size))
                        }
                        (list(&photo.marks))
                        p { a href=(to) { "The picture alone" } }
                    }
                    div { (form(&to, find, &fields, errors)) (take_out(&to, errors)) }
                }
            }
        }
        script src="/photo.js" defer {}
    };
    let head = frame::plain_head(&find.name, "photo");
    frame::document(&shown::words(photo), &head, &body)
}

/// The marks in words.
fn list(marks: &[Mark]) -> Markup {
    html! {
        @if !marks.is_empty() {
            ol.marks {
                @for mark in marks {
                    li { (mark.words) @if let Some(of) = &mark.of { @if !mark.words.is_empty() { ", " } (of) } }
                }
            }
        }
    }
}

/// What stands in the form of a photo.
fn typed(photo: &PhotoOf) -> Submitted {
    let mut fields = Submitted::default();
    fields.set("caption", photo.caption.clone());
    let of = photo.of.iter().map(subjects::word);
    fields.0.extend(of.map(|word| ("of".to_owned(), word)));
    for (n, mark) in photo.marks.iter().enumerate() {
        let mut set = |field: &str, value: String| fields.set(&format!("mark.{n}.{field}"), value);
        set("at", marks::typed(mark.at));
        set("to", mark.to.map(marks::typed).unwrap_or_default());
        set("words", mark.words.clone());
        set(
            "of",
            mark.of.as_ref().map(subjects::word).unwrap_or_default(),
        );
    }
    fields
}

fn form(to: &str, find: &Find, fields: &Submitted, errors: &Errors) -> Markup {
    let subjects = subjects::all(find);
    let of: Vec<&str> = fields.each("of").collect();
    let rows = rows(fields);
    let caption = Line {
        name: "caption",
        label: "what it shows",
        hint: "in a few words",
        default: "",
        required: false,
    };
    html! {
        form #about method="post" action={ (to) "/about" } {
            (caption.show("about", fields, errors))
            fieldset {
                legend { "What it is of" }
                @if let Some(wrong) = errors.of("of") { p.wrong { (wrong) } }
                div.pair-of-fields {
                    @for n in 0..of.len() + SPARE {
                        div.field { label for={ "of-" (n) } { @if n == 0 { "of" } @else { "and of" } }
                            select id={ "of-" (n) } name="of" { (subjects::options(&subjects, of.get(n).copied().unwrap_or_default())) } }
                    }
                }
            }
            p.hint { "A mark is a point, or an arrow from its number to what it points at. Emptied of everything, it is taken off." span.with-script { " Tap on the picture to place the one you write." } }
            @for n in 0..=rows { (mark_fields(n, &subjects, fields, errors)) }
            p.acts { button.inked type="submit" { "Write it down" } }
        }
    }
}

/// How many marks the form holds.
fn rows(fields: &Submitted) -> usize {
    let number = |name: &str| name.strip_prefix("mark.")?.split('.').next()?.parse().ok();
    let given = fields
        .0
        .iter()
        .filter(|(_, value)| !value.trim().is_empty());
    let last: Option<usize> = given.filter_map(|(name, _)| number(name)).max();
    last.map_or(0, |last| last.saturating_add(1))
        .min(MOST_MARKS)
}

fn mark_fields(n: usize, subjects: &[Subject], fields: &Submitted, errors: &Errors) -> Markup {
    let line = |field: &str, label: &str, hint: &str| -> Markup {
        let name = format!("mark.{n}.{field}");
        let line = Line {
            name: &name,
            label,
            hint,
            default: "",
            required: false,
        };
        line.show("about", fields, errors)
    };
    let of = format!("mark.{n}.of");
    html! {
        fieldset.group data-mark=(n) {
            legend { "Mark " (n + 1) }
            div.pair-of-fields {
                (line("at", "where", marks::HINT))
                (line("to", "an arrow's other end", "empty for a point"))
                (line("words", "what is there", ""))
                div.field { label for={ "about-" (of) } { "of" }
                    select id={ "about-" (of) } name=(of) { (subjects::options(subjects, fields.get(&of))) }
                    @if let Some(wrong) = errors.of(&of) { p.wrong { (wrong) } } }
            }
        }
    }
}

fn take_out(to: &str, errors: &Errors) -> Markup {
    html! {
        form.take-out.strike method="post" action={ (to) "/out" } {
            label.hidden for="out-reason" { "Why this photo is taken out" }
            input #out-reason type="text" name="reason" placeholder="reason" autocomplete="off";
            button { "Take this photo out" }
            @if let Some(wrong) = errors.of("reason") { p.wrong { (wrong) } }
        }
        p.hint { "It stays in the history, picture and all: nothing in a book is erased. What must not be kept must not be brought in." }
    }
}

/// What the form says of the photo now.
/// # Errors
/// By field.
pub(super) fn take(find: &Find, photo: &PhotoOf, came: &Submitted) -> Result<Said, Errors> {
    let mut errors = Errors::default();
    let caption = within("caption", came.get("caption"), &mut errors);
    let mut of: Vec<Noun> = Vec::new();
    for word in came.each("of") {
        let noun = errors.keep("of", subjects::read(word, find, Some(photo)));
        of.extend(noun.filter(|noun| !of.contains(noun)));
    }
    let marks = (0..rows(came)).filter_map(|n| mark(n, find, photo, came, &mut errors));
    let marks = marks.collect();
    if errors.is_empty() {
        Ok(Said { caption, marks, of })
    } else {
        Err(errors)
    }
}

/// One mark of the form; `None` where its fields are empty, or wrong.
fn mark(
    n: usize,
    find: &Find,
    photo: &PhotoOf,
    came: &Submitted,
    errors: &mut Errors,
) -> Option<Mark> {
    let name = |field: &str| format!("mark.{n}.{field}");
    let given = |field: &str| came.given(&name(field));
    let (at, to, words, of) = (given("at"), given("to"), given("words"), given("of"));
    if at.is_none() && to.is_none() && words.is_none() && of.is_none() {
        return None;
    }
    if at.is_none() {
        errors.add(&name("at"), format!("say where: {}", marks::HINT));
    }
    if words.is_none() && of.is_none() {
        errors.add(&name("words"), "say what is there");
    }
    let place = |text: &str| marks::read(text, &photo.marks);
    let to = to.map(|text| errors.keep(&name("to"), place(text)));
    let of = of.map(|word| errors.keep(&name("of"), subjects::read(word, find, Some(photo))));
    let words = within(&name("words"), words.unwrap_or_default(), errors);
    let at = errors.keep(&name("at"), place(at?))?;
    Some(Mark {
        at,
        to: to.flatten(),
        words,
        of: of.flatten(),
    })
}
