//! Ranking against closed forms, and by one reading more against ranking afresh.

use super::{Ranked, Rival, rank, rank_from};
use crate::{Binding, Observation, Parameter, Problem, Shown, SlipKind, Station, Transform};
use network::circuit::{Circuit, Core, Element, Node, SliderPoint, ValueId};
use network::{Question, Solver};
use proptest::prelude::*;
use quantity::Unit;

struct Build(Circuit, Vec<Binding>);

impl Build {
    fn new() -> Self {
        let frequency = 50.0;
        let circuit = Circuit {
            frequency,
            ..Circuit::default()
        };
        Self(circuit, vec![])
    }

    fn fixed(&mut self, value: f64) -> ValueId {
        self.1.push(Binding::Fixed(value));
        self.0.value()
    }

    fn follows(&mut self, parameter: usize) -> ValueId {
        self.1.push(Binding::Product {
            coefficient: 1.0,
            powers: vec![(parameter, 1.0)],
        });
        self.0.value()
    }

    fn source(&mut self, name: &str, (from, to): (Node, Node), parameter: usize) {
        let volts = self.follows(parameter);
        let (ohms, reactance) = (self.fixed(0.001), self.fixed(0.0));
        let source = Element::Source {
            from,
            to,
            volts,
            angle: 0.0,
            ohms,
            reactance,
        };
        self.0.element(name, source);
    }

    fn station(self) -> Station {
        let solver = Solver::new(self.0).unwrap_or_else(|error| panic!("{error:?}"));
        let bindings = self.1;
        Station { solver, bindings }
    }
}

fn parameter(name: &str, transform: Transform, centre: f64, width: f64) -> Parameter {
    Parameter {
        name: name.into(),
        unit: Unit::Volt,
        transform,
        centre,
        width,
        basis: "invented".into(),
        auxiliary: false,
    }
}

fn volts(a: Node, b: Node) -> Question {
    Question::Voltage { a, b, burden: 0.0 }
}

fn observation(station: usize, question: Question, value: f64, sigma: f64) -> Observation {
    Observation {
        number: 1,
        station,
        question,
        shown: Shown::Value { value, sigma },
        gain: None,
        shared_gain: None,
        offset: None,
        drift: None,
        slips: vec![SlipKind::TenTimes, SlipKind::Tenth, SlipKind::Gross],
        other_places: vec![],
        step: 0.1 * sigma,
        ranges: vec![],
        kept: false,
    }
}

fn rival(problem: Problem, prior: f64) -> Rival {
    Rival {
        problem,
        log_prior: prior.ln(),
    }
}

fn total(ranked: &[Ranked]) -> f64 {
    ranked.iter().map(|ranked| ranked.probability).sum()
}

/// Two supplies in series, of 100 V give or take `widths`, and readings of one, the other and both: straight lines throughout.
fn in_series(widths: [f64; 2], shown: [f64; 3], sigma: f64) -> Problem {
    let mut build = Build::new();
    let [n, middle, top] = ["N", "middle", "top"].map(|name| build.0.node(name));
    build.source("lower", (n, middle), 0);
    build.source("upper", (middle, top), 1);
    let places = [volts(middle, n), volts(top, middle), volts(top, n)];
    let readings = places.into_iter().zip(shown);
    Problem {
        parameters: widths
            .map(|width| parameter("supply", Transform::Linear, 100.0, width))
            .to_vec(),
        observations: readings
            .map(|(question, value)| observation(0, question, value, sigma))
            .collect(),
        stations: vec![build.station()],
        ..Problem::default()
    }
}

#[test]
fn the_evidence_of_straight_lines_is_the_normal_density_of_the_readings() {
    // Closed form: readings of a linear model under normal priors are jointly normal, with covariance A S A' + s² I (C. E. Rasmussen,
    // C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, 2.1); each is good with probability 0.98. Written out for
    // A = [1 0; 0 1; 1 1] by hand.
    let (widths, shown, sigma) = ([3.0, 5.0], [101.0, 97.0, 198.4], 0.8);
    let mut rivals = vec![rival(in_series(widths, shown, sigma), 1.0)];
    let told = rank(&mut rivals)[0].log_evidence;
    let (a, b, s) = (9.0_f64, 25.0_f64, 0.64_f64);
    let off = [1.0_f64, -3.0, -1.6];
    let c = [[a + s, 0.0, a], [0.0, b + s, b], [a, b, a + b + s]];
    let cofactor = |i: usize, j: usize| {
        let (r, k) = ([(i + 1) % 3, (i + 2) % 3], [(j + 1) % 3, (j + 2) % 3]);
        c[r[0]][k[0]] * c[r[1]][k[1]] - c[r[0]][k[1]] * c[r[1]][k[0]]
    };
    let determinant: f64 = (0..3).map(|j| c[0][j] * cofactor(0, j)).sum();
    let square: f64 = (0..3)
        .flat_map(|i| (0..3).map(move |j| (i, j)))
        .map(|(i, j)| off[i] * off[j] * cofactor(i, j) / determinant)
        .sum();
    let normal = -0.5 * (square + determinant.ln() + 3.0 * (2.0 * std::f64::consts::PI).ln());
    let closed = normal + 3.0 * 0.98_f64.ln();
    assert!((told - closed).abs() < 1e-4, "{told} {closed}");
}

#[test]
fn a_rival_that_cannot_explain_a_reading_is_not_rescued_by_its_prior() {
    // 150 V across each where the favourite is sure of 100 V: three slips alike, or a supply that was never 100 V.
    let shown = [150.0, 150.0, 300.0];
    let mut rivals = vec![
        rival(in_series([0.1, 0.1], shown, 0.8), 0.999),
        rival(in_series([60.0, 60.0], shown, 0.8), 0.001),
    ];
    let ranked = rank(&mut rivals);
    assert!((total(&ranked) - 1.0).abs() < 1e-12);
    assert!(ranked[0].probability < 0.02, "{}", ranked[0].probability);
    // With nothing between them the prior stands.
    let mut alike = vec![
        rival(in_series([3.0, 3.0], shown, 0.8), 0.75),
        rival(in_series([3.0, 3.0], shown, 0.8), 0.25),
    ];
    let ranked = rank(&mut alike);
    assert!((ranked[0].probability - 0.75).abs() < 1e-9);
}

/// Parameters of the autotransformer: supply, slider at the first setup and at the second, tap.
const SUPPLY: usize = 0;
const TAP: usize = 3;

/// An autotransformer with a tap about `centre`, its slider at two positions; the readings that were taken.
fn tapped(centre: (f64, f64), taken: &[(usize, f64)]) -> Problem {
    let mut questions = vec![];
    let mut stations = vec![];
    for slider in [1, 2] {
        let mut build = Build::new();
        let [n, l, tap, brush] = ["N", "L", "tap", "slider"].map(|name| build.0.node(name));
        build.source("supply", (n, l), SUPPLY);
        let turns = build.fixed(1.0);
        let core = Core {
            reference_turns: turns,
            conductance: build.fixed(1e-4),
            susceptance: build.fixed(2e-4),
            bend: None,
        };
        let core = build.0.core("core", core);
        let points = vec![
            (n, build.fixed(0.0)),
            (l, build.fixed(1.0)),
            (tap, build.follows(TAP)),
        ];
        let sliders = vec![SliderPoint {
            node: brush,
            at: build.follows(slider),
            brush: build.fixed(0.05),
        }];
        let (ohms, reactance) = (build.fixed(5.0), build.fixed(1.5));
        let winding = Element::Winding {
            core,
            turns,
            ohms,
            reactance,
            points,
            sliders,
        };
        build.0.element("winding", winding);
        let places = [
            volts(brush, tap),
            volts(brush, n),
            volts(l, n),
            volts(tap, n),
        ];
        questions.extend(places.map(|place| (slider - 1, place)));
        stations.push(build.station());
    }
    let readings = taken.iter().map(|&(place, value)| {
        let (station, question) = questions[place].clone();
        observation(station, question, value, 0.02 + 0.005 * value)
    });
    let positions = [-1.6, -0.6, 0.6, 1.6];
    Problem {
        parameters: vec![
            parameter("supply", Transform::Ln, 230.0, 0.06),
            parameter("slider, first", Transform::Logit, 0.5, 1.6),
            parameter("slider, second", Transform::Logit, 0.5, 1.6),
            parameter("tap", Transform::Linear, centre.0, centre.1),
        ],
        observations: readings.collect(),
        stations,
        starts: positions
            .iter()
            .flat_map(|&one| positions.map(|other| vec![(1, one), (2, other)]))
            .collect(),
        ..Problem::default()
    }
}

/// Two wirings: the tap in the middle, and off it.
fn tapped_rivals(taken: &[(usize, f64)]) -> Vec<Rival> {
    [(0.5, 0.01), (0.33, 0.05)]
        .map(|centre| rival(tapped(centre, taken), 0.5))
        .to_vec()
}

/// Volts at a place by hand: no load, so every point stands at its share of the supply.
fn share(place: usize, supply: f64, sliders: [f64; 2], tap: f64) -> f64 {
    let slider = sliders[place / 4];
    supply * [(slider - tap).abs(), slider, 1.0, tap][place % 4]
}

/// Share of the track by which slider and tap stand apart in the property below: ten times what the meters can tell.
const APART: f64 = 0.02;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn one_reading_more_is_as_ranked_afresh(
        supply in 200.0f64..260.0,
        sliders in [0.05f64..0.95, 0.05f64..0.95],
        tap in prop::sample::select(vec![0.497f64, 0.505, 0.30, 0.36]),
        order in Just((0..8).collect::<Vec<usize>>()).prop_shuffle(),
    ) {
        // Where slider and tap all but meet, the peaks on either side overlap: Laplace's sum counts what they share twice or once, as the
        // climbs happen to end. Nothing is claimed there.
        prop_assume!(sliders.iter().all(|slider| (slider - tap).abs() > APART));
        let taken: Vec<(usize, f64)> = order
            .iter()
            .map(|&place| (place, share(place, supply, sliders, tap)))
            .collect();
        let mut known = rank(&mut tapped_rivals(&[]));
        for count in 1..=taken.len() {
            known = rank_from(&mut tapped_rivals(&taken[..count]), &known);
            let afresh = rank(&mut tapped_rivals(&taken[..count]));
            prop_assert!((total(&known) - 1.0).abs() < 1e-12);
            for (one, other) in known.iter().zip(&afresh) {
                prop_assert!(
                    (one.probability - other.probability).abs() < 0.02,
                    "{count} readings of {taken:?}: {} and {}", one.probability, other.probability
                );
                let sum: f64 = one.posterior.modes.iter().map(|mode| mode.probability).sum();
                prop_assert!((sum - 1.0).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn both_sides_of_the_tap_are_kept_until_a_reading_tells_them_apart() {
    // 23 V between slider and tap: the slider stands a tenth of 230 V below or above.
    let first = [(2, 230.0), (0, 23.0)];
    let known = rank(&mut tapped_rivals(&first[..1]));
    let known = rank_from(&mut tapped_rivals(&first), &known);
    let sliders = |ranked: &Ranked| -> Vec<f64> {
        let modes = ranked.posterior.modes.iter();
        modes
            .map(|mode| 1.0 / (1.0 + (-1.6 * mode.z[1]).exp()))
            .collect()
    };
    let found = sliders(&known[0]);
    for side in [0.4, 0.6] {
        assert!(
            found.iter().any(|at| (at - side).abs() < 0.005),
            "{found:?}"
        );
    }
    let told = [first[0], first[1], (1, 138.0)];
    let known = rank_from(&mut tapped_rivals(&told), &known);
    // What is left of the other side holds one of the two for a slip.
    assert!((sliders(&known[0])[0] - 0.6).abs() < 0.005);
    assert!(known[0].posterior.modes[0].probability > 0.99);
}

#[test]
fn nought_by_coincidence_of_slider_and_tap_is_worth_only_its_width() {
    // Where 0 V follows from the wiring it costs nothing; where slider and tap must meet for it, the slider has to stand within some
    // 0.03 V of 230 V of the tap: a thousandth part of the track, by the prior's density there, 1 / (1.6 · 0.25 · √(2π)) = 0.997.
    let mut one = rank(&mut tapped_rivals(&[(2, 230.0)]));
    let mut both = rank(&mut tapped_rivals(&[(2, 230.0), (0, 0.0)]));
    let (before, after) = (one.remove(0).log_evidence, both.remove(0).log_evidence);
    // By hand, with V = 230 (x - c) normal in x: ∫ N(0; m, σ) p(x) dx over the smoothed magnitude m = √(V² + 0.02²).
    let sigma = 0.02_f64.hypot(0.02);
    let density = |v: f64| {
        let m = v.hypot(0.02);
        (-0.5 * (m / sigma).powi(2)).exp() / (sigma * (2.0 * std::f64::consts::PI).sqrt())
    };
    let step = 1e-4;
    let over_volts: f64 = (-3000..=3000)
        .map(|k| step * density(f64::from(k) * step))
        .sum();
    let by_hand = (0.98 * over_volts * 0.997 / 230.0).ln();
    assert!(
        (after - before - by_hand).abs() < 0.1,
        "{} {by_hand}",
        after - before
    );
}
