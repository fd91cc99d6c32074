//! What is seen: the find's page at the desk and on a phone, light and dark, by mouse and by keyboard.

use crate::picture_file;
use crate::site::Site;
use crate::webdriver::{Browser, DESK, Look, PHONE};

/// Arrow up and page down as WebDriver names them.
const ARROW_UP: &str = "\u{E013}";
const PAGE_DOWN: &str = "\u{E00F}";

pub(crate) const NO_SIDEWAYS: &str =
    "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";

#[test]
fn the_keyboard_moves_the_slider_and_the_values_follow() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    let value = "return document.querySelector('#values').innerText";
    let before = browser.run(value);
    let at = "return document.querySelector('.slidebox input').value";
    let start: f64 = browser
        .run(at)
        .as_str()
        .and_then(|s| s.parse().ok())
        .expect("a position");
    browser.keys(".slidebox input", ARROW_UP);
    let up: f64 = browser
        .run(at)
        .as_str()
        .and_then(|s| s.parse().ok())
        .expect("a position");
    assert!(
        (up - start - 0.01).abs() < 1e-9,
        "an arrow key moves by 0.01: {start} to {up}"
    );
    browser.keys(".slidebox input", PAGE_DOWN);
    let down: f64 = browser
        .run(at)
        .as_str()
        .and_then(|s| s.parse().ok())
        .expect("a position");
    assert!(
        (down - up + 0.10).abs() < 1e-9,
        "a page key moves by 0.10: {up} to {down}"
    );
    browser.wait("the values to follow", &format!("{} !== {before}", value));
    assert_eq!(
        browser.run("return document.querySelector('#schematic').classList.contains('moved')"),
        true,
        "the readings were not taken here"
    );
    browser.wait(
        "brush and leads of the drawing to follow where the slider was let go",
        "return Number(document.querySelector('#slider-T1').dataset.position) === Number(document.querySelector('.slidebox input').value)",
    );
    browser.picture(&picture_file("find-moved"), true);
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn the_charts_follow_supply_and_load() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    let condition = "document.querySelector('#travel-chart figcaption').textContent";
    let before = browser.run(&format!("return {condition}"));
    browser.fill("#conditions input[name=supply]", "230 V");
    browser.fill("#conditions input[name=load]", "6 kVA");
    browser.run("document.querySelector('#travel-chart').scrollIntoView()");
    browser.wait(
        "the charts to be drawn anew",
        &format!("return {condition} !== {before} && {condition}.includes('230')"),
    );
    assert!(
        browser.count("#travel [id^=read-out-]") > 0,
        "the values at the handle stand there"
    );
    browser.picture(&picture_file("charts-changed"), false);
    browser.fill("#conditions input[name=load]", "six");
    browser.wait(
        "the refusal in words",
        "return /load: /.test(document.querySelector('#live-refused').textContent)",
    );
}

#[test]
fn the_latest_position_wins() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    let drag = "const handle = document.querySelector('.slidebox input');
        for (let n = 0; n <= 60; n++) { handle.value = String(0.2 + n / 100); handle.dispatchEvent(new Event('input', {bubbles: true})); }
        fetch('/find/creamery/live?slider=0.80').then(r => r.json()).then(live => done(live.values.map(v => v.value)));";
    let wanted = browser.run_until_done(drag);
    browser.wait(
        "the values of the last position",
        &format!("return JSON.stringify([...document.querySelectorAll('#values .read')].map(e => e.textContent)) === JSON.stringify({wanted})"),
    );
    browser.wait(
        "the chart's handle",
        "return document.querySelector('#travel-number').textContent === '0.80'",
    );
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn a_struck_reading_is_still_legible_and_counts_no_more() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    assert!(
        browser
            .run("return document.querySelector('#reading-24').textContent")
            .as_str()
            .is_some_and(|t| t.contains("contradicts"))
    );
    browser.fill("#reason-24", "read in a hurry");
    browser.click("#strike-24 button");
    browser.wait(
        "the struck row",
        "return document.querySelector('#readings').innerText.includes('read in a hurry')",
    );
    let row = browser.run("return document.querySelector('#reading-24').textContent");
    assert!(
        row.as_str()
            .is_some_and(|t| t.contains("21.2") && t.contains("struck")),
        "{row}"
    );
    assert_eq!(
        browser.count("#readings tr.loud"),
        0,
        "what it contradicted is at peace"
    );
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn two_terminals_on_the_drawing_are_a_place() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    browser.run("const at = t => document.querySelector(`#schematic [data-terminal='${t}']`).dispatchEvent(new MouseEvent('click', {bubbles: true})); at('X1:1'); at('X1:N');");
    assert_eq!(browser.run("return document.querySelector('#add-from').value + ' ' + document.querySelector('#add-to').value"), "X1:1 X1:N");
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn a_phone_never_scrolls_sideways() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(PHONE);
    for (path, name) in [
        ("/", "start-phone"),
        (
            "/plate?text=30%20kVA%20400%20V%20%C2%B120%20%25%2050%20Hz",
            "plate-phone",
        ),
        ("/find/creamery", "find-phone"),
    ] {
        browser.open(&site.at(path));
        browser.picture(&picture_file(name), true);
        assert_eq!(
            browser.run(NO_SIDEWAYS),
            true,
            "{path} scrolls sideways: {}",
            browser.run(WIDEST)
        );
    }
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

/// What reaches furthest right, to name the culprit.
const WIDEST: &str = "return [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1 && !e.closest('.wide-figure, .below, nav')).map(e => e.tagName + '.' + e.className).slice(0, 8).join(', ')";

/// Contrast of text with the paper below it, WCAG 2.2 (success criterion 1.4.3): the least on the page and where.
const LEAST_CONTRAST: &str = r"
const luminance = c => { const [r, g, b] = c.match(/[\d.]+/g).map(Number).map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (!/, 0\)$/.test(c) && c !== 'transparent') return c; } return 'rgb(255,255,255)'; };
let least = [99, ''];
for (const e of document.querySelectorAll('body *:not(svg *):not(script):not(option):not(optgroup)')) {
  if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()) || !e.checkVisibility() || e.closest('[disabled]')) continue;
  const [a, b] = [luminance(getComputedStyle(e).color), luminance(ground(e))];
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  if (ratio < least[0]) least = [ratio, e.tagName + '.' + e.className + ': ' + e.textContent.slice(0, 40)];
}
return least;";

#[test]
fn text_stands_out_from_the_paper_by_day_and_by_night() {
    let site = Site::with(&["creamery.toml"]);
    for (dark, word) in [(false, "light"), (true, "dark")] {
        let browser = Browser::start(Look { dark, ..DESK });
        for (path, name) in [("/", "start"), ("/find/creamery", "find")] {
            browser.open(&site.at(path));
            browser.picture(&picture_file(&format!("{name}-{word}")), true);
            let least = browser.run(LEAST_CONTRAST);
            assert!(
                least[0].as_f64().is_some_and(|r| r >= 4.5),
                "{path} by {word}: {least}"
            );
        }
        let paper = browser.run("return getComputedStyle(document.body).backgroundColor");
        assert_eq!(paper == "rgb(19, 24, 27)", dark, "{paper}");
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}

#[test]
fn whatever_has_the_focus_shows_it() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    let unseen = browser.run(
        "const bad = []; for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, summary')) { if (!e.checkVisibility()) continue; e.focus({focusVisible: true}); if (document.activeElement === e && parseFloat(getComputedStyle(e).outlineWidth) < 3) bad.push(e.outerHTML.slice(0, 60)); } return bad;",
    );
    assert_eq!(unseen, serde_json::json!([]));
}
