//! A linearised posterior in the space of its readings.
//!
//! With standard normal priors on `z` and rows `J` of standardised slopes, `H = I + J'J`. Steps, determinant and every variance follow
//! from the far smaller `K = I + JJ'`, one row and column a reading (the identities of Woodbury and Sylvester; G. H. Golub, C. F. Van
//! Loan, *Matrix Computations*, 4th edition, 2.1.4): `H⁻¹ = I - J'K⁻¹J`, `H⁻¹J' = J'K⁻¹`, `det H = det K`. A find has three unknowns a
//! reading or more, so this is what makes a fit cheap.

use crate::normal::{Cholesky, dot};
use crate::optimise::Equations;

/// Damping below this is none: the full step is taken, whose equations are solved already.
const NO_DAMPING: f64 = 1e-6;
/// Below this share of its prior a variance is the difference of two like numbers; it is then reckoned in the space of the unknowns.
const TOO_FINE: f64 = 1e-9;

/// Rows, residuals and, once asked for, the solved equations.
#[derive(Debug, Clone)]
pub(crate) struct Linear {
    unknowns: usize,
    /// Where it is linearised.
    at: Vec<f64>,
    /// `J`, row by row.
    rows: Vec<f64>,
    residuals: Vec<f64>,
    cost: f64,
    /// `JJ'`, lower triangle.
    gram: Vec<f64>,
    factor: Option<Cholesky>,
    /// `z + J'r`.
    gradient: Vec<f64>,
    /// The full Gauss-Newton step.
    full: Vec<f64>,
    prepared: bool,
}

impl Linear {
    /// Begins at `z`, with the priors only.
    pub(crate) fn begin(&mut self, z: &[f64]) {
        self.at.clear();
        self.at.extend_from_slice(z);
        self.cost = 0.5 * dot(z, z);
    }

    /// Adds a residual whose slopes are `factor` times these.
    pub(crate) fn add(&mut self, residual: f64, slopes: &[f64], factor: f64) {
        self.cost += 0.5 * residual * residual;
        self.residuals.push(residual);
        self.rows.extend(slopes.iter().map(|slope| slope * factor));
    }

    /// Gives a row other slopes, `factor` times these; the place is where it was, so nothing pulls along them.
    pub(crate) fn lean(&mut self, row: usize, slopes: &[f64], factor: f64) {
        let row_slopes = &mut self.rows[row * self.unknowns..(row + 1) * self.unknowns];
        for (into, slope) in row_slopes.iter_mut().zip(slopes) {
            *into = slope * factor;
        }
        self.residuals[row] = 0.0;
        self.prepared = false;
    }

    /// Number of rows.
    pub(crate) fn count(&self) -> usize {
        self.residuals.len()
    }

    pub(crate) fn row(&self, row: usize) -> &[f64] {
        &self.rows[row * self.unknowns..(row + 1) * self.unknowns]
    }

    pub(crate) fn residual(&self, row: usize) -> f64 {
        self.residuals[row]
    }

    /// `J s`.
    pub(crate) fn along(&self, slopes: &[f64]) -> Vec<f64> {
        (0..self.count())
            .map(|row| dot(self.row(row), slopes))
            .collect()
    }

    /// `d'Hd`.
    pub(crate) fn length_squared(&self, step: &[f64]) -> f64 {
        let rows = (0..self.count()).map(|row| dot(self.row(row), step).powi(2));
        dot(step, step) + rows.sum::<f64>()
    }

    /// The factor of `K`; `None` where it has none in double precision.
    pub(crate) fn factor(&mut self) -> Option<&Cholesky> {
        self.prepare();
        self.factor.as_ref()
    }

    /// Where the full step leads.
    pub(crate) fn full_step_from(&mut self, z: &[f64]) -> Vec<f64> {
        self.prepare();
        z.iter().zip(&self.full).map(|(z, step)| z + step).collect()
    }

    fn prepare(&mut self) {
        if self.prepared {
            return;
        }
        self.prepared = true;
        let count = self.count();
        self.gram.clear();
        self.gram.resize(count * count, 0.0);
        for row in 0..count {
            for column in 0..=row {
                self.gram[row * count + column] = dot(self.row(row), self.row(column));
            }
        }
        self.gradient.clone_from(&self.at);
        for row in 0..count {
            let residual = self.residuals[row];
            let slopes = &self.rows[row * self.unknowns..(row + 1) * self.unknowns];
            add(&mut self.gradient, slopes, residual);
        }
        self.factor = self.shifted(1.0);
        // z' = -J'K⁻¹(r - Jz)
        let mut weights: Vec<f64> = (0..count)
            .map(|row| self.residuals[row] - dot(self.row(row), &self.at))
            .collect();
        match &self.factor {
            Some(factor) => factor.solve(&mut weights),
            None => weights.fill(f64::NAN),
        }
        self.full.clear();
        self.full.extend(self.at.iter().map(|z| -z));
        for (row, weight) in weights.iter().enumerate() {
            let slopes = &self.rows[row * self.unknowns..(row + 1) * self.unknowns];
            add(&mut self.full, slopes, -weight);
        }
    }

    /// Factor of `JJ' + shift`.
    fn shifted(&self, shift: f64) -> Option<Cholesky> {
        let count = self.count();
        let mut lower = self.gram.clone();
        (0..count).for_each(|row| lower[row * count + row] += shift);
        Cholesky::of(lower, count)
    }

    /// The covariance `H⁻¹`, row by row; `None` where it has none in double precision.
    pub(crate) fn covariance(&mut self) -> Option<Vec<Vec<f64>>> {
        let n = self.unknowns;
        let factor = self.factor()?.clone();
        // Y = L⁻¹J, then I - Y'Y.
        let mut half = self.rows.clone();
        for row in 0..self.count() {
            let (done, rest) = half.split_at_mut(row * n);
            let line = &mut rest[..n];
            for column in 0..row {
                let entry = factor.entry(row, column);
                add(line, &done[column * n..(column + 1) * n], -entry);
            }
            let pivot = factor.entry(row, row).recip();
            line.iter_mut().for_each(|value| *value *= pivot);
        }
        let mut covariance: Vec<Vec<f64>> = (0..n)
            .map(|row| {
                let mut line = vec![0.0; n];
                line[row] = 1.0;
                line
            })
            .collect();
        for line in half.chunks_exact(n.max(1)) {
            for (row, &entry) in line.iter().enumerate() {
                if entry != 0.0 {
                    add(&mut covariance[row][..=row], &line[..=row], -entry);
                }
            }
        }
        if (0..n).any(|row| covariance[row][row] < TOO_FINE)
            && let Some(finer) = self.covariance_of_unknowns()
        {
            return Some(finer);
        }
        for row in 0..n {
            let (above, below) = covariance.split_at_mut(row);
            for (column, line) in above.iter_mut().enumerate() {
                line[row] = below[0][column];
            }
        }
        Some(covariance)
    }

    /// The same by way of `H`.
    fn covariance_of_unknowns(&self) -> Option<Vec<Vec<f64>>> {
        let n = self.unknowns;
        let mut lower = vec![0.0; n * n];
        (0..n).for_each(|unknown| lower[unknown * n + unknown] = 1.0);
        for line in self.rows.chunks_exact(n) {
            for (row, &entry) in line.iter().enumerate() {
                if entry != 0.0 {
                    add(&mut lower[row * n..=row * n + row], &line[..=row], entry);
                }
            }
        }
        Some(Cholesky::of(lower, n)?.inverse())
    }
}

impl Equations for Linear {
    const TELLS_GAIN: bool = true;

    fn new(unknowns: usize) -> Self {
        Self {
            unknowns,
            at: vec![0.0; unknowns],
            rows: vec![],
            residuals: vec![],
            cost: 0.0,
            gram: vec![],
            factor: None,
            gradient: vec![],
            full: vec![],
            prepared: false,
        }
    }

    fn clear(&mut self) {
        self.rows.clear();
        self.residuals.clear();
        self.cost = 0.0;
        self.prepared = false;
    }

    fn cost(&self) -> f64 {
        self.cost
    }

    fn is_finite(&self) -> bool {
        self.cost.is_finite() && self.rows.iter().all(|slope| slope.is_finite())
    }

    /// Each unknown's scale is its prior's: nothing is unfelt.
    fn reweigh(&self, _: &mut [f64]) -> Vec<usize> {
        vec![]
    }

    fn step(&mut self, damping: f64, _: &[f64], step: &mut [f64]) -> bool {
        self.prepare();
        if damping < NO_DAMPING {
            step.copy_from_slice(&self.full);
            return true;
        }
        // (s + J'J)⁻¹ g = (g - J'(s + JJ')⁻¹Jg)/s
        let shift = 1.0 + damping;
        let Some(factor) = self.shifted(shift) else {
            return false;
        };
        let mut weights = self.along(&self.gradient);
        factor.solve(&mut weights);
        step.copy_from_slice(&self.gradient);
        for (row, weight) in weights.iter().enumerate() {
            add(step, self.row(row), -weight);
        }
        step.iter_mut().for_each(|value| *value /= -shift);
        true
    }

    fn foretold(&self, step: &[f64]) -> f64 {
        -dot(&self.gradient, step) - 0.5 * self.length_squared(step)
    }

    fn could_gain(&mut self) -> Option<f64> {
        self.prepare();
        self.factor.as_ref()?;
        Some((-0.5 * dot(&self.gradient, &self.full)).max(0.0))
    }
}

fn add(into: &mut [f64], what: &[f64], share: f64) {
    for (into, what) in into.iter_mut().zip(what) {
        *into += share * what;
    }
}

#[cfg(test)]
mod tests {
    use super::Linear;
    use crate::normal::Normal;
    use crate::optimise::Equations;

    /// Rows drawn once and written down: two readings, three unknowns.
    fn both() -> (Linear, Normal) {
        let z = [0.3, -1.2, 0.7];
        let rows = [(0.4, [2.0, -1.0, 0.5], 1.0), (-1.3, [0.1, 0.2, 30.0], 2.0)];
        let (mut linear, mut normal) = (<Linear as Equations>::new(3), Normal::new(3));
        linear.begin(&z);
        for (unknown, z) in z.iter().enumerate() {
            normal.add_prior(unknown, *z);
        }
        for (residual, slopes, factor) in rows {
            linear.add(residual, &slopes, factor);
            normal.add_sparse(residual, &[0, 1, 2], &slopes, factor);
        }
        (linear, normal)
    }

    #[test]
    fn the_space_of_the_readings_says_what_that_of_the_unknowns_says() {
        let (mut linear, mut normal) = both();
        let alike = |left: f64, right: f64| {
            assert!(
                (left - right).abs() < 1e-10 * (1.0 + right.abs()),
                "{left} {right}"
            );
        };
        alike(Equations::cost(&linear), normal.cost);
        let (here, there) = (linear.could_gain().unwrap(), normal.could_gain().unwrap());
        alike(here, there);
        for damping in [0.0, 0.5] {
            let (mut left, mut right) = ([0.0; 3], [0.0; 3]);
            assert!(linear.step(damping, &[], &mut left));
            assert!(normal.step(damping, &[1.0; 3], &mut right));
            left.iter().zip(right).for_each(|(l, r)| alike(*l, r));
            alike(linear.foretold(&left), Equations::foretold(&normal, &right));
        }
        let factor = normal.factor(0.0, &[]).unwrap();
        alike(
            linear.factor().unwrap().log_determinant(),
            factor.log_determinant(),
        );
        let (left, right) = (linear.covariance().unwrap(), factor.inverse());
        let exact = linear.covariance_of_unknowns().unwrap();
        for row in 0..3 {
            for column in 0..3 {
                alike(left[row][column], right[row][column]);
                alike(exact[row][column], right[row][column]);
            }
        }
    }
}
