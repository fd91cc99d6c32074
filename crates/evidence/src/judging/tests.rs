//! The ladder a judgement climbs: perfect readings, noisy ones, a bad start, one wild reading, readings that prove nothing.

use super::{Predicted, judge, judge_from, weighed};
use crate::sample::{OHMS, SLIDER, TAP, VOLTS, add_bounds, problem};
use crate::{Mode, Posterior, Problem, Shown, SlipKind, fit};

const TRUTH: [f64; 9] = [0.3, -0.8, 0.5, 0.6, -0.4, 0.2, -0.5, 0.7, 0.0];
/// Drawn once from a standard normal distribution and written down.
const NOISE: [f64; 10] = [
    0.42, -1.13, 0.07, 0.88, -0.35, 1.21, -0.66, 0.19, -0.94, 0.51,
];

fn show(problem: &mut Problem, reading: usize, factor: f64) {
    if let Shown::Value { value, sigma } = &mut problem.observations[reading].shown {
        *value *= factor;
        *sigma *= factor;
    }
}

#[test]
fn perfect_readings_give_the_truth_to_rounding() {
    // A millionth: finer readings against priors this wide are beyond double precision in the space of the readings.
    let mut find = problem(&TRUTH, 1e-6, &[]);
    let judged = judge(&mut find).unwrap();
    let mode = &judged.posterior.modes[0];
    // The gain and the drift are not seen apart from the supply; what rests on ratios and ohms is.
    for parameter in [SLIDER, OHMS, 7] {
        assert!(
            (mode.z[parameter] - TRUTH[parameter]).abs() < 1e-4,
            "{parameter}: {} {}",
            mode.z[parameter],
            TRUTH[parameter]
        );
    }
    assert!(
        judged.readings.iter().all(|reading| reading.wrong < 0.05),
        "{:?}",
        judged.readings
    );
}

#[test]
fn noisy_readings_keep_the_truth_inside_the_stated_range() {
    let judged = judge(&mut problem(&TRUTH, 0.003, &NOISE)).unwrap();
    for (parameter, truth) in TRUTH.iter().enumerate() {
        let (z, u) = judged.posterior.z(parameter);
        assert!(
            (z - truth).abs() < 3.0 * u,
            "parameter {parameter}: {z} +- {u}, truth {truth}"
        );
    }
    let (_, known) = judged.posterior.z(OHMS);
    assert!(
        known < 0.01,
        "a winding read by an ohmmeter is known: {known}"
    );
    assert!(
        judged.readings.iter().all(|reading| reading.wrong < 0.1),
        "{:?}",
        judged.readings
    );
}

#[test]
fn a_bad_start_still_lands() {
    let mut far = problem(&TRUTH, 0.003, &NOISE);
    far.starts = vec![];
    let near = judge(&mut problem(&TRUTH, 0.003, &NOISE)).unwrap();
    far.starts = vec![vec![(SLIDER, 4.0), (VOLTS, -4.0), (OHMS, 4.0)]];
    // Only the bad start: the origin is made one too.
    far.parameters[SLIDER].centre = 0.9;
    far.parameters[SLIDER].width = 2.0;
    let judged = judge(&mut far).unwrap();
    let slider = |judged: &super::Judged, problem: &Problem| {
        problem.parameters[SLIDER].value(judged.posterior.modes[0].z[SLIDER])
    };
    let expected = slider(&near, &problem(&TRUTH, 0.003, &NOISE));
    assert!(
        (slider(&judged, &far) - expected).abs() < 2e-3,
        "{} {expected}",
        slider(&judged, &far)
    );
}

#[test]
fn one_wild_reading_is_set_aside_by_name() {
    for (wild, factor, kind) in [
        (1, 10.0, SlipKind::TenTimes),
        (2, 0.1, SlipKind::Tenth),
        (7, 1000.0, SlipKind::ThousandTimes),
    ] {
        let mut find = problem(&TRUTH, 0.003, &NOISE);
        show(&mut find, wild, factor);
        let judged = judge(&mut find).unwrap();
        for (reading, told) in judged.readings.iter().enumerate() {
            assert_eq!(
                told.wrong > 0.5,
                reading == wild,
                "{wild}: reading {} wrong {}",
                told.number,
                told.wrong
            );
        }
        assert_eq!(judged.readings[wild].kinds[0].0, kind);
        assert_eq!(judged.posterior.modes[0].misread, [wild]);
    }
}

#[test]
fn leads_on_another_place_are_named_with_the_place() {
    let mut find = problem(&TRUTH, 0.003, &NOISE);
    let there = find.observations[1].shown;
    find.observations[0].shown = there;
    let judged = judge(&mut find).unwrap();
    assert!(judged.readings[0].wrong > 0.5);
    let (kind, place, share) = &judged.readings[0].kinds[0];
    assert_eq!(
        (*kind, place.as_deref()),
        (SlipKind::WrongTerminal, Some("slider to tap"))
    );
    assert!(*share > 0.9, "{share}");
}

#[test]
fn bounds_floating_places_and_open_circuits_are_judged_as_what_they_are() {
    let mut find = problem(&TRUTH, 0.003, &NOISE);
    add_bounds(&mut find);
    let judged = judge(&mut find).unwrap();
    let [least, most, open, floating] = &judged.readings[10..] else {
        panic!("four readings")
    };
    for kept in [least, most, open] {
        assert!(kept.wrong < 0.1, "{kept:?}");
    }
    assert_eq!(
        (open.answer, floating.answer),
        (Predicted::Open, Predicted::Floating)
    );
    assert_eq!(floating.wrong, find.slip_probability);

    find.observations[11].shown = Shown::AtMost {
        limit: 0.1,
        sigma: 0.02,
    };
    find.observations[12].shown = Shown::Value {
        value: 12.0,
        sigma: 0.1,
    };
    let judged = judge(&mut find).unwrap();
    assert!(
        judged.readings[11].wrong > 0.5,
        "a beep through ohms: {:?}",
        judged.readings[11]
    );
    assert!(
        judged.readings[12].wrong > 0.5,
        "ohms where no path is: {:?}",
        judged.readings[12]
    );
}

#[test]
fn a_reading_left_out_equals_a_fit_without_it() {
    let mut find = problem(&TRUTH, 0.003, &NOISE);
    // No slip, no drift, and readings without a gain: then the network's answer is the prediction.
    find.slip_probability = 0.0;
    find.drift = vec![];
    let judged = judge(&mut find).unwrap();
    for left_out in [7, 8, 9] {
        let mut without = find.clone();
        let observation = without.observations.remove(left_out);
        let Predicted::Value {
            value, uncertainty, ..
        } = judged.readings[left_out].answer
        else {
            panic!("a value")
        };
        let refitted = judge(&mut without).unwrap();
        let answer = refitted
            .posterior
            .predict(&mut without, observation.station, &observation.question)
            .unwrap();
        let crate::Prediction::Value {
            value: expected,
            uncertainty: expected_u,
        } = answer
        else {
            panic!("a value")
        };
        assert!(
            (value - expected).abs() < 0.1 * expected_u,
            "{left_out}: {value} {expected} +- {expected_u}"
        );
        assert!(
            (uncertainty / expected_u - 1.0).abs() < 0.1,
            "{left_out}: {uncertainty} {expected_u}"
        );
    }
}

#[test]
fn one_reading_more_is_judged_from_the_modes_before() {
    let whole = problem(&TRUTH, 0.003, &NOISE);
    let mut first = whole.clone();
    first.observations.truncate(9);
    let before = judge(&mut first).unwrap();
    let from = judge_from(
        &mut whole.clone(),
        &before.posterior,
        whole.parameters.len(),
    )
    .unwrap();
    let anew = judge(&mut whole.clone()).unwrap();
    for (left, right) in from.posterior.modes[0]
        .z
        .iter()
        .zip(&anew.posterior.modes[0].z)
    {
        assert!((left - right).abs() < 1e-5, "{left} {right}");
    }
}

#[test]
fn both_sides_of_a_tap_are_told_where_the_readings_fit_both() {
    let mut find = problem(&TRUTH, 0.003, &NOISE);
    // Only the size of the voltage between slider and tap tells of the slider, and the search begins on one side.
    find.observations.remove(2);
    find.starts = vec![];
    let judged = judge(&mut find).unwrap();
    let above: f64 = judged
        .posterior
        .modes
        .iter()
        .filter(|mode| {
            let at = |parameter: usize| find.parameters[parameter].value(mode.z[parameter]);
            at(SLIDER) > at(TAP)
        })
        .map(|mode| mode.probability)
        .sum();
    // By the slider's prior alone 0.76 to 0.24; the feed's amperes and watts hardly tell.
    assert!((0.1..0.9).contains(&above), "{above}");
}

#[test]
fn a_reading_wrongly_held_misread_comes_back_however_far_it_leads() {
    // The only reading of that winding, nearly five times its prior's centre: unusual, yet no slip.
    let mut truth = TRUTH;
    truth[7] = 2.3;
    let mut find = problem(&truth, 0.003, &NOISE);
    let without = fit(&mut find, &[0.0; 11], &[8]).unwrap();
    let before = Posterior {
        modes: vec![Mode {
            z: without.z,
            covariance: without.covariance,
            misread: vec![8],
            probability: 1.0,
        }],
    };
    let from = judge_from(&mut find.clone(), &before, find.parameters.len()).unwrap();
    let anew = judge(&mut find).unwrap();
    let (from, anew) = (from.readings[8].wrong, anew.readings[8].wrong);
    assert!(
        anew < 0.1 && (from - anew).abs() < 0.01,
        "{from} from before, {anew} anew"
    );
}

#[test]
fn a_set_known_on_the_less_likely_side_only_has_another_look_from_the_other() {
    let mut find = problem(&TRUTH, 0.003, &NOISE);
    find.observations.remove(2);
    let mut peak = |slider: f64, misread: Vec<usize>| {
        let mut start = vec![0.0; 11];
        start[SLIDER] = slider;
        let z = fit(&mut find, &start, &misread).unwrap().z;
        (misread, z)
    };
    let near = [peak(2.0, vec![]), peak(-0.8, vec![7])];
    let is_above = |z: &[f64]| z[SLIDER] > 0.6;
    assert!(is_above(&near[0].1) && !is_above(&near[1].1), "{near:?}");
    // Searched from near points only, nothing crosses a tap.
    let (_, told) = weighed(&mut find, &near).unwrap();
    let best = &told.modes[0];
    assert!(
        best.misread.is_empty() && !is_above(&best.z),
        "{:?} at {}",
        best.misread,
        best.z[SLIDER]
    );
}

#[test]
fn an_ill_formed_problem_is_told_not_judged() {
    let mut find = problem(&TRUTH, 0.003, &NOISE);
    find.parameters[0].width = 0.0;
    find.observations[3].station = 7;
    find.observations[4].shown = Shown::Value {
        value: f64::NAN,
        sigma: 1.0,
    };
    find.drift[0][0] = -1.0;
    let told: Vec<String> = find
        .check()
        .unwrap_err()
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(
        told,
        [
            "parameter 0 (supply): width 0 is not above 0",
            "reading 4: names station 7, there are 2",
            "reading 5: shows no number",
            "drift: is not a covariance: not positive definite",
        ]
    );
    assert!(judge(&mut find).is_err());
}

#[test]
fn draws_have_the_posteriors_own_mean_and_spread() {
    let judged = judge(&mut problem(&TRUTH, 0.003, &NOISE)).unwrap();
    let draws = judged.posterior.draws(4000, 7);
    assert_eq!(draws.len(), 4000);
    assert_eq!(draws[17], judged.posterior.draws(4000, 7)[17]);
    for parameter in 0..TRUTH.len() {
        let (mean, sd) = judged.posterior.z(parameter);
        let drawn: f64 = draws.iter().map(|z| z[parameter]).sum::<f64>() / 4000.0;
        let moment = |power| {
            draws
                .iter()
                .map(|z| (z[parameter] - drawn).powi(power))
                .sum::<f64>()
                / 4000.0
        };
        let spread = moment(2).sqrt();
        // Five standard errors of a mean and of a standard deviation of 4000 draws; a rare wide mode makes the latter's large.
        let tails = moment(4) / moment(2).powi(2);
        let error = 0.5 * ((tails - 1.0) / 4000.0).sqrt();
        assert!(
            (drawn - mean).abs() < 5.0 * sd / 4000f64.sqrt()
                && (spread / sd - 1.0).abs() < 5.0 * error,
            "{parameter}: {drawn} {spread}, {mean} {sd}"
        );
    }
}

#[test]
fn nought_between_slider_and_tap_tells_where_the_slider_stands() {
    // 0.00 V between slider and tap: the slider stands on the tap, known as well as the tap is. By hand: 0.01 of the track over the
    // slider's slope there, 0.5 · 0.5 · 0.7.
    let mut find = problem(&TRUTH, 0.003, &[]);
    find.observations.truncate(2);
    find.observations[0].other_places.clear();
    find.observations[1].shown = Shown::Value {
        value: 0.0,
        sigma: 0.01,
    };
    let judged = judge(&mut find).unwrap();
    let mode = &judged.posterior.modes[0];
    assert!(mode.misread.is_empty(), "{mode:?}");
    let known = mode.covariance[SLIDER][SLIDER].sqrt();
    assert!((known - 0.01 / 0.175).abs() < 0.003, "{known}");
    // What the supply alone says of that place is next to nothing.
    let Predicted::Value { uncertainty, .. } = judged.readings[1].answer else {
        panic!("{:?}", judged.readings[1].answer);
    };
    assert!(uncertainty > 10.0, "{uncertainty}");
}
