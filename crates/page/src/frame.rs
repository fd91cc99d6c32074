//! What every page has: the document around it, the signs, the running head, and the field with its label and its message.

use maud::{DOCTYPE, Markup, html};

use crate::submitted::{Errors, Submitted};

/// A whole document. `head` is the running head, `body` everything below it.
pub(crate) fn document(title: &str, head: &Markup, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) ", Windfall" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="/look.css";
                script src="/page.js" defer {}
            }
            body {
                (report::signs())
                (head)
                (body)
                (report::term_meanings(Some("/help/terms")))
            }
        }
    }
}

/// The running head of a page that is not a find's.
pub(crate) fn plain_head(title: &str, remark: &str) -> Markup {
    html! {
        header.head {
            a.book href="/" { "Windfall" }
            div.find { (title) @if !remark.is_empty() { " " span { (remark) } } }
            nav.plain aria-label="Help" { a href="/help" { "Help" } }
        }
    }
}

/// A labelled line to type in, with its remark below or its message instead.
pub(crate) struct Line<'a> {
    /// Name in the form; also its id, behind the form's own word.
    pub(crate) name: &'a str,
    /// Label.
    pub(crate) label: &'a str,
    /// A remark on what to write.
    pub(crate) hint: &'a str,
    /// Shown when nothing came.
    pub(crate) default: &'a str,
    /// Whether the form asks for it.
    pub(crate) required: bool,
}

impl Line<'_> {
    /// The field as HTML.
    pub(crate) fn show(&self, form: &str, came: &Submitted, errors: &Errors) -> Markup {
        let value = if came.has(self.name) {
            came.get(self.name)
        } else {
            self.default
        };
        let wrong = errors.of(self.name);
        labelled(
            form,
            self.name,
            self.label,
            self.hint,
            wrong,
            html! {
                input id={ (form) "-" (self.name) } name=(self.name) value=(value) type="text" autocomplete="off" spellcheck="false"
                    required[self.required] aria-invalid[wrong.is_some()] aria-describedby={ (form) "-" (self.name) "-note" };
            },
        )
    }
}

/// A labelled choice: pairs of value and words.
pub(crate) fn choice(
    form: &str,
    name: &str,
    label: &str,
    options: &[(String, String)],
    chosen: &str,
    wrong: Option<&str>,
) -> Markup {
    labelled(
        form,
        name,
        label,
        "",
        wrong,
        html! {
            select id={ (form) "-" (name) } name=(name) aria-invalid[wrong.is_some()] aria-describedby={ (form) "-" (name) "-note" } {
                @for (value, words) in options { option value=(value) selected[value == chosen] { (words) } }
            }
        },
    )
}

fn labelled(
    form: &str,
    name: &str,
    label: &str,
    hint: &str,
    wrong: Option<&str>,
    control: Markup,
) -> Markup {
    html! {
        div class={ "field f-" (name) } {
            div.asked { label for={ (form) "-" (name) } { (label) } (crate::asked::mark(name)) }
            (control)
            p id={ (form) "-" (name) "-note" } class=(if wrong.is_some() { "wrong" } else { "hint" }) { (wrong.unwrap_or(hint)) }
        }
    }
}

/// A refusal or a broken sheet as a page of its own.
pub(crate) fn plain_page(title: &str, body: &Markup) -> Markup {
    let head = plain_head(title, "");
    document(
        title,
        &head,
        &html! { main.spread { div.margin {} div.leaf.top { h1.hidden { (title) } (body) } } },
    )
}
