//! Entries: what they add up to, what is refused, what is struck and brought back, and what comes twice.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, EntryId, Filter, Kind, Mark, New, Noun, What};
use common::{CRATE, Folder, at, put, reading, started};
use std::path::Path;

fn strike(book: &Book, find: book::FindId, entry: EntryId) -> Result<book::Entry, book::BookError> {
    let reason = "slip".to_owned();
    book.append(New::of(find, at(5), What::Struck { entry, reason }))
}

#[test]
fn every_example_comes_out_as_it_went_in() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let book = Book::in_memory().unwrap();
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let (find, _) = book.start(&text, None, &at(0)).unwrap();
        let out = book.export(find).unwrap();
        assert_eq!(
            sheet::read(&out.sheet),
            sheet::read(&text),
            "{}",
            path.display()
        );
        let (again, _) = book.start(&out.sheet, None, &at(0)).unwrap();
        assert_eq!(
            book.find(again).unwrap().find,
            book.find(find).unwrap().find
        );
        count += 1;
    }
    assert!(count >= 3, "{count} examples");
    assert_eq!(book.finds(&Filter::default()).unwrap().len(), 2 * count);
    assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
}

#[test]
fn a_struck_entry_is_left_out_and_a_struck_strike_brings_it_back() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let first = put(&book, find, &reading(1));
    let before = book.find(find).unwrap();
    let second = put(
        &book,
        find,
        "[[reading]]\nnumber = 1\nsetup = 1\nmeasured = \"resistance\"\nbetween = [\"T1:3\", \"T1:4\"]\nshown = \"9 Ω\"\n",
    );
    let after = book.find(find).unwrap().find.clone();
    let gone = strike(&book, find, second.id).unwrap();
    assert_eq!(
        book.find(find).unwrap().find,
        before.find,
        "the one it took the place of is back"
    );
    let told = &book.entries(find, EntryId(0)).unwrap()[2];
    assert_eq!(
        (told.id, told.struck.as_ref().map(|s| s.by)),
        (second.id, Some(gone.id))
    );
    let twice = strike(&book, find, second.id).unwrap_err();
    assert_eq!(twice.kind, Kind::Refused);
    assert!(twice.to_string().contains("struck already"), "{twice}");
    strike(&book, find, gone.id).unwrap();
    assert_eq!(book.find(find).unwrap().find, after);
    strike(&book, find, first.id).unwrap();
    assert_eq!(
        book.find(find).unwrap().find,
        after,
        "it stands by the later one"
    );
    let start = book.entries(find, EntryId(0)).unwrap()[0].id;
    assert_eq!(strike(&book, find, start).unwrap_err().kind, Kind::Refused);
    assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
}

#[test]
fn what_others_rest_on_cannot_be_struck_or_taken_out() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let part = put(
        &book,
        find,
        "[[part]]\ndesignation = \"X1\"\nkind = \"terminals\"\nterminals = [\"1\"]\n",
    );
    put(
        &book,
        find,
        "[[lead]]\ndesignation = \"W1\"\nfrom = \"X1:1\"\nto = \"T1:1\"\n",
    );
    let refused = strike(&book, find, part.id).unwrap_err();
    assert!(
        refused.to_string().contains("others rest on it"),
        "{refused}"
    );
    let remove = |noun| {
        let what = What::Removed { noun, reason: None };
        book.append(New::of(find, at(2), what))
    };
    assert!(
        remove(Noun::Part("X1".into()))
            .unwrap_err()
            .to_string()
            .contains("cannot be taken out")
    );
    assert_eq!(
        remove(Noun::Part("X9".into())).unwrap_err().kind,
        Kind::Unknown
    );
    assert!(
        remove(Noun::Reading(1))
            .unwrap_err()
            .to_string()
            .contains("strike it")
    );
    remove(Noun::Lead("W1".into())).unwrap();
    remove(Noun::Part("X1".into())).unwrap();
    assert_eq!(book.find(find).unwrap().find, sheet::read(CRATE).unwrap());
}

#[test]
fn what_makes_no_sense_is_refused_with_its_place_and_nothing_is_written() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let newest = book.newest().unwrap();
    let refuse = |text: &str| {
        book.append(New::of(find, at(1), What::put(text)))
            .unwrap_err()
    };
    let error = refuse(&reading(1).replace("T1:2", "T1:7"));
    assert_eq!(
        (error.problems[0].line, error.problems[0].column),
        (6, 20),
        "{error}"
    );
    assert!(
        error.to_string().contains("unknown terminal `7` of T1"),
        "{error}"
    );
    let error = refuse(&(reading(1) + &reading(1)));
    assert!(error.to_string().contains("stands here already"), "{error}");
    let error = refuse(
        "[[part]]\ndesignation = \"T1\"\nkind = \"fuse\"\n[[reading]]\nnumber = 1\nsetup = 1\nmeasured = \"resistance\"\nbetween = [\"T1:1\", \"T1:4\"]\nshown = \"1 Ω\"\n",
    );
    assert!(
        error.to_string().contains("unknown terminal `4`"),
        "{error}"
    );
    let sheet = book
        .start("sheet = 1\n[find]\nnmae = 1\n", None, &at(0))
        .unwrap_err();
    assert_eq!(sheet.problems[0].line, 3);
    assert_eq!(book.newest().unwrap(), newest);
    // What was refused leaves nothing behind in what is written next.
    put(&book, find, &reading(3));
    assert_eq!(book.find(find).unwrap().find.readings.len(), 1);
    assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
    assert_eq!(
        book.append(New::of(book::FindId(77), at(1), What::put(reading(1))))
            .unwrap_err()
            .kind,
        Kind::Unknown
    );
}

#[test]
fn the_same_key_gives_the_same_entry() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    let one = Book::create(&path).unwrap();
    let other = Book::open(&path).unwrap();
    let find = started(&one);
    let new = |n| New {
        key: Some("k1".into()),
        ..New::of(find, at(1), What::put(reading(n)))
    };
    let first = one.append(new(1)).unwrap();
    assert_eq!(other.append(new(1)).unwrap(), first);
    assert_eq!(one.find(find).unwrap().find.readings.len(), 1);
    let elsewhere = started(&one);
    let taken = one
        .append(New {
            find: elsewhere,
            ..new(1)
        })
        .unwrap_err();
    assert_eq!(taken.kind, Kind::Refused);
    let start = book::Start {
        sheet: CRATE,
        slug: None,
        key: Some("s1"),
        device: None,
        at: at(0),
    };
    assert_eq!(
        one.start_from(&start).unwrap(),
        other.start_from(&start).unwrap()
    );
    assert_eq!(one.finds(&Filter::default()).unwrap().len(), 3);
}

#[test]
fn numbers_are_given_by_the_book_and_never_twice() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let shape = sheet::read(&(CRATE.to_owned() + &reading(40))).unwrap();
    let new = |key: &str, setup: bool| book::Reading {
        find,
        key: Some(key.into()),
        device: None,
        seen: None,
        at: at(3),
        setup: setup.then(|| shape.setups[0].clone()),
        reading: shape.readings[0].clone(),
    };
    let (entry, number) = book.append_reading(new("a", false)).unwrap();
    assert_eq!(number, 1);
    assert_eq!(
        book.append_reading(new("a", false)).unwrap(),
        (entry.clone(), 1)
    );
    strike(&book, find, entry.id).unwrap();
    let (_, number) = book.append_reading(new("b", true)).unwrap();
    assert_eq!(number, 2, "1 was given, though it is struck");
    let state = book.find(find).unwrap();
    assert_eq!(state.find.readings[0].setup, 2);
    let draft = New::of(find, at(4), What::put(""));
    assert_eq!(book.append_setup(draft, &shape.setups[0]).unwrap().1, 3);
}

#[test]
fn a_reading_is_struck_with_its_reason_and_kept() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    put(&book, find, &reading(1));
    let append = |what| book.append(New::of(find, at(2), what));
    append(What::ReadingKept {
        number: 1,
        kept: true,
    })
    .unwrap();
    append(What::ReadingStruck {
        number: 1,
        reason: "clip on paint".into(),
    })
    .unwrap();
    let state = book.find(find).unwrap();
    assert_eq!(
        state.find.readings[0].struck.as_deref(),
        Some("clip on paint")
    );
    assert!(state.find.readings[0].kept);
    assert_eq!(
        append(What::ReadingKept {
            number: 2,
            kept: true
        })
        .unwrap_err()
        .kind,
        Kind::Unknown
    );
    assert_eq!(
        append(What::ReadingStruck {
            number: 1,
            reason: " ".into()
        })
        .unwrap_err()
        .kind,
        Kind::Refused
    );
    assert_eq!(book.search("paint").unwrap()[0].noun, Noun::Reading(1));
}

#[test]
fn renaming_takes_the_old_one_out_in_the_same_entry() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let text = CRATE
        .split("[[part]]")
        .nth(1)
        .unwrap()
        .split("[[instrument]]")
        .next()
        .unwrap();
    let what = What::Put {
        fragment: format!("[[part]]{}", text.replace("T1", "T5")),
        instead_of: vec![Noun::Part("T1".into())],
    };
    let entry = book.append(New::of(find, at(2), what)).unwrap();
    let names = |b: &Book| {
        b.find(find)
            .unwrap()
            .find
            .parts
            .iter()
            .map(|p| p.designation.to_string())
            .collect::<Vec<_>>()
    };
    assert_eq!(names(&book), ["T5"]);
    strike(&book, find, entry.id).unwrap();
    assert_eq!(names(&book), ["T1"]);
}

#[test]
fn words_are_found_where_they_stand_now() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let note = put(
        &book,
        find,
        "[[note]]\ntext = \"smells of burnt Schellack, like \\\"old\\\" radios\"\n",
    );
    let tag = |word: &str| {
        book.append(New::of(find, at(2), What::Tagged { word: word.into() }))
            .unwrap()
    };
    tag("radio shed");
    let nouns = |words: &str| {
        book.search(words)
            .unwrap()
            .into_iter()
            .map(|h| h.noun)
            .collect::<Vec<_>>()
    };
    assert!(matches!(nouns("schella burnt")[..], [Noun::Note(_)]));
    assert_eq!(nouns("shed"), [Noun::Tags]);
    assert_eq!(nouns("crate"), [Noun::Find]);
    assert_eq!(nouns("transf"), [Noun::Part("T1".into())]);
    let hit = &book.search("burnt").unwrap()[0];
    assert!(
        hit.snippet.iter().any(|p| p.found && p.text == "burnt"),
        "{hit:?}"
    );
    for odd in ["", "\"", "* OR NOT", "a\"b*(", "NEAR(", "-x", "\u{2}"] {
        book.search(odd).unwrap();
    }
    strike(&book, find, note.id).unwrap();
    assert_eq!(nouns("burnt"), []);
    let rows = book
        .finds(&Filter {
            tag: Some("radio shed".into()),
            ..Filter::default()
        })
        .unwrap();
    assert_eq!((rows.len(), rows[0].slug.as_str()), (1, "crate-find"));
    let none = book
        .finds(&Filter {
            tag: None,
            without_tag: Some("radio shed".into()),
            ..Filter::default()
        })
        .unwrap();
    assert_eq!(none, []);
    book.append(New::of(
        find,
        at(2),
        What::Untagged {
            word: "radio shed".into(),
        },
    ))
    .unwrap();
    assert_eq!(nouns("shed"), []);
    assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
}

#[test]
fn what_is_put_as_new_takes_the_place_of_nothing() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    put(&book, find, &reading(1));
    let two = |a, b| {
        let what = What::put(reading(a) + &reading(b));
        book.append_new(New::of(find, at(3), what))
    };
    let refused = two(2, 1).unwrap_err();
    assert_eq!(refused.kind, Kind::Taken);
    assert!(
        refused.to_string().contains("reading 1: is there already"),
        "{refused}"
    );
    assert_eq!(
        book.find(find).unwrap().find.readings.len(),
        1,
        "none of them"
    );
    two(2, 3).unwrap();
    assert_eq!(book.find(find).unwrap().find.readings.len(), 3);
}

#[test]
fn photos_are_kept_once_and_tied_to_what_they_show() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let picture = common::picture(90);
    let digest = book.add_photo(&picture).unwrap();
    assert_eq!(book.add_photo(&picture).unwrap(), digest);
    let of = vec![Noun::Join(vec!["T1:2".into(), "T1:1".into()])];
    let mark = Mark {
        at: [0.5, 0.25],
        to: None,
        words: "scorched".into(),
        of: Some(Noun::Part("T1".into())),
    };
    let photo = |digest: &str| What::Photo {
        digest: digest.into(),
        caption: "front".into(),
        marks: vec![mark.clone()],
        of: of.clone(),
    };
    book.append(New::of(find, at(1), photo(&digest))).unwrap();
    assert_eq!(
        book.append(New::of(find, at(1), photo("00")))
            .unwrap_err()
            .kind,
        Kind::Unknown
    );
    let state = book.find(find).unwrap();
    assert_eq!(
        state
            .photos_of(&Noun::Join(vec!["T1:1".into(), "T1:2".into()]))
            .count(),
        1
    );
    assert_eq!(
        state.photos_of(&Noun::Part("T1".into())).count(),
        1,
        "a mark points at it"
    );
    let kept = book.photo(&digest).unwrap().unwrap();
    assert_eq!(
        (kept.bytes.as_slice(), kept.width, kept.height),
        (picture.bytes(), 4, 3)
    );
    assert_eq!(
        book.finds(&Filter::default()).unwrap()[0]
            .first_photo
            .as_ref(),
        Some(&digest)
    );
    assert_eq!(
        book.search("scorched").unwrap()[0].noun,
        Noun::Photo(digest.clone())
    );
    let gone = What::Removed {
        noun: Noun::Photo(digest.clone()),
        reason: None,
    };
    book.append(New::of(find, at(1), gone)).unwrap();
    assert_eq!(book.find(find).unwrap().photos, []);
    let bytes = u64::try_from(picture.bytes().len()).unwrap();
    assert_eq!(
        book.photos_held().unwrap(),
        (bytes, 1),
        "the picture stays, as every entry does"
    );
    assert!(book.photo_of(find, &digest).unwrap().is_some());
    let other = started(&book);
    assert_eq!(book.photo_of(other, &digest).unwrap(), None);
    assert_eq!(book.verify().unwrap().photos, 1);
}

#[test]
fn what_is_given_another_name_keeps_its_photos() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let lead = |name: &str| format!("[[lead]]\ndesignation = \"{name}\"\nfrom = \"T1:1\"\n");
    put(&book, find, &lead("W1"));
    let digest = book.add_photo(&common::picture(90)).unwrap();
    let photo = What::Photo {
        digest,
        caption: String::new(),
        marks: Vec::new(),
        of: vec![Noun::Lead("W1".into())],
    };
    book.append(New::of(find, at(1), photo)).unwrap();
    let renamed = What::Put {
        fragment: lead("W7"),
        instead_of: vec![Noun::Lead("W1".into())],
    };
    let entry = book.append(New::of(find, at(2), renamed)).unwrap();
    let of = |noun: &str| {
        let state = book.find(find).unwrap();
        state.photos_of(&Noun::Lead(noun.into())).count()
    };
    assert_eq!((of("W1"), of("W7")), (0, 1));
    let reason = "it was W1 after all".to_owned();
    let undone = What::Struck {
        entry: entry.id,
        reason,
    };
    book.append(New::of(find, at(3), undone)).unwrap();
    assert_eq!((of("W1"), of("W7")), (1, 0));
}

#[test]
fn a_clock_set_back_changes_no_order() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let append = |minute, n| {
        book.append(New::of(find, at(minute), What::put(reading(n))))
            .unwrap()
    };
    append(600, 1);
    append(30, 2);
    let entries = book.entries(find, EntryId(0)).unwrap();
    let times: Vec<i64> = entries.iter().map(|e| e.at.millis / 60_000).collect();
    assert_eq!(
        times,
        [0, 600, 30],
        "told as they are, in the order they came"
    );
    let numbers: Vec<u32> = book
        .find(find)
        .unwrap()
        .find
        .readings
        .iter()
        .map(|r| r.number)
        .collect();
    assert_eq!(numbers, [1, 2]);
}

#[test]
fn two_who_edit_the_same_thing_lose_neither() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    let (desk, bench) = (Book::create(&path).unwrap(), Book::open(&path).unwrap());
    let find = started(&desk);
    let seen = Some(desk.newest().unwrap());
    let lead = |colour: &str| {
        What::put(format!(
            "[[lead]]\ndesignation = \"W1\"\nfrom = \"T1:1\"\ncolour = \"{colour}\"\n"
        ))
    };
    let write = |book: &Book, colour: &str| {
        book.append(New {
            seen,
            ..New::of(find, at(1), lead(colour))
        })
        .unwrap()
    };
    let first = write(&desk, "brown");
    let second = write(&bench, "black");
    assert!(
        second.seen < Some(first.id),
        "written without knowing of the first"
    );
    for book in [&desk, &bench] {
        assert_eq!(
            book.find(find).unwrap().find.leads[0].colour.as_deref(),
            Some("black")
        );
        let told: Vec<_> = book
            .entries(find, EntryId(1))
            .unwrap()
            .into_iter()
            .map(|e| e.what)
            .collect();
        assert_eq!(told, [lead("brown"), lead("black")]);
    }
    strike(&desk, find, second.id).unwrap();
    assert_eq!(
        bench.find(find).unwrap().find.leads[0].colour.as_deref(),
        Some("brown")
    );
    let then = bench.find_at(find, second.id).unwrap();
    assert_eq!(
        then.find.leads[0].colour.as_deref(),
        Some("black"),
        "as it stood then"
    );
    assert_eq!(bench.changed(first.id).unwrap(), [find]);
}

#[test]
fn who_waits_is_told_of_what_another_program_wrote() {
    let folder = Folder::new();
    let path = folder.file("book.sqlite");
    let (one, other) = (Book::create(&path).unwrap(), Book::open(&path).unwrap());
    let find = started(&one);
    let since = one.newest().unwrap();
    let none = std::time::Duration::ZERO;
    assert_eq!(one.wait_newer(since, none).unwrap(), since);
    let long = std::time::Duration::from_secs(60);
    for book in [&one, &other] {
        let since = one.newest().unwrap();
        let newest = std::thread::scope(|scope| {
            let waiting = scope.spawn(|| one.wait_newer(since, long).unwrap());
            let n = u32::try_from(since.0).unwrap();
            put(book, find, &reading(n));
            waiting.join().unwrap()
        });
        assert!(newest > since);
    }
}
