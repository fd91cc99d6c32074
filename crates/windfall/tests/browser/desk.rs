//! The desk: a whole find written down by hand through its forms, with script and without, and every page of it walked by an audit.

use crate::picture_file;
use crate::site::{Site, example};
use crate::webdriver::{Browser, DESK, PHONE, http, http_with_head};

const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");

/// The words of the desk's addresses with the sheet's lists behind them, in the order a person writes them down.
const NOUNS: [(&str, &str); 9] = [
    ("part", "part"),
    ("join", "join"),
    ("lead", "lead"),
    ("gang", "gang"),
    ("source", "kit.source"),
    ("limiter", "kit.limiter"),
    ("protection", "kit.protection"),
    ("instrument", "instrument"),
    ("setup", "setup"),
];

fn escaped(text: &str) -> String {
    let byte = |b: u8| match b {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
            char::from(b).to_string()
        }
        _ => format!("%{b:02X}"),
    };
    text.bytes().map(byte).collect()
}

fn body(fields: &[(String, String)]) -> String {
    let pair = |(name, value): &(String, String)| format!("{}={}", escaped(name), escaped(value));
    fields.iter().map(pair).collect::<Vec<_>>().join("&")
}

fn pairs(fields: &[(&str, &str)]) -> Vec<(String, String)> {
    let own = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    fields.iter().map(own).collect()
}

/// Sends a form as a browser without script does, and gives the address it leads to.
fn send(site: &Site, path: &str, fields: &[(String, String)]) -> String {
    let (status, head, answer) = http_with_head(site.port(), "POST", path, &[FORM], &body(fields));
    assert_eq!(status, 303, "{path} answered {status}: {answer}");
    let location = |line: &str| {
        let (name, value) = line.split_once(": ")?;
        name.eq_ignore_ascii_case("location")
            .then(|| value.to_owned())
    };
    head.lines().find_map(location).expect("it leads somewhere")
}

fn page(site: &Site, path: &str) -> String {
    let path = path.split('#').next().unwrap_or(path);
    let (status, answer) = http(site.port(), "GET", path, &[], "");
    assert_eq!(status, 200, "{path}: {answer}");
    answer
}

/// The fields of the form that takes a reading, for one that stands in a sheet.
fn reading_fields(reading: &gear::Reading) -> Vec<(String, String)> {
    let mut fields = pairs(&[("measured", reading.measured.word())]);
    let mut field = |name: &str, value: Option<String>| {
        fields.extend(value.map(|value| (name.to_owned(), value)));
    };
    field("setup", Some(reading.setup.to_string()));
    field("at", reading.at.as_ref().map(|at| at.text().to_owned()));
    field(
        "instrument",
        reading.instrument.as_ref().map(ToString::to_string),
    );
    let mut terminals = reading.place.terminals().into_iter();
    field("from", terminals.next().map(ToString::to_string));
    field("to", terminals.next().map(ToString::to_string));
    let beep = reading
        .beep
        .map(|beep| if beep { "beep" } else { "no beep" });
    let shown = reading.shown.as_ref().map(|shown| shown.text().to_owned());
    field("shown", shown.or(beep.map(str::to_owned)));
    field("what", reading.what.clone());
    field("note", reading.note.clone());
    if reading.beep.is_some() {
        fields.retain(|(name, _)| name != "measured");
    }
    fields
}

#[test]
fn the_creamery_find_is_written_down_from_nothing_without_script() {
    let in_a_folder = Site::with(&[]);
    let find = written_down(&in_a_folder, "");
    let file = format!("{}.toml", find.trim_start_matches("/find/"));
    as_the_example(&in_a_folder.sheet(&file));
    let in_a_book = Site::of_new_book();
    written_down(&in_a_book, "/bench");
    as_the_example(&in_a_book.exported("1"));
}

fn as_the_example(text: &str) {
    let wanted = sheet::read(&example("creamery.toml")).expect("the example is sound");
    let written = sheet::read(text).expect("the sheet is sound");
    assert_eq!(sheet::write(&written), sheet::write(&wanted));
}

/// The whole find form by form, its readings taken at the desk or at the bench; the find's address.
fn written_down(site: &Site, page_of_readings: &str) -> String {
    let wanted = sheet::read(&example("creamery.toml")).expect("the example is sound");
    let plate = wanted.plate.text.clone().unwrap_or_default();
    let start = pairs(&[
        ("name", &wanted.name),
        ("text", &plate),
        ("arrangement", "none"),
    ]);
    let find = send(site, "/start", &start);
    for list in ["find", "plate"] {
        let block = sheet::block_of(&wanted, list, 0).expect("there is one");
        send(
            site,
            &format!("{find}/edit/{list}"),
            &sheet::typed::typed(list, &block),
        );
    }
    for (word, list) in NOUNS {
        for index in 0..sheet::count(&wanted, list) {
            let block = sheet::block_of(&wanted, list, index).expect("there is one");
            let fields = sheet::typed::typed(list, &block);
            send(site, &format!("{find}/edit/{word}"), &fields);
        }
    }
    for reading in &wanted.readings {
        send(
            site,
            &format!("{find}{page_of_readings}/reading"),
            &reading_fields(reading),
        );
    }
    for struck in wanted.readings.iter().filter(|r| r.struck.is_some()) {
        let reason = struck.struck.clone().unwrap_or_default();
        let fields = pairs(&[("number", &struck.number.to_string()), ("reason", &reason)]);
        send(site, &format!("{find}{page_of_readings}/strike"), &fields);
    }
    for (word, list) in [("load", "kit.load"), ("damage", "damage"), ("note", "note")] {
        for index in 0..sheet::count(&wanted, list) {
            let block = sheet::block_of(&wanted, list, index).expect("there is one");
            let fields = sheet::typed::typed(list, &block);
            send(site, &format!("{find}/edit/{word}"), &fields);
        }
    }
    assert!(
        page(site, &find).contains("contradicts"),
        "the verdict on reading 24 stands on the page"
    );
    find
}

#[test]
fn every_noun_is_edited_and_taken_out_again_without_script() {
    let site = Site::with(&["creamery.toml"]);
    let before = site.sheet("creamery.toml");
    let form = page(&site, "/find/creamery/edit/part/F1");
    assert!(
        form.contains("value=\"50 A\""),
        "what stands there is in the form"
    );
    let fields = pairs(&[
        ("designation", "F1"),
        ("kind", "fuse"),
        ("phase", "1"),
        ("current", "63 A"),
    ]);
    let back = send(&site, "/find/creamery/edit/part/F1", &fields);
    assert!(back.contains("list=part"), "{back}");
    assert!(site.sheet("creamery.toml").contains("63 A"));
    // Refused: something still names it; beside the field; nothing typed is lost.
    let taken = body(&pairs(&[("out", "yes")]));
    let (status, answer) = http(
        site.port(),
        "POST",
        "/find/creamery/edit/part/F1",
        &[FORM],
        &taken,
    );
    assert_eq!(status, 422, "{answer}");
    let wrong = body(&pairs(&[
        ("designation", "W99"),
        ("from", "X9:1"),
        ("colour", "brown"),
    ]));
    let (status, answer) = http(
        site.port(),
        "POST",
        "/find/creamery/edit/lead",
        &[FORM],
        &wrong,
    );
    assert_eq!(status, 422);
    assert!(answer.contains("value=\"brown\"") && answer.contains("value=\"X9:1\""));
    let beside = answer.split("id=\"edit-from-note\"").nth(1).unwrap_or("");
    assert!(
        beside.starts_with(" class=\"wrong\""),
        "{}",
        &beside[..beside.len().min(80)]
    );
    // A lead with a cut end, its tag, and out again.
    let lead = pairs(&[
        ("designation", "W99"),
        ("from", "X1:1"),
        ("colour", "brown"),
        ("state", "seen"),
    ]);
    send(&site, "/find/creamery/edit/lead", &lead);
    let tags = page(&site, "/find/creamery/tags");
    assert!(tags.contains("W99") && tags.contains("cut end"));
    send(
        &site,
        "/find/creamery/edit/lead/W99",
        &pairs(&[("out", "yes")]),
    );
    let after = site.sheet("creamery.toml");
    let lines = |text: &str| {
        text.lines()
            .filter(|l| !l.is_empty())
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        lines(&after),
        lines(&before.replacen("50 A", "63 A", 1)),
        "the rest of the sheet is as it was"
    );
}

#[test]
fn readings_that_beeped_become_joins_found() {
    // As if nothing were found yet: what the readings found is assumed again.
    let assumed = example("creamery.toml").replace("state = \"found\"", "state = \"assumed\"");
    let find = sheet::read(&assumed).expect("the example is sound");
    let site = Site::of(&[("creamery.toml", assumed)]);
    let beeped = find.readings.iter().find(|r| r.beep == Some(true));
    let number = beeped.expect("one beeped").number.to_string();
    send(
        &site,
        "/find/creamery/joins",
        &pairs(&[("reading", &number)]),
    );
    let now = sheet::read(&site.sheet("creamery.toml")).expect("the sheet is sound");
    let found = |find: &gear::Find| {
        (find.joins.iter())
            .filter(|j| j.state == gear::JoinState::Found)
            .count()
    };
    assert_eq!(found(&now), found(&find) + 1);
}

/// A part, a lead and a setup written down by hand in a browser.
#[test]
fn a_hand_at_the_desk_writes_a_part_a_lead_and_a_plate() {
    for look in [DESK, PHONE] {
        let site = Site::with(&[]);
        let browser = Browser::start(look);
        browser.open(&site.at("/"));
        browser.fill("textarea#text", "2 kVA 230 V 50 Hz");
        browser.fill("#begin-name", "Crate find");
        browser.click("input[name=arrangement][value=none]");
        browser.click("#begin .begin button.inked");
        browser.wait(
            "the find's page",
            "return location.pathname === '/find/crate-find'",
        );
        browser.open(&site.at("/find/crate-find/edit/part?kind=terminals"));
        browser.fill("[id='edit-terminals']", "1, 2, N");
        browser.click("#edit button.inked");
        browser.wait(
            "the parts",
            "return !!document.querySelector('#list-part[open] table')",
        );
        assert!(browser.text("#list-part table").contains("X1"));
        browser.click("#list-lead > summary");
        browser.click("#list-lead a.act");
        browser.wait(
            "the lead's form",
            "return !!document.querySelector('#edit')",
        );
        browser.fill("[id='edit-from']", "X1:1");
        browser.fill("[id='edit-colour']", "brown");
        browser.click("#edit button.inked");
        browser.wait(
            "the leads",
            "return !!document.querySelector('#list-lead[open] table')",
        );
        assert!(browser.text("#list-lead table").contains("cut end"));
        browser.run("scrollTo(0, 0)");
        assert_eq!(
            browser.run("return document.querySelector('#add [name=open]').value"),
            "",
            "the list that is unfolded is no open switch of a new setup"
        );
        browser.picture(&picture_file(&format!("desk-lists-{}", look.width)), true);
        assert!(site.sheet("crate-find.toml").contains("colour = \"brown\""));
        assert_eq!(browser.complaints(), Vec::<String>::new());
    }
}
