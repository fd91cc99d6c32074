//! The terms of the trade and of Windfall, each in one or two plain sentences, in one place.
//!
//! [`term`] sets a small `?` beside a word; pressing it (hand, keyboard, no script) opens what the word means. The meanings stand once a
//! page, at its end: [`term_meanings`] for a live page, [`meanings_used`] for a file that carries no more than it needs. [`glossary`] is
//! the whole list for a page of its own, [`glossary_markdown`] the same as `docs/terms.md`.
//!
//! A browser too old to open them shows the meanings as a list at the end of the page.

mod list;

use maud::{Markup, html};

/// One term.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Term {
    /// What it is asked for by: lower case, hyphens.
    pub key: &'static str,
    /// As it is written.
    pub word: &'static str,
    /// One or two plain sentences.
    pub says: &'static str,
    /// The standard that defines it, or the rule told with it.
    pub standard: Option<&'static str>,
}

/// All terms, by key.
pub fn terms() -> &'static [Term] {
    list::TERMS
}

/// The small `?` to stand directly behind a word, in a heading, a table head, a label or a sentence. `key` as in [`terms`]: `"booster"`,
/// `"off-by"`. An unknown key gives nothing; a test looks through the callers for such.
///
/// The page must end with [`term_meanings`] or [`meanings_used`]. Not for use inside a link, a button or a `summary`.
pub fn term(key: &str) -> Markup {
    html! {
        @if let Some(term) = find(key) {
            button type="button" class="what" popovertarget={ "term-" (term.key) } aria-label={ "What is meant by " (term.word) } { "?" }
        }
    }
}

/// What every term means, hidden until its `?` is pressed: for the end of a live page, where parts may be replaced later.
/// `more` is the address of the page with all terms, if there is one.
pub fn term_meanings(more: Option<&str>) -> Markup {
    meanings(terms().iter(), more)
}

/// What the terms asked about in `page` mean: for the end of a file that stands alone.
pub fn meanings_used(page: &Markup) -> Markup {
    let used = |term: &&Term| {
        page.0
            .contains(&format!("popovertarget=\"term-{}\"", term.key))
    };
    meanings(terms().iter().filter(used), None)
}

fn meanings<'a>(terms: impl Iterator<Item = &'a Term>, more: Option<&str>) -> Markup {
    html! {
        div class="meanings" {
            @for term in terms {
                div id={ "term-" (term.key) } class="meaning" popover role="note" aria-label=(term.word) {
                    p class="said" { b { (term.word) } ": " (term.says) }
                    @if let Some(standard) = term.standard { p class="small" { (standard) } }
                    @if let Some(more) = more { p class="small" { a href={ (more) "#word-" (term.key) } { "All terms" } } }
                }
            }
        }
    }
}

/// All terms as a list; the place of each is `word-` and its key.
pub fn glossary() -> Markup {
    html! {
        dl class="glossary" {
            @for term in by_word() {
                dt id={ "word-" (term.key) } { (term.word) }
                dd { (term.says) @if let Some(standard) = term.standard { " " i { "(" (standard) ")" } } }
            }
        }
    }
}

/// The list as `docs/terms.md`; a test keeps the file alike.
pub fn glossary_markdown() -> String {
    let mut text = String::from(
        "# Terms\n\nWhat the words on the pages, in the reports and on the command line mean. Made by `cargo run -p report --example terms > docs/terms.md`\nfrom the list the pages use; a test keeps the two alike.\n",
    );
    for term in by_word() {
        text.push_str(&format!(
            "\n**{}**{}: {}{}\n",
            term.word,
            anchor(term),
            term.says,
            term.standard
                .map_or_else(String::new, |s| format!(" *({s})*"))
        ));
    }
    text
}

/// A place to point to, where the word alone would not make one.
fn anchor(term: &Term) -> String {
    format!(" <a id=\"word-{}\"></a>", term.key)
}

fn by_word() -> Vec<&'static Term> {
    let mut all: Vec<&Term> = terms().iter().collect();
    all.sort_by_key(|t| t.word.to_lowercase());
    all
}

fn find(key: &str) -> Option<&'static Term> {
    terms().iter().find(|t| t.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn every_term_has_a_key_of_its_own_and_says_something_short() {
        for pair in terms().windows(2) {
            assert_ne!(pair[0].key, pair[1].key);
        }
        for term in terms() {
            assert!(
                term.key.chars().all(|c| c.is_ascii_lowercase() || c == '-'),
                "{}",
                term.key
            );
            assert!(term.says.ends_with('.'), "{}", term.key);
            // Read standing, on a phone: two sentences, three at most.
            assert!(
                term.says.chars().count() <= 240,
                "{}: {}",
                term.key,
                term.says.chars().count()
            );
            assert_eq!(terms().iter().filter(|t| t.word == term.word).count(), 1);
        }
    }

    #[test]
    fn every_mark_on_a_page_has_its_meaning() {
        let mark = term("booster");
        assert!(mark.0.contains("popovertarget=\"term-booster\""));
        assert!(term_meanings(None).0.contains("id=\"term-booster\""));
        let used = meanings_used(&mark);
        assert_eq!(used.0.matches("popover role").count(), 1, "{}", used.0);
        assert!(term("no-such-term").0.is_empty());
    }

    /// A key that is not in the list shows nothing, so it would never be seen.
    #[test]
    fn callers_ask_only_for_terms_there_are() {
        let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
        let mut asked = 0;
        for folder in ["report/src", "page/src"] {
            for file in rust_files(&crates.join(folder)) {
                let text = std::fs::read_to_string(&file).unwrap();
                for call in text.split("term(\"").skip(1) {
                    let key = call.split('"').next().unwrap();
                    asked += 1;
                    assert!(
                        find(key).is_some() || key == "no-such-term",
                        "{}: no term `{key}`",
                        file.display()
                    );
                }
            }
        }
        assert!(asked > 2, "the callers were not found");
    }

    fn rust_files(folder: &Path) -> Vec<std::path::PathBuf> {
        let mut files = Vec::new();
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                files.extend(rust_files(&path));
            } else if path.extension().is_some_and(|e| e == "rs") {
                files.push(path);
            }
        }
        files
    }

    #[test]
    fn the_printed_list_is_this_list() {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/terms.md");
        assert_eq!(
            std::fs::read_to_string(file).unwrap(),
            glossary_markdown(),
            "run `cargo run -p report --example terms > docs/terms.md`"
        );
    }
}
