use super::*;
use gear::{Dot, JoinState, PartKind};
use std::collections::BTreeSet;

fn build(key: &str, chosen: &[(&str, &str)]) -> Find {
    let chosen = chosen
        .iter()
        .map(|(k, v)| (k.to_string(), v.to_string()))
        .collect();
    let options = Options {
        name: "a find".into(),
        plate: Some("30 kVA 400 V".into()),
        chosen,
    };
    (arrangement(key).unwrap().build)(&options)
}

fn join_words(find: &Find) -> Vec<String> {
    find.joins
        .iter()
        .map(|j| {
            j.terminals
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(" ")
        })
        .collect()
}

#[test]
fn keys_are_single_and_every_way_builds_a_find_without_faults() {
    let keys: BTreeSet<_> = arrangements().iter().map(|a| a.key).collect();
    assert_eq!(keys.len(), arrangements().len());
    for a in arrangements() {
        for way in a.ways() {
            let find = (a.build)(&way);
            assert_eq!(find.faults(), [], "{} {:?}", a.key, way.chosen);
            assert!(
                find.joins
                    .iter()
                    .all(|j| j.state == JoinState::Assumed && j.note.is_some())
            );
            assert_eq!(
                crate::oddities(&find, None),
                [],
                "{} {:?}",
                a.key,
                way.chosen
            );
            for join in &find.joins {
                for t in &join.terminals {
                    assert!(find.has_terminal(t), "{} {:?}: {t}", a.key, way.chosen);
                }
            }
        }
    }
}

/// The worked example of the project: three phases, autotransformers on the output side, booster fed from tap and slider.
#[test]
fn the_three_phase_stabilizer_is_numbered_and_joined_phase_by_phase() {
    let find = build(
        "stabilizer-centre-tap",
        &[
            ("phases", "3"),
            ("side", "output"),
            ("winding_volts", "230 V"),
            ("booster_ratio", "2.5"),
            ("fuse", "50 A"),
        ],
    );
    let parts: Vec<_> = find
        .parts
        .iter()
        .map(|p| p.designation.to_string())
        .collect();
    assert_eq!(
        parts,
        [
            "T1", "T2", "T3", "T4", "T5", "T6", "F1", "F2", "F3", "X1", "X2"
        ]
    );
    assert_eq!(
        join_words(&find)[..6],
        [
            "X1:1 F1:1",
            "F1:2 T4:2.1",
            "T4:2.2 T1:1 X2:1",
            "T1:4 T4:1.2",
            "T1:2 T4:1.1",
            "X1:2 F2:1"
        ]
    );
    assert_eq!(
        join_words(&find).last().unwrap(),
        "T1:3 T2:3 T3:3 X1:N X2:N"
    );
    let PartKind::Transformer(booster) = &find.parts[3].kind else {
        panic!("T4 is a transformer")
    };
    assert_eq!(
        booster.windings[0].terminals().collect::<Vec<_>>(),
        ["1.2", "1.1"]
    );
    assert_eq!(booster.windings[0].dot, Dot::First);
    assert_eq!(booster.windings[0].volts.as_ref().unwrap().text(), "115 V");
    assert_eq!(booster.windings[1].volts.as_ref().unwrap().text(), "46 V");
    let PartKind::VariableAutotransformer(auto) = &find.parts[0].kind else {
        panic!("T1 is variable")
    };
    assert_eq!(
        auto.windings[0].terminals().collect::<Vec<_>>(),
        ["3", "2", "1", "4"]
    );
    assert_eq!(auto.windings[0].dot, Dot::Last);
    assert_eq!(find.gangs[0].name, "chain");
    assert_eq!(find.parts[4].name.as_deref(), Some("booster of L2"));
}

#[test]
fn choices_change_the_joins() {
    let words = |chosen: &[(&str, &str)]| join_words(&build("stabilizer-centre-tap", chosen));
    assert!(words(&[("side", "input")]).contains(&"F1:2 T1:1 T4:2.1".to_owned()));
    assert!(words(&[("booster", "reversed")]).contains(&"T1:4 T4:1.1".to_owned()));
    let end = join_words(&build(
        "stabilizer-end-fed",
        &[("phases", "1"), ("fed", "line")],
    ));
    assert!(end.contains(&"T1:1 T2:1.2".to_owned()) && end.contains(&"T1:4 T2:1.1".to_owned()));
}

#[test]
fn every_way_is_recognised_as_its_own_arrangement() {
    for a in arrangements() {
        for way in a.ways() {
            let find = (a.build)(&way);
            let seen = recognise(&find).map(|r| r.key);
            assert_eq!(
                seen,
                (!find.joins.is_empty()).then_some(a.key),
                "{:?}",
                way.chosen
            );
        }
    }
    let mut find = build("stabilizer-centre-tap", &[]);
    find.joins.remove(3);
    assert!(recognise(&find).is_none());
}

#[test]
fn unreadable_quantities_are_passed_over() {
    let find = build(
        "variable-autotransformer",
        &[("winding_volts", "two hundred"), ("fuse", "10 A")],
    );
    let PartKind::VariableAutotransformer(auto) = &find.parts[0].kind else {
        panic!("T1 is variable")
    };
    assert_eq!(auto.windings[0].volts, None);
    assert!(matches!(
        &find.parts[1].kind,
        PartKind::Fuse { current: Some(_) }
    ));
}
