//! What candidates must be, on a find small enough to see through: one stabilizer phase of ideal figures at 24 V.
//!
//! By hand, autotransformer on the output, tap at the middle, booster 2.5 : 1, slider at x: the booster adds (x - ½)/2.5 of the output,
//! so the output is 24 V / (1 - (x - ½)/2.5): 26.09 V at 0.70 and 22.22 V at 0.30.

use super::*;
use crate::judge;

const NOMINAL: Nominal = Nominal {
    frequency: 50.0,
    volts: Some(230.0),
    power: None,
    phases: 1,
};

const READINGS: [(u32, &str, &str); 9] = [
    (1, "X1:1 X1:N", "24.00 V"),
    (1, "X2:1 X2:N", "26.09 V"),
    (1, "T1:4 T1:3", "18.26 V"),
    (1, "T2:1.1 T2:1.2", "5.217 V"),
    (2, "X1:1 X1:N", "24.00 V"),
    (2, "X2:1 X2:N", "22.22 V"),
    (2, "T2:2.1 T2:2.2", "1.778 V"),
    (2, "T1:1 T1:2", "11.11 V"),
    (2, "T1:4 T1:3", "6.667 V"),
];

/// The find with a dot line for the secondary and the first so many readings.
fn find(dot: &str, readings: usize) -> Find {
    let mut text = format!(
        r#"
sheet = 1
[find]
name = "one phase"
[[part]]
designation = "T1"
kind = "variable autotransformer"
power = "1 kVA"
[[part.winding]]
name = "winding"
points = ["3", "2", "1"]
at = ["0", "0.50", "1"]
dot = "last"
sliders = ["4"]
volts = "230 V"
[[part]]
designation = "T2"
kind = "transformer"
power = "500 VA"
[[part.winding]]
name = "primary"
points = ["1.2", "1.1"]
dot = "first"
volts = "115 V"
[[part.winding]]
name = "secondary"
points = ["2.2", "2.1"]
{dot}
volts = "46 V"
[[part]]
designation = "X1"
kind = "terminals"
terminals = ["1", "N"]
[[part]]
designation = "X2"
kind = "terminals"
terminals = ["1", "N"]
[[instrument]]
designation = "P1"
[[instrument.range]]
measures = "AC voltage"
full_scales = ["6 V", "60 V", "600 V"]
counts = 6000
accuracy = "±(0.8 % + 3)"
burden = "10 MΩ"
"#
    );
    for join in [
        r#""X1:1", "T2:2.1""#,
        r#""T2:2.2", "T1:1", "X2:1""#,
        r#""T1:4", "T2:1.2""#,
        r#""T1:2", "T2:1.1""#,
        r#""T1:3", "X1:N", "X2:N""#,
    ] {
        text += &format!("[[join]]\nterminals = [{join}]\nstate = \"seen\"\n");
    }
    for (number, at) in [(1, "0.70"), (2, "0.30")] {
        text += &format!(
            "[[setup]]\nnumber = {number}\nsliders = {{ T1 = \"{at}\" }}\n[[setup.feed]]\nto = [\"X1:1\", \"X1:N\"]\nvolts = \"24 V\"\n"
        );
    }
    for (number, (setup, place, shown)) in (1..).zip(&READINGS[..readings]) {
        let (a, b) = place.split_once(' ').unwrap();
        text += &format!(
            "[[reading]]\nnumber = {number}\nsetup = {setup}\nwith = \"P1\"\nbetween = [\"{a}\", \"{b}\"]\nshown = \"{shown}\"\n"
        );
    }
    sheet::read(&text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn ranked(find: &Find, memory: &mut Memory) -> Candidates {
    let base = FindProblem::new(find, NOMINAL);
    let judged = judge(&mut base.problem.clone()).unwrap();
    candidates_from(find, NOMINAL, &base, &judged, memory)
}

fn told(candidates: &Candidates) -> Vec<(String, f64)> {
    let one = |c: &Candidate| (c.variant.what.clone(), c.ranked.probability);
    candidates.list.iter().map(one).collect()
}

#[test]
fn a_right_drawing_stands() {
    let found = ranked(&find("dot = \"first\"", 9), &mut Memory::default());
    assert!(found.decided, "{:?}", told(&found));
    assert_eq!(found.list[0].variant.kind, VariantKind::AsRecorded);
    assert!(found.considered > 30);
    assert!(found.list.len() > 1, "the best loser is told");
}

#[test]
fn a_winding_recorded_the_wrong_way_round_is_named_with_what_speaks_against_the_drawing() {
    let found = ranked(&find("dot = \"last\"", 9), &mut Memory::default());
    let best = &found.list[0].variant;
    assert_eq!(best.what, "T2's secondary stands reversed");
    assert!(!best.remedy.is_empty());
    let recorded = found.list.iter();
    let mut recorded = recorded.filter(|c| c.variant.kind == VariantKind::AsRecorded);
    let against = recorded.next().unwrap().against.clone().unwrap();
    assert!(against.distance.abs() > 5.0, "{against:?}");
    // The autotransformer upside down would show the same everywhere: no reading was taken across from it. That is said.
    let twin = "the leads on T1:3 and T1:1 are exchanged";
    assert!(
        told(&found)
            .iter()
            .any(|(what, p)| what == twin && *p > 0.01)
    );
    assert!(!found.decided, "{:?}", told(&found));
}

#[test]
fn an_unknown_start_is_decided_by_readings_that_feel_it_and_by_no_others() {
    let felt = ranked(&find("", 9), &mut Memory::default());
    assert!(felt.decided, "{:?}", told(&felt));
    assert_eq!(felt.list[0].variant.kind, VariantKind::AsRecorded);
    let unfelt = ranked(&find("", 1), &mut Memory::default());
    assert!(!unfelt.decided, "{:?}", told(&unfelt));
    let ties = unfelt.list.iter().filter(|c| c.ranked.probability > 0.3);
    assert_eq!(ties.count(), 2, "{:?}", told(&unfelt));
}

#[test]
fn one_reading_more_is_ranked_from_memory_as_it_would_be_anew() {
    for dot in ["dot = \"first\"", "dot = \"last\""] {
        let mut memory = Memory::default();
        for readings in 7..=9 {
            let find = find(dot, readings);
            let (from, anew) = (
                ranked(&find, &mut memory),
                ranked(&find, &mut Memory::default()),
            );
            let (from, anew) = (told(&from), told(&anew));
            assert_eq!(from[0].0, anew[0].0);
            assert!((from[0].1 - anew[0].1).abs() < 1e-3, "{from:?} {anew:?}");
        }
    }
}
