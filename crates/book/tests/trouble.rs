//! What may happen to a file: each a clear message, nothing lost, nothing panics. Disk full is tested inside the crate.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, EntryId, Filter, Kind, New, What};
use common::{CRATE, Folder, at, put, reading, started};
use std::path::Path;

fn refused(path: &Path, kind: Kind, words: &str) {
    let error = Book::open(path).unwrap_err();
    assert_eq!(error.kind, kind, "{error}");
    let told = error.to_string();
    assert!(
        told.contains(&path.display().to_string()),
        "no place: {told}"
    );
    assert!(told.contains(words) && told.contains("; "), "{told}");
}

/// A book with 300 notes, closed.
fn filled(path: &Path) {
    let book = Book::create(path).unwrap();
    let find = started(&book);
    for n in 0..300 {
        put(
            &book,
            find,
            &format!("[[note]]\ntext = \"note {n} {}\"\n", "long ".repeat(60)),
        );
    }
}

#[test]
fn what_is_no_book_is_told_so() {
    let folder = Folder::new();
    refused(
        &folder.file("none.sqlite"),
        Kind::Missing,
        "there is no book",
    );
    let text = folder.file("sheet.toml");
    std::fs::write(&text, CRATE.repeat(4)).unwrap();
    refused(&text, Kind::NoBook, "no book");
    let short = folder.file("short");
    std::fs::write(&short, "x").unwrap();
    refused(&short, Kind::NoBook, "no book");
    let empty = folder.file("empty.sqlite");
    std::fs::write(&empty, "").unwrap();
    refused(&empty, Kind::NoBook, "empty");
    refused(&folder.0, Kind::NoBook, "folder");
    let other = folder.file("other.sqlite");
    rusqlite::Connection::open(&other)
        .unwrap()
        .execute_batch("CREATE TABLE t (x)")
        .unwrap();
    refused(&other, Kind::NoBook, "another program");
    assert_eq!(Book::create(&text).unwrap_err().kind, Kind::Taken);
    assert_eq!(std::fs::read_to_string(&text).unwrap(), CRATE.repeat(4));
}

#[test]
fn a_newer_book_is_left_alone() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    drop(Book::create(&path).unwrap());
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.pragma_update(None, "user_version", book::VERSION + 1)
        .unwrap();
    drop(raw);
    refused(&path, Kind::Newer, "newer program");
}

#[test]
fn a_file_cut_short_is_told_before_anything_is_written() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    filled(&path);
    assert!(
        !folder.file("book.sqlite-wal").exists(),
        "a closed book is one file"
    );
    let whole = std::fs::read(&path).unwrap();
    for share in [2, 3, 10] {
        std::fs::write(&path, &whole[..whole.len() / share]).unwrap();
        refused(&path, Kind::Damaged, "cut short");
        assert_eq!(
            std::fs::read(&path).unwrap().len(),
            whole.len() / share,
            "left as it is"
        );
    }
}

#[test]
fn damage_inside_never_panics_and_is_found() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    filled(&path);
    let whole = std::fs::read(&path).unwrap();
    let mut dice = fastrand::Rng::with_seed(11);
    let mut found = 0;
    for _ in 0..30 {
        let mut bytes = whole.clone();
        // A page of the middle overwritten with noise.
        let page = dice.usize(1..bytes.len() / 4096) * 4096;
        bytes[page..page + 4096].fill_with(|| dice.u8(..));
        std::fs::write(&path, bytes).unwrap();
        let told = match Book::open(&path) {
            Err(error) => error.kind == Kind::Damaged,
            Ok(book) => {
                let _ = book.finds(&Filter::default());
                let _ = book.entries(book::FindId(1), EntryId(0));
                let _ = book.search("long");
                let _ = book.append(New::of(book::FindId(1), at(1), What::put(reading(1))));
                book.verify().map_or(true, |report| !report.is_sound())
            }
        };
        found += u32::from(told);
        let _ = std::fs::remove_file(folder.file("book.sqlite-wal"));
        let _ = std::fs::remove_file(folder.file("book.sqlite-shm"));
    }
    assert!(
        found >= 28,
        "{found} of 30 found; the rest hit pages nobody uses"
    );
}

#[test]
fn a_book_to_read_says_so_when_it_is_written() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    let find = started(&Book::create(&path).unwrap());
    let book = Book::open_to_read(&path).unwrap();
    assert_eq!(book.find(find).unwrap().find.name, "Crate find");
    let errors = [
        book.append(New::of(find, at(1), What::put(reading(1))))
            .unwrap_err(),
        book.start(CRATE, None, &at(1)).unwrap_err(),
    ];
    for error in errors {
        assert_eq!(error.kind, Kind::ReadOnly);
        assert!(
            error.to_string().contains("can be read and not written"),
            "{error}"
        );
    }
    assert!(book.verify().unwrap().is_sound());
}

#[test]
fn a_copy_is_made_while_others_write_and_nothing_is_written_over() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    let book = Book::create(&path).unwrap();
    let find = started(&book);
    let copies: Vec<_> = (0..5)
        .map(|n| folder.file(&format!("copies/{n}.sqlite")))
        .collect();
    std::thread::scope(|scope| {
        scope.spawn(|| (1..60).for_each(|n| drop(put(&book, find, &reading(n)))));
        let other = Book::open(&path).unwrap();
        for copy in &copies {
            other.backup(copy).unwrap();
        }
    });
    for copy in &copies {
        let there = Book::open(copy).unwrap();
        assert_eq!(there.verify().unwrap().faults, Vec::<String>::new());
        assert!(there.newest().unwrap() <= book.newest().unwrap());
    }
    assert_eq!(book.backup(&copies[0]).unwrap_err().kind, Kind::Taken);
    assert_eq!(book.backup(&path).unwrap_err().kind, Kind::Taken);
    let left: Vec<_> = std::fs::read_dir(folder.file("copies"))
        .unwrap()
        .map(|e| e.unwrap().file_name())
        .collect();
    assert!(
        left.iter()
            .all(|name| !name.to_string_lossy().ends_with(".part")),
        "{left:?}"
    );
}

#[test]
fn two_programs_write_in_one_book_and_one_that_is_kept_out_says_so() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    let one = Book::create(&path).unwrap();
    let other = Book::open(&path).unwrap();
    let find = started(&one);
    std::thread::scope(|scope| {
        for (book, first) in [(&one, 1), (&other, 1001)] {
            scope.spawn(move || {
                (first..first + 100).for_each(|n| drop(put(book, find, &reading(n))))
            });
        }
    });
    let state = one.find(find).unwrap();
    assert_eq!(state.find.readings.len(), 200);
    assert_eq!(*state, *other.find(find).unwrap());
    assert!(one.verify().unwrap().is_sound());
}
