//! What a bench page says and what it keeps to itself, state by state.

use super::*;
use crate::submitted::Submitted;

const CREAMERY: &str = include_str!("../../../../examples/creamery.toml");
const WALL: &str = "\n[[kit.source]]\nname = \"wall socket\"\nisolated = false\n\n[[setup]]\nnumber = 5\n[[setup.feed]]\nsource = \"wall socket\"\nto = [\"X1:1\", \"X1:N\"]\nvolts = \"230 V\"\n\n[[setup]]\nnumber = 6\n[[setup.feed]]\nsource = \"bench set\"\nto = [\"X1:1\", \"X1:N\"]\nvolts = \"8 V\"\n";

fn page(fields: &[(&str, &str)], errors: &Errors) -> String {
    let opened = Opened::new(format!("{CREAMERY}{WALL}"));
    let mut came = Submitted::default();
    fields
        .iter()
        .for_each(|(field, value)| came.set(field, *value));
    let whole = show("creamery", &opened, &came, errors).into_string();
    // The meanings of terms stand behind the page.
    whole
        .split("class=\"meanings\"")
        .next()
        .unwrap_or_default()
        .to_owned()
}

fn at(setup: &str, more: &[(&str, &str)]) -> String {
    let stand = [("setup", setup), ("instrument", "P1")];
    let fields: Vec<_> = stand.iter().chain(more).copied().collect();
    page(&fields, &Errors::default())
}

fn is_unfolded(page: &str) -> bool {
    page.contains("<details class=\"heed\" open>")
}

const VOLTS: [(&str, &str); 3] = [("from", "X1:1"), ("to", "X1:N"), ("measured", "AC voltage")];

#[test]
fn nothing_is_hoped_for_before_a_reading() {
    for setup in ["1", "2", "3", "4", "5"] {
        let page = at(setup, &VOLTS);
        assert!(
            !page.contains('±') && !page.contains("predicted "),
            "setup {setup}"
        );
    }
}

#[test]
fn what_a_queried_reading_should_have_been_is_kept_from_who_repeats_it() {
    let opened = Opened::new(CREAMERY.to_owned());
    let judge = opened.judge().unwrap();
    let queried = judge
        .promptly()
        .readings
        .iter()
        .find(|r| r.number == 24)
        .unwrap();
    let hoped = queried.predicted.clone().unwrap();
    let page = at("4", &[("said", "24")]);
    let frame = page.split("id=\"places\"").next().unwrap();
    assert!(frame.contains("contradicts") && frame.contains("Repeat, from an empty field"));
    assert!(frame.contains("Strike 24") && frame.contains("Keep as read"));
    assert!(!frame.contains(&hoped), "{hoped} is said");
    let agreed = at("4", &[("said", "22")]);
    assert!(agreed.contains("predicted") && agreed.contains('±'));
}

#[test]
fn a_floating_place_proves_nothing_and_a_struck_reading_tells_why() {
    let floating = at("4", &[("said", "32")]);
    assert!(floating.contains("This number proves nothing") && !floating.contains("class=\"exp\""));
    let struck = at("4", &[("said", "27")]);
    assert!(struck.contains("Struck: clip sat on the tap") && !struck.contains("Strike 27"));
}

#[test]
fn cautions_are_unfolded_before_the_first_clip_goes_on() {
    assert!(!is_unfolded(&at("4", &VOLTS)), "the setup has been read in");
    assert!(
        is_unfolded(&at("4", &[("fresh", "1")])),
        "chosen just now: it is being clipped on"
    );
    assert!(is_unfolded(&at("6", &VOLTS)), "nothing was read in it yet");
    let ohms = [("from", "T1:1"), ("to", "T1:3"), ("measured", "resistance")];
    let page = at("1", &ohms);
    assert!(page.contains("DIRECT CURRENT") && !page.contains("EARTHED INSTRUMENT"));
    assert!(page.contains("read when it has settled"));
}

#[test]
fn a_live_setup_says_so_and_no_limit_is_made_up() {
    let page = at("5", &VOLTS);
    for words in [
        "LIVE",
        "no live step is proposed",
        "No stop limit is known",
        "MAINS",
    ] {
        assert!(page.contains(words), "{words}");
    }
    let low = at("4", &VOLTS);
    assert!(low.contains(">LOW<") && low.contains("Off at once above 50.0\u{a0}V"));
    assert!(at("1", &VOLTS).contains("it is not dead"));
}

#[test]
fn the_choice_tells_the_gravest_danger_in_full_and_the_others_by_name() {
    let page = page(&[], &Errors::default());
    let (full, folded) = page.split_once("<details class=\"heed\">").expect("folded");
    assert_eq!(full.matches("class=\"caution\"").count(), 1);
    assert!(full.contains("MAINS"));
    for danger in ["DIRECT CURRENT", "NEUTRAL", "EARTHED INSTRUMENT"] {
        assert!(folded.contains(danger), "{danger}");
    }
}

#[test]
fn what_is_refused_keeps_what_was_typed() {
    let mut errors = Errors::default();
    errors.add("shown", "unknown unit `x`");
    let fields: Vec<_> = [
        ("setup", "4"),
        ("instrument", "P1"),
        ("shown", "24.x"),
        ("leads_back", "yes"),
    ]
    .into_iter()
    .chain(VOLTS)
    .collect();
    let page = page(&fields, &errors);
    assert!(page.contains("Not recorded yet: unknown unit `x`"));
    assert!(page.contains("value=\"24.x\"") && page.contains("value=\"yes\" checked"));
}

#[test]
fn a_place_of_its_own_name_is_asked_for_by_it() {
    let page = at(
        "4",
        &[
            ("from", "T5:2.1"),
            ("to", "T5:2.2"),
            ("what", "second booster"),
        ],
    );
    assert!(page.contains("Second booster") && page.contains("T5:2.1 to T5:2.2"));
    assert!(
        page.contains("name=\"measured\" value=\"AC voltage\""),
        "volts, where nobody says otherwise"
    );
}
