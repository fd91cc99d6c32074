//! Photos: taken at the desk and at the bench, marked, tied to what they show, and not lost while the connection is gone.

use std::path::PathBuf;

use serde_json::json;

use crate::audit::{self, LOOKS};
use crate::bench::{NIGHT, nothing_sticks_out, offline};
use crate::picture_file;
use crate::pictures::taken;
use crate::site::Site;
use crate::webdriver::{Browser, DESK, PHONE};

const FIND: &str = "/find/stabilizer-from-the-creamery";

/// A file as a camera leaves it.
fn photo(site: &Site, name: &str, shade: u8) -> PathBuf {
    let file = site.folder.path().join(name);
    std::fs::write(&file, taken(1600, 1200, shade)).expect("the photo is written");
    file
}

/// Waits until what is asked for is a picture that is really shown.
fn is_shown(browser: &Browser, selector: &str) {
    browser.wait(
        selector,
        &format!("const i = document.querySelector('{selector}'); if (i) i.scrollIntoView({{ block: 'center' }}); return !!i && i.complete && i.naturalWidth > 0"),
    );
}

fn sent_at_the_desk(site: &Site, browser: &Browser, of: &str, name: &str, shade: u8) {
    browser.open(&site.at(&format!("{FIND}/photos?of={of}")));
    browser.give_file("#file", &photo(site, name, shade));
    browser.click("#add-photo button.inked");
    browser.wait(
        "the photo's page",
        "return !!document.querySelector('form#about')",
    );
}

#[test]
fn a_photo_is_taken_marked_and_shown_where_it_belongs() {
    for look in [DESK, PHONE] {
        let site = Site::of_book("creamery.toml");
        let browser = Browser::start(look);
        let lead = "designation=W1&from=X1%3A1&colour=brown";
        let form = ("Content-Type", "application/x-www-form-urlencoded");
        let address = format!("{FIND}/edit/lead");
        let (status, _) = crate::webdriver::http(site.port(), "POST", &address, &[form], lead);
        assert_eq!(status, 303);
        sent_at_the_desk(&site, &browser, "lead+W1", "lead.jpg", 40);
        is_shown(&browser, "#picture img");
        // A point by a tap in the middle; an arrow from there by its second field.
        browser.click("#picture");
        let placed = browser.run("return document.querySelector('[name=\"mark.0.at\"]').value.split(' ').map(Number).map(Math.round)");
        assert_eq!(placed, json!([50, 50]));
        browser.fill("[name='mark.0.words']", "insulation scorched");
        browser.fill("[name='mark.0.to']", "20 30");
        browser.choose("[name='mark.0.of']", "terminal X1:1");
        browser.fill("#about-caption", "W1 before it was cut");
        browser.run("scrollTo(0, 0)");
        browser.picture(&picture_file(&format!("photo-about-{}", look.width)), true);
        browser.click("form#about button.inked");
        browser.wait(
            "the mark",
            "return document.querySelectorAll('ol.marks li').length === 1",
        );
        assert!(
            browser
                .text("ol.marks")
                .contains("insulation scorched, terminal X1:1")
        );
        assert_eq!(
            browser.count("#picture .ring") + browser.count("#picture .tip"),
            2
        );

        sent_at_the_desk(&site, &browser, "the+plate", "plate.jpg", 90);
        browser.open(&site.at(FIND));
        is_shown(&browser, "section#plate .photos img");
        browser.open(&site.at(&format!("{FIND}?list=lead")));
        is_shown(&browser, "#list-lead table img");
        browser.picture(&picture_file(&format!("photo-lead-{}", look.width)), false);
        browser.open(&site.at(&format!("{FIND}/tags")));
        is_shown(&browser, ".tag img");
        browser.picture(&picture_file(&format!("photo-tag-{}", look.width)), false);

        // Taken out, it is gone from its places, and still to be seen in the history.
        browser.click(".tag a.photo");
        browser.wait(
            "the photo's page",
            "return !!document.querySelector('form#about')",
        );
        browser.fill("#out-reason", "wrong lead");
        browser.click(".take-out button");
        browser.wait(
            "the photos",
            "return !!document.querySelector('#add-photo')",
        );
        assert_eq!(browser.count(".photos li"), 1);
        browser.open(&site.at(&format!("{FIND}/history")));
        is_shown(&browser, ".entries li:last-child img");
        assert!(
            browser
                .text(".entries li:last-child")
                .contains("wrong lead")
        );
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}

#[test]
fn the_display_is_photographed_in_one_tap_and_shown_where_it_is_queried() {
    let site = Site::of_book("creamery.toml");
    let browser = Browser::start(PHONE);
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P1&said=24")));
    browser.picture(&picture_file("bench-photo-before"), false);
    nothing_sticks_out(&browser);
    let before = browser.acts();
    browser.give_file("#display-photo", &photo(&site, "display.jpg", 120));
    is_shown(&browser, "a.photo.display img");
    assert_eq!(browser.acts() - before, 1, "one tap");
    browser.run("scrollTo(0, 0)");
    browser.picture(&picture_file("bench-photo-after"), true);
    nothing_sticks_out(&browser);
    assert_eq!(
        browser.run("return document.querySelector('#unsent').hidden"),
        json!(true)
    );
    // The reading's own page, not another's.
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P1&said=25")));
    assert_eq!(browser.count("a.photo"), 0);
    browser.open(&site.at(FIND));
    is_shown(&browser, "section.note a.photo.display img");
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn a_photo_taken_without_a_connection_is_sent_once_when_it_returns() {
    let site = Site::of_book("creamery.toml");
    let browser = Browser::start(NIGHT);
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P1&said=24")));
    offline(&browser, true);
    browser.give_file("#display-photo", &photo(&site, "one.jpg", 1));
    browser.give_file("#display-photo", &photo(&site, "two.jpg", 2));
    browser.wait(
        "the notice",
        "return /Not yet sent: 2 photos\\. Kept only while this page stays open/.test(document.querySelector('#unsent').innerText)",
    );
    browser.picture(&picture_file("bench-photo-unsent-dark"), false);
    offline(&browser, false);
    browser.wait(
        "both sent",
        "return document.querySelector('#unsent').hidden",
    );
    is_shown(&browser, "a.photo.display img");
    browser.open(&site.at(&format!("{FIND}/history")));
    assert_eq!(browser.count(".entries img"), 2, "each once");
    // A reading that waits has its photo wait with it, for the number it will get.
    let place = "from=X1%3A1&to=X1%3AN&measured=AC+voltage";
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P2&{place}")));
    offline(&browser, true);
    for digit in "24.17".chars() {
        browser.click(&format!("[data-key=\"{digit}\"]"));
    }
    assert_eq!(
        browser.run("return document.querySelector('#unsent-photo').hidden"),
        json!(true)
    );
    browser.click("button.record");
    browser.wait(
        "the offer",
        "return !document.querySelector('#unsent-photo').hidden",
    );
    browser.give_file("#waiting-photo", &photo(&site, "three.jpg", 3));
    browser.wait(
        "both",
        "return /Not yet sent: 1 reading and 1 photo\\./.test(document.querySelector('#unsent').innerText)",
    );
    browser.picture(&picture_file("bench-photo-of-unsent-dark"), false);
    nothing_sticks_out(&browser);
    offline(&browser, false);
    is_shown(&browser, ".got-it a.photo img");
    assert_eq!(browser.text("#number"), "33");
    browser.wait("nothing waits", "return document.querySelector('#unsent').hidden && document.querySelector('#unsent-photo').hidden");
    // The same while the camera is open when the connection returns: the photo still finds its reading.
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P2&{place}")));
    offline(&browser, true);
    browser.click("[data-key='7']");
    browser.click("button.record");
    browser.wait(
        "the offer",
        "return !document.querySelector('#unsent-photo').hidden",
    );
    browser.run("document.querySelector('#waiting-photo').click()");
    offline(&browser, false);
    browser.wait(
        "the reading sent",
        "return document.querySelector('#unsent').hidden",
    );
    browser.give_file("#waiting-photo", &photo(&site, "four.jpg", 4));
    let of = "fetch(location.pathname + '?setup=4&said=34').then((a) => a.text()).then((t) => done(t.includes('/small')))";
    let there = || browser.run_until_done(of) == json!(true);
    assert!((0..100).any(|_| there()), "tied to reading 34");
    // What is refused is said, and not sent again.
    let text = site.folder.path().join("text.jpg");
    std::fs::write(&text, "no picture").expect("a file is written");
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P1&said=24")));
    browser.give_file("#display-photo", &text);
    browser.wait(
        "the refusal",
        "return /no JPEG, PNG or WebP/.test(document.querySelector('#display-photo-note')?.innerText) && /was not kept/.test(document.querySelector('#unsent').innerText)",
    );
    nothing_sticks_out(&browser);
}

#[test]
fn a_photo_taken_at_the_bench_stands_at_the_desk_at_once() {
    let site = Site::of_book("creamery.toml");
    let browser = Browser::start(PHONE);
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P1&said=24")));
    let desk = site.at(FIND);
    browser.run(&format!("window.other = open('{desk}', '_blank')"));
    browser.wait(
        "the desk",
        "return !!other.document.querySelector('main#find') && other.document.readyState === 'complete'",
    );
    browser.give_file("#display-photo", &photo(&site, "display.jpg", 11));
    browser.wait(
        "the photo at the desk",
        "return !!other.document.querySelector('section.note a.photo.display img')",
    );
}

#[test]
fn without_script_a_photo_is_sent_marked_and_tied_to_its_reading() {
    let site = Site::of_book("creamery.toml");
    let browser = Browser::start(PHONE);
    browser.devtools(
        "Emulation.setScriptExecutionDisabled",
        json!({"value": true}),
    );
    browser.open(&site.at(&format!("{FIND}/photos?of=the+plate")));
    browser.give_file("#camera", &photo(&site, "plate.jpg", 7));
    browser.click("#add-photo button.inked");
    is_shown(&browser, "#picture img");
    browser.fill("[name='mark.0.at']", "42,5 31");
    browser.fill("[name='mark.0.words']", "3 or 8?");
    browser.click("form#about button.inked");
    let marked = "return document.querySelector('ol.marks')?.innerText === '3 or 8?'";
    browser.wait("the mark", marked);
    browser.open(&site.at(&format!("{FIND}/bench?setup=4&instrument=P1&said=24")));
    browser.give_file("#display-photo", &photo(&site, "display.jpg", 8));
    browser.picture(&picture_file("bench-photo-no-script"), false);
    browser.click("form#display button");
    is_shown(&browser, "a.photo.display img");
    browser.run("scrollTo(0, 0)");
    assert!(browser.text("#said").contains("contradicts"));
    browser.picture(&picture_file("bench-photo-no-script-after"), false);
}

#[test]
fn the_pages_of_photos_pass_the_audit_and_the_tabulator_in_both_themes() {
    let site = Site::of_book("creamery.toml");
    let mut faults = Vec::new();
    let mut pages = Vec::new();
    for (name, look) in LOOKS {
        let browser = Browser::start(look);
        if pages.is_empty() {
            let of = "damage+of+T1%3A+track+pitted";
            sent_at_the_desk(&site, &browser, of, "track.jpg", 60);
            browser.click("#picture");
            browser.fill("[name='mark.0.words']", "pitted");
            browser.click("form#about button.inked");
            browser.wait("the mark", "return !!document.querySelector('ol.marks')");
            let about = browser.run("return location.pathname");
            pages.push(about.as_str().unwrap_or_default().to_owned());
            let bench = "/bench?setup=4&instrument=P1&said=24";
            let others = ["", "?list=damage", "/photos", "/history", bench];
            pages.extend(others.map(|p| format!("{FIND}{p}")));
            pages.push("/help/photos".to_owned());
        }
        for page in &pages {
            browser.open(&site.at(page));
            faults.extend(audit::audited(&browser, &format!("{name} {page}")));
            if name == "desk" || name == "phone-dark" {
                faults.extend(audit::tabbed(&browser, &format!("{name} {page}")));
            }
        }
        faults.extend(browser.complaints());
        for (page, picture) in [(&pages[0], "photo-marked"), (&pages[3], "photos")] {
            browser.open(&site.at(page));
            browser.wait(
                "the pictures",
                "return [...document.images].every((i) => i.complete)",
            );
            browser.picture(&picture_file(&format!("{picture}-{name}")), true);
        }
    }
    audit::none(faults);
}
