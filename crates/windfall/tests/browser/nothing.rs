//! Starting from nothing: how much a stranger must click and fill before the page answers.

use crate::picture_file;
use crate::site::Site;
use crate::webdriver::{Browser, DESK};

/// From an empty folder to the first drawing.
const FIRST_DRAWING: u32 = 15;
/// From an empty folder to the first *agrees* or *contradicts*.
const FIRST_VERDICT: u32 = 60;

#[test]
fn a_stranger_has_a_deduction_a_drawing_and_a_verdict_soon() {
    let site = Site::with(&[]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/"));
    browser.picture(&picture_file("start-empty"), false);

    browser.fill("textarea#text", "30 kVA 3~ 50 Hz 400 V ±20 %");
    browser.wait(
        "a deduction after one typed line",
        "return /line current/i.test(document.querySelector('#said').innerText)",
    );
    assert_eq!(browser.acts(), 1, "one typed line is enough");
    browser.picture(&picture_file("start-plate"), true);

    browser.fill("#begin-name", "Stabilizer from the creamery");
    browser.click("input[name=arrangement][value^=stabilizer]");
    browser.click("#begin .begin button.inked");
    browser.wait(
        "the find's page",
        "return location.pathname.startsWith('/find/')",
    );
    assert!(
        browser.count("#schematic svg") == 1,
        "the drawing stands at once"
    );
    assert!(
        browser.acts() <= FIRST_DRAWING,
        "{} clicks and fields to the first drawing",
        browser.acts()
    );
    let to_drawing = browser.acts();
    browser.picture(&picture_file("find-new"), true);

    let readings = [
        ("X1:1", "X1:N", "24.14"),
        ("X2:1", "X2:N", "26.19"),
        ("T1:2", "T1:3", "13.14"),
    ];
    let mut verdict = String::new();
    for (n, (from, to, shown)) in readings.iter().enumerate() {
        if n == 0 {
            browser.fill("#add-volts", "41.8");
            browser.fill("#add [name^=\"slider.\"]", "0.70");
        }
        browser.choose("#add-from", from);
        browser.choose("#add-to", to);
        browser.fill("#add-shown", shown);
        browser.click("#add button.inked");
        browser.wait(
            "the reading's row",
            &format!(
                "return /Reading {}:/.test(document.querySelector('#said')?.textContent ?? '')",
                n + 1
            ),
        );
        verdict = browser.text("#said");
        if verdict.contains("agrees") || verdict.contains("contradicts") {
            println!(
                "first drawing after {to_drawing}, first verdict after {} clicks and fields, at reading {}",
                browser.acts(),
                n + 1
            );
            break;
        }
    }
    assert!(
        verdict.contains("agrees") || verdict.contains("contradicts"),
        "after three readings: {verdict}"
    );
    assert!(
        browser.acts() <= FIRST_VERDICT,
        "{} clicks and fields to the first verdict",
        browser.acts()
    );
    browser.picture(&picture_file("find-first-verdict"), true);
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn an_empty_folder_explains_itself() {
    let site = Site::with(&[]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/"));
    assert!(browser.text("aside").contains("There is none yet"));
    assert_eq!(browser.complaints(), Vec::<String>::new());
}
