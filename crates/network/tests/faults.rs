//! Circuits that have no solution, each told by name; loops and islands that are no fault.

#![allow(clippy::unwrap_used)] // helpers of tests count as outside tests

mod common;

use common::{Built, amperes, value, volts};
use network::{Answer, NetworkError, Question, Solver};
use num_complex::Complex64;

fn refused(built: &Built) -> NetworkError {
    built.solver().solve(&built.values).unwrap_err()
}

#[test]
fn a_shorted_source_names_what_shorts_it() {
    let mut b = Built::new(50.0);
    let [n, l, m] = ["N", "L", "M"].map(|x| b.node(x));
    b.source("G1", n, l, 230.0, 0.0, (0.0, 0.0));
    b.impedance("R1", n, l, (10.0, 0.0));
    b.link("F1", l, m);
    b.impedance("W1", m, n, (0.0, 0.0));
    assert_eq!(
        refused(&b),
        NetworkError::ShortedSource {
            source: "G1".into(),
            by: vec!["F1".into(), "W1".into()]
        }
    );
}

#[test]
fn a_source_onto_its_own_node_is_shorted() {
    let mut b = Built::new(50.0);
    let l = b.node("L");
    b.source("G1", l, l, 230.0, 0.0, (0.0, 0.0));
    assert_eq!(
        refused(&b),
        NetworkError::ShortedSource {
            source: "G1".into(),
            by: vec![]
        }
    );
}

#[test]
fn an_impedance_makes_a_short_a_current() {
    let mut b = Built::new(50.0);
    let [n, l] = ["N", "L"].map(|x| b.node(x));
    let source = b.source("G1", n, l, 230.0, 0.0, (0.3, 0.4));
    b.link("F1", l, n);
    let solution = b.solve();
    assert!((solution.currents[source.0][0].amperes.norm() - 460.0).abs() < 1e-9);
}

#[test]
fn unlike_stiff_sources_in_parallel_are_named_and_like_ones_share() {
    let mut b = Built::new(50.0);
    let [n, l, m] = ["N", "L", "M"].map(|x| b.node(x));
    let first = b.source("G1", n, l, 230.0, 0.0, (0.0, 0.0));
    let second = b.source("G2", n, m, 231.0, 0.0, (0.0, 0.0));
    b.link("F1", l, m);
    b.impedance("R1", m, n, (23.0, 0.0));
    assert_eq!(
        refused(&b),
        NetworkError::UnlikeSources {
            sources: vec!["G1".into(), "G2".into()]
        }
    );
    b.values[3] = 230.0;
    let solution = b.solve();
    let sum: Complex64 = [first, second]
        .iter()
        .map(|s| solution.currents[s.0][0].amperes)
        .sum();
    assert!((sum - Complex64::new(10.0, 0.0)).norm() < 1e-12);
}

#[test]
fn a_stiff_winding_held_at_two_voltages_is_a_contradiction() {
    let mut b = Built::new(50.0);
    let [n, l, s, t] = ["N", "L", "S", "T"].map(|x| b.node(x));
    b.source("G1", n, l, 230.0, 0.0, (0.0, 0.0));
    let core = b.core("T1", 1.0, 1e-4, 1e-3);
    b.winding(
        "T1 primary",
        core,
        1.0,
        (0.0, 0.0),
        &[(l, 0.0), (n, 1.0)],
        &[],
    );
    b.winding(
        "T1 secondary",
        core,
        0.1,
        (0.0, 0.0),
        &[(s, 0.0), (t, 1.0)],
        &[],
    );
    assert!(
        b.solver().solve(&b.values).is_ok(),
        "an ideal transformer on a stiff source is sound"
    );
    b.link("short", s, t);
    let NetworkError::Contradiction { elements } = refused(&b) else {
        panic!("{:?}", refused(&b))
    };
    for name in ["G1", "T1 primary", "T1 secondary", "short"] {
        assert!(
            elements.iter().any(|e| e == name),
            "{elements:?} lacks {name}"
        );
    }
}

#[test]
fn ideal_windings_in_parallel_share_alike() {
    let mut b = Built::new(50.0);
    let [n, l, s] = ["N", "L", "S"].map(|x| b.node(x));
    b.source("G1", n, l, 230.0, 0.0, (1.0, 0.0));
    let core = b.core("T1", 1.0, 1e-4, 1e-3);
    b.winding("primary", core, 1.0, (0.0, 0.0), &[(n, 0.0), (l, 1.0)], &[]);
    let twins = ["one", "other"]
        .map(|name| b.winding(name, core, 0.1, (0.0, 0.0), &[(n, 0.0), (s, 1.0)], &[]));
    let load = b.impedance("load", s, n, (2.0, 0.0));
    let solution = b.solve();
    let all = solution.currents[load.0][0].amperes;
    for twin in twins {
        assert!((solution.currents[twin.0][0].amperes - 0.5 * all).norm() < 1e-10);
    }
}

#[test]
fn parallel_links_split_as_if_alike_and_sum_right() {
    let mut b = Built::new(50.0);
    let [n, l, m, p] = ["N", "L", "M", "P"].map(|x| b.node(x));
    b.source("G1", n, l, 230.0, 0.0, (0.0, 0.0));
    // Two links in parallel, and a way round of two in series: 2 : 2 : 1 of the current.
    let (k1, k2, k3) = (b.link("K1", l, m), b.link("K2", m, l), b.link("K3", l, p));
    let k4 = b.link("K4", p, m);
    b.impedance("load", m, n, (23.0, 0.0));
    let solution = b.solve();
    for (k, want) in [(k1, 4.0), (k2, -4.0), (k3, 2.0), (k4, 2.0)] {
        assert!((solution.currents[k.0][0].amperes - Complex64::new(want, 0.0)).norm() < 1e-10);
    }
    let through = vec![(k1, 1.0), (k2, 1.0), (k3, 1.0)];
    assert!(
        (b.ask(Question::Current {
            node: l,
            through,
            burden: 0.0
        }) - 10.0)
            .abs()
            < 1e-10
    );
}

#[test]
fn an_open_ideal_core_is_singular_by_name() {
    let mut b = Built::new(50.0);
    let [n, l] = ["N", "L"].map(|x| b.node(x));
    let core = b.core("T1", 1.0, 0.0, 0.0);
    b.winding(
        "T1 primary",
        core,
        1.0,
        (1.0, 0.0),
        &[(n, 0.0), (l, 1.0)],
        &[],
    );
    let NetworkError::Singular { at } = refused(&b) else {
        panic!("{:?}", refused(&b))
    };
    assert!(at.contains("T1"), "{at}");
}

#[test]
fn across_a_gap_nothing_is_said_inside_an_island_all_is() {
    let mut b = Built::new(50.0);
    let [n, l, s, t, alone] = ["N", "L", "S", "T", "alone"].map(|x| b.node(x));
    b.source("G1", n, l, 230.0, 0.0, (0.1, 0.0));
    let core = b.core("T1", 1.0, 1e-4, 1e-3);
    let primary = b.winding(
        "T1 primary",
        core,
        1.0,
        (1.0, 1.0),
        &[(n, 0.0), (l, 1.0)],
        &[],
    );
    b.winding(
        "T1 secondary",
        core,
        0.1,
        (0.1, 0.1),
        &[(s, 0.0), (t, 1.0)],
        &[],
    );
    let asked = [
        volts(l, s),
        volts(alone, n),
        volts(s, t),
        volts(alone, alone),
        Question::Ratio {
            over: (s, t),
            under: (l, t),
        },
        Question::Power {
            node: l,
            against: t,
            through: vec![(primary, 1.0)],
        },
        Question::Ratio {
            over: (s, t),
            under: (n, n),
        },
        amperes(l, primary),
    ];
    let answers = b.solver().answer(&b.values, &asked).unwrap();
    for gap in [0, 1, 4, 5, 6] {
        assert_eq!(answers[gap], Answer::Floating, "question {gap}");
    }
    assert!((value(&answers[2]) - 23.0).abs() < 0.1);
    assert_eq!(value(&answers[3]), 0.0);
    assert!(value(&answers[7]) > 0.1);
}

#[test]
fn ohms_are_open_across_islands_and_only_asked_at_rest() {
    let mut b = Built::new(0.0);
    let [n, l, s, t] = ["N", "L", "S", "T"].map(|x| b.node(x));
    let core = b.core("T1", 1.0, 1e-4, 1e-3);
    b.winding(
        "T1 primary",
        core,
        1.0,
        (4.0, 1.0),
        &[(n, 0.0), (l, 1.0)],
        &[],
    );
    b.winding(
        "T1 secondary",
        core,
        0.1,
        (0.1, 0.1),
        &[(s, 0.0), (t, 1.0)],
        &[],
    );
    b.capacitor("C1", l, s, 1e-6);
    let asked = [
        Question::Resistance { a: n, b: l },
        Question::Resistance { a: n, b: s },
    ];
    let answers = b.solver().answer(&b.values, &asked).unwrap();
    assert!((value(&answers[0]) - 4.0).abs() < 1e-12);
    assert_eq!(answers[1], Answer::Open);
    b.circuit.frequency = 50.0;
    assert!(matches!(
        b.solver().answer(&b.values, &asked),
        Err(NetworkError::BadValue { .. })
    ));
}

#[test]
fn a_dead_stiff_source_is_a_short_to_an_ohmmeter() {
    let mut b = Built::new(0.0);
    let [n, l, m] = ["N", "L", "M"].map(|x| b.node(x));
    b.source("G1", n, l, 12.0, 0.0, (0.0, 0.0));
    b.impedance("R1", l, m, (5.0, 0.0));
    assert!((b.ask(Question::Resistance { a: n, b: m }) - 5.0).abs() < 1e-12);
}

#[test]
fn bad_values_are_refused_with_the_name() {
    let mut b = Built::new(50.0);
    let [n, l, s] = ["N", "L", "S"].map(|x| b.node(x));
    b.source("G1", n, l, 230.0, 0.0, (0.1, 0.0));
    let core = b.core("T1", 1.0, 1e-4, 1e-3);
    b.winding(
        "T1 winding",
        core,
        1.0,
        (1.0, 1.0),
        &[(n, 0.0), (l, 1.0)],
        &[(s, 0.5, 0.04)],
    );
    let at = b.values.len() - 2;
    for (index, wrong, name) in [
        (at, 1.01, "T1 winding"),
        (at, f64::NAN, "T1 winding"),
        (0, f64::INFINITY, "G1"),
        (1, -1.0, "G1"),
        (3, 0.0, "T1"),
    ] {
        let mut values = b.values.clone();
        values[index] = wrong;
        let Err(NetworkError::BadValue { element, .. }) = b.solver().solve(&values) else {
            panic!("{index} {wrong}")
        };
        assert_eq!(element, name);
    }
    assert!(matches!(
        b.solver().solve(&[1.0]),
        Err(NetworkError::BadValue { .. })
    ));
    let mut circuit = b.circuit.clone();
    circuit.frequency = f64::NAN;
    assert!(matches!(
        Solver::new(circuit),
        Err(NetworkError::BadValue { .. })
    ));
    let mut circuit = b.circuit.clone();
    circuit.nodes.pop();
    assert!(matches!(
        Solver::new(circuit),
        Err(NetworkError::BadValue { .. })
    ));
}

#[test]
fn a_solver_can_be_cloned_and_sent() {
    fn both<T: Clone + Send>() {}
    both::<Solver>();
}
