//! A stabilizer built by its arrangement follows the formulas of ideal transformers in series, signs included.
//!
//! Reference: the turns ratios of ideal transformers; with the autotransformer fed from the input the output is
//! `V_in (1 + (x - c)/n)`, fed from the output `V_in / (1 - (x - c)/n)` (CHECKS B, booster rows). The parts are given next to no
//! resistance and next to no magnetising current, so that only turns decide.

#![expect(clippy::unwrap_used, reason = "test support outside test functions")]

use gear::{Feed, Find, Measured, Place, Setup, SetupLoad, TerminalRef};
use network::{Answer, Meaning, Model, Solver};
use num_complex::Complex64;
use wiring::{Options, arrangement};

/// Booster ratio and tap of the worked example.
const N: f64 = 2.5;
const TAP: f64 = 0.5;
/// Phase volts fed.
const FED: f64 = 24.0;

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

fn fed(to: &[&str], neutral: Option<&str>) -> Setup {
    let feed = Feed {
        source: None,
        to: to.iter().map(|x| t(x)).collect(),
        neutral: neutral.map(t),
        earthed: false,
        volts: None,
        frequency: None,
        angle: None,
        lost: vec![],
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
        loads: vec![],
        temperature: None,
    }
}

/// Nearly ideal parts: `ohms` in every winding, a core that draws a millionth.
fn values(model: &Model, slider: f64) -> Vec<f64> {
    let of = |meaning: &Meaning| match meaning {
        Meaning::Fixed(value) => *value,
        Meaning::SourceVolts { .. } => FED,
        Meaning::SourceOhms { .. } | Meaning::SourceReactance { .. } | Meaning::Brush { .. } => 0.0,
        Meaning::Turns { part, winding } => model.sign(part, *winding) / N,
        Meaning::WindingOhms { .. } | Meaning::WindingReactance { .. } => 1e-7,
        Meaning::Tap { .. } => TAP,
        Meaning::SliderAt { .. } => slider,
        Meaning::CoreConductance(_) | Meaning::CoreSusceptance(_) => 1e-9,
        Meaning::CoreVolts(_) => 230.0,
        Meaning::CurrentExponent(_) => 1.0,
        Meaning::WattsExponent(_) => 2.0,
        Meaning::Knee(_) => 1.15,
        Meaning::LoadOhms { .. } => 10.0,
        Meaning::LoadReactance { .. } => 0.0,
        other => panic!("no value for {other:?}"),
    };
    model.meanings.iter().map(of).collect()
}

fn asked(find: &Find, setup: &Setup, slider: f64, place: &Place, measured: Measured) -> f64 {
    let model = Model::new(find, setup, 50.0).unwrap();
    let question = model.question(place, measured, 0.0).unwrap();
    let mut solver = Solver::new(model.circuit.clone()).unwrap();
    match &solver.answer(&values(&model, slider), &[question]).unwrap()[0] {
        Answer::Value { value, .. } => *value,
        other => panic!("{other:?}"),
    }
}

fn output(find: &Find, slider: f64) -> f64 {
    let setup = fed(&["X1:1", "X1:2", "X1:3"], Some("X1:N"));
    asked(
        find,
        &setup,
        slider,
        &Place::Between(t("X2:2"), t("X2:N")),
        Measured::AcVoltage,
    )
}

fn close(found: f64, wanted: f64) {
    assert!(
        (found / wanted - 1.0).abs() < 1e-5,
        "{found} where {wanted} is wanted"
    );
}

#[test]
fn limit_output_side() {
    let find = find("stabilizer-centre-tap", &[("side", "output")]);
    for x in [0.0, 0.3, 0.5, 0.7, 1.0] {
        close(output(&find, x), FED / (1.0 - (x - TAP) / N));
    }
}

#[test]
fn limit_input_side() {
    let find = find("stabilizer-centre-tap", &[("side", "input")]);
    for x in [0.0, 0.3, 0.5, 0.7, 1.0] {
        close(output(&find, x), FED * (1.0 + (x - TAP) / N));
    }
}

#[test]
fn limit_booster_reversed() {
    let find = find(
        "stabilizer-centre-tap",
        &[("side", "input"), ("booster", "reversed")],
    );
    close(output(&find, 0.8), FED * (1.0 - 0.3 / N));
}

#[test]
fn limit_end_fed() {
    for (fed, gain) in [("star", 1.0 + 0.7 / N), ("line", 1.0 + 0.3 / N)] {
        let find = find("stabilizer-end-fed", &[("fed", fed), ("side", "input")]);
        close(output(&find, 0.7), FED * gain);
    }
}

#[test]
fn the_sense_of_a_stage_is_what_the_network_finds() {
    for a in ["stabilizer-centre-tap", "stabilizer-end-fed"] {
        for way in arrangement(a).unwrap().ways() {
            let find = (arrangement(a).unwrap().build)(&way);
            let stage = wiring::stages(&find).remove(0);
            let three = find.gangs.len() == 1;
            let setup = if three {
                fed(&["X1:1", "X1:2", "X1:3"], Some("X1:N"))
            } else {
                fed(&["X1:1", "X1:N"], None)
            };
            let out = |x| {
                asked(
                    &find,
                    &setup,
                    x,
                    &Place::Between(t("X2:1"), t("X2:N")),
                    Measured::AcVoltage,
                )
            };
            let (low, high) = (out(0.45), out(0.55));
            assert_eq!((high - low).signum(), stage.sense, "{:?}", way.chosen);
        }
    }
}

/// The line current over the booster's ratio flows in its primary and brush at every slider position.
#[test]
fn limit_primary_carries_line_current_over_ratio() {
    let find = find("stabilizer-centre-tap", &[("side", "input")]);
    let mut setup = fed(&["X1:1", "X1:2", "X1:3"], Some("X1:N"));
    setup.loads.push(SetupLoad {
        across: ["X2:1", "X2:2", "X2:3", "X2:N"].map(t).to_vec(),
        pairing: gear::Pairing::Star,
        resistance: None,
        reactance: None,
        power: None,
        volts: None,
        power_factor: None,
    });
    for x in [0.1, 0.5, 0.9] {
        let current = |at: &str| asked(&find, &setup, x, &Place::Into(t(at)), Measured::AcCurrent);
        let line = current("X2:1");
        close(line, FED * (1.0 + (x - TAP) / N) / 10.0);
        close(current("T4:1.2"), line / N);
        close(current("T1:4"), line / N);
        close(current("T4:2.1"), line);
        // Input current: I (1 + s d / n), all of it in phase with a resistive load.
        close(current("X1:1"), line * (1.0 + (x - TAP) / N));
        let watts = Place::PowerInto {
            into: t("X1:1"),
            against: t("X1:N"),
        };
        close(
            asked(&find, &setup, x, &watts, Measured::Power),
            FED * current("X1:1"),
        );
    }
    // Alike loads: the neutral carries nothing.
    assert!(
        asked(
            &find,
            &setup,
            0.7,
            &Place::Into(t("X1:N")),
            Measured::AcCurrent
        ) < 1e-4
    );
}

#[test]
fn line_voltages_of_a_star_are_root_three_of_the_phases() {
    let find = find("stabilizer-centre-tap", &[]);
    let setup = fed(&["X1:1", "X1:2", "X1:3"], Some("X1:N"));
    close(
        asked(
            &find,
            &setup,
            0.6,
            &Place::Between(t("X1:1"), t("X1:2")),
            Measured::AcVoltage,
        ),
        FED * 3f64.sqrt(),
    );
}

/// One transformer of a delta stands between lines: its volts are √3 of what the star side's phases would be.
#[test]
fn limit_delta_star_bank_turns_line_volts_into_phase_volts() {
    let find = find("transformer", &[("phases", "3"), ("bank", "delta-star")]);
    let setup = fed(&["X1:1", "X1:2", "X1:3"], None);
    let model = Model::new(&find, &setup, 50.0).unwrap();
    let mut solver = Solver::new(model.circuit.clone()).unwrap();
    let solution = solver.solve(&values(&model, 0.0)).unwrap();
    let at = |x: &str| solution.voltages[model.node(&t(x)).unwrap().0];
    let phase = at("X2:1") - at("X2:N");
    close(phase.norm(), FED * 3f64.sqrt() / N);
    // Winding 1 of T1 stands from line 1 to line 2 (its end is joined to T2's start).
    let line: Complex64 = at("X1:1") - at("X1:2");
    assert!((phase.arg() - line.arg()).abs() < 1e-5);
}
