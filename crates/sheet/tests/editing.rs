//! Changes to a text somebody wrote: what was asked for is there, all else is as it was.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

use gear::{Find, Measured, Moment, Place, Reading, Setup, TerminalRef};
use quantity::Quantity;

const OWN_WORDS: &str = r#"# my own order and remarks
sheet = 1
[[reading]]            # first try
number = 1
setup = 1
between = ["T1:1.1", "T1:1.2"]
shown = "230.1 V"      # steady
# the needle never moved

[find]
name = 'crate find'
[[setup]]
number = 1
what = "no load"
[[setup.feed]]
to = ["T1:1.1", "T1:1.2"]
volts = "230 V"
[[part]]
kind = "transformer"
designation = "T1"
winding = [ { name = "primary", points = ["1.1", "1.2"] }, { name = "secondary", points = ["2.1", "2.2"] } ]"#;

fn terminal(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
}

fn reading(number: u32) -> Reading {
    Reading {
        number,
        setup: 1,
        at: Some(Moment::parse("14:09").unwrap()),
        instrument: None,
        measured: Measured::AcVoltage,
        place: Place::Between(terminal("T1:2.1"), terminal("T1:2.2")),
        shown: Some(Quantity::parse("23.10 V").unwrap()),
        beep: None,
        together: None,
        kick: None,
        what: Some("lamp side".into()),
        struck: None,
        kept: false,
        note: Some("two\nlines".into()),
    }
}

/// Every line of `text` stands in `longer`, in order.
fn keeps_every_line(text: &str, longer: &str) -> bool {
    let mut lines = longer.lines();
    text.lines().all(|line| lines.any(|l| l == line))
}

fn read(text: &str) -> Find {
    sheet::read(text).unwrap_or_else(|problems| panic!("{problems:#?}\n{text}"))
}

#[test]
fn a_reading_goes_behind_the_last_one_and_its_remarks() {
    let longer = sheet::append_reading(OWN_WORDS, &reading(2)).unwrap();
    let mut wanted = read(OWN_WORDS);
    wanted.readings.push(reading(2));
    assert_eq!(read(&longer), wanted);
    assert!(keeps_every_line(OWN_WORDS, &longer), "{longer}");
    assert!(
        longer.contains("# the needle never moved\n\n[[reading]]\nnumber = 2\n"),
        "{longer}"
    );
    assert!(longer.contains("lines\"\"\"\n\n[find]"), "{longer}");
    let longest = sheet::append_reading(&longer, &reading(3)).unwrap();
    assert_eq!(
        read(&longest)
            .readings
            .iter()
            .map(|r| r.number)
            .collect::<Vec<_>>(),
        [1, 2, 3]
    );
}

#[test]
fn the_first_reading_goes_to_the_end() {
    let without: String = OWN_WORDS
        .lines()
        .filter(|l| !l.is_empty())
        .skip_while(|l| *l != "[find]")
        .map(|l| format!("{l}\n"))
        .collect();
    let without = format!("sheet = 1\n{without}");
    let longer = sheet::append_reading(&without, &reading(1)).unwrap();
    assert!(longer.starts_with(&without), "{longer}");
    assert_eq!(read(&longer).readings, [reading(1)]);
}

#[test]
fn a_setup_goes_behind_the_last_one_with_its_feeds() {
    let setup = Setup {
        number: 2,
        at: None,
        what: Some("shorted".into()),
        feeds: read(OWN_WORDS).setups[0].feeds.clone(),
        sliders: vec![],
        switches: vec![],
        joined: vec![vec![terminal("T1:2.1"), terminal("T1:2.2")]],
        lifted: vec![],
        loads: vec![],
        temperature: None,
    };
    let longer = sheet::append_setup(OWN_WORDS, &setup).unwrap();
    let mut wanted = read(OWN_WORDS);
    wanted.setups.push(setup);
    assert_eq!(read(&longer), wanted);
    assert!(keeps_every_line(OWN_WORDS, &longer), "{longer}");
}

#[test]
fn a_reading_is_struck_and_the_reason_can_change() {
    let struck = sheet::set_struck(OWN_WORDS, 1, "clip sat on the tap").unwrap();
    let mut wanted = read(OWN_WORDS);
    wanted.readings[0].struck = Some("clip sat on the tap".into());
    assert_eq!(read(&struck), wanted);
    assert!(keeps_every_line(OWN_WORDS, &struck), "{struck}");
    let again = sheet::set_struck(&struck, 1, "wrong \"pair\"").unwrap();
    assert_eq!(
        again,
        struck.replace("clip sat on the tap", "wrong \\\"pair\\\"")
    );
}

#[test]
fn a_reading_is_kept_and_the_mark_taken_back() {
    let kept = sheet::set_kept(OWN_WORDS, 1, true).unwrap();
    assert!(read(&kept).readings[0].kept);
    assert_eq!(sheet::set_kept(&kept, 1, false).unwrap(), OWN_WORDS);
    assert_eq!(sheet::set_kept(OWN_WORDS, 1, false).unwrap(), OWN_WORDS);
}

#[test]
fn readings_in_one_bracketed_list_can_be_struck_but_not_added_to() {
    let start = OWN_WORDS.find("[[reading]]").unwrap();
    let end = OWN_WORDS.find("[find]").unwrap();
    let list = r#"reading = [{ number = 1, setup = 1, between = ["T1:1.1", "T1:1.2"], shown = "230.1 V" }]"#;
    let text = format!("{}{list}\n{}", &OWN_WORDS[..start], &OWN_WORDS[end..]);
    let struck = sheet::set_struck(&text, 1, "no").unwrap();
    assert_eq!(read(&struck).readings[0].struck.as_deref(), Some("no"));
    let problems = sheet::append_reading(&text, &reading(2)).unwrap_err();
    assert_eq!(
        problems[0].to_string(),
        "line 3, column 11: `reading` is written as one list in brackets; head each element with `[[reading]]`, then add"
    );
}

#[test]
fn what_does_not_fit_is_refused_with_its_place() {
    let taken = sheet::append_reading(OWN_WORDS, &reading(1)).unwrap_err();
    assert_eq!(taken[0].what, "reading 1 stands twice");
    let unknown = sheet::set_struck(OWN_WORDS, 7, "no such").unwrap_err();
    assert_eq!(
        unknown[0].to_string(),
        "line 1, column 1: unknown reading 7; known: 1"
    );
    let broken = sheet::set_struck("sheet = 1\n", 7, "no such").unwrap_err();
    assert_eq!(broken[0].what, "missing `find` in the sheet");
}

#[test]
fn line_breaks_of_two_bytes_stay() {
    let text = OWN_WORDS.replace('\n', "\r\n");
    let longer = sheet::append_reading(
        &text,
        &Reading {
            note: None,
            ..reading(2)
        },
    )
    .unwrap();
    assert_eq!(
        longer.matches('\n').count(),
        longer.matches("\r\n").count(),
        "{longer:?}"
    );
    assert_eq!(read(&longer).readings.len(), 2);
    let struck = sheet::set_struck(&text, 1, "no").unwrap();
    assert_eq!(struck.matches('\n').count(), struck.matches("\r\n").count());
}
