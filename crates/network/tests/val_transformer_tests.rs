//! CHECKS section A: open- and short-circuit tests, regulation and efficiency, against textbook examples, by the reduction of
//! `open_short` and, where the example is a circuit, by the network with the reduced values put back into it.

#![allow(clippy::unwrap_used)] // helpers of tests count as outside tests

mod common;

use common::{Built, amperes, volts};
use network::Question;
use network::open_short::{
    Series, Shunt, TestError, best_load, efficiency, moved_core_loss, power_factor, separate_losses,
};

fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: {got} for {want} ± {tolerance}"
    );
}

fn share(what: &str, got: f64, want: f64, tolerance: f64) {
    near(what, got, want, tolerance * want.abs());
}

/// A two-winding transformer with all its series impedance on the high side and the shunt seen from the low side.
fn transformer(ratio: f64, series: Series, shunt: Shunt) -> (Built, [network::circuit::Node; 4]) {
    let mut b = Built::new(50.0);
    let [h, g, l, m] = ["H", "G", "L", "M"].map(|n| b.node(n));
    let core = b.core("T1", 1.0, shunt.conductance, shunt.susceptance);
    b.winding(
        "high",
        core,
        ratio,
        (series.resistance, series.reactance),
        &[(h, 0.0), (g, 1.0)],
        &[],
    );
    b.winding("low", core, 1.0, (0.0, 0.0), &[(l, 0.0), (m, 1.0)], &[]);
    (b, [h, g, l, m])
}

/// Regulation by the network: the high side fed, the load an impedance at the low side; bisection is not needed, since volts scale.
fn regulation_by_network(
    ratio: f64,
    series: Series,
    volt: f64,
    ampere: f64,
    pf: f64,
    lag: bool,
) -> f64 {
    let nothing = Shunt {
        conductance: 0.0,
        susceptance: 0.0,
    };
    let (mut b, [h, g, l, m]) = transformer(ratio, series, nothing);
    b.source("G1", g, h, 1000.0, 0.0, (0.0, 0.0));
    let sine = (1.0 - pf * pf).sqrt();
    let ohms = volt / ampere;
    b.impedance(
        "load",
        l,
        m,
        (ohms * pf, if lag { ohms * sine } else { -ohms * sine }),
    );
    1000.0 / ratio / b.ask(volts(l, m)) - 1.0
}

/// CHECKS A1: Fitzgerald, Kingsley, Umans, *Electric Machinery*, 6th ed., Example 2.6, p. 80.
#[test]
fn val_a1() {
    let series = Series::from_short_circuit(48.0, 20.8, 617.0).unwrap();
    share("Z", series.impedance(), 2.31, 0.005);
    share("R", series.resistance, 1.426, 0.005);
    share("X", series.reactance, 1.814, 0.005);
    let full = 50e3 / 2400.0;
    near(
        "regulation",
        100.0 * series.regulation(2400.0, full, 0.8, true),
        1.937,
        0.02,
    );
    near(
        "by network",
        100.0 * regulation_by_network(10.0, series, 240.0, 10.0 * full, 0.8, true),
        1.937,
        0.02,
    );
    near(
        "efficiency",
        100.0 * efficiency(50e3, 0.8, 1.0, 186.0, 617.0),
        98.03,
        0.02,
    );
}

/// CHECKS A2: the same book, Example 2.5, p. 76; the leading case recomputed (its printed 239 V is a sign slip).
#[test]
fn val_a2_behind_a_feeder() {
    for (lag, want) in [(true, 232.8), (false, 241.3)] {
        let series = Series {
            resistance: 0.30 + 1.42,
            reactance: 1.60 + 1.82,
        };
        // The high side of the load draws 20.83 A: find its volts by the exact relation, sending end 2400 V.
        let mut volt = 2400.0;
        for _ in 0..60 {
            volt = 2400.0 / (1.0 + series.regulation(volt, 50e3 / 2400.0, 0.8, lag));
        }
        near("low side", volt / 10.0, want, 0.05);
        let by_network = regulation_by_network(10.0, series, volt / 10.0, 500e3 / 2400.0, 0.8, lag);
        near("by network", 240.0 / (1.0 + by_network), want, 0.05);
    }
}

/// CHECKS A3: Sen, *Principles of Electric Machines and Power Electronics*, Examples 2.2 to 2.4.
#[test]
fn val_a3() {
    let shunt = Shunt::from_open_circuit(220.0, 2.5, 100.0).unwrap();
    let series = Series::from_short_circuit(150.0, 4.55, 215.0).unwrap();
    share("Rc", shunt.loss_ohms(), 484.0, 0.005);
    share("Xm", shunt.magnetising_ohms(), 89.5, 0.005);
    share("R", series.resistance, 10.385, 0.005);
    share("X", series.reactance, 31.289, 0.005);
    near(
        "pf open",
        power_factor(220.0, 2.5, 100.0).unwrap(),
        0.182,
        0.0005,
    );
    near(
        "pf short",
        power_factor(150.0, 4.55, 215.0).unwrap(),
        0.315,
        0.0005,
    );
    let ampere = 0.75 * 10e3 / 2200.0;
    for (lag, exact, rough) in [(true, 4.860, 4.847), (false, -2.822, -2.913)] {
        near(
            "exact",
            100.0 * series.regulation(2200.0, ampere, 0.6, lag),
            exact,
            0.02,
        );
        near(
            "approximate",
            100.0 * series.regulation_approximate(2200.0, ampere, 0.6, lag),
            rough,
            0.02,
        );
        let by_network = regulation_by_network(10.0, series, 220.0, 10.0 * ampere, 0.6, lag);
        near("by network", 100.0 * by_network, exact, 0.02);
    }
    near(
        "efficiency",
        100.0 * efficiency(10e3, 0.6, 0.75, 100.0, 215.0),
        95.32,
        0.02,
    );
    near("best load", best_load(100.0, 215.0), 0.68, 0.005);
    near(
        "highest",
        100.0 * efficiency(10e3, 1.0, best_load(100.0, 215.0), 100.0, 215.0),
        97.15,
        0.02,
    );
}

/// CHECKS A4: Guru, Hiziroglu, *Electric Machinery and Transformers*, Example 4.8, p. 236.
#[test]
fn val_a4() {
    let shunt = Shunt::from_open_circuit(240.0, 2.0, 120.0).unwrap();
    let series = Series::from_short_circuit(150.0, 10.0, 600.0).unwrap();
    share("Rc", shunt.loss_ohms(), 480.0, 0.001);
    share("Xm", shunt.magnetising_ohms(), 123.9, 0.001);
    share("R", series.resistance, 6.0, 0.001);
    share("X", series.reactance, 13.75, 0.001);
    let low = series.referred(20.0);
    near(
        "half on the low side, R",
        0.5 * low.resistance,
        7.5e-3,
        0.5e-4,
    );
    near(
        "half on the low side, X",
        0.5 * low.reactance,
        17.2e-3,
        0.5e-4,
    );
}

/// CHECKS A5: Kosow, *Electric Machinery and Transformers*, Examples 14.20, 14.21, 14.23, 14.24.
#[test]
fn val_a5() {
    let full = |pf, load| 100.0 * efficiency(500e3, pf, load, 1800.0, 8200.0);
    let x = best_load(1800.0, 8200.0);
    for (pf, load, want) in [
        (1.0, 1.0, 98.04),
        (0.8, 1.0, 97.56),
        (1.0, x, 98.49),
        (0.8, x, 98.12),
        (1.0, 0.75, 98.32),
        (0.8, 0.25, 97.74),
        (0.8, 1.25, 97.16),
    ] {
        near("efficiency", full(pf, load), want, 0.01);
    }
    near("best load", x, 0.469, 0.0005);
    let low = Series::from_short_circuit(95.0, 217.4, 8200.0)
        .unwrap()
        .referred(2300.0 / 208.0);
    near("R_L", low.resistance, 1.419e-3, 0.5e-6);
    near(
        "copper in the open test",
        85.0 * 85.0 * 0.5 * low.resistance,
        5.13,
        0.005,
    );
}

/// CHECKS A6: Kosow, Example 14.22.
#[test]
fn val_a6() {
    let series = Series::from_short_circuit(50.0, 8.7, 250.0).unwrap();
    near(
        "angle",
        (series.reactance / series.resistance).atan().to_degrees(),
        54.9,
        0.05,
    );
    let full = 20e3 / 2300.0;
    near("pu", 2300.0 / 20e3 * 2300.0, 264.5, 0.1); // base ohms
    near("|Z|", series.impedance() / 264.5, 0.02174, 0.5e-4);
    near(
        "pf 1",
        100.0 * series.regulation(2300.0, full, 1.0, true),
        1.264,
        0.02,
    );
    near(
        "0.7 lag",
        100.0 * series.regulation(2300.0, full, 0.7, true),
        2.145,
        0.02,
    );
}

/// CHECKS A7: Nagrath, Kothari, *Electric Machines*, Examples 3.7, 3.11, 3.14.
#[test]
fn val_a7() {
    let shunt = Shunt::from_open_circuit(200.0, 4.0, 120.0).unwrap();
    let series = Series::from_short_circuit(60.0, 10.0, 300.0).unwrap();
    near("Gi", shunt.conductance, 0.003, 1e-12);
    near("Bm", shunt.susceptance, 0.0198, 0.5e-4);
    near("R", series.resistance, 3.0, 1e-12);
    near("X", series.reactance, 5.20, 0.005);
    near("R_L", series.referred(10.0).resistance, 0.03, 1e-12);
    for (lag, exact, rough) in [(true, 2.766, 2.76), (false, -0.314, -0.36)] {
        near(
            "exact",
            100.0 * series.regulation(2000.0, 10.0, 0.8, lag),
            exact,
            0.01,
        );
        near(
            "approximate",
            100.0 * series.regulation_approximate(2000.0, 10.0, 0.8, lag),
            rough,
            0.01,
        );
    }
    near(
        "efficiency",
        100.0 * efficiency(20e3, 0.8, 1.0, 120.0, 300.0),
        97.44,
        0.01,
    );
    near(
        "highest",
        100.0 * efficiency(20e3, 0.8, best_load(120.0, 300.0), 120.0, 300.0),
        97.68,
        0.01,
    );
    near("best load", best_load(120.0, 300.0), 0.632, 0.0005);
}

/// CHECKS A8: Theraja, *Electrical Technology* vol. II, Example 32.29.
#[test]
fn val_a8_loss_separation() {
    let (hysteresis, eddy) = separate_losses((40.0, 52.0), (60.0, 90.0), 50.0);
    near("hysteresis", hysteresis, 45.0, 1e-9);
    near("eddy", eddy, 25.0, 1e-9);
}

/// CHECKS A9: Kersting, *Distribution System Modeling and Analysis*, Example 7.1 (inputs; outputs derived). The shunt stands at the
/// high terminals there, so here too.
#[test]
fn val_a9_by_the_network() {
    let mut b = Built::new(60.0);
    let [n, h, l] = ["N", "H", "L"].map(|x| b.node(x));
    let (r, x) = (0.612 + 100.0 * 0.0061, 1.2 + 100.0 * 0.0115);
    let source = b.source("G1", n, h, 2466.9, 1.15, (0.0, 0.0));
    let core = b.core("T1", 10.0, 1.92e-4, 8.52e-4);
    b.winding("high", core, 10.0, (0.0, 0.0), &[(h, 0.0), (n, 1.0)], &[]);
    let low = b.winding(
        "low",
        core,
        1.0,
        (r / 100.0, x / 100.0),
        &[(l, 0.0), (n, 1.0)],
        &[],
    );
    let pf = 0.9_f64;
    let ohms = 240.0 / 312.5;
    b.impedance("load", l, n, (ohms * pf, ohms * (1.0 - pf * pf).sqrt()));
    near("Zt_L", r / 100.0, 0.01222, 0.5e-5);
    near("Zt_L", x / 100.0, 0.0235, 0.5e-5);
    let solution = b.solve();
    // volts to half a digit of the 2466.9 fed
    near(
        "V2",
        solution.voltages[l.0].norm(),
        240.0,
        240.0 * 0.05 / 2466.9,
    );
    let current = solution.currents[source.0][0].amperes;
    near("Is", current.norm(), 32.67, 0.005);
    near("its angle", current.arg().to_degrees(), -28.75, 0.01);
    let amperes = -solution.currents[low.0][0].amperes;
    near("I2", amperes.norm(), 312.5, 0.05);
    near("its angle", amperes.arg().to_degrees(), -25.84, 0.01);
    // per unit on 75 kVA, low side for the series, high side for the shunt
    near(
        "Z",
        (r / 100.0).hypot(x / 100.0) / (240.0 * 240.0 / 75e3),
        0.0345,
        0.5e-4,
    );
    near("G", 1.92e-4 * 2400.0 * 2400.0 / 75e3, 0.0147, 0.5e-4);
    near("B", 8.52e-4 * 2400.0 * 2400.0 / 75e3, 0.0654, 0.5e-4);
}

/// CHECKS A10: Hubert, *Electric Machines*, Examples 2.9 to 2.11.
#[test]
fn val_a10_per_unit() {
    let series = Series {
        resistance: 0.013,
        reactance: 0.038,
    };
    near(
        "lag",
        100.0 * series.regulation(1.0, 1.0, 0.75, true),
        3.508,
        0.005,
    );
    near(
        "lead",
        100.0 * series.regulation(1.0, 1.0, 0.75, false),
        -1.469,
        0.005,
    );
    near(
        "no load",
        600.0 * (1.0 + series.regulation(1.0, 1.0, 0.75, true)),
        621.0,
        0.5,
    );
    near(
        "no load",
        600.0 * (1.0 + series.regulation(1.0, 1.0, 0.75, false)),
        591.2,
        0.05,
    );
    let series = Series {
        resistance: 0.0124,
        reactance: 0.014,
    };
    near(
        "part load",
        100.0 * series.regulation(1.0, 0.4, 0.65, true),
        0.748,
        0.005,
    );
}

/// CHECKS A11: Hubert, Example 2.13.
#[test]
fn val_a11() {
    near(
        "full",
        efficiency(1.0, 0.8, 1.0, 0.0045, 0.0146),
        0.9767,
        0.5e-4,
    );
    near(
        "70 %",
        efficiency(1.0, 0.8, 0.7, 0.0045, 0.0146),
        0.9796,
        0.5e-4,
    );
}

/// CHECKS A12: Chapman, *Electric Machinery Fundamentals*, 4th ed., Example 2-2 (from memory).
#[test]
fn val_a12() {
    let shunt = Shunt::from_open_circuit(8000.0, 0.214, 400.0).unwrap();
    let series = Series::from_short_circuit(489.0, 2.5, 240.0).unwrap();
    share("Rc", shunt.loss_ohms(), 160.0e3, 0.01);
    share("Xm", shunt.magnetising_ohms(), 38.4e3, 0.01);
    share("R", series.resistance, 38.4, 0.01);
    share("X", series.reactance, 192.0, 0.01);
}

/// CHECKS A13: Kosow, Example 14.31: all-day efficiency of the transformer of A5.
#[test]
fn val_a13_all_day() {
    let day = [
        (0.2, 0.7, 4.0),
        (0.4, 0.8, 4.0),
        (0.8, 0.9, 6.0),
        (1.0, 1.0, 6.0),
        (1.25, 0.85, 2.0),
    ];
    let core = 1.8 * 24.0;
    let copper: f64 = day.iter().map(|(x, _, h)| 8.2 * x * x * h).sum();
    let output: f64 = day.iter().map(|(x, pf, h)| 500.0 * x * pf * h).sum();
    near("core", core, 43.2, 0.05);
    near("copper", copper, 112.87, 0.005);
    near("output", output, 7142.5, 0.05);
    near(
        "efficiency",
        100.0 * output / (output + core + copper),
        97.86,
        0.005,
    );
    // one row by the function under test
    let row = efficiency(500.0, 0.9, 0.8, 1.8, 8.2);
    near("a row", row, 360.0 / (360.0 + 1.8 + 8.2 * 0.64), 1e-12);
}

/// CHECKS A14: Del Toro, *Electrical Engineering Fundamentals*, Examples 16.2, 16.3.
#[test]
fn val_a14() {
    let shunt = Shunt::from_open_circuit(120.0, 9.65, 396.0).unwrap();
    let series = Series::from_short_circuit(92.0, 20.8, 810.0).unwrap();
    for (what, got, want) in [
        ("Rc", shunt.loss_ohms(), 36.4),
        ("Xm", shunt.magnetising_ohms(), 13.2),
        ("Z", series.impedance(), 4.42),
        ("R", series.resistance, 1.87),
        ("X", series.reactance, 4.007),
        ("R_L", series.referred(20.0).resistance, 4.68e-3),
        ("X_L", series.referred(20.0).reactance, 10.0e-3),
    ] {
        share(what, got, want, 0.005);
    }
    let full = 50e3 / 2400.0;
    near(
        "exact",
        100.0 * series.regulation(2400.0, full, 0.8, true),
        3.40,
        0.02,
    );
    near(
        "approximate",
        100.0 * series.regulation_approximate(2400.0, full, 0.8, true),
        3.40,
        0.02,
    );
    near(
        "efficiency",
        100.0 * efficiency(50e3, 0.8, 1.0, 396.0, 810.0),
        97.07,
        0.01,
    );
}

/// CHECKS A15: Bhattacharya, *Electrical Machines*, Example 3.20.
#[test]
fn val_a15() {
    let series = Series::from_short_circuit(100.0, 10.0, 436.0).unwrap();
    near("R", series.resistance, 4.36, 0.005);
    near("X", series.reactance, 9.00, 0.005);
    let needed = 6600.0 * (1.0 + series.regulation(6600.0, 100e3 / 6600.0, 0.8, true));
    near("volts for full load", needed, 6735.0, 0.5);
}

/// CHECKS A16: Kulshreshtha, *Basic Electrical Engineering*, Example 13.23; the test was not made at rated current.
#[test]
fn val_a16() {
    let series = Series::from_short_circuit(86.0, 10.5, 360.0).unwrap();
    let full = 20e3 / 2200.0;
    near(
        "approximate",
        100.0 * series.regulation_approximate(2200.0, full, 0.8, true),
        2.94,
        0.005,
    );
    near(
        "exact",
        100.0 * series.regulation(2200.0, full, 0.8, true),
        2.955,
        0.0005,
    );
    let copper = series.resistance * full * full;
    near(
        "efficiency",
        100.0 * efficiency(20e3, 0.8, 1.0, 148.0, copper),
        97.45,
        0.005,
    );
    near(
        "pf",
        power_factor(86.0, 10.5, 360.0).unwrap(),
        0.399,
        0.0005,
    );
}

/// CHECKS A18: Fitzgerald et al., Examples 2.10 and 2.11: a voltage and a current transformer.
#[test]
fn val_a18_instrument_transformers() {
    let mut b = Built::new(60.0);
    let [n, h, l] = ["N", "H", "L"].map(|x| b.node(x));
    b.source("G1", n, h, 2400.0, 0.0, (0.0, 0.0));
    let core = b.core("T1", 20.0, 0.0, 1.0 / 163e3);
    b.winding(
        "high",
        core,
        20.0,
        (128.0, 143.0),
        &[(h, 0.0), (n, 1.0)],
        &[],
    );
    b.winding("low", core, 1.0, (0.0, 0.0), &[(l, 0.0), (n, 1.0)], &[]);
    let v = b.solve().voltages[l.0];
    near("volts", v.norm(), 119.89, 0.005);
    near("angle", v.arg().to_degrees(), 0.045, 0.0005);

    // 800 A from a source far stiffer in current than anything behind it.
    let mut b = Built::new(60.0);
    let [n, h, l] = ["N", "H", "L"].map(|x| b.node(x));
    b.source("G1", n, h, 800e6, 0.0, (1e6, 0.0));
    let core = b.core("T1", 1.0, 0.0, 1.0 / 17.7e-3);
    b.winding("bar", core, 1.0, (0.0, 0.0), &[(h, 0.0), (n, 1.0)], &[]);
    let turns = 160.0_f64;
    let low = (9.6e-6 * turns * turns, 54.3e-6 * turns * turns);
    b.winding("low", core, turns, low, &[(l, 0.0), (n, 1.0)], &[]);
    let burden = b.impedance("burden", l, n, (2.5, 0.0));
    let i = b.solve().currents[burden.0][0].amperes;
    near("amperes", i.norm(), 4.98, 0.005);
    near("angle", i.arg().to_degrees(), 0.346, 0.0005);
}

/// The tests of A3 made on the network give back what went in.
#[test]
fn the_tests_made_on_the_network_give_back_its_values() {
    let series = Series {
        resistance: 10.385,
        reactance: 31.289,
    };
    let shunt = Shunt {
        conductance: 1.0 / 484.0,
        susceptance: 1.0 / 89.5,
    };
    let (mut b, [h, g, l, m]) = transformer(10.0, series, shunt);
    let open = b.source("G1", m, l, 220.0, 0.0, (0.0, 0.0));
    b.impedance("voltmeter", h, g, (1e9, 0.0));
    let power = Question::Power {
        node: l,
        against: m,
        through: vec![(open, -1.0)],
    };
    let read = Shunt::from_open_circuit(220.0, b.ask(amperes(l, open)), b.ask(power)).unwrap();
    share("Rc", read.loss_ohms(), 484.0, 1e-3);
    share("Xm", read.magnetising_ohms(), 89.5, 1e-3);

    let (mut b, [h, g, l, m]) = transformer(10.0, series, shunt);
    let short = b.source("G1", g, h, 150.0, 0.0, (0.0, 0.0));
    b.link("short", l, m);
    let power = Question::Power {
        node: h,
        against: g,
        through: vec![(short, -1.0)],
    };
    let read = Series::from_short_circuit(150.0, b.ask(amperes(h, short)), b.ask(power)).unwrap();
    share("R", read.resistance, 10.385, 1e-9);
    share("X", read.reactance, 31.289, 1e-9);
}

#[test]
fn readings_that_cannot_be_are_refused() {
    assert_eq!(
        Series::from_short_circuit(0.0, 1.0, 1.0),
        Err(TestError::NotPositive)
    );
    assert_eq!(
        Shunt::from_open_circuit(10.0, 1.0, 20.0),
        Err(TestError::WattsExceedVoltAmperes { power_factor: 2.0 })
    );
}

/// CHECKS A17: Hubert, Example 2.12 (inputs; outputs derived): a 60 Hz part at rated current on 375 V, 50 Hz.
#[test]
fn val_a17_another_frequency() {
    let copper = 0.0125 * 50e3;
    let output = 50e3 * 0.86;
    let core = output / 0.965 - output - copper;
    share("core at 450 V, 60 Hz", core, 934.6, 0.002);
    let moved = moved_core_loss(0.71 * core, 0.29 * core, (450.0, 60.0), (375.0, 50.0), 1.6);
    share("core at 375 V, 50 Hz", moved, 741.0, 0.002);
    share(
        "efficiency",
        efficiency(50e3 * 375.0 / 450.0, 0.86, 1.0, moved, copper),
        0.963,
        0.002,
    );
}
