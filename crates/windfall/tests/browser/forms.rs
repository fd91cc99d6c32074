//! Everything works without script: forms by a client that only knows HTTP; strangers are refused.

use crate::site::{Site, example};
use crate::webdriver::{http, http_with_head};

const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");

/// Sends a form; the address it leads to.
fn send(site: &Site, path: &str, body: &str) -> String {
    let (status, head, answer) = http_with_head(site.port(), "POST", path, &[FORM], body);
    assert_eq!(status, 303, "{path} answered {status}: {answer}");
    head.lines()
        .find_map(|l| {
            l.strip_prefix("location: ")
                .or(l.strip_prefix("Location: "))
        })
        .expect("it leads somewhere")
        .to_owned()
}

fn page(site: &Site, path: &str) -> String {
    let path = path.split('#').next().unwrap_or(path);
    let (status, answer) = http(site.port(), "GET", path, &[], "");
    assert_eq!(status, 200, "{path}: {answer}");
    answer
}

#[test]
fn a_plate_is_answered_without_script() {
    let site = Site::with(&[]);
    let to = send(&site, "/plate", "text=30+kVA+3%7E+400+V+%C2%B120+%25+50+Hz");
    assert!(
        page(&site, &to).contains("line current"),
        "the plate's deductions stand on the page"
    );
}

#[test]
fn what_was_written_into_a_book_is_undone_in_its_history() {
    let site = Site::of_new_book();
    let find = send(
        &site,
        "/start",
        "text=2+kVA+230+V+50+Hz&name=Crate+find&arrangement=transformer",
    );
    let reading = "setup=new&feed=nothing&from=T1%3A1.1&to=T1%3A1.2&shown=1.5+%CE%A9&key=once";
    let first = send(&site, &format!("{find}/reading"), reading);
    assert_eq!(send(&site, &format!("{find}/reading"), reading), first);
    assert!(page(&site, &find).contains("id=\"reading-1\""));
    assert!(!page(&site, &find).contains("id=\"reading-2\""));
    let history = page(&site, &format!("{find}/history"));
    assert!(history.contains("1.5 Ω"), "{history}");
    let entry = history
        .split("name=\"entry\" value=\"")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .expect("the reading may be undone");
    send(
        &site,
        &format!("{find}/undo"),
        &format!("entry={entry}&reason=wrong+clip"),
    );
    assert!(!page(&site, &find).contains("id=\"reading-1\""));
    let history = page(&site, &format!("{find}/history"));
    assert!(
        history.contains("1.5 Ω") && history.contains("wrong clip"),
        "{history}"
    );
}

#[test]
fn a_find_is_started_and_read_without_script() {
    let site = Site::with(&[]);
    let to = send(
        &site,
        "/start",
        "text=2+kVA+230+V+50+Hz&name=Crate+find&arrangement=variable-autotransformer",
    );
    assert_eq!(to, "/find/crate-find");
    assert!(site.sheet("crate-find.toml").starts_with("sheet = 1"));
    let find = page(&site, &to);
    let winding = find
        .split("name=\"feed\"")
        .nth(1)
        .and_then(|s| s.split("option value=\"").nth(1))
        .and_then(|s| s.split('"').next())
        .expect("a feed is offered");
    let (from, to_terminal) = winding
        .split('/')
        .next()
        .and_then(|w| w.split_once('+'))
        .expect("two terminals");
    let encoded = |text: &str| {
        text.replace('+', "%2B")
            .replace(':', "%3A")
            .replace('/', "%2F")
    };
    let body = format!(
        "setup=new&feed={}&volts=23%2C8+V&load=&from={}&to={}&shown=23%2C8&instrument=class%3Ahandheld%2C+6000+counts%2C+true+RMS",
        encoded(winding),
        encoded(from),
        encoded(to_terminal)
    );
    let said = send(&site, "/find/crate-find/reading", &body);
    assert!(said.contains("said=1"), "{said}");
    assert!(page(&site, &said).contains("Reading 1"));
    let sheet = site.sheet("crate-find.toml");
    assert!(
        sheet.contains("shown = \"23,8 V\""),
        "digits stay as they were read: {sheet}"
    );
    assert!(sheet.contains("handheld, 6000 counts, true RMS"), "{sheet}");
}

#[test]
fn a_wrong_field_is_told_beside_it_and_nothing_is_lost() {
    let site = Site::with(&["creamery.toml"]);
    let before = site.sheet("creamery.toml");
    let body = "setup=4&from=X1%3A1&to=X1%3AN&shown=24.x&note=terminal+loose&instrument=P1";
    let (status, answer) = http(site.port(), "POST", "/find/creamery/reading", &[FORM], body);
    assert_eq!(status, 422);
    let beside = answer
        .split("id=\"add-shown-note\"")
        .nth(1)
        .expect("the field has its note");
    assert!(beside.starts_with(" class=\"wrong\""), "{}", &beside[..80]);
    assert!(
        answer.contains("value=\"24.x\"") && answer.contains("terminal loose"),
        "what was typed stands there still"
    );
    assert_eq!(site.sheet("creamery.toml"), before, "nothing was written");
}

#[test]
fn striking_needs_a_reason_and_erases_nothing() {
    let site = Site::with(&["creamery.toml"]);
    let (status, _) = http(
        site.port(),
        "POST",
        "/find/creamery/strike",
        &[FORM],
        "number=24&reason=+",
    );
    assert_eq!(status, 422);
    send(
        &site,
        "/find/creamery/strike",
        "number=24&reason=slipped+clip",
    );
    let sheet = site.sheet("creamery.toml");
    assert!(sheet.contains("struck = \"slipped clip\"") && sheet.contains("21.2 V"));
    assert!(page(&site, "/find/creamery").contains("slipped clip"));
}

#[test]
fn strangers_are_refused() {
    let site = Site::with(&["creamery.toml"]);
    let ask = |method: &str, path: &str, headers: &[(&str, &str)]| {
        http(site.port(), method, path, headers, "").0
    };
    assert_eq!(
        ask("GET", "/", &[("Host", "example.org")]),
        403,
        "another name that leads here"
    );
    assert_eq!(
        ask("POST", "/start", &[FORM, ("Origin", "http://example.org")]),
        403,
        "another site's form"
    );
    assert_eq!(
        ask("POST", "/find/creamery/strike", &[FORM, ("Origin", "null")]),
        403
    );
    let (status, head, _) = http_with_head(site.port(), "GET", "/", &[], "");
    assert_eq!(status, 200);
    assert!(
        head.to_lowercase()
            .contains("content-security-policy: default-src 'none'"),
        "{head}"
    );
}

#[test]
fn a_sheet_copied_into_the_folder_has_its_page_at_once() {
    let site = Site::with(&[]);
    let sheet = site.folder.path().join("from-the-yard.toml");
    std::fs::write(sheet, example("two-winding.toml")).expect("the sheet is written");
    assert!(page(&site, "/find/from-the-yard").contains("id=\"find\""));
}

#[test]
fn an_address_never_names_a_file() {
    let site = Site::with(&["creamery.toml"]);
    for path in [
        "/find/..%2Fcreamery",
        "/find/creamery.toml",
        "/find/%2Fetc%2Fpasswd",
        "/find/../../etc/passwd",
        "/creamery.toml",
    ] {
        assert_eq!(http(site.port(), "GET", path, &[], "").0, 404, "{path}");
    }
    assert!(page(&site, "/find/creamery/sheet").contains("Stabilizer from the creamery"));
}

#[test]
fn a_moved_slider_is_answered_without_script() {
    let site = Site::with(&["creamery.toml"]);
    let at_030 = page(&site, "/find/creamery?setup=4&slider=0.30");
    let as_read = page(&site, "/find/creamery?setup=4");
    let values = |page: &str| {
        page.split("id=\"values\"")
            .nth(1)
            .and_then(|s| s.split("</tbody>").next())
            .unwrap_or_default()
            .to_owned()
    };
    assert!(values(&as_read).contains("<td"), "there are values");
    assert_ne!(values(&as_read), values(&at_030));
}

#[test]
fn a_plate_alone_is_given_parts_without_script() {
    let site = Site::with(&["plate-alone.toml"]);
    assert!(page(&site, "/find/plate-alone").contains("Give it parts"));
    let by_hand = site.sheet("plate-alone.toml");
    send(&site, "/find/plate-alone/parts", "arrangement=transformer");
    assert!(
        site.sheet("plate-alone.toml")
            .starts_with(by_hand.trim_end()),
        "what was written by hand stays as it was"
    );
    let find = page(&site, "/find/plate-alone");
    assert!(find.contains("id=\"schematic\"") && find.contains("Add a reading"));
}

#[test]
fn every_example_has_a_page_and_a_report() {
    let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let names: Vec<String> = std::fs::read_dir(examples)
        .expect("there are examples")
        .filter_map(|e| e.ok()?.file_name().into_string().ok())
        .filter(|n| n.ends_with(".toml"))
        .collect();
    let site = Site::with(&names.iter().map(String::as_str).collect::<Vec<_>>());
    assert!(!names.is_empty());
    for name in names {
        let slug = name.trim_end_matches(".toml");
        for path in [
            format!("/find/{slug}"),
            format!("/find/{slug}/report"),
            format!("/find/{slug}?slider=0.3&supply=100&load=1+kVA"),
        ] {
            assert!(page(&site, &path).contains("</html>"), "{path}");
        }
    }
}

#[test]
fn what_is_typed_is_text_and_never_markup() {
    let site = Site::with(&[]);
    let to = send(
        &site,
        "/start",
        "text=%3Cimg+src%3Dx%3E+230+V&name=%3Cscript%3Ealert(1)%3C%2Fscript%3E&arrangement=variable-autotransformer",
    );
    for path in [
        to.as_str(),
        "/",
        &format!("{to}/report"),
        &format!("{to}?supply=%3Cb%3E&again=%3Cb%3E&said=%3Cb%3E"),
    ] {
        let answer = page(&site, path);
        for markup in ["<script>alert", "<img src", "<b>\""] {
            assert!(!answer.contains(markup), "{path} holds {markup}");
        }
    }
}
