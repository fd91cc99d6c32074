//! The steps of `docs/first-find.md` on the page, followed as they stand there: every sentence that begins with *Type*, *Choose*, *Press* or
//! *See* is done, by the words the page shows, in a browser as wide as a small phone, from an empty book.

use crate::picture_file;
use crate::site::Site;
use crate::webdriver::{Browser, PHONE};

/// Finds what is told by its words, and marks it for the hand. `words` and `kind` come before.
const FIND: &str = r#"
document.querySelectorAll('[data-hand]').forEach((e) => e.removeAttribute('data-hand'));
const plain = (text) => (text || '').replace(/\s+/g, ' ').trim();
const by = (id) => plain(document.getElementById(id)?.textContent);
const called = (e) => [e.getAttribute('aria-label'), ...[...(e.labels || [])].map((l) => l.innerText), ...(e.getAttribute('aria-labelledby') || '').split(' ').map(by)].map(plain);
const shown = [...document.querySelectorAll(kind)].filter((e) => e.checkVisibility() && !e.disabled);
const found = shown.find((e) => (kind.startsWith('a') ? [plain(e.innerText)] : called(e)).some((name) => name.startsWith(words)));
if (!found) return false;
found.setAttribute('data-hand', '');
return true;
"#;

/// What stands between two marks.
fn between(text: &str, mark: char) -> Option<&str> {
    let (_, rest) = text.split_once(mark)?;
    Some(rest.split_once(mark)?.0)
}

/// The sentences of the numbered steps.
fn sentences() -> Vec<String> {
    let doc = include_str!("../../../../docs/first-find.md");
    let (_, page) = doc
        .split_once("## On the page")
        .expect("its part on the page");
    let steps = page.lines().skip_while(|l| !l.starts_with("1. "));
    let steps = steps.take_while(|l| {
        l.is_empty() || l.starts_with("   ") || l.starts_with(|c: char| c.is_ascii_digit())
    });
    let text = steps.map(|l| {
        l.trim_start_matches(|c: char| c.is_ascii_digit())
            .trim_start_matches('.')
            .trim()
    });
    let text = text
        .collect::<Vec<_>>()
        .join(" ")
        .replace(": Press", ". Press");
    // A figure has a point too: a sentence ends where a space and a capital follow.
    let mut all = vec![String::new()];
    for word in text.split(' ') {
        let begins = word.starts_with(char::is_uppercase)
            && all.last().is_some_and(|s| s.ends_with(['.', '?', ':']));
        if begins {
            all.push(String::new());
        }
        if let Some(last) = all.last_mut() {
            *last = format!("{last} {word}").trim().to_owned();
        }
    }
    all
}

struct Hand<'a>(&'a Browser);

impl Hand<'_> {
    fn finds(&self, kind: &str, words: &str) {
        self.0.wait(
            words,
            &format!("const kind = {kind:?}, words = {words:?};{FIND}"),
        );
    }

    /// Does a sentence; whether there was something to do.
    fn does(&self, sentence: &str) -> bool {
        let browser = self.0;
        let (code, name) = (between(sentence, '`'), between(sentence, '*'));
        match (sentence.split(' ').next(), code, name) {
            (Some("Type"), Some(text), Some(field)) => {
                self.finds("input, textarea", field);
                browser.fill("[data-hand]", text);
            }
            (Some("Choose"), _, Some(choice)) => match sentence.split_once("under") {
                Some((_, list)) => {
                    self.finds("select", between(list, '*').expect("a list"));
                    let option = format!(
                        "const o = [...document.querySelector('[data-hand]').options].find((o) => o.text.startsWith({choice:?})); if (!o) return false; document.querySelectorAll('[data-chosen]').forEach((e) => e.removeAttribute('data-chosen')); o.setAttribute('data-chosen', ''); return true;"
                    );
                    browser.wait(choice, &option);
                    browser.click("[data-chosen]");
                }
                None => {
                    self.finds("input[type=radio]", choice);
                    browser.click("[data-hand]");
                }
            },
            (Some("Press"), _, Some(act)) => {
                self.finds("a[href], button, summary", act);
                browser.run("document.querySelector('main').stillHere = true");
                let folds = browser
                    .run("return document.querySelector('[data-hand]').tagName === 'SUMMARY'");
                browser.click("[data-hand]");
                if folds != true {
                    browser.wait("what comes next", "const main = document.querySelector('main'); return !!main && !main.stillHere && document.readyState === 'complete'");
                }
            }
            (Some("See"), Some(words), _) => {
                browser.wait(words, &format!("return document.body.innerText.replace(/\\s+/g, ' ').toLowerCase().includes({:?})", words.to_lowercase()));
            }
            _ => return false,
        }
        true
    }
}

#[test]
fn the_first_find_on_the_page_goes_as_it_is_told() {
    let site = Site::of_new_book();
    let browser = Browser::start(PHONE);
    browser.open(&site.at("/"));
    let hand = Hand(&browser);
    let done = sentences()
        .iter()
        .filter(|sentence| hand.does(sentence))
        .count();
    assert!(done > 50, "only {done} things were told to do");
    browser.picture(&picture_file("first-find-phone"), true);
    let find = sheet::read(&site.exported("1")).expect("a sound sheet");
    let struck: Vec<u32> = find
        .readings
        .iter()
        .filter(|r| r.struck.is_some())
        .map(|r| r.number)
        .collect();
    assert_eq!((find.readings.len(), struck), (5, vec![4]));
    assert_eq!(browser.complaints(), Vec::<String>::new());
}
