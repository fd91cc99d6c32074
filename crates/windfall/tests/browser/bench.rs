//! The bench page on a phone: how many taps a reading takes, what is said before and after, what happens without a connection, and that two
//! pages on one find hear of each other.

use serde_json::json;

use crate::picture_file;
use crate::site::{Site, example};
use crate::webdriver::{Browser, Look, PHONE};

pub(crate) const NIGHT: Look = Look {
    dark: true,
    ..PHONE
};
/// Taps beside the digits.
const TAPS: u32 = 3;

/// The creamery's find, its multimeter last used for amperes.
fn read_amperes_last() -> Site {
    let reading = "\n[[reading]]\nnumber = 33\nsetup = 4\nat = \"14:18\"\nwith = \"P1\"\ninto = \"X1:2\"\nshown = \"0.03 A\"\n";
    Site::of(&[("creamery.toml", example("creamery.toml") + reading)])
}

fn verdict_stands(browser: &Browser, number: u32) {
    browser.wait(
        "a verdict",
        &format!("return !!document.querySelector('#said') && document.querySelector('#number').innerText === '{number}'"),
    );
}

fn key_in(browser: &Browser, digits: &str) {
    for digit in digits.chars() {
        browser.click(&format!("[data-key=\"{digit}\"]"));
    }
}

pub(crate) fn nothing_sticks_out(browser: &Browser) {
    let wide = browser.run("return document.documentElement.scrollWidth");
    assert!(wide.as_u64().is_some_and(|w| w <= 360), "{wide} px wide");
    let small = browser.run(crate::audit::SMALL);
    assert_eq!(small, json!([]), "smaller than a thumb");
}

/// Takes the connection away, or gives it back.
pub(crate) fn offline(browser: &Browser, off: bool) {
    browser.devtools("Network.enable", json!({}));
    browser.devtools(
        "Network.emulateNetworkConditions",
        json!({"offline": off, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}),
    );
}

#[test]
fn a_reading_takes_three_taps_and_its_digits() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(PHONE);
    browser.open(&site.at("/find/creamery/bench"));
    browser.picture(&picture_file("bench-choose"), true);
    nothing_sticks_out(&browser);
    browser.click(".choosing form[method=get] button.record");
    browser.wait("the field", "return !!document.querySelector('#shown')");
    browser.picture(&picture_file("bench-entry"), false);
    browser.picture(&picture_file("bench-entry-whole"), true);
    nothing_sticks_out(&browser);
    let text = browser.text("main#bench");
    assert!(
        !text.contains("predicted"),
        "nothing is hoped for before: {text}"
    );
    assert!(browser.count(".order .class") == 1 && browser.count(".stop") == 1);

    // Another place than the usual one: choose, type, record.
    let before = browser.acts();
    browser.click("#places .spot-link[data-unit=V]:not([aria-current])");
    browser.wait(
        "the place",
        "return document.querySelector('#entry [name=measured]').value.endsWith('voltage')",
    );
    let leads = browser.run("const l = document.querySelector('#leads'); return !l.hidden");
    if leads == json!(true) {
        browser.click("#leads input");
    }
    let taps = browser.acts() - before;
    key_in(&browser, "23.8");
    let before_record = browser.acts();
    browser.click("button.record");
    verdict_stands(&browser, 33);
    assert!(taps + browser.acts() - before_record <= TAPS);
    browser.picture(&picture_file("bench-after"), false);
    browser.picture(&picture_file("bench-after-whole"), true);
    nothing_sticks_out(&browser);
    assert!(site.sheet("creamery.toml").contains("23.8 V"));

    // The usual next one.
    let before = browser.acts();
    browser.click(".choices .wide, .plain-next a");
    browser.wait("the field", "return !!document.querySelector('#shown')");
    assert!(browser.acts() - before < TAPS);
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn leads_go_back_into_volts_before_volts_are_read() {
    let site = read_amperes_last();
    let browser = Browser::start(NIGHT);
    browser.open(&site.at(
        "/find/creamery/bench?setup=4&instrument=P1&from=X1%3A1&to=X1%3AN&measured=AC+voltage",
    ));
    browser.picture(&picture_file("bench-leads-dark"), false);
    assert!(browser.text("#leads").contains("Leads back in V"));
    key_in(&browser, "24.7");
    browser.click("button.record");
    assert!(
        !site.sheet("creamery.toml").contains("24.7 V"),
        "not before the leads are back"
    );
    browser.click("#leads input");
    browser.click("button.record");
    verdict_stands(&browser, 34);
    browser.picture(&picture_file("bench-after-dark"), false);
    assert!(site.sheet("creamery.toml").contains("24.7 V"));
}

#[test]
fn what_is_typed_without_a_connection_is_sent_once_when_it_returns() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(PHONE);
    browser.open(&site.at(
        "/find/creamery/bench?setup=4&instrument=P1&from=X1%3A1&to=X1%3AN&measured=AC+voltage",
    ));
    offline(&browser, true);
    key_in(&browser, "24.17");
    browser.click("button.record");
    browser.wait("the notice", "return /Not yet sent: 1\\. Kept only while this page stays open/.test(document.querySelector('#unsent').innerText)");
    key_in(&browser, "24.18");
    browser.click("button.record");
    browser.wait(
        "the notice",
        "return /Not yet sent: 2/.test(document.querySelector('#unsent').innerText)",
    );
    browser.picture(&picture_file("bench-unsent"), false);
    offline(&browser, false);
    browser.wait(
        "both sent",
        "return document.querySelector('#unsent').hidden",
    );
    let sheet = site.sheet("creamery.toml");
    assert_eq!(sheet.matches("24.17 V").count(), 1, "once");
    assert_eq!(sheet.matches("24.18 V").count(), 1, "once");
}

#[test]
fn two_pages_on_one_find_hear_of_each_other() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(PHONE);
    let at = site
        .at("/find/creamery/bench?setup=4&instrument=P1&from=X1%3A1&to=X1%3AN&measured=AC+voltage");
    browser.open(&at);
    // A second page of the same find, in a frame of its own process's making: another document, another key, the same server.
    let desk = site.at("/find/creamery");
    let heard = browser.run_until_done(&format!(
        "const other = open('{desk}', '_blank'); \
         const until = async (test) => {{ for (let n = 0; n < 200; n++) {{ try {{ if (test()) return true; }} catch (e) {{}} await new Promise(t => setTimeout(t, 50)); }} return false; }}; \
         (async () => {{ \
           if (!await until(() => other.document.querySelector('main#find') && other.document.readyState === 'complete')) return done('no desk'); \
           await new Promise(t => setTimeout(t, 1500)); \
           document.querySelector('#shown').value = '24.37'; document.querySelector('button.record').click(); \
           done(await until(() => other.document.querySelector('#reading-33')) ? 'heard' : 'not heard'); }})()"
    ));
    assert_eq!(
        heard,
        json!("heard"),
        "the desk shows what the bench recorded"
    );
}

#[test]
fn the_bench_works_without_script() {
    let site = read_amperes_last();
    let form = ("Content-Type", "application/x-www-form-urlencoded");
    let body =
        "setup=4&instrument=P1&from=X1%3A1&to=X1%3AN&measured=AC+voltage&shown=24%2C7&unit=V";
    let (status, page) = crate::webdriver::http(
        site.port(),
        "POST",
        "/find/creamery/bench/reading",
        &[form],
        body,
    );
    assert_eq!(status, 422, "P1 read amperes last: {page}");
    assert!(page.contains("Leads back in V"));
    let body = format!("{body}&leads_back=yes&key=one");
    for _ in 0..2 {
        let (status, _, _) = crate::webdriver::http_with_head(
            site.port(),
            "POST",
            "/find/creamery/bench/reading",
            &[form],
            &body,
        );
        assert_eq!(status, 303);
    }
    assert_eq!(
        site.sheet("creamery.toml").matches("24,7 V").count(),
        1,
        "the same key is the same reading"
    );
    let note = "setup=4&instrument=P1&slider=chain&position=0.52&seen=spark";
    let (status, _, _) = crate::webdriver::http_with_head(
        site.port(),
        "POST",
        "/find/creamery/bench/note",
        &[form],
        note,
    );
    assert_eq!(status, 303);
    assert!(site.sheet("creamery.toml").contains("spark, chain at 0.52"));
}
