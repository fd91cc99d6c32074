//! Pictures from strangers: what is none is refused in words beside the field, what is one becomes pixels alone, and nobody sees another
//! find's.

use crate::door::{Door, Site};
use crate::pictures::{PLACE, holds, taken};
use crate::scripts::{SCRIPT, escaped, harmless};

const MINE: &str = "/find/stabilizer-from-the-creamery";

/// The address of a photo that was sent.
fn sent(door: &Door, find: &str, fields: &[(&str, &str)], photo: &[u8]) -> String {
    let answer = door.send_photo(&format!("{find}/photo"), fields, "x.jpg", photo);
    assert_eq!(answer.status, 303, "{}", answer.text);
    let about = answer.header("location").unwrap();
    about.strip_suffix("/about").unwrap().to_owned()
}

/// A JPEG that claims 65535 by 65535 pixels in its frame's head (ITU-T T.81, B.2.2).
fn bomb() -> Vec<u8> {
    let mut bytes = taken(8, 8, 1);
    let frame = bytes.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    bytes[frame + 5..frame + 9].fill(0xFF);
    bytes
}

#[test]
fn what_is_no_picture_is_refused_beside_the_field() {
    let site = Site::of_book(&["creamery.toml"]);
    let cut = taken(64, 48, 2)[..300].to_vec();
    let cases: [(&str, Vec<u8>, &str); 8] = [
        ("nothing", Vec::new(), "no picture came"),
        (
            "a drawing with script",
            b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>".to_vec(),
            "no JPEG, PNG or WebP",
        ),
        (
            "a page",
            b"<!doctype html><script>alert(1)</script>".to_vec(),
            "no JPEG, PNG or WebP",
        ),
        (
            "an animation",
            b"GIF89a\x01\x00\x01\x00".to_vec(),
            "no JPEG, PNG or WebP",
        ),
        (
            "a telephone's other kind",
            b"\0\0\0\x18ftypheic".to_vec(),
            "no JPEG, PNG or WebP",
        ),
        ("a bomb", bomb(), "65535"),
        ("half a picture", cut, "cannot be read"),
        (
            "too large a file",
            [taken(8, 8, 3), vec![0; 25 << 20]].concat(),
            "larger than 25 MiB",
        ),
    ];
    for (what, photo, words) in cases {
        for (path, fields) in [
            (
                format!("{MINE}/photo"),
                vec![("of", "the plate"), ("caption", "kept as typed")],
            ),
            (
                format!("{MINE}/bench/photo"),
                vec![("number", "24"), ("setup", "4"), ("instrument", "P1")],
            ),
        ] {
            let answer = site.own().send_photo(&path, &fields, "photo.jpg", &photo);
            assert_eq!(answer.status, 422, "{what} to {path}");
            let beside = answer.text.split("role=\"alert\"").nth(1).unwrap_or("");
            let beside = beside.split("</p>").next().unwrap_or("");
            assert!(beside.contains(words), "{what} to {path}: {beside}");
            harmless(what, &answer.text);
        }
    }
    let listed = site.own().get(&format!("{MINE}/photos")).text;
    assert!(!listed.contains("/small"), "nothing was kept");
    let again = site.own().send_photo(
        &format!("{MINE}/photo"),
        &[("caption", "kept as typed")],
        "x",
        b"?",
    );
    assert!(again.text.contains("value=\"kept as typed\""));
    // Said larger beforehand: in the page's words, before a byte of it is read.
    let own = site.own();
    let head = format!(
        "POST {MINE}/photo HTTP/1.1\r\nHost: {}\r\nContent-Length: {}\r\n\r\n",
        own.host(),
        30 << 20
    );
    let answer = own.raw(head.as_bytes()).unwrap();
    assert!(answer.status == 413 && answer.text.contains("larger than 25 MiB"));
    assert!(
        answer
            .header("content-type")
            .unwrap()
            .starts_with("text/html")
    );
    // No form with a photo at all.
    let plain = own.send("POST", &format!("{MINE}/photo"), &[], "photo=x");
    assert_eq!(plain.status, 422);
}

#[test]
fn where_it_was_taken_never_leaves_the_page() {
    let site = Site::of_book(&["creamery.toml"]);
    let own = site.own();
    let photo = taken(640, 480, 4);
    assert!(holds(&photo, PLACE));
    let at = sent(&own, MINE, &[("of", "the plate"), ("key", "one")], &photo);
    for (path, kind) in [
        (at.clone(), "image/jpeg"),
        (format!("{at}/small"), "image/jpeg"),
        (format!("{at}/about"), "text/html; charset=utf-8"),
    ] {
        let answer = own.get(&path);
        assert_eq!(answer.status, 200, "{path}");
        assert_eq!(answer.header("content-type"), Some(kind));
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        let telling = String::from_utf8_lossy(PLACE);
        assert!(!answer.text.contains(telling.as_ref()), "{path}");
        if kind == "image/jpeg" {
            let kept = answer.header("cache-control").unwrap();
            assert!(
                kept.contains("private") && kept.contains("immutable"),
                "{kept}"
            );
        }
    }
    let book = std::fs::read(site.folder().join("book.sqlite")).unwrap();
    let log = std::fs::read(site.folder().join("book.sqlite-wal")).unwrap_or_default();
    assert!(
        !holds(&book, PLACE) && !holds(&log, PLACE),
        "nor stands in the book"
    );
}

#[test]
fn a_photo_sent_twice_is_there_once_and_one_taken_out_stays_out() {
    let site = Site::of_book(&["creamery.toml"]);
    let own = site.own();
    let photo = taken(64, 48, 5);
    let first = sent(&own, MINE, &[("of", "the plate"), ("key", "one")], &photo);
    assert_eq!(
        sent(&own, MINE, &[("of", "the plate"), ("key", "one")], &photo),
        first
    );
    let other = sent(&own, MINE, &[("of", "part T1"), ("key", "two")], &photo);
    assert_eq!(other, first, "the same picture under another key");
    let page = own.get(&format!("{MINE}/photos")).text;
    assert_eq!(page.matches("/small\"").count(), 1);
    assert!(
        page.contains("the plate, part T1"),
        "what was said joins: {page}"
    );
    let out = own.send("POST", &format!("{first}/out"), &[], "reason=blurred");
    assert_eq!(out.status, 303);
    assert_eq!(own.get(&format!("{first}/about")).status, 404);
    // A telephone that did not hear the answer sends it once more.
    let late = own.send_photo(
        &format!("{MINE}/photo"),
        &[("of", "the plate"), ("key", "one")],
        "x",
        &photo,
    );
    assert_eq!(late.status, 303);
    assert_eq!(
        own.get(&format!("{first}/about")).status,
        404,
        "it stays out"
    );
    let history = own.get(&format!("{MINE}/history")).text;
    assert!(history.contains("taken out: blurred") && history.contains("/small"));
    assert_eq!(
        own.get(&format!("{first}/small")).status,
        200,
        "struck, never erased"
    );
}

#[test]
fn nobody_sees_or_changes_another_finds_photo() {
    let site = Site::of_book(&["creamery.toml", "two-winding.toml"]);
    let own = site.own();
    let start = own.get("/").text;
    let other = start
        .split("href=\"")
        .filter_map(|rest| rest.split('"').next())
        .find(|to| {
            to.starts_with("/find/") && !to.starts_with(MINE) && to.matches('/').count() == 2
        })
        .unwrap()
        .to_owned();
    let at = sent(&own, MINE, &[], &taken(64, 48, 6));
    let digest = at.rsplit('/').next().unwrap();
    let digests = [
        digest.to_owned(),
        "0".repeat(64),
        digest.to_uppercase(),
        "..%2f..%2fbook.sqlite".into(),
        "%00".into(),
        "'%20OR%201=1".into(),
    ];
    for digest in digests {
        for path in ["", "/small", "/about"] {
            let path = format!("{other}/photo/{digest}{path}");
            assert_eq!(own.get(&path).status, 404, "{path}");
        }
        for (path, form) in [("/about", "caption=x"), ("/out", "reason=x")] {
            let path = format!("{other}/photo/{digest}{path}");
            assert_eq!(own.send("POST", &path, &[], form).status, 404, "{path}");
        }
    }
    assert_eq!(own.get(&at).status, 200);
}

#[test]
fn script_in_every_field_of_a_photo_is_harmless() {
    let site = Site::of_book(&["creamery.toml"]);
    let own = site.own();
    let photo = taken(64, 48, 7);
    for field in [
        "caption",
        "of",
        "key",
        "number",
        "setup",
        "instrument",
        "more",
    ] {
        for path in ["photo", "bench/photo"] {
            let to = format!("{MINE}/{path}");
            let answer = own.send_photo(&to, &[(field, SCRIPT)], SCRIPT, &photo);
            assert!(answer.status < 500, "{field}: {}", answer.status);
            harmless(field, &answer.text);
        }
    }
    let long = "k".repeat(1000);
    let to = format!("{MINE}/photo");
    for field in ["caption", "of", "key"] {
        let answer = own.send_photo(&to, &[(field, &long)], "x", &taken(64, 48, 9));
        assert_eq!(answer.status, 422, "too long a {field}");
    }
    let at = sent(&own, MINE, &[("caption", SCRIPT)], &photo);
    let fields = [
        "caption",
        "of",
        "mark.0.at",
        "mark.0.to",
        "mark.0.words",
        "mark.0.of",
        "mark.x.at",
        "mark.99999999999.at",
    ];
    for field in fields {
        let form = format!("mark.0.words=a&{field}={}", escaped(SCRIPT));
        let answer = own.send("POST", &format!("{at}/about"), &[], &form);
        assert!(answer.status < 500, "{field}: {}", answer.status);
        harmless(field, &answer.text);
    }
    let form = format!(
        "caption={0}&mark.0.at=10+20&mark.0.words={0}",
        escaped(SCRIPT)
    );
    let answer = own.send("POST", &format!("{at}/about"), &[], &form);
    assert_eq!(answer.status, 303);
    for path in ["", "/photos", "/history", "/bench", "/tags"] {
        harmless(path, &own.get(&format!("{MINE}{path}")).text);
    }
    harmless("about", &own.get(&format!("{at}/about")).text);
}

#[test]
fn a_folder_of_sheets_says_that_it_keeps_no_photos() {
    let site = Site::open(&["creamery.toml"]);
    let own = site.own();
    let answer = own.send_photo("/find/creamery/photo", &[], "x.jpg", &taken(8, 8, 8));
    assert_eq!(answer.status, 422);
    assert!(answer.text.contains("windfall serve --book"));
    assert!(
        own.get("/find/creamery/photos")
            .text
            .contains("windfall book import")
    );
    assert!(!own.get("/find/creamery").text.contains("Add a photo"));
}
