//! `windfall book`, command by command, on a book of its own.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that cannot run the binary fails"
)]

mod pictures;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn fresh(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("book-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windfall"))
        .arg("book")
        .args(arguments)
        .env("XDG_DATA_HOME", folder)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn good(folder: &Path, arguments: &[&str]) -> String {
    let ran = run(folder, arguments);
    let err = String::from_utf8(ran.stderr).unwrap();
    assert_eq!(ran.status.code(), Some(0), "{arguments:?}: {err}");
    String::from_utf8(ran.stdout).unwrap()
}

fn wrong(folder: &Path, arguments: &[&str]) -> String {
    let ran = run(folder, arguments);
    assert_eq!(ran.status.code(), Some(2), "{arguments:?}");
    String::from_utf8(ran.stderr).unwrap()
}

const CREAMERY: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/creamery.toml");

#[test]
fn a_find_goes_in_is_found_and_comes_out_the_same() {
    let folder = fresh("round");
    assert!(good(&folder, &["new"]).contains("book.sqlite made"));
    assert!(
        folder.join("windfall/book.sqlite").exists(),
        "in the data folder"
    );
    assert!(good(&folder, &["list"]).contains("no find here yet"));
    let slug = "stabilizer-from-the-creamery";
    assert!(good(&folder, &["import", CREAMERY]).contains(slug));
    assert!(good(&folder, &["list"]).contains(slug));
    assert!(good(&folder, &["search", "creamery"]).contains("the find: "));
    assert!(good(&folder, &["history", slug]).contains("started: Stabilizer from the creamery"));
    good(&folder, &["export", slug, "--out", "out.toml"]);
    let text = |path: &Path| std::fs::read_to_string(path).unwrap();
    let (out, there) = (text(&folder.join("out.toml")), text(Path::new(CREAMERY)));
    assert_eq!(sheet::read(&out), sheet::read(&there));
    let taken = wrong(&folder, &["export", "1", "--out", "out.toml"]);
    assert!(taken.contains("choose another name"), "{taken}");
    let verified = "1 find, 1 entry, 0 photos read; the book is sound";
    assert!(good(&folder, &["verify"]).contains(verified));
    good(&folder, &["backup", "copy.sqlite"]);
    let rows: serde_json::Value =
        serde_json::from_str(&good(&folder, &["list", "--json", "--book", "copy.sqlite"])).unwrap();
    assert_eq!(rows[0]["slug"], slug);
}

#[test]
fn photos_and_tags_go_along_beside_the_sheet() {
    let folder = fresh("photos");
    std::fs::copy(CREAMERY, folder.join("a.toml")).unwrap();
    let beside = folder.join("a-photos");
    std::fs::create_dir(&beside).unwrap();
    let sent = pictures::taken(64, 48, 90);
    assert!(pictures::holds(&sent, pictures::PLACE));
    std::fs::write(beside.join("x.jpg"), sent).unwrap();
    let list = r#"{ "tags": ["shed"], "photos": [{ "digest": "", "file": "../a-photos/x.jpg", "mime": "text/html", "width": 4, "height": 3,
        "caption": "front", "marks": [{ "at": [0.5, 0.25], "words": "scorched", "of": { "terminal": "T1:1.1" } }], "of": [{ "part": "T1" }] }] }"#;
    std::fs::write(beside.join("photos.json"), list).unwrap();
    good(&folder, &["import", "a.toml"]);
    assert!(good(&folder, &["list", "--tag", "shed"]).contains("stabilizer"));
    good(&folder, &["export", "1", "--out", "b.toml"]);
    let first = contents(&folder.join("b-photos"));
    assert_eq!(first.len(), 2, "the picture and its list");
    for (name, bytes) in &first {
        assert!(
            !pictures::holds(bytes, pictures::PLACE),
            "{name} tells where"
        );
    }
    // What came out goes in again and out again without loss.
    good(&folder, &["import", "b.toml"]);
    good(&folder, &["export", "2", "--out", "c.toml"]);
    assert_eq!(contents(&folder.join("c-photos")), first);

    std::fs::write(beside.join("x.jpg"), "<script>alert(1)</script>").unwrap();
    let refused = wrong(&folder, &["import", "a.toml"]);
    assert!(
        refused.contains("x.jpg: this is no JPEG, PNG or WebP picture"),
        "{refused}"
    );
    assert!(
        !good(&folder, &["list"]).contains("   3 "),
        "no half a find"
    );
}

/// The files of a folder by their names.
fn contents(folder: &Path) -> std::collections::BTreeMap<String, Vec<u8>> {
    let files = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap());
    let named = |file: std::fs::DirEntry| {
        let name = file.file_name().into_string().unwrap();
        (name, std::fs::read(file.path()).unwrap())
    };
    files.map(named).collect()
}

#[test]
fn what_goes_wrong_is_told_with_place_what_and_remedy() {
    let folder = fresh("wrong");
    let told = wrong(&folder, &["list", "--book", "none.sqlite"]);
    assert!(
        told.contains("none.sqlite: there is no book; ") && told.contains("windfall book new"),
        "{told}"
    );
    std::fs::write(folder.join("bad.toml"), "sheet = 1\n[find]\nnmae = \"x\"\n").unwrap();
    let told = wrong(&folder, &["import", "bad.toml", CREAMERY]);
    assert!(
        told.contains("bad.toml: line 3, column 1: unknown key `nmae`"),
        "{told}"
    );
    assert!(
        good(&folder, &["list"]).contains("creamery"),
        "the other sheet is in"
    );
    let told = wrong(&folder, &["export", "stabilizer-from-the-creamry"]);
    assert!(
        told.contains("did you mean `stabilizer-from-the-creamery`?"),
        "{told}"
    );
    let told = wrong(&folder, &["new"]);
    assert!(told.contains("there already; "), "{told}");
}

/// Any command on the book of the folder.
fn windfall(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let ran = Command::new(env!("CARGO_BIN_EXE_windfall"))
        .args(arguments)
        .env("XDG_DATA_HOME", folder)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    (
        ran.status.code().unwrap(),
        String::from_utf8(ran.stdout).unwrap(),
        String::from_utf8(ran.stderr).unwrap(),
    )
}

const SLUG: &str = "stabilizer-from-the-creamery";

#[test]
fn every_command_answers_over_a_book_as_over_the_sheet() {
    let folder = fresh("commands");
    good(&folder, &["import", CREAMERY]);
    let crate_find = CREAMERY.replace("creamery.toml", "unmarked-crate.toml");
    good(&folder, &["import", &crate_find]);
    let traced = "unmarked-transformer-from-the-school-laboratory";
    let same = |sheet: &str, slug: &str, words: &[&str]| {
        let of_sheet = windfall(&folder, &[&words[..1], &[sheet], &words[1..]].concat());
        let of_book = windfall(
            &folder,
            &[&words[..1], &["--find", slug], &words[1..]].concat(),
        );
        assert_eq!(of_book.2, "", "{words:?}");
        assert_eq!(of_sheet, of_book, "{words:?}");
        of_book.0
    };
    for words in [
        &["plate"][..],
        &["check"],
        &["check", "--json"],
        &["next"],
        &["predict", "--slider", "0.5"],
        &["draw", "--what", "travel"],
        &["readings", "--csv"],
    ] {
        let ended = same(CREAMERY, SLUG, words);
        assert_eq!(ended, i32::from(["check", "next"].contains(&words[0])));
    }
    same(&crate_find, traced, &["trace", "--json"]);
    same(&crate_find, traced, &["trace", "T1", "--volts", "230 V"]);
    let by_file = ["--book", "windfall/book.sqlite", "--find", "1"];
    let (code, written, _) = windfall(&folder, &[&["report"], &by_file[..]].concat());
    assert_eq!(
        (code, written.as_str()),
        (1, "stabilizer-from-the-creamery.html written\n")
    );
    let report = std::fs::read_to_string(folder.join("stabilizer-from-the-creamery.html")).unwrap();
    assert!(report.contains("windfall report --find stabilizer-from-the-creamery --at 1<"));
}

#[test]
fn what_was_judged_is_kept_once_and_derived_again() {
    let folder = fresh("judged");
    good(&folder, &["import", CREAMERY]);
    let check = |more: &[&str]| windfall(&folder, &[&["check", "--find", SLUG], more].concat());
    let first = check(&[]);
    check(&[]);
    windfall(&folder, &["report", "--find", SLUG]);
    let history = good(&folder, &["history", SLUG]);
    assert_eq!(history.lines().count(), 2, "{history}");
    assert!(
        history.contains(
            "judged as it stood at entry 1: reading 24 contradicts (decimal point?), 29 agree"
        ),
        "{history}"
    );
    let rows = "setup,from,to,with,shown\n4,X1:1,X1:N,P1,24.11 V\n4,X2:1,X2:N,P1,26.21 V\n";
    std::fs::write(folder.join("more.csv"), rows).unwrap();
    let (code, told, err) = windfall(&folder, &["readings", "--find", SLUG, "--add", "more.csv"]);
    assert_eq!(code, 0, "{err}");
    assert!(
        told.contains("2 readings added to ") && told.contains("windfall check --find"),
        "{told}"
    );
    let listed = |key: &str| {
        let rows = good(&folder, &["list", "--json"]);
        let rows: serde_json::Value = serde_json::from_str(&rows).unwrap();
        rows[0]["judged"][key].clone()
    };
    assert_eq!(listed("of_today"), false);
    assert_eq!(
        check(&["--at", "1"]),
        first,
        "the same again, whatever came since"
    );
    assert_eq!(
        listed("of_today"),
        false,
        "what was once is not stored as of today"
    );
    check(&[]);
    assert_eq!(
        (listed("of_today"), listed("at_entry")),
        (true.into(), 3.into())
    );
    assert_eq!(good(&folder, &["history", SLUG]).lines().count(), 4);
    assert!(good(&folder, &["verify"]).contains("1 find, 4 entries, 0 photos read"));
}

#[test]
fn a_find_that_is_not_named_well_is_told() {
    let folder = fresh("named");
    good(&folder, &["import", CREAMERY]);
    let rows = "setup,from,to,shown\n4,X1:1,X1:N,24.11 V\n";
    std::fs::write(folder.join("one.csv"), rows).unwrap();
    for (arguments, words) in [
        (&["check"][..], "name a sheet, or --find"),
        (&["check", "x.toml", "--find", SLUG], "name one of them"),
        (
            &["check", "--find", "stabilizer-from-the-creamry"],
            "did you mean",
        ),
        (&["check", "x.toml", "--book", "b.sqlite"], "--find"),
        (
            &["check", "--find", SLUG, "--at", "0"],
            "had not begun at entry 0",
        ),
        (
            &["check", "--find", SLUG, "--at", "99999"],
            "has no entry 99999 yet",
        ),
        (
            &["readings", "--find", SLUG, "--at", "1", "--add", "one.csv"],
            "leave --at out",
        ),
    ] {
        let (code, _, err) = windfall(&folder, arguments);
        assert_eq!(code, 2, "{arguments:?}");
        assert!(err.contains(words), "{arguments:?}: {err}");
    }
}
