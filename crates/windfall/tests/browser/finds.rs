//! The finds of a book on the start page: their state, pages of the list, tags, search, and what was judged told in the history.

use crate::audit::{LOOKS, audited, none, tabbed};
use crate::picture_file;
use crate::pictures::taken;
use crate::seen::NO_SIDEWAYS;
use crate::site::{Site, example};
use crate::webdriver::{Browser, DESK, Look, PHONE, http};
use book::{Book, Moment, New, What};

const CREAMERY: &str = "/find/stabilizer-from-the-creamery";
const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");

fn at(n: i64) -> Moment {
    Moment::new("2026-11-25 21:40:05", n)
}

/// A served book with the creamery's find in it, and so many others.
fn site_with(others: usize) -> (Site, Book) {
    let site = Site::of_new_book();
    let book = Book::open(site.folder.path().join("book.sqlite")).expect("the book is there");
    for n in 0..others {
        let sheet = format!("sheet = 1\n[find]\nname = \"Crate find {n}\"\n");
        book.start(&sheet, None, &at(0)).expect("it is started");
    }
    let creamery = example("creamery.toml");
    book.start(&creamery, None, &at(1)).expect("it is started");
    (site, book)
}

fn get(site: &Site, path: &str) -> String {
    let (status, page) = http(site.port(), "GET", path, &[], "");
    assert_eq!(status, 200, "{path}: {page}");
    page
}

fn post(site: &Site, path: &str, body: &str) -> u16 {
    http(site.port(), "POST", path, &[FORM], body).0
}

/// What the first find of the list says.
fn first(browser: &Browser) -> String {
    browser.text(".finds li")
}

#[test]
fn the_list_tells_what_was_judged_and_comes_in_pages() {
    for look in [DESK, PHONE] {
        let (site, book) = site_with(24);
        let browser = Browser::start(look);
        browser.open(&site.at("/"));
        assert!(
            first(&browser).contains("32 readings, not judged yet"),
            "nothing is judged to be listed"
        );
        assert_eq!(browser.count("details.begin[open]"), 0, "the list is near");
        browser.click("a[href='#begin-name']");
        assert_eq!(browser.count("details.begin[open]"), 1);
        browser.open(&site.at(CREAMERY));
        browser.open(&site.at("/"));
        let told = first(&browser);
        for words in [
            "Stabilizer from the creamery",
            "find 12",
            "30 kVA, 400 V ±20 %",
            "11 parts, 32 readings",
            "1 contradicts",
            "open: reading 24 contradicts (decimal point?)",
            "last 2026-11-25 21:40",
        ] {
            assert!(told.contains(words), "{words}: {told}");
        }
        assert!(!told.contains("before the newest"), "{told}");
        assert_eq!(browser.run(NO_SIDEWAYS), true);
        browser.picture(&picture_file(&format!("finds-{}", look.width)), true);
        assert_eq!(browser.count(".finds li"), 20);
        browser.click("nav a[rel=next]");
        browser.wait("the older ones", "return location.search === '?page=2'");
        assert_eq!(browser.count(".finds li"), 5);
        assert!(
            browser
                .text("nav[aria-label='Pages of the list']")
                .contains("21 to 25 of 25")
        );
        let find = book.by_slug(CREAMERY.trim_start_matches("/find/"));
        let find = find.expect("it can be asked").expect("it is there");
        let note = What::put("[[note]]\ntext = \"smells of varnish\"\n");
        book.append(New::of(find, at(2), note))
            .expect("it is written");
        browser.open(&site.at("/"));
        assert!(first(&browser).contains("as judged before the newest entry"));
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}

#[test]
fn what_was_judged_stands_in_the_history_and_is_derived_again() {
    let (site, _book) = site_with(0);
    get(&site, CREAMERY);
    let entries = |page: &str| page.matches("id=\"entry-").count();
    let history = format!("{CREAMERY}/history");
    assert_eq!(
        entries(&get(&site, &history)),
        1,
        "looking at a find alone writes nothing"
    );
    get(&site, "/");
    get(&site, "/");
    get(&site, "/plate?parts&text=30+kVA");
    assert_eq!(entries(&get(&site, &history)), 2, "once for what was told");
    for look in [DESK, PHONE] {
        let browser = Browser::start(look);
        browser.open(&site.at(&history));
        let told = browser.text("#entry-2");
        assert!(
            told.contains("judged: reading 24 contradicts (decimal point?), 29 agree"),
            "{told}"
        );
        browser.picture(
            &picture_file(&format!("history-judged-{}", look.width)),
            true,
        );
        browser.click("#entry-2 a");
        browser.wait(
            "the judgement",
            "return location.pathname.endsWith('/judged/2')",
        );
        assert!(
            browser
                .text("main")
                .contains("The same entries give the same verdicts again.")
        );
        assert!(
            browser
                .text("main")
                .contains("reading 24: 21.2 V, predicted 2.11 ± 0.08 V")
        );
        assert_eq!(browser.run(NO_SIDEWAYS), true);
        browser.picture(&picture_file(&format!("judged-again-{}", look.width)), true);
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
    post(&site, &format!("{CREAMERY}/keep"), "number=24&kept=yes");
    let report = get(&site, &format!("{CREAMERY}/report"));
    assert!(report.contains(&format!(
        "--find {} --at 3<",
        CREAMERY.trim_start_matches("/find/")
    )));
    let after = get(&site, &history);
    assert!(
        after.contains("knowing entries up to 3."),
        "a report is stored with its judgement"
    );
    for other in ["1", "3", "x"] {
        let (status, _) = http(
            site.port(),
            "GET",
            &format!("{CREAMERY}/judged/{other}"),
            &[],
            "",
        );
        assert!([400, 404].contains(&status), "{other}: {status}");
    }
}

#[test]
fn words_are_found_and_lead_to_where_they_stand() {
    let (site, _book) = site_with(3);
    for look in [Look { dark: true, ..DESK }, PHONE] {
        let browser = Browser::start(look);
        for (words, noun, marked) in [
            ("booster T4", "part T4", "booster"),
            ("clip", "reading", "clip"),
            ("pitt", "damage of T1", "pitted"),
        ] {
            browser.open(&site.at("/"));
            browser.fill("#words", words);
            browser.click("form.search button");
            browser.wait("what was found", "return location.pathname === '/search'");
            let hit = browser.run(&format!(
                "const li = [...document.querySelectorAll('.hits li')].find(li => li.innerText.startsWith('{noun}')); li.querySelector('a').id = 'hit'; return [...li.querySelectorAll('mark')].map(m => m.textContent)"
            ));
            assert!(hit.to_string().contains(marked), "{words}: {hit}");
            assert_eq!(browser.run(NO_SIDEWAYS), true);
            browser.picture(&picture_file(&format!("search-{}", look.width)), true);
            browser.click("#hit");
            browser.wait(
                &format!("the place of {noun}, in sight"),
                "const at = document.querySelector(':target')?.getBoundingClientRect(); return location.pathname.startsWith('/find/') && at && at.top > -1 && at.top < innerHeight && at.height > 0",
            );
        }
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
    assert!(get(&site, "/search?words=zeppelin").contains("Nothing holds this word."));
    assert!(
        get(&site, "/search?words=crate+zeppelin").contains("Nothing holds all of these words.")
    );
    assert!(get(&site, "/search?words=%22*%28%3Cscript%3E").contains("&lt;script&gt;"));
    assert!(get(&site, "/search").contains("Type a word"));
    let folder = Site::with(&["creamery.toml"]);
    let page = get(&folder, "/search?words=cream");
    assert!(
        page.contains("<mark>creamery</mark>") && page.contains("a book looks through every word")
    );
}

#[test]
fn a_find_is_tagged_and_listed_by_its_tag() {
    for look in [DESK, PHONE] {
        let (site, _book) = site_with(2);
        let browser = Browser::start(look);
        browser.open(&site.at(CREAMERY));
        browser.fill("#tag-on", "to sell & <b>");
        browser.click("#tagged form.search button");
        browser.wait(
            "the tag",
            "return document.querySelectorAll('#tagged li').length === 1",
        );
        browser.open(&site.at("/"));
        browser.click(".finds li p a");
        browser.wait(
            "those tagged so",
            "return location.search.startsWith('?tag=')",
        );
        assert_eq!(browser.count(".finds li"), 1);
        assert!(
            browser
                .text("nav [aria-current]")
                .contains("to sell & <b> 1")
        );
        browser.picture(&picture_file(&format!("finds-tagged-{}", look.width)), true);
        browser.open(&site.at(CREAMERY));
        browser.click("#tagged li button");
        browser.wait(
            "it taken off",
            "return document.querySelectorAll('#tagged li').length === 0",
        );
        browser.open(&site.at("/"));
        assert_eq!(browser.count("nav[aria-label='Finds by tag']"), 0);
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}

#[test]
fn tags_work_without_script_and_are_refused_in_words() {
    let (site, _book) = site_with(0);
    let tagged = format!("{CREAMERY}/tagged");
    assert_eq!(post(&site, &tagged, "on=shed"), 303);
    assert_eq!(post(&site, &tagged, "on=shed"), 303, "so already");
    let history = get(&site, &format!("{CREAMERY}/history"));
    assert_eq!(
        history.matches("tagged shed").count(),
        1,
        "and not written twice"
    );
    assert!(get(&site, "/?tag=shed").contains("Stabilizer from the creamery"));
    assert!(get(&site, "/?tag=none").contains("No find is tagged so."));
    assert_eq!(post(&site, &tagged, "on=+"), 422);
    assert_eq!(post(&site, &tagged, &format!("on={}", "x".repeat(61))), 422);
    assert_eq!(post(&site, "/find/none/tagged", "on=shed"), 404);
    assert_eq!(post(&site, &tagged, "off=shed"), 303);
    let script = "%22%27%3E%3Cscript%3Ealert%281%29%3C%2Fscript%3E";
    assert_eq!(post(&site, &tagged, &format!("on={script}")), 303);
    for page in [
        "/",
        CREAMERY,
        &format!("/?tag={script}"),
        &format!("/search?words={script}"),
    ] {
        assert!(!get(&site, page).contains("<script>alert"), "{page}");
    }
    assert_eq!(post(&site, &tagged, &format!("off={script}")), 303);
    assert!(!get(&site, "/").contains("/?tag="));
    let folder = Site::with(&["creamery.toml"]);
    assert_eq!(post(&folder, "/find/creamery/tagged", "on=shed"), 422);
}

#[test]
fn a_find_is_shown_with_its_first_photo() {
    let (site, book) = site_with(1);
    let find = book.by_slug(CREAMERY.trim_start_matches("/find/"));
    let find = find.expect("it can be asked").expect("it is there");
    let picture = picture::taken_in(&taken(1600, 1200, 90)).expect("it is a picture");
    let photo = What::Photo {
        digest: book.add_photo(&picture).expect("it is kept"),
        caption: "the tall cabinet".to_owned(),
        marks: Vec::new(),
        of: Vec::new(),
    };
    book.append(New::of(find, at(3), photo))
        .expect("it is written");
    for look in [DESK, PHONE] {
        let browser = Browser::start(look);
        browser.open(&site.at("/"));
        browser.run("document.querySelector('.finds').scrollIntoView()");
        browser.wait(
            "the picture",
            "const i = document.querySelector('.finds li img'); return i.complete && i.naturalWidth > 0",
        );
        assert_eq!(browser.count(".finds img"), 1, "only where there is one");
        assert_eq!(browser.run(NO_SIDEWAYS), true);
        browser.picture(&picture_file(&format!("finds-photo-{}", look.width)), false);
        browser.open(&site.at("/search?words=cabinet"));
        browser.click(".hits li a");
        browser.wait(
            "the photo's page",
            "return !!document.querySelector('form#about')",
        );
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}

#[test]
fn the_pages_of_the_finds_pass_the_audit_in_both_themes_at_the_desk_and_on_a_phone() {
    let (site, _book) = site_with(24);
    post(&site, &format!("{CREAMERY}/tagged"), "on=shed");
    get(&site, CREAMERY);
    get(&site, "/");
    let pages = [
        "/",
        "/?page=2",
        "/?tag=shed",
        "/search?words=transf",
        "/search?words=zeppelin",
        CREAMERY,
        &format!("{CREAMERY}/history"),
    ];
    let mut faults = Vec::new();
    for (name, look) in LOOKS {
        let browser = Browser::start(look);
        for path in pages {
            browser.open(&site.at(path));
            faults.extend(audited(&browser, &format!("{name} {path}")));
        }
        for path in ["/?tag=shed", "/search?words=transf"] {
            browser.open(&site.at(path));
            faults.extend(tabbed(&browser, &format!("{name} {path}")));
        }
        faults.extend(browser.complaints());
    }
    none(faults);
}
