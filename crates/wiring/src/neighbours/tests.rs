use super::alike::Alike;
use super::{VariantKind, variants};
use crate::{Options, arrangement};
use gear::{Find, JoinState, Measured, Place, Reading, Setup, TerminalRef};

fn stabilizer(phases: &str) -> Find {
    let arrangement = arrangement("stabilizer-centre-tap").unwrap();
    (arrangement.build)(&Options {
        chosen: vec![("phases".into(), phases.into())],
        ..Options::default()
    })
}

#[test]
fn as_recorded_is_first_and_every_variant_stands_once() {
    for phases in ["1", "3"] {
        let find = stabilizer(phases);
        let all = variants(&find);
        assert_eq!(all[0].kind, VariantKind::AsRecorded);
        assert_eq!(all[0].find, find);
        let mut alike = Alike::of(&find);
        assert!(all.iter().all(|v| alike.is_new(&v.find)));
        assert!(all.iter().all(|v| v.weight > 0.0 && v.weight <= 1.0));
    }
}

#[test]
fn the_slips_a_bench_knows_are_among_them() {
    let mut find = stabilizer("3");
    find.setups.push(Setup {
        number: 1,
        at: None,
        what: None,
        feeds: vec![],
        sliders: vec![],
        switches: vec![],
        joined: vec![],
        lifted: vec![],
        loads: vec![],
        temperature: None,
    });
    let words: Vec<String> = variants(&find).into_iter().map(|v| v.what).collect();
    for expected in [
        "T4's secondary stands reversed",
        "the leads on T1:2 and T1:4 are exchanged",
        "T1:2 and T4:1.1 are not in contact",
        "nothing makes contact at T1:1",
        "T4's primary and secondary are exchanged",
        "the leads on T1:4 and T2:4 are exchanged",
        "F1 is blown or out",
    ] {
        assert!(
            words.iter().any(|w| w == expected),
            "{expected}: {words:#?}"
        );
    }
}

#[test]
fn what_was_seen_is_doubted_less() {
    let assumed = stabilizer("1");
    let mut seen = assumed.clone();
    seen.joins
        .iter_mut()
        .for_each(|j| j.state = JoinState::Seen);
    let weight = |find: &Find, what: &str| {
        let all = variants(find);
        all.iter()
            .find(|v| v.what == what)
            .map_or(0.0, |v| v.weight)
    };
    let what = "the leads on T1:2 and T1:4 are exchanged";
    assert!(
        weight(&seen, what) < 0.8 * weight(&assumed, what),
        "{} {}",
        weight(&seen, what),
        weight(&assumed, what)
    );
    // A lead that was seen in its place may be loose all the same.
    let what = "T1:2 and T2:1.1 are not in contact";
    assert!(
        weight(&seen, what) > 0.8 * weight(&assumed, what),
        "{} {}",
        weight(&seen, what),
        weight(&assumed, what)
    );
}

#[test]
fn ends_of_one_winding_exchanged_are_that_winding_reversed_unless_a_reading_tells_them_apart() {
    let mut find = stabilizer("1");
    let what = "the leads on T2:2.2 and T2:2.1 are exchanged";
    let named = |find: &Find| variants(find).iter().any(|v| v.what == what);
    assert!(!named(&find));
    let terminal = |text: &str| TerminalRef::parse(text).unwrap();
    for (one, other, told) in [
        ("T2:2.2", "T2:2.1", false),
        ("T1:1", "T1:4", false),
        ("T2:2.2", "T1:3", true),
    ] {
        find.readings = vec![reading(Place::Between(terminal(one), terminal(other)))];
        assert_eq!(named(&find), told, "{one} to {other}");
    }
}

fn reading(place: Place) -> Reading {
    Reading {
        number: 1,
        setup: 1,
        at: None,
        together: None,
        instrument: None,
        measured: Measured::AcVoltage,
        place,
        shown: None,
        beep: None,
        kick: None,
        what: None,
        struck: None,
        kept: false,
        note: None,
    }
}
