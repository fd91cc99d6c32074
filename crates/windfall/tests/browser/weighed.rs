//! What argues back: a drawing with one thing wrong is named, the next reading fills the form, what is entered is weighed at once.

use crate::picture_file;
use crate::seen::NO_SIDEWAYS;
use crate::site::{Site, example};
use crate::webdriver::{Browser, DESK, PHONE, http};

/// The creamery's find with the leads on T5's primary noted the wrong way round.
fn wrong() -> String {
    let right = example("creamery.toml");
    let text = right
        .replace(r#"["T2:4", "T5:1.2"]"#, r#"["T2:4", "T5:1.1"]"#)
        .replace(r#"["T2:2", "T5:1.1"]"#, r#"["T2:2", "T5:1.2"]"#);
    assert_ne!(text, right, "the sheet has these joins");
    text
}

/// A script's text.
fn text(browser: &Browser, of: &str) -> String {
    let said = browser.run(&format!(
        "return document.querySelector(\"{of}\").textContent"
    ));
    said.as_str().unwrap_or_default().to_owned()
}

#[test]
fn a_wrong_drawing_is_named_and_the_next_reading_weighed_without_loading_anew() {
    let site = Site::of(&[("wrong.toml", wrong())]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/wrong"));
    let ranking = text(&browser, ".ranking");
    assert!(
        ranking.contains("T5's secondary stands reversed"),
        "{ranking}"
    );
    assert!(text(&browser, "#argument-29").contains("speaks against the drawing"));
    let acts = browser.run("return [...new Set([...document.querySelectorAll('.note .acts .act, .note .acts button')].map(e => e.textContent))].sort()");
    assert_eq!(
        acts,
        serde_json::json!(["Keep as read", "Repeat", "Strike", "Take this reading"]),
        "no act writes a value nobody read"
    );
    let place = text(&browser, "#next-reading .place b");
    browser.click("#next-reading .acts a");
    let filled = "return document.querySelector('#add-from').value + ' to ' + document.querySelector('#add-to').value";
    browser.wait(
        "the form",
        "return !!document.querySelector('#add-from').value",
    );
    assert_eq!(browser.run(filled), place.as_str());
    assert_eq!(
        browser.run("return document.querySelector('form#add [name=shown]').value"),
        ""
    );
    assert!(
        place == "T5:1.1 to T5:2.1",
        "what is typed next belongs there: {place}"
    );
    browser.run("window.still = true; document.addEventListener('recorded', () => { window.recorded = true; })");
    browser.fill("form#add [name=shown]", "5.68 V");
    browser.click("form#add button[type=submit]");
    browser.wait(
        "verdict, ranking and next reading",
        "return window.recorded === true",
    );
    let said = text(&browser, "#said");
    assert!(said.starts_with("Reading 33"), "{said}");
    assert!(text(&browser, "#argument-33").contains("speaks against the drawing"));
    assert!(text(&browser, "#which-wiring").contains("The drawing is probably wrong"));
    assert_eq!(browser.count("#next-reading"), 1);
    assert_eq!(
        browser.run("return window.still"),
        true,
        "the page was not loaded anew"
    );
    browser.picture(&picture_file("wrong-drawing"), true);
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn a_proposal_fills_the_form_without_script() {
    let site = Site::of(&[("wrong.toml", wrong())]);
    let (_, page) = http(site.port(), "GET", "/find/wrong", &[], "");
    let proposal = page
        .split("id=\"next-reading\"")
        .nth(1)
        .expect("a next reading");
    let place = proposal
        .split("<b>")
        .nth(1)
        .and_then(|t| t.split("</b>").next());
    let (from, to) = place
        .and_then(|p| p.split_once(" to "))
        .expect("two terminals");
    let href = proposal
        .split("class=\"act inked\" href=\"")
        .nth(1)
        .and_then(|t| t.split(['"', '#']).next());
    let href = href.expect("a way to the form").replace("&amp;", "&");
    let (_, form) = http(site.port(), "GET", &href, &[], "");
    for terminal in [from, to] {
        assert!(
            form.contains(&format!("value=\"{terminal}\" selected")),
            "{terminal}"
        );
    }
}

#[test]
fn a_part_is_traced_from_the_page() {
    let site = Site::with(&["unmarked-crate.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/unmarked-crate"));
    let before = text(&browser, ".trace .said");
    browser.click(".trace .acts a");
    browser.wait(
        "the form",
        "return !!document.querySelector('#add-from').value",
    );
    browser.fill("form#add [name=shown]", "OL");
    browser.click("form#add button[type=submit]");
    browser.wait(
        "one test fewer",
        &format!("return document.querySelector('.trace .said').textContent !== {before:?}"),
    );
    browser.picture(&picture_file("tracing"), true);
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn it_fits_a_phone_and_a_thumb() {
    let site = Site::of(&[
        ("wrong.toml", wrong()),
        ("unmarked-crate.toml", example("unmarked-crate.toml")),
    ]);
    let browser = Browser::start(PHONE);
    for name in ["wrong", "unmarked-crate"] {
        browser.open(&site.at(&format!("/find/{name}")));
        browser.picture(&picture_file(&format!("{name}-phone")), true);
        assert_eq!(browser.run(NO_SIDEWAYS), true, "{name} scrolls sideways");
        let small = browser.run("return [...document.querySelectorAll('.note .acts .act, .note .acts button')].filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 44).map(e => e.textContent)");
        assert_eq!(
            small,
            serde_json::json!([]),
            "too low for a thumb on {name}"
        );
    }
}
