//! Books of older versions, kept as files: they open in this one, with everything in them, and a copy as they were lies beside.
//!
//! `v0.sqlite` is of the layout before the first release, without devices, list, tags and search; `v1.sqlite` of the one whose
//! list knew no plate and no judgement; `v2.sqlite` of the present one. When the version rises, lay down the new one with `cargo test -p book --test versions -- --ignored` before that, and keep the old.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, EntryId, Filter, Kind, New, Noun, What};
use common::{Folder, at, put, reading, started};
use std::path::{Path, PathBuf};

fn kept(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/books")
        .join(name)
}

fn copy_of(folder: &Folder, name: &str) -> PathBuf {
    let path = folder.file("book.sqlite");
    std::fs::copy(kept(name), &path).unwrap();
    path
}

#[test]
fn a_book_of_version_0_opens_with_all_that_is_in_it_and_leaves_a_copy() {
    let folder = Folder::new();
    let path = copy_of(&folder, "v0.sqlite");
    let barred = Book::open_to_read(&path).unwrap_err();
    assert_eq!(barred.kind, Kind::ReadOnly, "{barred}");
    let book = Book::open(&path).unwrap();
    let rows = book.finds(&Filter::default()).unwrap();
    let told = (
        rows[0].id.0,
        rows[0].slug.as_str(),
        rows[0].name.as_str(),
        rows[0].readings,
    );
    assert_eq!(told, (3, "old-find", "Old find", 1));
    let entries = book.entries(rows[0].id, EntryId(0)).unwrap();
    assert_eq!(
        entries.iter().map(|e| e.id.0).collect::<Vec<_>>(),
        [10, 11, 12, 13]
    );
    assert_eq!(
        (entries[1].key.as_deref(), entries[1].device.as_deref()),
        (Some("key-1"), None)
    );
    assert!(entries[2].struck.is_some());
    assert_eq!(book.search("trembled").unwrap()[0].noun, Noun::Reading(1));
    let report = book.verify().unwrap();
    assert_eq!(
        (report.entries, report.photos, report.faults),
        (4, 1, vec![])
    );
    let entry = put(
        &book,
        rows[0].id,
        &reading(2).replace("with = \"P1\"\n", ""),
    );
    assert_eq!(entry.id.0, 14);
    let copy = std::fs::read(folder.file("book.before-v2.sqlite")).unwrap();
    assert_eq!(copy.len() % 4096, 0);
    drop(book);
    assert!(!folder.file("book.before-v2-2.sqlite").exists());
    std::fs::write(&path, copy).unwrap();
    Book::open(&path).unwrap();
    assert!(
        folder.file("book.before-v2-2.sqlite").exists(),
        "no copy is written over"
    );
}

#[test]
fn a_book_of_version_1_opens_with_all_that_is_in_it_and_leaves_a_copy() {
    let folder = Folder::new();
    holds_every_kind(&copy_of(&folder, "v1.sqlite"));
    assert!(folder.file("book.before-v2.sqlite").exists());
}

#[test]
fn a_book_of_version_2_opens_as_it_is() {
    let folder = Folder::new();
    holds_every_kind(&copy_of(&folder, "v2.sqlite"));
    assert!(
        std::fs::read_dir(&folder.0).unwrap().all(|e| !e
            .unwrap()
            .file_name()
            .to_string_lossy()
            .contains("before"))
    );
}

fn holds_every_kind(path: &Path) {
    let book = Book::open(path).unwrap();
    let report = book.verify().unwrap();
    assert_eq!(
        (report.finds, report.entries, report.photos),
        (1, 13, 1),
        "{report:?}"
    );
    assert_eq!(report.faults, Vec::<String>::new());
    let find = book.by_slug("crate-find").unwrap().unwrap();
    let kinds: Vec<String> = book
        .entries(find, EntryId(0))
        .unwrap()
        .iter()
        .map(|e| {
            serde_json::to_value(&e.what).unwrap()["kind"]
                .as_str()
                .unwrap()
                .to_owned()
        })
        .collect();
    assert_eq!(
        kinds,
        every_kind()
            .iter()
            .map(|w| serde_json::to_value(w).unwrap()["kind"]
                .as_str()
                .unwrap()
                .to_owned())
            .collect::<Vec<_>>()
    );
    let state = book.find(find).unwrap();
    assert_eq!(
        state.find.readings[0].struck.as_deref(),
        Some("clip on paint")
    );
    assert_eq!(
        (state.tags.len(), state.photos.len(), state.unread.len()),
        (0, 1, 0)
    );
    let row = book.finds(&Filter::default()).unwrap().remove(0);
    assert_eq!(row.parts, 1);
    assert_eq!(row.judged.unwrap().judgement["find"], "Crate find");
}

/// Every kind of entry there is, the start first.
fn every_kind() -> Vec<What> {
    let digest = "5a".repeat(32);
    let (caption, marks, of) = (
        "front".to_owned(),
        Vec::new(),
        vec![Noun::Part("T1".into())],
    );
    vec![
        What::Started {
            sheet: common::CRATE.into(),
        },
        What::put(reading(1)),
        What::put("[[note]]\ntext = \"smells of varnish\"\n"),
        What::Removed {
            noun: Noun::Note("smells of varnish".into()),
            reason: Some("it was the bench".into()),
        },
        What::ReadingStruck {
            number: 1,
            reason: "clip on paint".into(),
        },
        What::ReadingKept {
            number: 1,
            kept: true,
        },
        What::put("[[note]]\ntext = \"a slip\"\n"),
        What::Struck {
            entry: EntryId(7),
            reason: "slip".into(),
        },
        What::Tagged {
            word: "shed".into(),
        },
        What::Untagged {
            word: "shed".into(),
        },
        What::Photo {
            digest: digest.clone(),
            caption: caption.clone(),
            marks: marks.clone(),
            of: of.clone(),
        },
        What::PhotoChanged {
            digest,
            caption,
            marks,
            of,
        },
        What::Judged {
            version: "0.1.0".into(),
            at_entry: EntryId(12),
            priors: serde_json::json!({}),
            judgement: serde_json::json!({ "find": "Crate find" }),
        },
    ]
}

#[test]
#[ignore = "lays down the book of this version to be kept"]
fn lay_down() {
    let path = kept(&format!("v{}.sqlite", book::VERSION));
    let book = Book::create(&path).unwrap();
    let find = started(&book);
    let digest = book.add_photo(&common::picture(90)).unwrap();
    for mut what in every_kind().into_iter().skip(1) {
        if let What::Photo { digest: of, .. } | What::PhotoChanged { digest: of, .. } = &mut what {
            of.clone_from(&digest);
        }
        book.append(New {
            key: Some(format!("{what:?}").chars().take(60).collect()),
            device: Some("bench".into()),
            ..New::of(find, at(1), what)
        })
        .unwrap();
    }
}
