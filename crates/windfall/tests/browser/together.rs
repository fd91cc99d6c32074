//! Two devices on one find of a book, and two programs on one book: each hears of the other, nothing written on either is lost, and what is
//! being done on one is not disturbed by the other.

use std::time::Instant;

use crate::picture_file;
use crate::site::Site;
use crate::webdriver::{Browser, PHONE, http, http_with_head};

const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");
const FIND: &str = "/find/stabilizer-from-the-creamery";
const READ: &str =
    "setup=4&instrument=P1&from=X1%3A1&to=X1%3AN&measured=AC+voltage&unit=V&leads_back=yes";

fn creamery() -> Site {
    Site::of_book("creamery.toml")
}

fn post(site: &Site, path: &str, body: &str) -> (u16, String) {
    let path = format!("{FIND}{path}");
    let (status, _, answer) = http_with_head(site.port(), "POST", &path, &[FORM], body);
    (status, answer)
}

fn get(site: &Site, path: &str) -> String {
    http(site.port(), "GET", &format!("{FIND}{path}"), &[], "").1
}

/// The hidden field a form carries of what stood there when it was opened.
fn was(form: &str) -> String {
    let value = form.split("name=\"was\" value=\"").nth(1);
    let value = value
        .and_then(|rest| rest.split('"').next())
        .expect("the form knows what stood there");
    let plain = value.replace("&quot;", "\"").replace("&amp;", "&");
    plain.bytes().map(|b| format!("%{b:02X}")).collect()
}

#[test]
fn the_same_fuse_written_down_on_two_devices_loses_neither() {
    let site = creamery();
    let form = get(&site, "/edit/part/F1");
    let fuse = |amperes: &str, was: &str| {
        format!("typed=yes&was={was}&designation=F1&kind=fuse&phase=1&current={amperes}+A")
    };
    let (first, second) = (fuse("63", &was(&form)), fuse("40", &was(&form)));
    assert_eq!(post(&site, "/edit/part/F1", &first).0, 303);
    let (status, answer) = post(&site, "/edit/part/F1", &second);
    assert_eq!(status, 422, "not written over unseen");
    assert!(
        answer.contains("was changed somewhere else") && answer.contains("value=\"40 A\""),
        "nothing typed is lost"
    );
    assert_eq!(
        post(&site, "/edit/part/F1", &fuse("40", &was(&answer))).0,
        303,
        "and may be written down once more"
    );
    let history = get(&site, "/history");
    assert!(
        history.contains("63 A") && history.contains("40 A"),
        "both stand in the history: {history}"
    );
    assert!(site.exported("1").contains("40 A"));
}

#[test]
fn readings_sent_at_once_from_two_devices_both_stand() {
    let site = creamery();
    std::thread::scope(|scope| {
        for (device, shown) in ["24.31", "24.32"].iter().enumerate() {
            let site = &site;
            scope.spawn(move || {
                let body = format!("{READ}&shown={shown}&key=device-{device}");
                assert_eq!(post(site, "/bench/reading", &body).0, 303);
            });
        }
    });
    let sheet = site.exported("1");
    for shown in ["24.31 V", "24.32 V"] {
        assert_eq!(sheet.matches(shown).count(), 1, "{shown}");
    }
}

/// The bench of one program hears of what another program writes into the same book, and what is being chosen by hand stays chosen.
#[test]
fn a_page_hears_of_another_programs_reading_and_keeps_what_is_being_chosen() {
    let site = creamery();
    let other = site.another();
    let browser = Browser::start(PHONE);
    browser.open(&site.at(&format!("{FIND}/bench?{READ}")));
    browser.click("#by-hand > summary");
    browser.choose("#add-from", "T5:1.1");
    browser.fill("#called", "booster pr");
    browser.wait_for_news();
    for (number, shown) in [(33, "24.41"), (34, "24.42"), (35, "24.43")] {
        let begun = Instant::now();
        let (status, _) = post(&other, "/bench/reading", &format!("{READ}&shown={shown}"));
        assert_eq!(status, 303);
        let written = begun.elapsed();
        browser.wait(
            "the other's reading",
            &format!("return document.querySelector('#last li b').innerText === '{number}' && document.querySelector('#number').innerText === '{}'", number + 1),
        );
        println!(
            "written after {written:.0?}, seen after {:.0?}",
            begun.elapsed()
        );
    }
    assert_eq!(
        browser.run("return [document.querySelector('#add-from').value, document.querySelector('#called').value, document.querySelector('#by-hand').open].join()"),
        "T5:1.1,booster pr,true",
    );
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

/// What was recorded here is no news here: nothing is fetched again, so that nothing moves under the finger.
#[test]
fn a_reading_of_ones_own_is_no_news() {
    let site = creamery();
    let browser = Browser::start(PHONE);
    browser.open(&site.at(&format!("{FIND}/bench?{READ}")));
    browser.run(
        "window.heard = 0; document.addEventListener('refreshed', () => { window.heard += 1; });",
    );
    browser.wait_for_news();
    for shown in ["24.51", "24.52"] {
        if browser.count("#shown") == 0 {
            browser.click(".choices a.act:not(.wide)");
            browser.wait("the field", "return !!document.querySelector('#shown')");
        }
        if browser.count("#leads:not([hidden])") > 0 {
            browser.click("#leads input");
        }
        browser.keys("#shown", shown);
        browser.click("button.record");
        browser.wait("a verdict", "return !!document.querySelector('#said')");
    }
    // Another's reading is heard after one's own: whatever was to come of them has come.
    let (status, _) = post(&site, "/bench/reading", &format!("{READ}&shown=24.53"));
    assert_eq!(status, 303);
    browser.wait(
        "the other's reading",
        "return window.heard > 0 && document.querySelector('#last li b').innerText === '35'",
    );
    assert_eq!(
        browser.run("return window.heard"),
        1,
        "of the other's alone"
    );
}

#[test]
fn what_cannot_be_written_is_kept_and_told_and_written_when_there_is_room() {
    let site = creamery().limited(4096);
    let browser = Browser::start(PHONE);
    browser.open(&site.at(&format!("{FIND}/bench?{READ}")));
    browser.keys("#shown", "24.61");
    browser.click("button.record");
    browser.wait(
        "why it is not written",
        "return /^Not written, 1: .*nothing was written; .* tried again until it is written/.test(document.querySelector('#unsent').innerText)",
    );
    browser.picture(&picture_file("bench-not-written"), false);
    site.lift();
    browser.wait(
        "it to be written",
        "return document.querySelector('#unsent').hidden && document.querySelector('#number').innerText === '33'",
    );
    assert_eq!(site.exported("1").matches("24.61 V").count(), 1, "once");
}
