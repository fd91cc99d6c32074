//! The sentences of finds built by their arrangements, with nearly ideal parts, so that every figure can be reckoned by hand.

use super::*;
use gear::{Designation, Feed, Pairing, Setup, SetupLoad, TerminalRef};
use network::{Meaning, Solver};
use wiring::{Options, arrangement};

fn t(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
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

/// Fed at `to`; a load of 10 Ω a leg on `load`, if any.
fn setup(to: &[&str], load: &[&str]) -> Setup {
    let feed = Feed {
        source: None,
        to: to.iter().map(|x| t(x)).collect(),
        neutral: (to.len() == 3).then(|| t("X1:N")),
        earthed: false,
        volts: None,
        frequency: None,
        angle: None,
        lost: vec![],
    };
    let pairing = if load.len() == 4 {
        Pairing::Star
    } else {
        Pairing::Single
    };
    let load = SetupLoad {
        across: load.iter().map(|x| t(x)).collect(),
        pairing,
        resistance: None,
        reactance: None,
        power: None,
        volts: None,
        power_factor: None,
    };
    Setup {
        number: 1,
        at: None,
        what: None,
        feeds: vec![feed],
        sliders: vec![],
        switches: vec![],
        joined: vec![],
        lifted: vec![],
        loads: if load.across.is_empty() {
            vec![]
        } else {
            vec![load]
        },
        temperature: None,
    }
}

/// 230 V fed; boosters and transformers 2.5 : 1; a core that takes 4 mA and 1 W at 230 V.
fn value(model: &Model, meaning: &Meaning, slider: f64) -> f64 {
    match meaning {
        Meaning::Fixed(value) => *value,
        Meaning::SourceVolts { .. } => 230.0,
        Meaning::SourceOhms { .. } | Meaning::SourceReactance { .. } => 0.0,
        Meaning::Turns { part, winding } => model.sign(part, *winding) / 2.5,
        Meaning::WindingOhms { .. } | Meaning::WindingReactance { .. } | Meaning::Brush { .. } => {
            1e-4
        }
        Meaning::Tap { .. } => 0.5,
        Meaning::SliderAt { .. } => slider,
        Meaning::CoreConductance(_) => 1.0 / 230f64.powi(2),
        Meaning::CoreSusceptance(_) => 4e-3 / 230.0,
        Meaning::CoreVolts(_) => 230.0,
        Meaning::CurrentExponent(_) => 1.0,
        Meaning::WattsExponent(_) => 2.0,
        Meaning::Knee(_) => 1.3,
        Meaning::LoadOhms { .. } => 10.0,
        Meaning::LoadReactance { .. } => 0.0,
        other => panic!("no value for {other:?}"),
    }
}

fn told(find: &Find, setup: &Setup, slider: f64) -> Vec<String> {
    let model = Model::new(find, setup, 50.0).unwrap();
    let values: Vec<f64> = model
        .meanings
        .iter()
        .map(|m| value(&model, m, slider))
        .collect();
    let mut solver = Solver::new(model.circuit.clone()).unwrap();
    let solution = solver.solve(&values).unwrap();
    let said = sentences(
        find,
        Some(Working {
            model: &model,
            values: &values,
            solution: &solution,
        }),
    );
    for sentence in &said {
        assert!(
            sentence.ends_with('.') && !sentence.contains("NaN"),
            "{sentence}"
        );
    }
    said.iter().map(|s| s.replace('\u{a0}', " ")).collect()
}

fn says(said: &[String], words: &str) {
    assert!(
        said.iter().any(|s| s.contains(words)),
        "`{words}` is in none of {said:#?}"
    );
}

const THREE: [&str; 3] = ["X1:1", "X1:2", "X1:3"];
const STAR: [&str; 4] = ["X2:1", "X2:2", "X2:3", "X2:N"];

#[test]
fn a_stabilizer_says_what_its_slider_does() {
    // Input side, 0.20 above the tap: primary 0.2 × 230 = 46 V, secondary 46/2.5 = 18.4 V, output 248.4 V, load 24.84 A.
    let said = told(
        &find("stabilizer-centre-tap", &[("side", "input")]),
        &setup(&THREE, &STAR),
        0.7,
    );
    assert!((6..=10).contains(&said.len()), "{said:#?}");
    says(
        &said,
        "The slider stands 0.20 above the tap, so T4's primary gets 46.0 V and its secondary adds 18.4 V.",
    );
    says(
        &said,
        "With 230 V from line to neutral at the input of L1, 248 V stand at the output",
    );
    says(&said, "from about 184 V to 276 V");
    says(&said, "input × (1 + 0.20/2.50), 1.080 of the input");
    says(
        &said,
        "Of the 24.8 A in the line, 9.94 A flow in T4's primary and T1's brush",
    );
    // (1 - d) I_p between tap and slider, d I_p in the rest.
    says(
        &said,
        "Between tap and slider T1's winding carries 7.95 A, in the rest 1.99 A",
    );
    says(&said, "T4: 460 VA for the 6.2 kVA of this phase");
    says(
        &said,
        "All sliders move together on one chain; the outputs stand at 248 V, 248 V and 248 V",
    );
}

#[test]
fn below_the_tap_it_takes_away_and_on_the_tap_it_does_nothing() {
    let find = find("stabilizer-centre-tap", &[]);
    let unloaded = setup(&THREE, &[]);
    // Output side: 230 / (1 + 0.3/2.5) = 205.4 V, primary 0.3 × 205.4 = 61.6 V, secondary 24.6 V.
    let below = told(&find, &unloaded, 0.2);
    says(
        &below,
        "0.30 below the tap, so T4's primary gets 61.6 V and its secondary takes away 24.6 V",
    );
    says(&below, "input / (1 + 0.30/2.50), 0.893 of the input");
    says(&below, "only magnetise the cores");
    says(&told(&find, &unloaded, 0.5), "The slider stands on the tap");
}

#[test]
fn end_fed_and_one_phase_have_their_own_words() {
    let find = find(
        "stabilizer-end-fed",
        &[("phases", "1"), ("fed", "line"), ("side", "input")],
    );
    let said = told(&find, &setup(&["X1:1", "X1:N"], &["X2:1", "X2:N"]), 0.7);
    says(
        &said,
        "T1, a variable autotransformer, feeds the booster T2",
    );
    says(
        &said,
        "The slider stands 0.30 below the line end, so T2's primary gets 69.0 V and its secondary adds 27.6 V.",
    );
}

#[test]
fn a_transformer_says_its_ratio_currents_and_isolation() {
    let find = find("transformer", &[]);
    let said = told(&find, &setup(&["X1:1", "X1:2"], &["X2:1", "X2:2"]), 0.0);
    assert!((6..=10).contains(&said.len()), "{said:#?}");
    says(&said, "Its primary gets 230 V.");
    says(
        &said,
        "At its secondary stand 92.0 V: the primary has 2.50 turns for each turn of the secondary.",
    );
    says(
        &said,
        "For 9.20 A in the secondary the primary carries 3.68 A",
    );
    says(&said, "No conductor joins what is fed with what is given");
    // 230 V × √((1 W / 230²)² + (4 mA / 230)²) is 5.91 mA.
    let idle = told(&find, &setup(&["X1:1", "X1:2"], &[]), 0.0);
    says(
        &idle,
        "Nothing is taken, so the 5.91 mA of the primary only magnetise the core",
    );
    // Fed backwards it steps up, past its knee.
    let backwards = told(&find, &setup(&["X2:1", "X2:2"], &[]), 0.0);
    says(&backwards, "Its secondary gets 230 V.");
    says(
        &backwards,
        "The core of T1 is beyond the knee: figures are of the fundamental only, peaks are higher.",
    );
}

#[test]
fn a_lone_variable_autotransformer_divides_and_isolates_nothing() {
    let find = find("variable-autotransformer", &[]);
    let said = told(&find, &setup(&["X1:1", "X1:N"], &["X2:1", "X2:N"]), 0.7);
    // 0.7 × 230 = 161 V, 16.1 A: 0.3 of it below the slider, 0.7 above.
    says(
        &said,
        "The slider stands at 0.70 of the turns from T1:3, so T1:4 gives 161 V against T1:3 and 69.0 V against T1:1.",
    );
    says(
        &said,
        "Below the slider the winding carries 4.83 A, above it 11.3 A.",
    );
    says(&said, "It isolates nothing");
    assert!((6..=10).contains(&said.len()), "{said:#?}");
}

#[test]
fn without_a_network_the_joins_and_plates_still_tell() {
    let find = find(
        "stabilizer-centre-tap",
        &[
            ("winding_volts", "230 V"),
            ("booster_ratio", "2.5"),
            ("side", "input"),
        ],
    );
    let said: Vec<String> = sentences(&find, None)
        .iter()
        .map(|s| s.replace('\u{a0}', " "))
        .collect();
    says(&said, "T4's primary hangs between the slider T1:4 and T1:2");
    says(
        &said,
        "T4 is written 2.50 to 1, so the output can go from 20 % below the input to 20 % above it.",
    );
    assert_eq!(sentences(&Find::default(), None), Vec::<String>::new());
    assert!(find.part(&Designation::parse("T4").unwrap()).is_some());
}
