//! Every page and every state of the bench, by day and by night, at the desk and on a phone: labels, names, heading order, contrast, width; and
//! the tabulator pressed from the first to the last, in the order in which things stand, each with its ring, none under another.

use std::time::Instant;

use crate::picture_file;
use crate::site::{Site, example};
use crate::webdriver::{Browser, DESK, Look, PHONE};

pub(crate) const LOOKS: [(&str, Look); 4] = [
    ("desk", DESK),
    ("desk-dark", Look { dark: true, ..DESK }),
    ("phone", PHONE),
    (
        "phone-dark",
        Look {
            dark: true,
            ..PHONE
        },
    ),
];
/// More tab stops than any page has.
const MOST_STOPS: usize = 800;

/// What every page must be: labels, names, heading order, ids, tab order, focus seen, contrast, nothing wider than the screen.
const AUDIT: &str = r#"
const faults = [];
const shown = (e) => e.checkVisibility({ checkVisibilityCSS: true, checkOpacity: false });
const words = (e) => (e.getAttribute('aria-label') || e.innerText || e.textContent || e.value || e.querySelector('img')?.alt || '').trim();
const ids = new Map();
for (const e of document.querySelectorAll('[id]')) { if (ids.has(e.id)) faults.push('id twice: ' + e.id); ids.set(e.id, e); }
for (const e of document.querySelectorAll('input:not([type=hidden]), select, textarea')) {
  if (!shown(e)) continue;
  const label = e.getAttribute('aria-label') || [...(e.labels || [])].map((l) => l.textContent.trim()).join(' ');
  if (!label) faults.push('no label: ' + e.outerHTML.slice(0, 120));
}
for (const e of document.querySelectorAll('a[href], button, summary')) { if (shown(e) && !words(e)) faults.push('no name: ' + e.outerHTML.slice(0, 120)); }
let level = 0;
for (const e of document.querySelectorAll('h1, h2, h3, h4, h5, h6')) {
  if (!shown(e)) continue;
  const now = Number(e.tagName[1]);
  if (now > level + 1) faults.push('heading ' + now + ' below ' + level + ': ' + e.textContent.slice(0, 60));
  level = now;
}
for (const e of document.images) if (!e.alt.trim()) faults.push('a picture without words: ' + e.src);
if (document.querySelectorAll('h1').length !== 1) faults.push('headings of the first order: ' + document.querySelectorAll('h1').length);
if (!document.documentElement.lang) faults.push('no language');
if (document.querySelectorAll('main').length !== 1) faults.push('main: ' + document.querySelectorAll('main').length);
for (const e of document.querySelectorAll('[aria-describedby], [aria-labelledby]')) {
  const named = (e.getAttribute('aria-describedby') || '') + ' ' + (e.getAttribute('aria-labelledby') || '');
  for (const id of named.split(/\s+/).filter(Boolean)) if (!document.getElementById(id)) faults.push('names no element: ' + id);
}
for (const e of document.querySelectorAll('button[popovertarget]')) if (!document.getElementById(e.getAttribute('popovertarget'))) faults.push('means nothing here: ' + e.outerHTML);
for (const e of document.querySelectorAll('[tabindex]')) if (e.tabIndex > 0) faults.push('order of tabs changed: ' + e.outerHTML.slice(0, 80));
const screen = document.documentElement.clientWidth;
if (document.documentElement.scrollWidth > screen + 1) faults.push('wider than the screen: ' + document.documentElement.scrollWidth);
// WCAG 2.2, 1.4.3: relative luminance and contrast ratio; 4.5 for text, 3 for large text (24 px, or 18.66 px bold).
const parsed = (c) => (c.match(/[\d.]+/g) || []).map(Number);
const light = ([r, g, b]) => { const f = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b); };
const ground = (e) => { for (let at = e; at; at = at.parentElement) { const c = parsed(getComputedStyle(at).backgroundColor); if (c.length === 3 || c[3] === 1) return c; } return [255, 255, 255]; };
const told = new Set();
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const e = walker.currentNode.parentElement;
  if (!walker.currentNode.data.trim() || e.closest('svg, script, style, option') || !shown(e)) continue;
  const style = getComputedStyle(e), a = light(parsed(style.color)), b = light(ground(e));
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), size = parseFloat(style.fontSize);
  const least = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700) ? 3 : 4.5;
  if (ratio < least && !e.closest('[disabled]')) { const key = e.tagName + e.className; if (!told.has(key)) { told.add(key); faults.push('contrast ' + ratio.toFixed(2) + ': ' + e.outerHTML.slice(0, 100)); } }
}
return faults;
"#;

/// What a thumb would miss: 48 px at the least, half a pixel of rounding aside; the marks on a drawing have the lists beside them.
pub(crate) const SMALL: &str = r#"return [...document.querySelectorAll('main button, main a, main select, main summary, main input:not([type=hidden])')]
 .filter((e) => e.offsetParent && !e.matches('.spot, .what')).filter((e) => { const r = (e.type === 'checkbox' && e.closest('label') || e).getBoundingClientRect(); return r.height < 47.5 || r.width < 30; })
 .map((e) => e.outerHTML.slice(0, 120))"#;

/// Before the first tabulator: where everything that can be reached lies, measured where it belongs rather than where it sticks.
const BEFORE_TABS: &str = r#"
const sticky = [...document.querySelectorAll('main *')].filter((e) => getComputedStyle(e).position === 'sticky');
sticky.forEach((e) => { e.style.position = 'static'; });
scrollTo(0, 0);
const boxes = new Map();
const can = 'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"]';
for (const e of document.querySelectorAll(can)) {
  if (!e.checkVisibility({ checkVisibilityCSS: true }) || e.disabled) continue;
  const r = e.getBoundingClientRect();
  boxes.set(e, { left: r.left + scrollX, top: r.top + scrollY, right: r.right + scrollX, bottom: r.bottom + scrollY, plot: e.closest('.plot') });
}
sticky.forEach((e) => { e.style.position = ''; });
window.tabs = { boxes, reached: new Set(), last: null };
document.body.tabIndex = -1; document.body.focus(); document.body.removeAttribute('tabindex');
scrollTo(0, 0);
"#;

/// After a tabulator: what is wrong with what has the focus now; `null` at the end.
const AFTER_TAB: &str = r#"
const faults = [], e = document.activeElement, { boxes, reached, last } = window.tabs;
if (!e || e === document.body || reached.has(e)) {
  const missed = [...boxes.keys()].filter((e) => !reached.has(e) && !(e.type === 'radio' && [...reached].some((r) => r.name === e.name)));
  window.tabs.missed = missed.map((e) => 'never reached: ' + e.outerHTML.slice(0, 100));
  return null;
}
reached.add(e);
const tell = (what) => faults.push(what + ': ' + e.outerHTML.slice(0, 100));
const box = boxes.get(e) || null;
// On a drawing the order is that of the circuit.
if (box && last && !(last.plot && last.plot === e.closest('.plot'))) {
  const middle = (box.top + box.bottom) / 2, row = middle > last.top && middle < last.bottom;
  // Above what came before is only right at the head of another column, to the right of it.
  if (row ? box.right <= last.left : box.bottom <= last.top && box.left < last.right) tell('stands before what came before it');
}
if (box) window.tabs.last = box;
// The ring: 3 px as the look has it, and seen on what lies under it (WCAG 2.2, 1.4.11: 3).
const parsed = (c) => (c.match(/[\d.]+/g) || []).map(Number);
const light = ([r, g, b]) => { const f = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b); };
const ground = (at) => { for (; at; at = at.parentElement) { const c = parsed(getComputedStyle(at).backgroundColor); if (c.length === 3 || c[3] === 1) return c; } return [255, 255, 255]; };
const style = getComputedStyle(e);
if (style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 3) tell('no ring');
else {
  const a = light(parsed(style.outlineColor)), b = light(ground(parseFloat(style.outlineOffset) < 0 ? e : e.parentElement));
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  if (ratio < 3) tell('ring of contrast ' + ratio.toFixed(2));
}
// Seen at all (WCAG 2.2, 2.4.11): somewhere on it nothing lies above it.
const r = e.getBoundingClientRect(), line = e.getClientRects()[0] || r;
const points = [[line.left + line.width / 2, line.top + line.height / 2], [line.left + 4, line.top + 4], [line.right - 4, line.bottom - 4]];
const there = points.some(([x, y]) => { const top = document.elementFromPoint(x, y); return top && (e.contains(top) || top.contains(e) && getComputedStyle(top).position !== 'sticky' || [...(e.labels || [])].some((l) => l.contains(top))); });
if (!there) tell('under something, or out of sight');
return faults;
"#;

/// The pages of a find at the desk.
fn desk_pages() -> Vec<String> {
    let edits = [
        "find",
        "plate",
        "part",
        "part/T1",
        "part/F1",
        "part/X1",
        "lead",
        "lead/W99",
        "join",
        "join/1",
        "gang/chain",
        "setup",
        "instrument/P1",
        "source",
        "note",
        "damage",
    ];
    let pages = [
        "/",
        "/find/creamery",
        "/find/creamery?list=part",
        "/find/creamery/tags",
        "/find/creamery/history",
        "/help",
        "/help/terms",
    ];
    let mut all: Vec<String> = pages.map(str::to_owned).to_vec();
    all.extend(edits.map(|edit| format!("/find/creamery/edit/{edit}")));
    all
}

/// The states of the bench by name: what its address says, and what is done there to reach it.
const STATES: [(&str, &str, &str); 19] = [
    ("choose", "", ""),
    ("new-setup", "?change=1&feed=other", ""),
    (
        "new-setup-refused",
        "?change=1&feed=other",
        "document.querySelector('#add-volts').value = 'much'; document.querySelector('.making button.record').click()",
    ),
    ("fresh", "?setup=4&instrument=P1&fresh=1", ""),
    (
        "volts",
        "?setup=4&instrument=P2&from=X1:1&to=X1:N&measured=AC+voltage",
        "",
    ),
    (
        "leads",
        "?setup=4&instrument=P1&from=X1:1&to=X1:N&measured=AC+voltage",
        "",
    ),
    (
        "amperes",
        "?setup=4&instrument=P1&from=X1:1&measured=AC+current",
        "",
    ),
    (
        "ohms",
        "?setup=1&instrument=P1&from=T4:1.1&to=T4:1.2&measured=resistance",
        "",
    ),
    (
        "continuity",
        "?setup=1&instrument=P1&from=T1:2&to=T4:1.1&measured=continuity",
        "",
    ),
    ("live", "?setup=5&instrument=P1", ""),
    ("by-hand", "?setup=2&instrument=P1&by=hand", ""),
    (
        "refused",
        "?setup=2&instrument=P1&from=X1:1&to=X1:N&measured=AC+voltage",
        "const l = document.querySelector('#leads input'); if (l) l.checked = true; document.querySelector('#shown').value = '24.x'; document.querySelector('button.record').click()",
    ),
    ("agrees", "?setup=4&instrument=P1&said=22", ""),
    ("contradicts", "?setup=4&instrument=P1&said=24", ""),
    (
        "strike",
        "?setup=4&instrument=P1&said=24",
        "document.querySelector('.strike-why summary').click()",
    ),
    ("floating", "?setup=4&instrument=P1&said=32", ""),
    ("struck", "?setup=4&instrument=P1&said=27", ""),
    ("beep", "?setup=1&instrument=P1&said=4", ""),
    ("noted", "?setup=4&instrument=P1&noted=1", ""),
];

/// The creamery's find with a cut lead, a live setup and a multimeter last used for amperes; beside it one that has no parts yet.
fn site() -> Site {
    let more = "\n[[kit.source]]\nname = \"wall socket\"\nvolts = \"230 V\"\nisolated = false\nsteady = \"mains\"\n\n[[setup]]\nnumber = 5\n[[setup.feed]]\nsource = \"wall socket\"\nto = [\"X1:1\", \"X1:N\"]\nvolts = \"230 V\"\n\n[[reading]]\nnumber = 33\nsetup = 4\nat = \"14:18\"\nwith = \"P1\"\ninto = \"X1:2\"\nshown = \"0.03 A\"\n\n[[lead]]\ndesignation = \"W99\"\nfrom = \"X1:1\"\ncolour = \"brown\"\nstate = \"seen\"\n";
    Site::of(&[
        ("creamery.toml", example("creamery.toml") + more),
        (
            "bare.toml",
            "sheet = 1\n[find]\nname = \"Bare\"\n".to_owned(),
        ),
    ])
}

/// What is wrong with the page that is open, each with the place it was found.
pub(crate) fn audited(browser: &Browser, place: &str) -> Vec<String> {
    // A meaning beside the terms of every form and every step.
    if (place.contains("/edit/part") || place.contains("bench ")) && !place.contains("bare") {
        assert!(browser.count(".what") > 0, "{place}: no term is explained");
    }
    let found = browser.run(AUDIT);
    let found = found.as_array().cloned().unwrap_or_default();
    found.iter().map(|f| format!("{place}: {f}")).collect()
}

/// As [`audited`], going through the page with the tabulator.
pub(crate) fn tabbed(browser: &Browser, place: &str) -> Vec<String> {
    browser.run(BEFORE_TABS);
    let mut faults = Vec::new();
    for stops in 0.. {
        assert!(stops < MOST_STOPS, "{place}: no end of stops");
        browser.tab();
        match browser.run(AFTER_TAB).as_array() {
            Some(found) => faults.extend(found.iter().map(|f| format!("{place}: {f}"))),
            None => {
                assert!(stops > 2, "{place}: the tabulator reaches nothing");
                break;
            }
        }
    }
    let missed = browser.run("return window.tabs.missed");
    let missed = missed.as_array().cloned().unwrap_or_default();
    faults.extend(missed.iter().map(|f| format!("{place}: {f}")));
    faults
}

pub(crate) fn none(mut faults: Vec<String>) {
    faults.sort();
    faults.dedup();
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

/// Opens a state of the bench.
fn enter(browser: &Browser, site: &Site, address: &str, act: &str) {
    browser.open(&site.at(&format!("/find/creamery/bench{address}")));
    if !act.is_empty() {
        browser.run(act);
        browser.wait(
            "what was done",
            "return !!document.querySelector('[role=alert], details.strike-why[open]')",
        );
    }
}

#[test]
fn every_page_passes_the_audit_in_both_themes_at_the_desk_and_on_a_phone() {
    let site = site();
    let mut faults = Vec::new();
    for (name, look) in LOOKS {
        let browser = Browser::start(look);
        for path in desk_pages() {
            browser.open(&site.at(&path));
            faults.extend(audited(&browser, &format!("{name} {path}")));
        }
        for (path, picture) in [("edit/part/T1", "desk-edit"), ("tags", "desk-tags")] {
            browser.open(&site.at(&format!("/find/creamery/{path}")));
            browser.picture(&picture_file(&format!("{picture}-{name}")), true);
        }
        faults.extend(browser.complaints());
    }
    none(faults);
}

#[test]
fn every_state_of_the_bench_passes_the_audit_in_both_themes_at_the_desk_and_on_a_phone() {
    let site = site();
    let mut faults = Vec::new();
    for (name, look) in LOOKS {
        let browser = Browser::start(look);
        for (state, address, act) in STATES {
            enter(&browser, &site, address, act);
            let at = format!("{name} bench {state}");
            faults.extend(audited(&browser, &at));
            if look.width < 500 {
                browser.picture(&picture_file(&format!("bench-{name}-{state}")), false);
                let small = browser.run(SMALL);
                let small = small.as_array().cloned().unwrap_or_default();
                faults.extend(
                    small
                        .iter()
                        .map(|f| format!("{at}: smaller than a thumb: {f}")),
                );
            }
        }
        browser.open(&site.at("/find/bare/bench"));
        faults.extend(audited(&browser, &format!("{name} bench bare")));
        // What a form refuses is answered with 422, which a browser notes as a failed load.
        faults.extend(
            browser
                .complaints()
                .into_iter()
                .filter(|c| !c.contains("422")),
        );
    }
    none(faults);
}

#[test]
fn the_tabulator_goes_through_every_page_as_it_is_read() {
    let site = site();
    let mut faults = Vec::new();
    for (name, look) in [LOOKS[0], LOOKS[3]] {
        let browser = Browser::start(look);
        for path in [
            "/",
            "/find/creamery",
            "/find/creamery?list=part",
            "/find/creamery/history",
            "/find/creamery/edit/part/T1",
            "/find/creamery/edit/setup",
            "/help/terms",
        ] {
            let begun = Instant::now();
            browser.open(&site.at(path));
            faults.extend(tabbed(&browser, &format!("{name} {path}")));
            println!("{name} {path}: {:.1?}", begun.elapsed());
        }
        for (state, address, act) in STATES {
            enter(&browser, &site, address, act);
            faults.extend(tabbed(&browser, &format!("{name} bench {state}")));
        }
    }
    none(faults);
}
