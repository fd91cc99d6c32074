//! A `?` beside a term says what it means by keyboard and without script, on a desk and on a phone; the help pages lead to each other.

use serde_json::json;

use crate::picture_file;
use crate::site::Site;
use crate::webdriver::{Browser, DESK, Look, PHONE};

const ENTER: &str = "\u{e007}";
const ESCAPE: &str = "\u{e00c}";

/// The open meaning lies wholly in the window, and its text is that of the term.
const OPEN_AND_IN_SIGHT: &str = "const open = document.querySelector('[popover]:popover-open'); if (!open) return false; \
    const box = open.getBoundingClientRect(); \
    return box.width > 200 && box.left >= 0 && box.right <= innerWidth && box.top >= 0 && box.bottom <= innerHeight";

#[test]
fn a_term_is_explained_by_keyboard_without_script_at_any_width() {
    let site = Site::with(&["creamery.toml"]);
    for (look, mark) in [
        (DESK, ".log thead .what"),
        (PHONE, ".foot .what"),
        (
            Look {
                dark: true,
                ..PHONE
            },
            "#next-reading .what",
        ),
    ] {
        let browser = Browser::start(look);
        browser.without_script();
        browser.open(&site.at("/find/creamery"));
        assert!(browser.count("html.script") == 0, "script is off");
        browser.keys(mark, ENTER);
        browser.wait("the meaning", OPEN_AND_IN_SIGHT);
        let name = if look.dark {
            "term-phone-dark"
        } else if look.width < 500 {
            "term-phone"
        } else {
            "term-desk"
        };
        browser.picture(&picture_file(name), false);
        browser.keys(mark, ESCAPE);
        browser.wait(
            "the meaning gone",
            "return !document.querySelector('[popover]:popover-open')",
        );
        assert_eq!(
            browser.run("return document.documentElement.scrollWidth <= innerWidth"),
            json!(true)
        );
    }
}

#[test]
fn every_help_page_opens_from_the_list_and_is_no_wider_than_a_phone() {
    let site = Site::with(&[]);
    let browser = Browser::start(PHONE);
    browser.open(&site.at("/help"));
    let links = browser.run(
        "return [...document.querySelectorAll('nav a[href^=\"/help/\"]')].map((a) => a.getAttribute('href'))",
    );
    let links: Vec<String> = serde_json::from_value(links).expect("a list of addresses");
    assert!(links.len() >= 12, "{links:?}");
    for link in links {
        browser.open(&site.at(&link));
        assert_eq!(browser.count("h1"), 1, "{link}");
        assert_eq!(browser.count("[aria-current=page]"), 1, "{link}");
        assert_eq!(
            browser.run("return document.documentElement.scrollWidth <= innerWidth"),
            json!(true),
            "{link}"
        );
    }
    assert_eq!(browser.complaints(), Vec::<String>::new());
}
