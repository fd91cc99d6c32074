//! What the circuit of a find must look like, before any number is put in.

use super::*;
use crate::circuit::Element;
use crate::solve::{NetworkError, Question};
use gear::{Feed, Measured, Pairing, Place, SetupLoad, SliderSetting, SwitchSetting};
use wiring::{Options, arrangement};

fn t(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
}

fn d(text: &str) -> Designation {
    Designation::parse(text).unwrap()
}

fn find(key: &str, chosen: &[(&str, &str)]) -> Find {
    let chosen = chosen
        .iter()
        .map(|(k, v)| (k.to_string(), v.to_string()))
        .collect();
    (arrangement(key).unwrap().build)(&Options {
        chosen,
        ..Options::default()
    })
}

fn feed(to: &[&str], neutral: Option<&str>) -> Feed {
    Feed {
        source: None,
        to: to.iter().map(|x| t(x)).collect(),
        neutral: neutral.map(t),
        earthed: false,
        volts: None,
        frequency: None,
        angle: None,
        lost: vec![],
    }
}

fn setup(feeds: Vec<Feed>) -> Setup {
    Setup {
        number: 5,
        at: None,
        what: None,
        feeds,
        sliders: vec![],
        switches: vec![],
        joined: vec![],
        lifted: vec![],
        loads: vec![],
        temperature: None,
    }
}

fn three_phase() -> Setup {
    setup(vec![feed(&["X1:1", "X1:2", "X1:3"], Some("X1:N"))])
}

fn stabilizer() -> Find {
    find("stabilizer-centre-tap", &[])
}

fn what(errors: Result<Model, Vec<ModelError>>) -> String {
    errors
        .unwrap_err()
        .iter()
        .map(|e| format!("{}|", e.what))
        .collect()
}

#[test]
fn a_three_phase_stabilizer_has_its_nodes_cores_and_elements() {
    let model = Model::new(&stabilizer(), &three_phase(), 50.0).unwrap();
    // A phase: input, behind the fuse, output, slider, tap; with them the star point and PE.
    assert_eq!(model.circuit.nodes.len(), 3 * 5 + 2);
    assert_eq!(model.circuit.cores.len(), 6);
    // A phase: autotransformer, two booster windings, fuse, source.
    assert_eq!(model.circuit.elements.len(), 3 * 5);
    assert_eq!(model.circuit.values, model.meanings.len());
    assert_eq!(model.belongs.len(), model.circuit.elements.len());
    assert_eq!(model.circuit.frequency, 50.0);
    assert_eq!(model.assumed, Vec::<String>::new());
    let fixed = model
        .meanings
        .iter()
        .filter(|m| matches!(m, Meaning::Fixed(_)))
        .count();
    assert_eq!(fixed, 2, "0 and 1 stand once");
}

#[test]
fn names_are_those_of_the_bench() {
    let model = Model::new(&stabilizer(), &three_phase(), 50.0).unwrap();
    for name in [
        "winding `primary` of T4",
        "F1",
        "feed 1 L2",
        "winding `winding` of T3",
    ] {
        assert!(
            model.circuit.names.iter().any(|n| n == name),
            "{name} in {:?}",
            model.circuit.names
        );
    }
    assert_eq!(
        model.circuit.nodes[model.node(&t("T1:3")).unwrap().0],
        "X1:N"
    );
}

#[test]
fn windings_are_cut_in_the_order_of_their_points() {
    let model = Model::new(&stabilizer(), &three_phase(), 50.0).unwrap();
    let element = model.winding(&d("T1"), 0).unwrap();
    let Element::Winding {
        points, sliders, ..
    } = &model.circuit.elements[element.0]
    else {
        panic!()
    };
    let meant = |v: ValueId| model.meanings[v.0].clone();
    assert_eq!(points[0].0, model.node(&t("X1:N")).unwrap());
    assert_eq!(meant(points[0].1), Meaning::Fixed(0.0));
    assert_eq!(
        meant(points[1].1),
        Meaning::Tap {
            part: d("T1"),
            winding: 0,
            point: 1
        }
    );
    assert_eq!(points[2].0, model.node(&t("X2:1")).unwrap());
    assert_eq!(meant(points[2].1), Meaning::Fixed(1.0));
    assert_eq!(sliders[0].node, model.node(&t("T4:1.2")).unwrap());
}

#[test]
fn phases_are_120_degrees_behind_each_other_from_the_neutral() {
    let model = Model::new(&stabilizer(), &three_phase(), 50.0).unwrap();
    let angles: Vec<f64> = model
        .sources_of(0)
        .iter()
        .map(|e| match &model.circuit.elements[e.0] {
            Element::Source { from, angle, .. } => {
                assert_eq!(*from, model.node(&t("X1:N")).unwrap());
                angle.to_degrees().round()
            }
            _ => panic!(),
        })
        .collect();
    assert_eq!(angles, [0.0, -120.0, -240.0]);
}

#[test]
fn a_lost_phase_and_a_missing_neutral() {
    let mut setup = setup(vec![feed(&["X1:1", "X1:2", "X1:3"], None)]);
    setup.feeds[0].lost = vec![2];
    let model = Model::new(&stabilizer(), &setup, 50.0).unwrap();
    assert_eq!(model.sources_of(0).len(), 2);
    assert_eq!(model.circuit.nodes.last().unwrap(), "star point of feed 1");
    setup.feeds[0].earthed = true;
    let model = Model::new(&stabilizer(), &setup, 50.0).unwrap();
    let Element::Source { from, .. } = model.circuit.elements[model.sources_of(0)[0].0] else {
        panic!()
    };
    assert_eq!(Some(from), model.node(&t("X1:PE")));
}

#[test]
fn an_earthed_star_point_brought_out_is_linked_to_pe() {
    let mut setup = three_phase();
    setup.feeds[0].earthed = true;
    let model = Model::new(&stabilizer(), &setup, 50.0).unwrap();
    let at = model
        .belongs
        .iter()
        .position(|b| *b == Belongs::Earthing { feed: 0 })
        .unwrap();
    let Element::Link { from, to } = model.circuit.elements[at] else {
        panic!()
    };
    assert_eq!(
        (Some(from), Some(to)),
        (model.node(&t("X1:N")), model.node(&t("X1:PE")))
    );
}

#[test]
fn open_and_bridged_fuses_are_left_out() {
    let mut setup = three_phase();
    setup.switches.push(SwitchSetting {
        part: d("F2"),
        closed: false,
    });
    setup.joined.push(vec![t("F3:1"), t("F3:2")]);
    let model = Model::new(&stabilizer(), &setup, 50.0).unwrap();
    assert_eq!(model.elements_of(&d("F1")).len(), 1);
    assert!(model.elements_of(&d("F2")).is_empty() && model.elements_of(&d("F3")).is_empty());
    assert!(
        model.assumed[0].starts_with("F3 is bridged"),
        "{:?}",
        model.assumed
    );
    let asked = |at: &str| {
        model
            .question(&Place::Into(t(at)), Measured::AcCurrent, 0.0)
            .unwrap_err()
            .what
    };
    assert_eq!(
        asked("F2:1"),
        "F2 stands open in setup 5: no current can flow at F2:1"
    );
    assert!(asked("F3:1").starts_with("F3 is bridged"));
}

#[test]
fn signs_follow_the_dots_against_the_first_winding() {
    let mut find = find("transformer", &[]);
    let gear::PartKind::Transformer(wound) = &mut find.parts[0].kind else {
        panic!()
    };
    wound.windings[0].dot = gear::Dot::Last;
    let one = setup(vec![feed(&["X1:1", "X1:2"], None)]);
    let model = Model::new(&find, &one, 50.0).unwrap();
    assert_eq!(
        (model.sign(&d("T1"), 0), model.sign(&d("T1"), 1)),
        (1.0, -1.0)
    );
}

#[test]
fn missing_dots_are_named() {
    let find = find("unmarked-windings", &[]);
    let model = Model::new(&find, &setup(vec![feed(&["T1:1.1", "T1:1.2"], None)]), 50.0).unwrap();
    assert_eq!(model.assumed.len(), 2);
    assert_eq!(
        model.assumed[1],
        "the start of winding `winding 2` of T1 is not known; it is taken to be T1:2.1"
    );
}

#[test]
fn faults_speak_the_words_of_the_find() {
    let find = stabilizer();
    let feeds = |f: Feed| what(Model::new(&find, &setup(vec![f]), 50.0));
    assert_eq!(
        what(Model::new(&find, &setup(vec![]), 50.0)),
        "nothing is fed in setup 5|"
    );
    assert_eq!(
        what(Model::new(&find, &three_phase(), f64::NAN)),
        "the frequency of setup 5 is not known|"
    );
    assert_eq!(
        feeds(feed(&["X1:N", "X2:N"], None)),
        "feed 1 of setup 5 is shorted: X1:N and X2:N are one conductor|"
    );
    assert_eq!(
        feeds(feed(&["X1:1"], None)),
        "feed 1 of setup 5 stands on 1 terminals|"
    );
    assert_eq!(
        feeds(feed(&["X1:1", "X7:1"], None)),
        "feed 1 of setup 5 stands on X7:1, which the find does not have|"
    );
}

#[test]
fn direct_current_has_no_frequency_and_a_dead_find_no_sources() {
    let mut find = stabilizer();
    find.kit.sources.push(gear::KitSource {
        name: "battery".into(),
        volts: None,
        amperes: None,
        phases: 1,
        isolated: Some(true),
        steadiness: gear::Steadiness::Regulated,
        impedance: None,
        direct: true,
    });
    let mut setup = setup(vec![feed(&["T4:1.1", "T4:1.2"], None)]);
    setup.feeds[0].source = Some("battery".into());
    let model = Model::new(&find, &setup, 50.0).unwrap();
    assert_eq!(
        (model.supply, model.circuit.frequency),
        (Supply::Direct, 0.0)
    );
    let between = Place::Between(t("T4:1.1"), t("T4:1.2"));
    assert!(model.question(&between, Measured::DcVoltage, 0.0).is_ok());
    assert!(model.question(&between, Measured::AcVoltage, 0.0).is_err());
    let dead = Model::direct(&find, &setup).unwrap();
    assert!(dead.sources_of(0).is_empty());
    assert!(matches!(
        dead.question(&between, Measured::Continuity, 0.0),
        Ok(Question::Resistance { .. })
    ));
    assert!(model.question(&between, Measured::Resistance, 0.0).is_err());
}

#[test]
fn currents_into_parts_feeds_and_loads() {
    let find = stabilizer();
    let mut setup = three_phase();
    setup.loads.push(SetupLoad {
        across: ["X2:1", "X2:2", "X2:3", "X2:N"].map(t).to_vec(),
        pairing: Pairing::Star,
        resistance: None,
        reactance: None,
        power: None,
        volts: None,
        power_factor: None,
    });
    let model = Model::new(&find, &setup, 50.0).unwrap();
    let through = |at: &str| match model.question(&Place::Into(t(at)), Measured::AcCurrent, 0.0) {
        Ok(Question::Current { node, through, .. }) => {
            assert_eq!(Some(node), model.node(&t(at)));
            through
                .iter()
                .map(|(e, s)| (model.circuit.names[e.0].clone(), *s))
                .collect::<Vec<_>>()
        }
        other => panic!("{other:?}"),
    };
    let one = |name: &str, sign: f64| vec![(name.to_owned(), sign)];
    assert_eq!(
        through("X1:1"),
        one("feed 1 L1", -1.0),
        "what the feed drives in"
    );
    assert_eq!(
        through("X2:2"),
        one("load 1 L2", 1.0),
        "what the load takes"
    );
    assert_eq!(through("T4:2.1"), one("winding `secondary` of T4", 1.0));
    assert_eq!(through("T1:4"), one("winding `winding` of T1", 1.0));
    assert_eq!(through("F1:1"), one("F1", 1.0));
    assert_eq!(
        through("X1:N").len(),
        3,
        "the neutral carries the sum of three sources"
    );
    assert!(
        model
            .question(&Place::Into(t("X1:PE")), Measured::AcCurrent, 0.0)
            .is_err()
    );
}

#[test]
fn what_cannot_be_asked_says_how_to_ask() {
    let model = Model::new(&stabilizer(), &three_phase(), 50.0).unwrap();
    let remedy = |p: Place, m: Measured| model.question(&p, m, 0.0).unwrap_err().remedy;
    assert!(remedy(Place::Into(t("X1:1")), Measured::Power).contains("against"));
    assert!(
        remedy(Place::Between(t("X1:1"), t("X1:N")), Measured::Resistance)
            .contains("feeds taken off")
    );
    assert!(remedy(Place::At(d("T1")), Measured::Temperature).contains("temperature"));
    assert!(remedy(Place::Into(t("X9:1")), Measured::AcCurrent).contains("terminal"));
}

#[test]
fn the_solvers_complaints_become_sentences() {
    let model = Model::new(&stabilizer(), &three_phase(), 50.0).unwrap();
    let said = model.explain(&NetworkError::ShortedSource {
        source: "feed 1 L1".into(),
        by: vec!["F1".into(), "F4".into()],
    });
    assert_eq!(said.what, "feed 1 L1 of setup 5 is shorted by F1 and F4");
    assert!(!said.remedy.is_empty());
}

#[test]
fn the_most_particular_slider_setting_holds() {
    let find = stabilizer();
    let mut setup = three_phase();
    let set = |slider: &str, at: &str| SliderSetting {
        slider: slider.into(),
        at: Quantity::parse(at).unwrap(),
    };
    assert_eq!(Model::slider_setting(&find, &setup, &d("T1"), "4"), None);
    setup.sliders = vec![
        set("chain", "0.70"),
        set("T2", "0.60"),
        set("T3:4", "0.50"),
        set("T3", "0.10"),
    ];
    let at = |part: &str| Model::slider_setting(&find, &setup, &d(part), "4").map(Quantity::text);
    assert_eq!(
        (at("T1"), at("T2"), at("T3")),
        (Some("0.70"), Some("0.60"), Some("0.50"))
    );
}

#[test]
fn a_load_written_as_power_is_an_impedance() {
    let q = |text: &str| Some(Quantity::parse(text).unwrap());
    let mut load = SetupLoad {
        across: ["X2:1", "X2:2", "X2:3", "X2:N"].map(t).to_vec(),
        pairing: Pairing::Star,
        resistance: None,
        reactance: None,
        power: q("10 kVA"),
        volts: q("400 V"),
        power_factor: q("0.8"),
    };
    let (ohms, reactance) = load_impedance(&Find::default(), &load).unwrap();
    assert!(
        (ohms - 12.8).abs() < 1e-9 && (reactance - 9.6).abs() < 1e-9,
        "16 ohms a leg: {ohms} {reactance}"
    );
    load.power = q("8 kW");
    assert!(
        (load_impedance(&Find::default(), &load).unwrap().0 - 12.8).abs() < 1e-9,
        "8 kW at 0.8 is 10 kVA"
    );
    load.pairing = Pairing::Delta;
    assert!((load_impedance(&Find::default(), &load).unwrap().0 - 38.4).abs() < 1e-9);
    load.volts = None;
    assert_eq!(load_impedance(&Find::default(), &load), None);
}
