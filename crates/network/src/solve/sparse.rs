//! Sparse complex LU with an order found once.
//!
//! The order of pivots is found at the first factorisation by least fill among pivots that are not small in their row
//! (Markowitz's rule with threshold pivoting; I. S. Duff, A. M. Erisman, J. K. Reid, *Direct Methods for Sparse Matrices*,
//! chapters 5 and 7). From then on the same order is used in place, without allocation, until a pivot turns small in its row.

use num_complex::Complex64;

/// A pivot must be at least this share of the largest in its row when the order is found. Our choice: the usual 0.1.
const FRESH: f64 = 0.1;
/// The same when an order is used again; below it the order is found anew. Our choice: loses at most about three digits, which the
/// refinement step of the solver gives back.
const KEPT: f64 = 1e-3;
/// Below this share of the row's largest coefficient a pivot counts as zero: what rounding leaves of a cancellation.
const NOTHING: f64 = 1e-13;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// A square matrix in rows, its pattern fixed.
#[derive(Debug, Clone)]
pub(super) struct Matrix {
    pub(super) start: Vec<usize>,
    pub(super) column: Vec<usize>,
    pub(super) value: Vec<Complex64>,
}

impl Matrix {
    /// From places (row, column), in any order, each once or more; values zero.
    pub(super) fn new(size: usize, mut places: Vec<(usize, usize)>) -> Self {
        places.sort_unstable();
        places.dedup();
        let mut start = vec![0; size + 1];
        for (row, _) in &places {
            start[row + 1] += 1;
        }
        for row in 0..size {
            start[row + 1] += start[row];
        }
        let column: Vec<usize> = places.iter().map(|p| p.1).collect();
        Self {
            start,
            value: vec![ZERO; column.len()],
            column,
        }
    }

    /// Slot of a place that is in the pattern.
    pub(super) fn slot(&self, row: usize, column: usize) -> usize {
        let (from, to) = (self.start[row], self.start[row + 1]);
        from + self.column[from..to].partition_point(|&c| c < column)
    }

    /// `right - self x`.
    pub(super) fn residual(&self, x: &[Complex64], right: &[Complex64], out: &mut [Complex64]) {
        for (row, o) in out.iter_mut().enumerate() {
            let mut sum = right[row];
            for slot in self.start[row]..self.start[row + 1] {
                sum -= self.value[slot] * x[self.column[slot]];
            }
            *o = sum;
        }
    }
}

/// The factors of a matrix.
#[derive(Debug, Clone)]
pub(super) struct Factors {
    row: Vec<usize>,
    column: Vec<usize>,
    /// Where in pivot order each slot of the matrix falls, row by row in pivot order.
    place: Vec<u32>,
    lower_start: Vec<usize>,
    lower: Vec<u32>,
    lower_value: Vec<Complex64>,
    upper_start: Vec<usize>,
    upper: Vec<u32>,
    upper_value: Vec<Complex64>,
    pivot: Vec<Complex64>,
    work: Vec<Complex64>,
}

impl Factors {
    /// Finds an order and factorises.
    /// # Errors
    /// The unknown that is left when every pivot is as good as zero.
    pub(super) fn new(matrix: &Matrix) -> Result<Self, usize> {
        let mut factors = order(matrix)?;
        // The values by the same road as later, so that a solve does not depend on what was solved before.
        factors.refactor(matrix, 0.0);
        Ok(factors)
    }

    /// Factorises a matrix of the same pattern in the same order; false when a pivot turned small.
    pub(super) fn again(&mut self, matrix: &Matrix) -> bool {
        self.refactor(matrix, KEPT)
    }

    fn refactor(&mut self, matrix: &Matrix, kept: f64) -> bool {
        let Self {
            row,
            place,
            lower_start,
            lower,
            lower_value,
            upper_start,
            upper,
            upper_value,
            pivot,
            work,
            ..
        } = self;
        let mut next = 0;
        for i in 0..row.len() {
            let (l, u) = (
                lower_start[i]..lower_start[i + 1],
                upper_start[i]..upper_start[i + 1],
            );
            for &k in &lower[l.clone()] {
                work[k as usize] = ZERO;
            }
            for &k in &upper[u.clone()] {
                work[k as usize] = ZERO;
            }
            work[i] = ZERO;
            let mut largest = 0.0_f64;
            for slot in matrix.start[row[i]]..matrix.start[row[i] + 1] {
                let value = matrix.value[slot];
                largest = largest.max(value.re.abs().max(value.im.abs()));
                work[place[next] as usize] = value;
                next += 1;
            }
            for at in l {
                let k = lower[at] as usize;
                let factor = work[k] * pivot[k];
                lower_value[at] = factor;
                let span = upper_start[k]..upper_start[k + 1];
                for (&j, &v) in upper[span.clone()].iter().zip(&upper_value[span]) {
                    work[j as usize] -= factor * v;
                }
            }
            let here = work[i];
            let mut most = 0.0_f64;
            for at in u {
                let value = work[upper[at] as usize];
                upper_value[at] = value;
                most = most.max(value.norm_sqr());
            }
            let size = here.norm_sqr();
            if !(size > (NOTHING * largest).powi(2) && size >= kept * kept * most) && kept > 0.0 {
                return false;
            }
            pivot[i] = here.conj() * size.recip();
        }
        true
    }

    /// Solves `A x = right`.
    pub(super) fn solve(&mut self, right: &[Complex64], x: &mut [Complex64]) {
        let n = self.row.len();
        let w = &mut self.work;
        for i in 0..n {
            let mut sum = right[self.row[i]];
            let span = self.lower_start[i]..self.lower_start[i + 1];
            for (&k, &v) in self.lower[span.clone()].iter().zip(&self.lower_value[span]) {
                sum -= v * w[k as usize];
            }
            w[i] = sum;
        }
        for i in (0..n).rev() {
            let mut sum = w[i];
            let span = self.upper_start[i]..self.upper_start[i + 1];
            for (&k, &v) in self.upper[span.clone()].iter().zip(&self.upper_value[span]) {
                sum -= v * w[k as usize];
            }
            sum *= self.pivot[i];
            w[i] = sum;
            x[self.column[i]] = sum;
        }
    }

    /// Solves `Aᵀ y = right`. Zeros of the right side cost nothing.
    pub(super) fn solve_transposed(&mut self, right: &[Complex64], y: &mut [Complex64]) {
        let n = self.row.len();
        let w = &mut self.work;
        for i in 0..n {
            w[i] = right[self.column[i]];
        }
        for i in 0..n {
            if w[i] == ZERO {
                continue;
            }
            let here = w[i] * self.pivot[i];
            w[i] = here;
            let span = self.upper_start[i]..self.upper_start[i + 1];
            for (&k, &v) in self.upper[span.clone()].iter().zip(&self.upper_value[span]) {
                w[k as usize] -= v * here;
            }
        }
        for i in (0..n).rev() {
            let here = w[i];
            y[self.row[i]] = here;
            if here == ZERO {
                continue;
            }
            let span = self.lower_start[i]..self.lower_start[i + 1];
            for (&k, &v) in self.lower[span.clone()].iter().zip(&self.lower_value[span]) {
                w[k as usize] -= v * here;
            }
        }
    }
}

/// A matrix on its way to being factorised: dense values, and lists of what is still there.
struct Elimination {
    n: usize,
    value: Vec<Complex64>,
    size: Vec<f64>,
    /// Whether a place is filled, now or in the end.
    present: Vec<bool>,
    /// Columns not yet taken of each row, and rows not yet taken of each column.
    in_row: Vec<Vec<usize>>,
    in_column: Vec<Vec<usize>>,
    /// Largest coefficient each row had.
    largest: Vec<f64>,
}

impl Elimination {
    fn new(matrix: &Matrix) -> Self {
        let n = matrix.start.len() - 1;
        let mut new = Self {
            n,
            value: vec![ZERO; n * n],
            size: vec![0.0; n * n],
            present: vec![false; n * n],
            in_row: vec![Vec::new(); n],
            in_column: vec![Vec::new(); n],
            largest: vec![0.0; n],
        };
        for row in 0..n {
            for slot in matrix.start[row]..matrix.start[row + 1] {
                let column = matrix.column[slot];
                new.present[row * n + column] = true;
                new.in_row[row].push(column);
                new.in_column[column].push(row);
                new.put(row, column, matrix.value[slot]);
                new.largest[row] = new.largest[row].max(new.size[row * n + column]);
            }
        }
        new
    }

    fn put(&mut self, row: usize, column: usize, value: Complex64) {
        self.value[row * self.n + column] = value;
        self.size[row * self.n + column] = value.norm_sqr().sqrt();
    }

    /// Least fill among the rows not yet taken; the largest in its row where two are alike.
    fn best(&self, rows: &[usize]) -> Option<(usize, usize)> {
        let mut found: Option<(usize, f64, usize, usize)> = None;
        for &row in rows {
            let held = &self.in_row[row];
            let size = |column: usize| self.size[row * self.n + column];
            let most = held.iter().fold(0.0_f64, |most, &c| most.max(size(c)));
            for &column in held {
                let here = size(column);
                if here <= NOTHING * self.largest[row] || here < FRESH * most {
                    continue;
                }
                let cost = (held.len() - 1) * (self.in_column[column].len() - 1);
                let share = here / most;
                let better = |(least, best, ..): (usize, f64, usize, usize)| {
                    cost < least || (cost == least && share > best)
                };
                if found.is_none_or(better) {
                    found = Some((cost, share, row, column));
                }
            }
        }
        found.map(|(.., row, column)| (row, column))
    }

    /// Takes a pivot out of all other rows.
    fn eliminate(&mut self, row: usize, column: usize) {
        let n = self.n;
        let inverse = self.value[row * n + column].inv();
        let mine = std::mem::take(&mut self.in_row[row]);
        let others = std::mem::take(&mut self.in_column[column]);
        for &j in &mine {
            self.in_column[j].retain(|r| *r != row);
        }
        for &other in others.iter().filter(|other| **other != row) {
            let factor = self.value[other * n + column] * inverse;
            self.in_row[other].retain(|c| *c != column);
            for &j in mine.iter().filter(|j| **j != column) {
                if !self.present[other * n + j] {
                    self.present[other * n + j] = true;
                    self.in_row[other].push(j);
                    self.in_column[j].push(other);
                }
                let value = self.value[other * n + j] - factor * self.value[row * n + j];
                self.put(other, j, value);
            }
        }
    }
}

/// Finds the order, once a pattern.
fn order(matrix: &Matrix) -> Result<Factors, usize> {
    let mut left = Elimination::new(matrix);
    let mut rows: Vec<usize> = (0..left.n).collect();
    let mut columns: Vec<usize> = (0..left.n).collect();
    for step in 0..left.n {
        let (row, column) = left.best(&rows[step..]).ok_or(columns[step])?;
        let place = |list: &[usize], wanted: usize| {
            list[step..]
                .iter()
                .position(|&it| it == wanted)
                .unwrap_or(0)
                + step
        };
        let (r, c) = (place(&rows, row), place(&columns, column));
        rows.swap(step, r);
        columns.swap(step, c);
        left.eliminate(row, column);
    }
    Ok(collect(matrix, rows, columns, &left.present))
}

fn collect(matrix: &Matrix, row: Vec<usize>, column: Vec<usize>, present: &[bool]) -> Factors {
    let n = row.len();
    let mut position = vec![0_u32; n];
    for (k, &c) in column.iter().enumerate() {
        position[c] = k as u32;
    }
    let mut place = Vec::with_capacity(matrix.value.len());
    let (mut lower, mut upper) = (Vec::new(), Vec::new());
    let (mut lower_start, mut upper_start) = (vec![0], vec![0]);
    for (i, &r) in row.iter().enumerate() {
        place.extend(
            matrix.column[matrix.start[r]..matrix.start[r + 1]]
                .iter()
                .map(|&c| position[c]),
        );
        lower.extend(
            (0..i)
                .filter(|&k| present[r * n + column[k]])
                .map(|k| k as u32),
        );
        upper.extend(
            (i + 1..n)
                .filter(|&k| present[r * n + column[k]])
                .map(|k| k as u32),
        );
        lower_start.push(lower.len());
        upper_start.push(upper.len());
    }
    Factors {
        place,
        lower_value: vec![ZERO; lower.len()],
        upper_value: vec![ZERO; upper.len()],
        pivot: vec![ZERO; n],
        work: vec![ZERO; n],
        row,
        column,
        lower_start,
        lower,
        upper_start,
        upper,
    }
}
