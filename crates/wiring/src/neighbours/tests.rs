use super::{VariantKind, canonical, variants};
use crate::{Options, arrangement};
use gear::{Find, JoinState};
use std::collections::BTreeSet;

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
        let alike: BTreeSet<String> = all.iter().map(|v| canonical(&v.find)).collect();
        assert_eq!(alike.len(), all.len());
        assert!(all.iter().all(|v| v.weight > 0.0 && v.weight <= 1.0));
        println!("{phases}: {}", all.len());
    }
}

#[test]
fn the_slips_a_bench_knows_are_among_them() {
    let find = stabilizer("3");
    let words: Vec<String> = variants(&find).into_iter().map(|v| v.what).collect();
    for expected in [
        "T4's secondary stands reversed",
        "the leads on T1:2 and T1:4 are exchanged",
        "nothing makes contact at T4:1.1",
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
    let what = "nothing makes contact at T2:1.1";
    assert!(
        weight(&seen, what) < weight(&assumed, what),
        "{} {}",
        weight(&seen, what),
        weight(&assumed, what)
    );
}
