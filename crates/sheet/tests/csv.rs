//! Readings as rows: out and in again the same, in the form of RFC 4180; everything wrong told at once with its place.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod dice;

use dice::{Dice, find};
use gear::{Find, Measured, Place};
use proptest::prelude::*;
use sheet::csv;

const WHOLE: &str = include_str!("whole.toml");

fn whole() -> Find {
    sheet::read(WHOLE).unwrap()
}

/// The find without its readings, and a text of readings taken into it.
fn taken(rows: &str) -> Result<Vec<gear::Reading>, Vec<String>> {
    let find = Find {
        readings: Vec::new(),
        ..whole()
    };
    csv::read(rows, &find).map_err(|all| all.iter().map(ToString::to_string).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn out_and_in_again_gives_the_same_readings(rolls in prop::collection::vec(any::<u16>(), 600)) {
        let mut find = find(&mut Dice::new(&rolls));
        let readings = std::mem::take(&mut find.readings);
        let text = csv::write(&readings);
        let again = csv::read(&text, &find);
        prop_assert_eq!(again.as_ref(), Ok(&readings), "{}", text);
    }

    #[test]
    fn any_words_come_back_the_same(words in any::<String>(), more in "[\"',;=+@\t\r\n a-]{0,8}") {
        let find = whole();
        let mut readings = find.readings.clone();
        readings.truncate(1);
        readings[0].what = Some(words.clone());
        readings[0].struck = Some(more.clone());
        readings[0].note = Some(format!("{more}{words}"));
        let find = Find { readings: Vec::new(), ..find };
        let text = csv::write(&readings);
        let again = csv::read(&text, &find);
        prop_assert_eq!(again.as_ref(), Ok(&readings), "{}", text);
    }

    /// RFC 4180, section 2, rules 1 and 4: each record on a line of its own, CR LF behind it, the same number of fields in each.
    #[test]
    fn every_text_has_the_form_of_the_standard(rolls in prop::collection::vec(any::<u16>(), 600)) {
        let text = csv::write(&find(&mut Dice::new(&rolls)).readings);
        prop_assert!(text.ends_with("\r\n"));
        let mut quoted = false;
        let (mut fields, mut before) = (1, ' ');
        for letter in text.chars() {
            match letter {
                '"' => quoted = !quoted,
                ',' if !quoted => fields += 1,
                '\n' if !quoted => {
                    prop_assert_eq!((before, fields), ('\r', 20));
                    fields = 1;
                }
                _ => {}
            }
            before = letter;
        }
        prop_assert!(!quoted);
    }

    #[test]
    fn no_rows_panic(text in any::<String>(), head in "(setup|from|to|shown|note|[,;\t\"\r\n'=ü1])*") {
        for text in [text, head] {
            if let Err(problems) = csv::read(&text, &whole()) {
                for problem in problems {
                    let line = text.split('\n').nth(problem.line - 1);
                    prop_assert!(
                        line.is_some_and(|l| problem.column <= l.chars().count() + 1),
                        "{} in {:?}", problem, text
                    );
                }
            }
        }
    }
}

#[test]
fn all_readings_of_the_worked_sheet_come_back() {
    let find = whole();
    let readings = taken(&csv::write(&find.readings)).unwrap();
    assert_eq!(readings, find.readings);
}

/// The examples of RFC 4180, section 2, rules 5 to 7: quotes around fields that need none, a line break, a comma and quotes inside.
#[test]
fn quotes_are_read_as_the_standard_says() {
    let rows =
        "setup,from,to,shown,note\r\n\"5\",\"T1:1\",T1:2,\"23,8 V\",\"b \"\"CRLF\r\nbb\"\",\"\r\n";
    let readings = taken(rows).unwrap();
    assert_eq!(readings[0].note.as_deref(), Some("b \"CRLF\r\nbb\","));
    assert_eq!(readings[0].shown.as_ref().unwrap().text(), "23,8 V");
    assert_eq!(readings[0].measured, Measured::AcVoltage);
}

#[test]
fn a_few_columns_are_enough_and_free_numbers_are_given() {
    let find = whole();
    let last = find.readings.iter().map(|r| r.number).max().unwrap();
    let rows = "\u{feff}Setup;From;To;Shown\n5;T1:1;T1:2;23,8 V\n;;;\n5;T1:2;T1:1;7.10 V\n";
    let readings = csv::read(rows, &find).unwrap();
    let numbers: Vec<u32> = readings.iter().map(|r| r.number).collect();
    assert_eq!(numbers, [last + 1, last + 2]);
    assert_eq!(readings[1].shown.as_ref().unwrap().text(), "7.10 V");
    assert!(matches!(readings[0].place, Place::Between(..)));
    let tabs = csv::read("setup\tfrom\tto\tshown\n5\tT1:1\tT1:2\t23.8 V\n", &find).unwrap();
    assert_eq!(tabs.len(), 1);
}

#[test]
fn everything_wrong_is_told_at_once_with_line_column_and_field() {
    let rows = "number,setup,at,from,to,shown,measured,struck,kept\n\
        1,99,14:09,T1:1,T1:2,23.8 V,,,\n\
        1,5,25:00,T1:1,T1:99,23.8 W,AC voltage,,maybe\n\
        x,5,,T1:1,,23.8.8 V,AC volts,,\n\
        5,5,,T1:1,T1:2\n";
    let told = taken(rows).unwrap_err();
    let begins = |start: &str| told.iter().any(|t| t.starts_with(start));
    for start in [
        "line 3, column 5, field `at`: `25:00` is no time",
        "line 3, column 41, field `kept`: `maybe` is neither yes nor no",
        "line 4, column 1, field `number`: `x` is no number",
        "line 4, column 11, field `to`: `from` without `to`",
        "line 4, column 21, field `measured`: `AC volts` is nothing measured; did you mean `AC voltage`?",
        "line 5, column 1: 5 fields, where the head line has 9",
        "line 2, column 3, field `setup`: unknown setup 99",
    ] {
        assert!(begins(start), "{start}\nin\n{}", told.join("\n"));
    }
    assert!(
        told.iter()
            .any(|t| t.starts_with("line 4, column 12, field `shown`")),
        "{}",
        told.join("\n")
    );
}

#[test]
fn what_the_find_does_not_know_is_told_at_its_field() {
    let told = taken("setup,from,to,shown\n5,T1:1,T1:99,23.8 V\n5,T1:1,T1:2,-1.0 V\n").unwrap_err();
    assert_eq!(told.len(), 2, "{}", told.join("\n"));
    assert!(
        told[0].starts_with("line 2, column 8, field `to`: unknown terminal"),
        "{}",
        told[0]
    );
    assert!(
        told[1].starts_with("line 3, column 13, field `shown`"),
        "{}",
        told[1]
    );
}

#[test]
fn a_head_line_of_another_kind_is_refused_with_the_names() {
    let told = taken("time,value\n14:09,23\n").unwrap_err();
    assert_eq!(told.len(), 1);
    assert!(
        told[0].contains("names no column") && told[0].contains("measured"),
        "{}",
        told[0]
    );
    let told = taken("setup,form,to,shown\n5,T1:1,T1:2,2 V\n").unwrap_err();
    assert_eq!(
        told,
        ["line 1, column 7: unknown column `form`; did you mean `from`?"]
    );
    let told = taken("setup,from,to,shown\n5,T1:1,\"T1:2,2 V\n").unwrap_err();
    assert_eq!(
        told,
        [
            "line 2, column 8: a quote that is not closed; close it; a quote that is meant is written twice"
        ]
    );
}

/// What a spreadsheet program would run: the field begins with an apostrophe, so it is text there.
#[test]
fn nothing_goes_out_that_a_spreadsheet_program_would_run() {
    let mut readings = whole().readings;
    readings.truncate(1);
    readings[0].what = Some("=1+1".into());
    readings[0].note = Some("@a".into());
    let text = csv::write(&readings);
    assert!(text.contains(",'=1+1,'@a\r\n"), "{text}");
    assert_eq!(taken(&text).unwrap(), readings);
}
