//! Normal equations of a sum of squares, and the small dense Cholesky that solves them.
//!
//! Rows are added one at a time and may be sparse: a reading feels a handful of parameters, a prior exactly one. Nothing here knows
//! what a row stands for. Kept apart from the optimiser because the posterior reads its covariance and determinant from here.

use crate::optimise::Equations;

/// `cost = ½ Σ r²`, its gradient `J'r` and the Gauss-Newton matrix `J'J`, filled row by row.
#[derive(Debug, Clone)]
pub struct Normal {
    /// Half the sum of squares.
    pub cost: f64,
    /// `J'r`.
    pub gradient: Vec<f64>,
    /// `J'J`, row by row; only `column <= row` is kept.
    lower: Vec<f64>,
}

impl Normal {
    /// Empty equations for so many unknowns.
    pub fn new(unknowns: usize) -> Self {
        Self {
            cost: 0.0,
            gradient: vec![0.0; unknowns],
            lower: vec![0.0; unknowns * unknowns],
        }
    }

    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        self.gradient.len()
    }

    /// Empties the equations, keeping their room.
    pub fn clear(&mut self) {
        self.cost = 0.0;
        self.gradient.fill(0.0);
        self.lower.fill(0.0);
    }

    /// Adds a residual with its derivatives to all unknowns.
    pub fn add(&mut self, residual: f64, slopes: &[f64]) {
        let n = self.unknowns();
        self.cost += 0.5 * residual * residual;
        for (row, &slope) in slopes.iter().enumerate() {
            self.gradient[row] += slope * residual;
            let line = &mut self.lower[row * n..row * n + row + 1];
            for (entry, &other) in line.iter_mut().zip(slopes) {
                *entry += slope * other;
            }
        }
    }

    /// Adds a residual that feels only the unknowns in `support` (rising), times `factor`; `slopes` is as long as all unknowns.
    pub fn add_sparse(&mut self, residual: f64, support: &[usize], slopes: &[f64], factor: f64) {
        let n = self.unknowns();
        self.cost += 0.5 * residual * residual;
        for (count, &row) in support.iter().enumerate() {
            let slope = slopes[row] * factor;
            if slope == 0.0 {
                continue;
            }
            self.gradient[row] += slope * residual;
            let line = &mut self.lower[row * n..row * n + row + 1];
            let scaled = slope * factor;
            for &column in &support[..=count] {
                line[column] += scaled * slopes[column];
            }
        }
    }

    /// Adds a standard normal prior on one unknown that stands at `z`.
    pub fn add_prior(&mut self, unknown: usize, z: f64) {
        let n = self.unknowns();
        self.cost += 0.5 * z * z;
        self.gradient[unknown] += z;
        self.lower[unknown * n + unknown] += 1.0;
    }

    /// Diagonal entry of `J'J`.
    pub fn curvature(&self, unknown: usize) -> f64 {
        self.lower[unknown * self.unknowns() + unknown]
    }

    /// `d' (J'J) d`: the squared length of a step in the measure of the curvature.
    pub fn length_squared(&self, step: &[f64]) -> f64 {
        let n = self.unknowns();
        let mut sum = 0.0;
        for row in 0..n {
            let line = &self.lower[row * n..row * n + row];
            let off: f64 = line
                .iter()
                .zip(step)
                .map(|(entry, other)| entry * other)
                .sum();
            sum += step[row] * (2.0 * off + self.lower[row * n + row] * step[row]);
        }
        sum
    }

    /// Factor of `J'J + damping * diag(weights)`; `None` if that is not positive definite in double precision.
    pub fn factor(&self, damping: f64, weights: &[f64]) -> Option<Cholesky> {
        let n = self.unknowns();
        let mut lower = self.lower.clone();
        if damping > 0.0 {
            for (unknown, weight) in weights.iter().enumerate() {
                lower[unknown * n + unknown] += damping * weight;
            }
        }
        Cholesky::of(lower, n)
    }

    /// Whether cost, gradient and curvature are all finite.
    pub fn is_finite(&self) -> bool {
        self.cost.is_finite()
            && self.gradient.iter().all(|value| value.is_finite())
            && (0..self.unknowns()).all(|unknown| self.curvature(unknown).is_finite())
    }
}

impl Equations for Normal {
    const TELLS_GAIN: bool = false;

    fn new(unknowns: usize) -> Self {
        Normal::new(unknowns)
    }

    fn clear(&mut self) {
        Normal::clear(self);
    }

    fn cost(&self) -> f64 {
        self.cost
    }

    fn is_finite(&self) -> bool {
        Normal::is_finite(self)
    }

    fn reweigh(&self, weights: &mut [f64]) -> Vec<usize> {
        let mut unfelt = vec![];
        for (unknown, weight) in weights.iter_mut().enumerate() {
            let curvature = self.curvature(unknown);
            *weight = weight.max(curvature);
            if curvature == 0.0 {
                unfelt.push(unknown);
            }
        }
        unfelt
    }

    fn step(&mut self, damping: f64, weights: &[f64], step: &mut [f64]) -> bool {
        let Some(factor) = self.factor(damping, weights) else {
            return false;
        };
        for (step, slope) in step.iter_mut().zip(&self.gradient) {
            *step = -slope;
        }
        factor.solve(step);
        true
    }

    fn foretold(&self, step: &[f64]) -> f64 {
        -dot(step, &self.gradient) - 0.5 * self.length_squared(step)
    }

    fn could_gain(&mut self) -> Option<f64> {
        let factor = self.factor(0.0, &[])?;
        let mut step = self.gradient.clone();
        factor.forward(&mut step);
        Some(0.5 * dot(&step, &step))
    }
}

/// `left' right`, in eight sums side by side: a single one would wait for each addition.
pub(crate) fn dot(left: &[f64], right: &[f64]) -> f64 {
    let (left, left_rest) = left.as_chunks::<8>();
    let (right, right_rest) = right.as_chunks::<8>();
    let mut sums = [0.0; 8];
    for (left, right) in left.iter().zip(right) {
        for ((sum, left), right) in sums.iter_mut().zip(left).zip(right) {
            *sum += left * right;
        }
    }
    let rest: f64 = left_rest.iter().zip(right_rest).map(|(l, r)| l * r).sum();
    let [a, b, c, d, e, f, g, h] = sums;
    ((a + b) + (c + d)) + ((e + f) + (g + h)) + rest
}

/// `A = L L'` of a symmetric positive definite matrix.
#[derive(Debug, Clone)]
pub struct Cholesky {
    lower: Vec<f64>,
    size: usize,
}

impl Cholesky {
    /// Factor of the matrix whose lower triangle stands row by row in `lower`, `size` square.
    pub fn of(mut lower: Vec<f64>, size: usize) -> Option<Self> {
        for row in 0..size {
            let (done, rest) = lower.split_at_mut(row * size);
            let line = &mut rest[..=row];
            for column in 0..row {
                let other = &done[column * size..=column * size + column];
                let known = dot(&line[..column], &other[..column]);
                line[column] = (line[column] - known) / other[column];
            }
            let pivot = line[row] - dot(&line[..row], &line[..row]);
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            line[row] = pivot.sqrt();
        }
        Some(Self { lower, size })
    }

    /// Entry of `L`, `column <= row`.
    pub fn entry(&self, row: usize, column: usize) -> f64 {
        self.lower[row * self.size + column]
    }

    /// Solves `L y = b` in place.
    pub fn forward(&self, right: &mut [f64]) {
        for row in 0..self.size {
            let line = &self.lower[row * self.size..row * self.size + row];
            let known = dot(line, &right[..row]);
            right[row] = (right[row] - known) / self.entry(row, row);
        }
    }

    /// Solves `L' x = y` in place.
    pub fn backward(&self, right: &mut [f64]) {
        for row in (0..self.size).rev() {
            let solved = right[row] / self.entry(row, row);
            right[row] = solved;
            let line = &self.lower[row * self.size..row * self.size + row];
            for (value, entry) in right.iter_mut().zip(line) {
                *value -= entry * solved;
            }
        }
    }

    /// Solves `A x = b` in place.
    pub fn solve(&self, right: &mut [f64]) {
        self.forward(right);
        self.backward(right);
    }

    /// Natural logarithm of the determinant of `A`.
    pub fn log_determinant(&self) -> f64 {
        2.0 * (0..self.size)
            .map(|row| self.entry(row, row).ln())
            .sum::<f64>()
    }

    /// The inverse of `A`, row by row.
    pub fn inverse(&self) -> Vec<Vec<f64>> {
        (0..self.size)
            .map(|row| {
                let mut column = vec![0.0; self.size];
                column[row] = 1.0;
                self.solve(&mut column);
                column
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{Cholesky, Normal};

    #[test]
    fn sparse_and_dense_rows_make_the_same_equations() {
        let (mut dense, mut sparse) = (Normal::new(3), Normal::new(3));
        dense.add(0.5, &[2.0, 0.0, -6.0]);
        sparse.add_sparse(0.5, &[0, 2], &[1.0, 9.0, -3.0], 2.0);
        assert_eq!(dense.gradient, sparse.gradient);
        assert_eq!(dense.lower, sparse.lower);
        assert_eq!(dense.cost, sparse.cost);
    }

    #[test]
    fn inverse_and_determinant_of_a_small_matrix() {
        let factor = Cholesky::of(vec![4.0, 0.0, 2.0, 3.0], 2).unwrap();
        assert!((factor.log_determinant() - 8f64.ln()).abs() < 1e-14);
        let inverse = factor.inverse();
        assert!(
            (inverse[0][0] - 0.375).abs() < 1e-15
                && (inverse[0][1] + 0.25).abs() < 1e-15
                && (inverse[1][1] - 0.5).abs() < 1e-15
        );
        assert!(Cholesky::of(vec![1.0, 0.0, 2.0, 3.0], 2).is_none());
    }
}
