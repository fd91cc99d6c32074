//! A small real linear system in place, for the EMFs of the cores that bend: a dozen unknowns, partial pivoting.

/// Factors of a real square matrix, with room for its largest size.
#[derive(Debug, Clone, Default)]
pub(super) struct Dense {
    size: usize,
    /// Row by row; holds the matrix before and its factors after [`Dense::factor`].
    pub(super) value: Vec<f64>,
    row: Vec<usize>,
    work: Vec<f64>,
}

impl Dense {
    pub(super) fn new(size: usize) -> Self {
        Self {
            size,
            value: vec![0.0; size * size],
            row: (0..size).collect(),
            work: vec![0.0; size],
        }
    }

    /// Factorises; false when singular.
    pub(super) fn factor(&mut self) -> bool {
        let n = self.size;
        for (k, r) in self.row.iter_mut().enumerate() {
            *r = k;
        }
        for k in 0..n {
            let best = (k..n).max_by(|&a, &b| {
                self.value[a * n + k]
                    .abs()
                    .total_cmp(&self.value[b * n + k].abs())
            });
            let best = best.unwrap_or(k);
            let pivot = self.value[best * n + k];
            if pivot == 0.0 || !pivot.is_finite() {
                return false;
            }
            if best != k {
                for j in 0..n {
                    self.value.swap(best * n + j, k * n + j);
                }
                self.row.swap(best, k);
            }
            for i in k + 1..n {
                let factor = self.value[i * n + k] / pivot;
                if factor == 0.0 {
                    continue;
                }
                self.value[i * n + k] = factor;
                for j in k + 1..n {
                    self.value[i * n + j] -= factor * self.value[k * n + j];
                }
            }
        }
        true
    }

    /// Solves in place.
    pub(super) fn solve(&mut self, x: &mut [f64]) {
        let n = self.size;
        for i in 0..n {
            let mut sum = x[self.row[i]];
            for k in 0..i {
                sum -= self.value[i * n + k] * self.work[k];
            }
            self.work[i] = sum;
        }
        for i in (0..n).rev() {
            let mut sum = self.work[i];
            for (k, known) in x.iter().enumerate().skip(i + 1) {
                sum -= self.value[i * n + k] * known;
            }
            x[i] = sum / self.value[i * n + i];
        }
    }

    /// Solves the transposed system in place.
    pub(super) fn solve_transposed(&mut self, x: &mut [f64]) {
        let n = self.size;
        for i in 0..n {
            let here = x[i] / self.value[i * n + i];
            x[i] = here;
            for (k, later) in x.iter_mut().enumerate().skip(i + 1) {
                *later -= self.value[i * n + k] * here;
            }
        }
        for i in (0..n).rev() {
            let here = x[i];
            self.work[self.row[i]] = here;
            for (earlier, factor) in x.iter_mut().zip(&self.value[i * n..i * n + i]) {
                *earlier -= factor * here;
            }
        }
        x.copy_from_slice(&self.work);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_both_ways() {
        let a = [0.0, 2.0, 1.0, 3.0, -1.0, 0.5, 1.0, 1.0, 4.0];
        let x = [1.0, -2.0, 3.0];
        let mut dense = Dense::new(3);
        dense.value.copy_from_slice(&a);
        assert!(dense.factor());
        for transposed in [false, true] {
            let mut right: Vec<f64> = (0..3)
                .map(|i| {
                    (0..3)
                        .map(|j| {
                            x[j] * if transposed {
                                a[j * 3 + i]
                            } else {
                                a[i * 3 + j]
                            }
                        })
                        .sum()
                })
                .collect();
            if transposed {
                dense.solve_transposed(&mut right)
            } else {
                dense.solve(&mut right)
            }
            assert!(
                right
                    .iter()
                    .zip(x)
                    .all(|(got, want)| (got - want).abs() < 1e-14),
                "{transposed}: {right:?}"
            );
        }
    }

    #[test]
    fn a_singular_matrix_is_told() {
        let mut dense = Dense::new(2);
        dense.value.copy_from_slice(&[1.0, 2.0, 2.0, 4.0]);
        assert!(!dense.factor());
    }
}
