//! What a find's problem must be, on finds small enough to see through.

use super::*;
use crate::{Predicted, judge};

const NOMINAL: Nominal = Nominal {
    frequency: 50.0,
    volts: Some(230.0),
    power: None,
    phases: 1,
};

/// A transformer 230 V to 23 V with a meter, fed at its primary, and these readings.
fn find(readings: &str) -> Find {
    let text = format!(
        r#"
sheet = 1
[find]
name = "a bench transformer"
[[part]]
designation = "T1"
kind = "transformer"
power = "500 VA"
[[part.winding]]
name = "primary"
points = ["1.1", "1.2"]
dot = "first"
volts = "230 V"
[[part.winding]]
name = "secondary"
points = ["2.1", "2.2"]
dot = "first"
volts = "23 V"
[[instrument]]
designation = "P1"
[[instrument.range]]
measures = "AC voltage"
full_scales = ["6 V", "60 V", "600 V"]
counts = 6000
accuracy = "±(0.8 % + 3)"
burden = "10 MΩ"
[[instrument.range]]
measures = "resistance"
full_scales = ["600 Ω", "6 MΩ"]
counts = 6000
accuracy = "±(1 % + 3)"
[[instrument.range]]
measures = "AC current"
full_scales = ["6 A"]
counts = 6000
accuracy = "±(1.5 % + 3)"
burden = "0.5 Ω"
[[setup]]
number = 1
[[setup]]
number = 2
at = "14:00"
[[setup.feed]]
to = ["T1:1.1", "T1:1.2"]
volts = "48 V"
{readings}
"#
    );
    sheet::read(&text).unwrap_or_else(|p| panic!("{p:?}"))
}

fn reading(number: u32, setup: u32, rest: &str) -> String {
    format!("[[reading]]\nnumber = {number}\nsetup = {setup}\nwith = \"P1\"\n{rest}\n")
}

fn volts(number: u32, place: &str, shown: &str) -> String {
    let (a, b) = place.split_once(' ').unwrap();
    reading(
        number,
        2,
        &format!("between = [\"T1:{a}\", \"T1:{b}\"]\nshown = \"{shown}\""),
    )
}

#[test]
fn readings_on_one_range_share_a_gain_and_others_do_not() {
    let find = find(
        &(volts(1, "1.1 1.2", "48.10 V")
            + &volts(2, "1.1 1.2", "48.12 V")
            + &volts(3, "2.1 2.2", "4.806 V")),
    );
    let made = FindProblem::new(&find, NOMINAL);
    let gains: Vec<_> = made.problem.observations.iter().map(|o| o.gain).collect();
    assert_eq!(gains[0], gains[1]);
    assert_ne!(gains[0], gains[2]);
    assert!(made.unused.is_empty() && made.faults.is_empty());
}

#[test]
fn two_readings_teach_the_ratio_and_a_tenfold_slip_is_set_aside() {
    let readings = volts(1, "1.1 1.2", "48.10 V")
        + &volts(2, "2.1 2.2", "4.806 V")
        + &volts(3, "1.1 1.2", "48.12 V")
        + &volts(4, "2.1 2.2", "48.07 V");
    let mut made = FindProblem::new(&find(&readings), NOMINAL);
    let judged = judge(&mut made.problem).unwrap();
    assert!(judged.readings[3].wrong > 0.9, "{:?}", judged.readings[3]);
    assert!(judged.readings[..3].iter().all(|r| r.wrong < 0.1));
}

#[test]
fn ohms_between_windings_are_open_and_over_range_is_bounded_by_the_meter() {
    let ohms = reading(
        1,
        1,
        "between = [\"T1:1.1\", \"T1:2.1\"]\nmeasured = \"resistance\"\nshown = \"OL\"",
    );
    let mut made = FindProblem::new(&find(&ohms), NOMINAL);
    let limit = 6e6;
    assert!(
        matches!(made.problem.observations[0].shown, crate::Shown::AtLeast { limit: l, .. } if l == limit)
    );
    let judged = judge(&mut made.problem).unwrap();
    assert_eq!(judged.readings[0].answer, Predicted::Open);
}

#[test]
fn an_in_line_meter_in_the_feed_burdens_nothing_behind_it() {
    let loaded = "[[setup.load]]\nacross = [\"T1:2.1\", \"T1:2.2\"]\nresistance = \"10 Ω\"\n";
    let amperes = reading(1, 2, "into = \"T1:1.1\"\nshown = \"0.021 A\"")
        + &reading(2, 2, "into = \"T1:2.1\"\nshown = \"0.48 A\"");
    let amperes = loaded.to_owned() + &amperes;
    let made = FindProblem::new(&find(&amperes), NOMINAL);
    let burdens: Vec<f64> = made
        .problem
        .observations
        .iter()
        .map(|o| match o.question {
            network::Question::Current { burden, .. } => burden,
            _ => f64::NAN,
        })
        .collect();
    assert_eq!(burdens, [0.0, 0.5]);
}

#[test]
fn two_wire_ohms_on_a_thick_winding_teach_next_to_nothing() {
    // 0.1 Ω a digit and leads of 0.2 Ω: a winding of some milliohms must not look measured.
    let ohms = reading(
        1,
        1,
        "between = [\"T1:2.1\", \"T1:2.2\"]\nshown = \"0.2 Ω\"",
    );
    let mut made = FindProblem::new(&find(&ohms), NOMINAL);
    let judged = judge(&mut made.problem).unwrap();
    let index = made
        .registry
        .get(&Key::Ohms(gear::Designation::parse("T1").unwrap(), 0))
        .unwrap();
    let width = judged.posterior.modes[0].covariance[index][index].sqrt();
    assert!(width > 0.8, "{width}");
}

#[test]
fn what_cannot_be_used_is_kept_with_its_reason() {
    let odd = reading(
        1,
        1,
        "between = [\"T1:1.1\", \"T1:1.2\"]\nmeasured = \"AC voltage\"\nshown = \"1.0 V\"",
    );
    let made = FindProblem::new(&find(&odd), NOMINAL);
    assert_eq!(made.unused.len(), 1);
    assert!(!made.unused[0].1.is_empty());
    assert_eq!(made.faults.len(), 1, "setup 1 is fed with nothing");
}

#[test]
fn a_setup_without_solution_is_told_and_keeps_no_other_from_being_judged() {
    // Setup 3 puts a second supply of unlike volts on the same terminals.
    let odd = "[[setup]]\nnumber = 3\n[[setup.feed]]\nto = [\"T1:1.1\", \"T1:1.2\"]\nvolts = \"48 V\"\n[[setup.feed]]\nto = [\"T1:1.1\", \"T1:1.2\"]\nvolts = \"12 V\"\n";
    let readings = volts(1, "1.1 1.2", "48.10 V")
        + &reading(
            2,
            3,
            "between = [\"T1:1.1\", \"T1:1.2\"]\nshown = \"48.1 V\"",
        );
    let mut made = FindProblem::new(&find(&(odd.to_owned() + &readings)), NOMINAL);
    assert_eq!(made.faults.len(), 1);
    assert_eq!(made.faults[0].0, 3);
    assert!(made.faults[0].1.what.contains("feed"), "{:?}", made.faults);
    assert_eq!(made.unused.len(), 1);
    assert_eq!(judge(&mut made.problem).unwrap().readings.len(), 1);
}
