//! For any sequence of entries: what they add up to one by one is what they add up to afresh, in this program and in another one.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, EntryId, New, Noun, State, What};
use common::{Folder, at, started};
use proptest::prelude::*;

/// Something somebody might record, by three rolls; much of it will be refused.
fn what(kind: u8, n: u32, entry: u64) -> What {
    let lead = |d: u32, colour: u32| {
        format!(
            "[[lead]]\ndesignation = \"W{d}\"\nfrom = \"T1:{}\"\ncolour = \"c{colour}\"\n",
            1 + colour % 4
        )
    };
    let reason = "slip".to_owned();
    match kind {
        0 => What::put(common::reading(n)),
        1 => What::put(lead(n, entry as u32 % 5)),
        2 => What::put(format!(
            "[[join]]\nterminals = [\"T1:{}\", \"T1:{}\"]\nnote = \"n{entry}\"\n",
            1 + n % 4,
            1 + (n / 4) % 4
        )),
        3 => What::put(format!(
            "[[part]]\ndesignation = \"F{n}\"\nkind = \"fuse\"\n[[lead]]\ndesignation = \"W{n}\"\nfrom = \"F{n}:1\"\n"
        )),
        4 => What::Removed {
            noun: if entry.is_multiple_of(2) {
                Noun::Lead(format!("W{n}"))
            } else {
                Noun::Part(format!("F{n}"))
            },
            reason: None,
        },
        5 => What::ReadingStruck { number: n, reason },
        6 => What::ReadingKept {
            number: n,
            kept: entry.is_multiple_of(2),
        },
        7 | 8 => What::Struck {
            entry: EntryId(entry),
            reason,
        },
        9 => What::Tagged {
            word: format!("t{n}"),
        },
        10 => What::Untagged {
            word: format!("t{n}"),
        },
        11 => What::put(format!(
            "[find]\nname = \"name {n}\"\n[plate]\ntext = \"{entry} kVA\"\n[[note]]\ntext = \"w{n}\"\n"
        )),
        _ => What::Put {
            fragment: lead(n, 1),
            instead_of: vec![Noun::Lead(format!("W{}", n + 1))],
        },
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn one_by_one_is_afresh(rolls in prop::collection::vec((0u8..13, 1u32..6, 1u64..30), 1..40)) {
        let folder = Folder::new();
        let path = folder.file("book.sqlite");
        let book = Book::create(&path).unwrap();
        let find = started(&book);
        let mut taken = 0;
        for (i, (kind, n, entry)) in rolls.iter().enumerate() {
            let before = book.find(find).unwrap();
            match book.append(New::of(find, at(i as i64), what(*kind, *n, *entry))) {
                Ok(_) => taken += 1,
                Err(error) => {
                    prop_assert!(!error.remedy.is_empty());
                    let now = book.find(find).unwrap();
                    prop_assert_eq!(&*before, &*now, "refused and yet changed");
                }
            }
        }
        let state = book.find(find).unwrap();
        let entries = book.entries(find, EntryId(0)).unwrap();
        prop_assert_eq!(entries.len(), taken + 1);
        prop_assert_eq!(&*state, &State::afresh(find, &state.slug, &entries));
        let elsewhere = Book::open(&path).unwrap().find(find).unwrap();
        prop_assert_eq!(&*state, &*elsewhere);
        prop_assert_eq!(state.find.faults(), Vec::new());
        let written = sheet::read(&sheet::write(&state.find));
        prop_assert_eq!(written.as_ref(), Ok(&state.find));
        prop_assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
    }
}
