//! The list: what a row tells without the find being folded, pages of it, tags, and judgements stored sparingly.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, EntryId, Filter, FindId, Judged, New, What};
use common::{at, put, reading, started};

fn judged(at_entry: EntryId, version: &str) -> Judged {
    Judged {
        version: version.into(),
        at_entry,
        priors: serde_json::json!([]),
        judgement: serde_json::json!({ "agrees": 1 }),
    }
}

fn tag(book: &Book, find: FindId, word: &str) {
    let what = What::Tagged { word: word.into() };
    book.append(New::of(find, at(5), what)).unwrap();
}

#[test]
fn a_row_tells_plate_parts_and_the_newest_judgement() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    put(&book, find, "[plate]\ntext = \"2 kVA 230 V\"\n");
    let newest = put(&book, find, &reading(1)).id;
    let row = || book.finds(&Filter::default()).unwrap().remove(0);
    assert_eq!((row().parts, row().readings), (1, 1));
    assert!(row().plate.contains("2 kVA 230 V"), "{}", row().plate);
    assert_eq!(row().judged, None);
    book.judged(find, &at(9), judged(newest, "1")).unwrap();
    let told = row().judged.unwrap();
    assert!(told.of_today, "{told:?}");
    assert_eq!(
        (told.at_entry, &told.judgement["agrees"]),
        (newest, &serde_json::json!(1))
    );
    assert_eq!(row().updated, at(1), "a judgement is nobody's doing");
    tag(&book, find, "shed");
    assert!(
        row().judged.unwrap().of_today,
        "a tag tells nothing of the gear"
    );
    put(&book, find, &reading(2));
    assert!(!row().judged.unwrap().of_today);
    assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
}

#[test]
fn a_judgement_is_stored_once_for_what_was_told() {
    let book = Book::in_memory().unwrap();
    let find = started(&book);
    let newest = put(&book, find, &reading(1)).id;
    let stored = |at_entry, version| {
        let entry = book
            .judged(find, &at(9), judged(at_entry, version))
            .unwrap();
        entry.is_some()
    };
    assert!(stored(newest, "1"));
    let after = book.find(find).unwrap().newest;
    assert!(!stored(newest, "1"), "the same again");
    assert!(!stored(after, "1"), "nothing told since");
    assert!(stored(after, "2"), "by another version");
    tag(&book, find, "shed");
    assert!(!stored(book.find(find).unwrap().newest, "2"));
    let read = put(&book, find, &reading(2)).id;
    assert!(stored(read, "2"));
    assert_eq!(book.entries(find, EntryId(0)).unwrap().len(), 7);
}

#[test]
fn the_list_comes_in_pages_and_by_tag() {
    let book = Book::in_memory().unwrap();
    let finds: Vec<FindId> = (0..5).map(|_| started(&book)).collect();
    for find in &finds[..3] {
        tag(&book, *find, "shed");
    }
    let ids = |filter: &Filter| -> Vec<FindId> {
        book.finds(filter)
            .unwrap()
            .iter()
            .map(|row| row.id)
            .collect()
    };
    let page = |skip| Filter {
        skip,
        most: Some(2),
        ..Filter::default()
    };
    assert_eq!(
        ids(&page(0)),
        [finds[2], finds[1]],
        "the one touched last first"
    );
    assert_eq!(ids(&page(4)), [finds[3]]);
    assert_eq!(book.count(&page(4)).unwrap(), 5);
    let tagged = Filter {
        tag: Some("shed".into()),
        ..page(2)
    };
    assert_eq!(ids(&tagged), [finds[0]]);
    assert_eq!(book.count(&tagged).unwrap(), 3);
    assert_eq!(book.tags().unwrap(), [("shed".to_owned(), 3)]);
}
