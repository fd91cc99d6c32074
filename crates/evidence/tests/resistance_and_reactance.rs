//! Simultaneous resistance and reactance from volts, milliamperes and phase angle: the optimiser with correlated inputs.
//!
//! Source: JCGM 100:2008 (*Guide to the expression of uncertainty in measurement*), Annex H.2, tables H.2 to H.4, first approach
//! (CHECKS H1). Tolerance: the printed digits there; the recomputed values of CHECKS H1 to theirs.

#![expect(clippy::unwrap_used, reason = "a test may fail where it stands")]

use evidence::normal::{Cholesky, Normal};
use evidence::optimise::{Objective, Options, Outcome, minimise};
use std::convert::Infallible;

/// Volts, milliamperes, radians: five simultaneous observations.
const OBSERVED: [[f64; 3]; 5] = [
    [5.007, 19.663, 1.0456],
    [4.994, 19.639, 1.0438],
    [5.005, 19.640, 1.0468],
    [4.990, 19.685, 1.0428],
    [4.999, 19.678, 1.0433],
];

/// Means, and the covariance of the means, lower triangle row by row.
fn means() -> ([f64; 3], Vec<f64>) {
    let count = OBSERVED.len() as f64;
    let mean: [f64; 3] =
        std::array::from_fn(|k| OBSERVED.iter().map(|row| row[k]).sum::<f64>() / count);
    let mut covariance = vec![0.0; 9];
    for row in 0..3 {
        for column in 0..=row {
            let sum: f64 = OBSERVED
                .iter()
                .map(|seen| (seen[row] - mean[row]) * (seen[column] - mean[column]))
                .sum();
            covariance[row * 3 + column] = sum / (count * (count - 1.0));
        }
    }
    (mean, covariance)
}

/// Unknowns: resistance and reactance in ohms, current in milliamperes. The means are fitted, whitened by their covariance.
struct Impedance {
    mean: [f64; 3],
    root: Cholesky,
}

impl Objective for Impedance {
    type Error = Infallible;
    fn unknowns(&self) -> usize {
        3
    }
    fn evaluate(&mut self, at: &[f64], normal: &mut Normal) -> Result<(), Infallible> {
        let [r, x, i] = [at[0], at[1], at[2]];
        let z = r.hypot(x);
        let mut residual = [
            i * z / 1000.0 - self.mean[0],
            i - self.mean[1],
            x.atan2(r) - self.mean[2],
        ];
        let mut columns = [
            [i * r / z / 1000.0, 0.0, -x / (z * z)],
            [i * x / z / 1000.0, 0.0, r / (z * z)],
            [z / 1000.0, 1.0, 0.0],
        ];
        self.root.forward(&mut residual);
        columns
            .iter_mut()
            .for_each(|column| self.root.forward(column));
        for (k, value) in residual.iter().enumerate() {
            normal.add(*value, &columns.map(|column| column[k]));
        }
        Ok(())
    }
}

/// Value and standard uncertainty of R, X, Z, and r(R, X), r(R, Z), r(X, Z).
fn fitted(covariance: Vec<f64>, mean: [f64; 3]) -> ([(f64, f64); 3], [f64; 3]) {
    let mut impedance = Impedance {
        mean,
        root: Cholesky::of(covariance, 3).unwrap(),
    };
    let found = minimise(&mut impedance, &[100.0, 100.0, 20.0], &Options::default());
    assert_eq!(found.outcome, Outcome::Converged);
    let (r, x) = (found.at[0], found.at[1]);
    let z = r.hypot(x);
    let c = found.normal.factor(0.0, &[]).unwrap().inverse();
    let gradients = [[1.0, 0.0], [0.0, 1.0], [r / z, x / z]];
    let between = |a: [f64; 2], b: [f64; 2]| {
        (0..2)
            .map(|i| (0..2).map(|j| a[i] * c[i][j] * b[j]).sum::<f64>())
            .sum::<f64>()
    };
    let u = gradients.map(|gradient| between(gradient, gradient).sqrt());
    let r_of = |a: usize, b: usize| between(gradients[a], gradients[b]) / (u[a] * u[b]);
    (
        [(r, u[0]), (x, u[1]), (z, u[2])],
        [r_of(0, 1), r_of(0, 2), r_of(1, 2)],
    )
}

#[test]
fn val_resistance_reactance_impedance_with_their_correlations() {
    let (mean, covariance) = means();
    for (got, printed, half_digit) in [
        (mean[0], 4.9990, 5e-5),
        (mean[1], 19.6610, 5e-5),
        (mean[2], 1.04446, 5e-6),
    ] {
        assert!(
            (got - printed).abs() <= half_digit,
            "mean {got}, printed {printed}"
        );
    }
    let (values, correlations) = fitted(covariance, mean);
    let printed = [
        (127.732170, 0.071071),
        (219.846512, 0.295582),
        (254.259702, 0.236336),
    ];
    for ((value, u), (printed, printed_u)) in values.into_iter().zip(printed) {
        assert!(
            (value - printed).abs() <= 1e-6 && (u - printed_u).abs() <= 1e-6,
            "{value} {u}, recomputed {printed} {printed_u}"
        );
    }
    for (got, printed) in correlations.into_iter().zip([-0.588, -0.485, 0.993]) {
        assert!(
            (got - printed).abs() <= 5e-4,
            "correlation {got}, printed {printed}"
        );
    }
}

#[test]
fn val_without_the_correlations_the_uncertainties_are_wrong() {
    let (mean, mut covariance) = means();
    for (row, column) in [(1, 0), (2, 0), (2, 1)] {
        covariance[row * 3 + column] = 0.0;
    }
    let (values, _) = fitted(covariance, mean);
    for ((_, u), printed) in values.into_iter().zip([0.195, 0.201, 0.204]) {
        assert!((u - printed).abs() <= 5e-4, "{u}, recomputed {printed}");
    }
}
