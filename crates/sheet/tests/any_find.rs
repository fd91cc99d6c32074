//! For every find: written, read back, the same. For every text: an answer, never a panic.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod dice;

use dice::{Dice, find};
use gear::{Find, Measured, Note};
use proptest::prelude::*;
use std::collections::BTreeSet;

const WHOLE: &str = include_str!("whole.toml");

/// A text with a run of characters taken out, doubled, or exchanged, some times over.
fn mangled(text: &str, rolls: &[u16]) -> String {
    const STUFF: [&str; 16] = [
        "\"",
        "[[",
        "]",
        "=",
        "\n",
        "#",
        "\\",
        "{",
        "}",
        ",",
        "'''",
        "\u{0}",
        "Ω",
        "T1",
        "[kit]\n",
        "sheet = 1\n",
    ];
    let mut dice = Dice::new(rolls);
    let mut letters: Vec<char> = text.chars().collect();
    for _ in 0..=dice.below(4) {
        let from = dice.below(letters.len().max(1));
        let to = (from + 1 + dice.below(30)).min(letters.len());
        let put: Vec<char> = match dice.below(3) {
            0 => Vec::new(),
            1 => letters[from..to]
                .iter()
                .chain(&letters[from..to])
                .copied()
                .collect(),
            _ => dice.of(&STUFF).chars().collect(),
        };
        letters.splice(from..to, put);
    }
    letters.into_iter().collect()
}

/// Reads and edits; every problem must lie in the text.
fn survives(text: &str) {
    if let Err(problems) = sheet::read(text) {
        assert!(!problems.is_empty(), "refused without a word: {text:?}");
        for problem in problems {
            let line = text.split('\n').nth(problem.line - 1);
            assert!(
                line.is_some_and(|l| problem.column <= l.chars().count() + 1),
                "{problem} in {text:?}"
            );
            assert!(
                !problem.what.contains('\n') && !problem.remedy.is_empty(),
                "{problem:?}"
            );
        }
    }
    let find = sheet::read(WHOLE).unwrap();
    let _ = sheet::append_reading(text, &find.readings[0]);
    let _ = sheet::append_setup(text, &find.setups[0]);
    let _ = sheet::set_struck(text, 24, "why \"not\"\n");
    let _ = sheet::set_kept(text, 24, false);
}

#[test]
fn the_dice_leave_nothing_out() {
    let finds: Vec<Find> = (1..60u32)
        .map(|seed| {
            (0..600u32)
                .map(|i| ((i * 40_503 + seed * 30_011) >> 3) as u16)
                .collect::<Vec<_>>()
        })
        .map(|rolls| find(&mut Dice::new(&rolls)))
        .collect();
    for measured in Measured::ALL {
        assert!(
            finds
                .iter()
                .flat_map(|f| &f.readings)
                .any(|r| r.measured == measured),
            "{measured:?}"
        );
    }
    let kinds: BTreeSet<&str> = finds
        .iter()
        .flat_map(|f| &f.parts)
        .map(|p| p.kind.word())
        .collect();
    assert_eq!(kinds.len(), 10, "{kinds:?}");
    assert!(
        finds
            .iter()
            .any(|f| f.setups.iter().any(|s| s.feeds.len() + s.loads.len() > 2))
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_find_written_reads_back_the_same(rolls in prop::collection::vec(any::<u16>(), 600)) {
        let find = find(&mut Dice::new(&rolls));
        prop_assert_eq!(find.faults(), Vec::new());
        let text = sheet::write(&find);
        let again = sheet::read(&text);
        prop_assert_eq!(again.as_ref(), Ok(&find), "{}", text);
        prop_assert_eq!(sheet::write(&again.unwrap()), text);
    }

    #[test]
    fn any_words_read_back_the_same(words in any::<String>(), more in "[\"'\\\\\n\r\t #a]{0,12}") {
        for words in [words, more] {
            let notes = vec![Note { at: None, text: words.clone() }];
            let find = Find { name: words.clone(), origin: Some(words), notes, ..Find::default() };
            let text = sheet::write(&find);
            prop_assert_eq!(sheet::read(&text), Ok(find), "{}", text);
        }
    }

    #[test]
    fn readings_added_one_by_one_are_the_readings(rolls in prop::collection::vec(any::<u16>(), 600)) {
        let mut find = find(&mut Dice::new(&rolls));
        let (readings, setups) = (std::mem::take(&mut find.readings), std::mem::take(&mut find.setups));
        let mut text = sheet::write(&find);
        for setup in setups {
            text = sheet::append_setup(&text, &setup).unwrap();
            find.setups.push(setup);
        }
        for reading in readings {
            text = sheet::append_reading(&text, &reading).unwrap();
            text = sheet::set_struck(&text, reading.number, "wrong\npair").unwrap();
            text = sheet::set_kept(&text, reading.number, reading.kept).unwrap();
            find.readings.push(gear::Reading { struck: Some("wrong\npair".into()), ..reading });
        }
        prop_assert_eq!(sheet::read(&text), Ok(find), "{}", text);
    }

    #[test]
    fn no_mangled_sheet_panics(rolls in prop::collection::vec(any::<u16>(), 24)) {
        survives(&mangled(WHOLE, &rolls));
    }

    #[test]
    fn no_text_panics(text in any::<String>(), rolls in prop::collection::vec(any::<u16>(), 24)) {
        survives(&text);
        survives(&mangled("sheet = 1\n[find]\nname = \"\"\"\nx\"\"\"\n[plate]\npower = '2 kVA'\n", &rolls));
    }
}
