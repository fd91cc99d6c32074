//! The class of setups reckoned by hand, and properties that must hold of any.

use crate::*;
use gear::*;
use quantity::Quantity;

fn q(text: &str) -> Quantity {
    Quantity::parse(text).unwrap()
}

fn t(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
}

fn d(text: &str) -> Designation {
    Designation::parse(text).unwrap()
}

fn winding(points: &[&str], dot: Dot, volts: Option<&str>) -> Winding {
    Winding {
        name: points.concat(),
        points: points
            .iter()
            .map(|p| Point {
                terminal: (*p).to_owned(),
                at: None,
            })
            .collect(),
        dot,
        volts: volts.map(q),
        ..Winding::default()
    }
}

fn transformer(name: &str, windings: Vec<Winding>) -> Part {
    Part {
        designation: d(name),
        name: None,
        phase: None,
        kind: PartKind::Transformer(Wound {
            windings,
            ..Wound::default()
        }),
    }
}

fn source(volts: &str, isolated: Option<bool>) -> KitSource {
    KitSource {
        name: "bench supply".into(),
        volts: Some(q(volts)),
        amperes: None,
        phases: 1,
        isolated,
        steadiness: Steadiness::Mains,
        impedance: None,
        direct: false,
    }
}

fn kit(source: KitSource) -> Kit {
    Kit {
        sources: vec![source],
        ..Kit::default()
    }
}

fn fed(to: &[&str], volts: &str) -> Setup {
    Setup {
        number: 1,
        at: None,
        what: None,
        feeds: vec![Feed {
            source: Some("bench supply".into()),
            to: to.iter().map(|x| t(x)).collect(),
            neutral: None,
            earthed: false,
            volts: Some(q(volts)),
            frequency: None,
            angle: None,
            lost: vec![],
        }],
        sliders: vec![],
        switches: vec![],
        joined: vec![],
        lifted: vec![],
        loads: vec![],
        temperature: None,
    }
}

fn find(parts: Vec<Part>, joins: &[&[&str]]) -> Find {
    Find {
        parts,
        joins: joins
            .iter()
            .map(|terminals| Join {
                terminals: terminals.iter().map(|x| t(x)).collect(),
                state: JoinState::Found,
                note: None,
            })
            .collect(),
        ..Find::default()
    }
}

fn one(find: Find) -> Vec<Possible> {
    vec![Possible {
        turns: Turns::written(&find),
        find,
    }]
}

fn isolated() -> Kit {
    kit(source("0 to 60 V", Some(true)))
}

fn two_windings(volts: [Option<&str>; 2]) -> Find {
    let windings = vec![
        winding(&["1.1", "1.2"], Dot::First, volts[0]),
        winding(&["2.1", "2.2"], Dot::First, volts[1]),
    ];
    find(vec![transformer("T1", windings)], &[])
}

fn volts_of(exposure: &Exposure) -> f64 {
    exposure.highest.as_ref().unwrap().volts
}

#[test]
fn limits_are_those_of_extra_low_voltage() {
    // IEC 61140 and IEC 60364-4-41: extra-low voltage ends at 50 V AC and 120 V DC; without basic protection in dry places 25 V AC and
    // 60 V DC (from memory).
    assert_eq!(Handling::ClippedDead.limit(false), 50.0);
    assert_eq!(Handling::ClippedDead.limit(true), 120.0);
    assert_eq!(Handling::Touched.limit(false), 25.0);
    assert_eq!(Handling::Touched.limit(true), 60.0);
}

#[test]
fn nothing_fed_is_dead() {
    let mut setup = fed(&["T1:1.1", "T1:1.2"], "10 V");
    setup.feeds.clear();
    let told = exposure(
        &setup,
        &isolated(),
        &one(two_windings([None, None])),
        Handling::Touched,
    );
    assert_eq!(told.class, Class::Dead);
}

#[test]
fn an_unknown_ratio_counts_forty_to_one_both_ways() {
    // By hand: 0.6 V on one winding, the other 40 times that; 24.0 V and 0.6 V on two sides that nothing ties together.
    for pair in [["T1:1.1", "T1:1.2"], ["T1:2.1", "T1:2.2"]] {
        let possible = one(two_windings([None, None]));
        let told = exposure(
            &fed(&pair, "0.6 V"),
            &isolated(),
            &possible,
            Handling::Touched,
        );
        assert_eq!(told.class, Class::Low, "{}", told.why);
        assert!((volts_of(&told) - 24.6).abs() < 1e-9, "{}", told.why);
        let told = exposure(
            &fed(&pair, "0.7 V"),
            &isolated(),
            &possible,
            Handling::Touched,
        );
        assert_eq!(told.class, Class::Live, "{}", told.why);
        let most = greatest_low_volts(
            &fed(&pair, "0.7 V"),
            &isolated(),
            &possible,
            Handling::Touched,
        );
        assert_eq!(most, Some(0.6), "25 V / 41 = 0.609 V");
    }
}

#[test]
fn a_written_ratio_bounds_what_the_other_winding_has() {
    // By hand: 230 V : 23 V within exp(2.576 * hypot(0.02, 1/230/√12, 1/23/√12)) = 1.0626; 100 V... 5 V on the small winding give at
    // most 53.1 V on the large one, 10 V on the large one at most 1.063 V on the small.
    let possible = one(two_windings([Some("230 V"), Some("23 V")]));
    let down = exposure(
        &fed(&["T1:1.1", "T1:1.2"], "10 V"),
        &isolated(),
        &possible,
        Handling::Touched,
    );
    assert_eq!(down.class, Class::Low);
    assert!((volts_of(&down) - 11.063).abs() < 2e-3, "{}", down.why);
    let up = exposure(
        &fed(&["T1:2.1", "T1:2.2"], "5 V"),
        &isolated(),
        &possible,
        Handling::ClippedDead,
    );
    assert_eq!(up.class, Class::Live, "{}", up.why);
    assert!((volts_of(&up) - 58.13).abs() < 0.02, "{}", up.why);
}

#[test]
fn windings_in_series_are_known_by_their_starts() {
    // Two equal halves in series aiding: each has half of 20 V. By hand: the halves' ratio within r = exp(2.576 * hypot(0.02, √2 · 1/115/√12))
    // = 1.0535, so at most 20 r / (1 + r) = 10.26 V each. Opposing, or with a start unknown, nothing bounds them.
    let halves = |dot| {
        let windings = vec![
            winding(&["1.1", "1.2"], Dot::First, Some("115 V")),
            winding(&["2.1", "2.2"], dot, Some("115 V")),
        ];
        one(find(
            vec![transformer("T1", windings)],
            &[&["T1:1.2", "T1:2.1"]],
        ))
    };
    let ask = |possible: &[Possible]| {
        exposure(
            &fed(&["T1:1.1", "T1:2.2"], "20 V"),
            &isolated(),
            possible,
            Handling::Touched,
        )
    };
    let aiding = ask(&halves(Dot::First));
    assert_eq!(aiding.class, Class::Low, "{}", aiding.why);
    assert!((volts_of(&aiding) - 20.0).abs() < 1e-9, "{}", aiding.why);
    for dot in [Dot::Last, Dot::Unknown] {
        assert_eq!(ask(&halves(dot)).class, Class::Live);
    }
}

#[test]
fn what_is_not_marked_isolated_is_live_at_any_volts() {
    let possible = one(two_windings([Some("230 V"), Some("23 V")]));
    for isolated in [None, Some(false)] {
        let kit = kit(source("0 to 5 V", isolated));
        let told = exposure(
            &fed(&["T1:1.1", "T1:1.2"], "1 V"),
            &kit,
            &possible,
            Handling::ClippedDead,
        );
        assert_eq!(told.class, Class::Live, "{}", told.why);
    }
    let mut variable = source("0 to 260 V", Some(true));
    variable.name = "variable autotransformer".into();
    let mut setup = fed(&["T1:1.1", "T1:1.2"], "1 V");
    setup.feeds[0].source = Some(variable.name.clone());
    let told = exposure(&setup, &kit(variable), &possible, Handling::ClippedDead);
    assert_eq!(told.class, Class::Live, "{}", told.why);
    setup.feeds[0].source = None;
    let told = exposure(&setup, &isolated(), &possible, Handling::ClippedDead);
    assert_eq!(told.class, Class::Live, "no source named");
}

#[test]
fn direct_current_on_a_winding_is_for_a_kick_test_only() {
    let mut direct = source("0 to 30 V", Some(true));
    direct.direct = true;
    let kit = kit(direct);
    let possible = one(two_windings([None, None]));
    let class = |volts: &str, handling| {
        exposure(
            &fed(&["T1:1.1", "T1:1.2"], volts),
            &kit,
            &possible,
            handling,
        )
        .class
    };
    assert_eq!(class("1.5 V", Handling::ClippedDead), Class::Low);
    assert_eq!(class("1.5 V", Handling::Touched), Class::Live);
    assert_eq!(class("3 V", Handling::ClippedDead), Class::Live);
}

#[test]
fn a_slider_nobody_noted_bounds_nothing_behind_it() {
    let variable = Part {
        designation: d("T1"),
        name: None,
        phase: None,
        kind: PartKind::VariableAutotransformer(Wound {
            windings: vec![Winding {
                sliders: vec![Slider {
                    terminal: "4".into(),
                    brush: None,
                }],
                ..winding(&["3", "1"], Dot::Last, None)
            }],
            ..Wound::default()
        }),
    };
    let possible = one(find(vec![variable], &[]));
    let ask = |to: &[&str], at: Option<&str>| {
        let mut setup = fed(to, "20 V");
        setup.sliders.extend(at.map(|at| SliderSetting {
            slider: "T1".into(),
            at: q(at),
        }));
        exposure(&setup, &isolated(), &possible, Handling::ClippedDead)
    };
    assert_eq!(ask(&["T1:1", "T1:3"], None).class, Class::Low, "fed whole");
    assert_eq!(
        ask(&["T1:4", "T1:3"], None).class,
        Class::Live,
        "fed at the slider"
    );
    // By hand: at 0.80 the whole winding has at most 20 V / (0.80 - 2.576 * 0.006) = 25.5 V.
    let noted = ask(&["T1:4", "T1:3"], Some("0.80"));
    assert_eq!(noted.class, Class::Low, "{}", noted.why);
    assert!((volts_of(&noted) - 25.49).abs() < 0.01, "{}", noted.why);
}

#[test]
fn unsorted_leads_count_forty_to_one_and_a_shared_one_is_live() {
    let part = Part {
        designation: d("T1"),
        name: None,
        phase: None,
        kind: PartKind::Unmarked(Unmarked {
            leads: ["a", "b", "c", "d"].map(String::from).to_vec(),
            ..Unmarked::default()
        }),
    };
    let resistor = Part {
        designation: d("R1"),
        name: None,
        phase: None,
        kind: PartKind::Resistor { resistance: None },
    };
    let apart = one(find(vec![part.clone(), resistor.clone()], &[]));
    let told = exposure(
        &fed(&["T1:a", "T1:b"], "0.3 V"),
        &isolated(),
        &apart,
        Handling::Touched,
    );
    assert_eq!(told.class, Class::Low, "{}", told.why);
    let told = exposure(
        &fed(&["T1:a", "T1:b"], "0.4 V"),
        &isolated(),
        &apart,
        Handling::Touched,
    );
    assert_eq!(told.class, Class::Live, "{}", told.why);
    let shared = one(find(
        vec![part, resistor],
        &[&["T1:a", "R1:1"], &["T1:c", "R1:2"]],
    ));
    let told = exposure(
        &fed(&["T1:a", "T1:b"], "0.1 V"),
        &isolated(),
        &shared,
        Handling::Touched,
    );
    assert_eq!(told.class, Class::Live, "{}", told.why);
}

#[test]
fn a_capacitor_is_discharged_first_and_in_a_loop_with_windings_live() {
    let capacitor = Part {
        designation: d("C1"),
        name: None,
        phase: None,
        kind: PartKind::Capacitor { capacitance: None },
    };
    let mut apart = two_windings([Some("230 V"), Some("23 V")]);
    apart.parts.push(capacitor);
    let setup = fed(&["T1:1.1", "T1:1.2"], "10 V");
    let told = exposure(&setup, &isolated(), &one(apart.clone()), Handling::Touched);
    assert_eq!(told.class, Class::Low);
    assert!(told.why.contains("discharge C1"), "{}", told.why);
    apart.joins = find(vec![], &[&["T1:2.1", "C1:1"], &["T1:2.2", "C1:2"]]).joins;
    let told = exposure(&setup, &isolated(), &one(apart), Handling::Touched);
    assert_eq!(told.class, Class::Live, "{}", told.why);
}

#[test]
fn another_possible_wiring_never_lowers_the_class_nor_do_more_volts() {
    let pairs = [
        ["T1:1.1", "T1:1.2"],
        ["T1:2.1", "T1:2.2"],
        ["T1:1.1", "T1:2.2"],
    ];
    let joins: [&[&[&str]]; 5] = [
        &[],
        &[&["T1:1.2", "T1:2.1"]],
        &[&["T1:1.1", "T1:2.1"]],
        &[&["T1:1.1", "T1:2.1"], &["T1:1.2", "T1:2.2"]],
        &[&["T1:2.1", "T1:2.2"]],
    ];
    let wirings: Vec<Possible> = joins
        .iter()
        .flat_map(|joins| {
            let mut find = two_windings([Some("48 V"), Some("12 V")]);
            find.joins = self::find(vec![], joins).joins;
            one(find)
        })
        .collect();
    for pair in pairs {
        for handling in [Handling::Touched, Handling::ClippedDead] {
            let mut before = Class::Dead;
            for volts in ["0 V", "0.2 V", "3 V", "5 V", "20 V", "60 V"] {
                let setup = fed(&pair, volts);
                let mut class = Class::Dead;
                for count in 1..=wirings.len() {
                    let told = exposure(&setup, &isolated(), &wirings[..count], handling).class;
                    assert!(told >= class, "{pair:?} {volts}: wiring {count} lowered it");
                    class = told;
                }
                assert!(class >= before, "{pair:?} {volts}: more volts lowered it");
                before = class;
            }
        }
    }
}

#[test]
fn two_feeds_on_one_core_are_never_low_and_on_two_cores_may_be() {
    // 12 V on one winding and 10 V on the other of 1 : 1: what does not fit drives a current only copper and leakage hold, and an open
    // third winding stands anywhere between and beyond.
    let two_feeds = |first: [&str; 2], second: [&str; 2]| {
        let mut setup = fed(&first, "12 V");
        setup.feeds.extend(fed(&second, "10 V").feeds);
        setup
    };
    let one_core = two_windings([Some("230 V"), Some("230 V")]);
    let setup = two_feeds(["T1:1.1", "T1:1.2"], ["T1:2.1", "T1:2.2"]);
    let told = exposure(
        &setup,
        &isolated(),
        &one(one_core.clone()),
        Handling::ClippedDead,
    );
    assert_eq!(told.class, Class::Live);
    assert!(told.why.contains("one core"), "{}", told.why);
    let mut parts = one_core.parts.clone();
    let windings = one_core.parts[0].kind.wound().unwrap().windings.clone();
    parts.push(transformer("T2", windings));
    let setup = two_feeds(["T1:1.1", "T1:1.2"], ["T2:1.1", "T2:1.2"]);
    let told = exposure(
        &setup,
        &isolated(),
        &one(find(parts, &[])),
        Handling::ClippedDead,
    );
    assert_eq!(told.class, Class::Low, "{}", told.why);
}
