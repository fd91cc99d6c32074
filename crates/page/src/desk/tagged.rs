//! The words a find is tagged with: put on and taken off, one form each. (The tags that hang on leads are `tags`.)

use book::{New, What};
use maud::{Markup, html};

use crate::PageError;
use crate::clock::moment;
use crate::find_page::View;
use crate::routes::percent;
use crate::store::Store;
use crate::submitted::Submitted;

/// Longer ones are notes.
const LONGEST: usize = 60;

/// The tags of a find with their forms; nothing where the find is kept in a folder, which keeps none.
pub(crate) fn show(view: &View) -> Markup {
    let Some(tags) = view.tags else {
        return html! {};
    };
    let to = format!("/find/{}/tagged", view.slug);
    html! {
        section #tagged.tagged aria-labelledby="tagged-title" {
            h3 #tagged-title { "Tags" }
            @if !tags.is_empty() {
                ul.words { @for word in tags { li {
                    a href={ "/?tag=" (percent(word)) "#finds" } { (word) }
                    form method="post" action=(to) {
                        input type="hidden" name="off" value=(word);
                        button.small-act { "Take off" span.hidden { " the tag " (word) } }
                    }
                } } }
            }
            form.search method="post" action=(to) {
                label.hidden for="tag-on" { "A tag to put on the find" }
                input #tag-on type="text" name="on" placeholder="a tag, like: shed" maxlength=(LONGEST) autocomplete="off" required;
                button { "Tag it" }
            }
        }
    }
}

/// Puts a word on a find or takes one off. `None` where there is no such find; else nothing, or in words what speaks against it.
pub(crate) fn take(
    store: &Store,
    slug: &str,
    came: &Submitted,
) -> Result<Option<Result<(), String>>, PageError> {
    let Some(bound) = store.bound() else {
        let words = "a folder of sheets keeps no tags; import the sheet into a book to have them"
            .to_owned();
        return Ok(Some(Err(words)));
    };
    let Some(find) = bound.book().by_slug(slug)? else {
        return Ok(None);
    };
    let (word, on) = match came.given("off") {
        Some(word) => (word, false),
        None => (came.get("on"), true),
    };
    if word.chars().count() > LONGEST {
        return Ok(Some(Err(format!(
            "a tag has at most {LONGEST} letters; write a note for more"
        ))));
    }
    // What is so already is not written again.
    if bound.book().find(find)?.tags.contains(word) == on {
        return Ok(Some(Ok(())));
    }
    let word = word.to_owned();
    let what = if on {
        What::Tagged { word }
    } else {
        What::Untagged { word }
    };
    match bound.book().append(New::of(find, moment(), what)) {
        Ok(_) => Ok(Some(Ok(()))),
        Err(refused) if refused.kind == book::Kind::Refused => Ok(Some(Err(refused.to_string()))),
        Err(error) => Err(error.into()),
    }
}
