//! A find edited whole becomes entries that make the same of the find in the book.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, New, What, difference};
use common::at;
use gear::Find;
use std::path::Path;

fn example(name: &str) -> Find {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    sheet::read(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// What a book makes of `was` when the entries that lead to `is` are written.
fn written(was: &Find, is: &Find) -> Find {
    let book = Book::in_memory().unwrap();
    let (find, _) = book.start(&sheet::write(was), None, &at(0)).unwrap();
    for what in difference(was, is) {
        book.append(New::of(find, at(1), what)).unwrap();
    }
    book.find(find).unwrap().find.clone()
}

#[test]
fn a_whole_find_entered_at_once_is_the_find() {
    for name in [
        "creamery.toml",
        "telephone-exchange.toml",
        "unmarked-crate.toml",
    ] {
        let is = example(name);
        let was = Find {
            name: "empty".into(),
            ..Find::default()
        };
        assert_eq!(written(&was, &is), is, "{name}");
        assert_eq!(difference(&is, &is), [], "{name}");
    }
}

#[test]
fn marks_are_told_as_marks_and_what_is_gone_is_taken_out() {
    let was = example("creamery.toml");
    let mut is = was.clone();
    is.readings[0].struck = Some("clip sat on the tap".into());
    is.readings[1].kept = true;
    let list = difference(&was, &is);
    assert!(
        matches!(
            &list[..],
            [What::ReadingStruck { .. }, What::ReadingKept { .. }]
        ),
        "{list:?}"
    );
    assert_eq!(written(&was, &is), is);

    let mut is = was.clone();
    is.joins.remove(0);
    is.name = "renamed".into();
    is.parts[0].name = Some("the left one".into());
    let list = difference(&was, &is);
    assert!(
        matches!(&list[..], [What::Put { instead_of, .. }] if instead_of.len() == 1),
        "{list:?}"
    );
    assert_eq!(written(&was, &is), is);
}
