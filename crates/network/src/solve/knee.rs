//! Finds the EMFs of the cores that bend, by Newton's method outside the linear solve.
//!
//! The linear network seen from those cores is `e = e₀ - H N(e)`: `e₀` their EMFs were they straight, `H` the EMF one ampere-turn
//! more on a core makes on another, `N` what the excitation departs from the straight line. A few unknowns, as real and imaginary
//! parts, because `N` is no analytic function. A step that does not bring the residual down is halved; where that fails the
//! state is followed from no supply, where the answer is known, by `arc`.

use super::NetworkError;
use super::arc::follow;
use super::dense::Dense;
use super::excitation::{Excitation, Slope};
use num_complex::Complex64;

/// Rounds of one Newton iteration. Our choice: below the knee four serve, an open primary in a loaded line takes about fifteen.
const ROUNDS: usize = 60;
/// Relative step below which the iteration has settled; it converges quadratically, so what is left is rounding.
const SETTLED: f64 = 1e-10;
/// How far beyond its knee a core may start. Our choice: near enough that the steep part is not climbed down from far.
const START: f64 = 1.2;

/// The linear network as the bending cores see it.
#[derive(Debug, Clone, Default)]
pub(super) struct Ports {
    /// EMFs were the cores straight.
    pub(super) open: Vec<Complex64>,
    /// `H`, row by row.
    pub(super) transfer: Vec<Complex64>,
    /// EMFs found.
    pub(super) emf: Vec<Complex64>,
    /// `N` at them.
    pub(super) departure: Vec<Complex64>,
    /// Slope of `N` at them.
    pub(super) slope: Vec<Slope>,
}

/// Room for the iteration.
#[derive(Debug, Clone, Default)]
pub(super) struct Newton {
    dense: Dense,
    step: Vec<f64>,
    trial: Vec<Complex64>,
}

impl Ports {
    pub(super) fn new(count: usize) -> Self {
        let none = Slope {
            plain: Complex64::ZERO,
            mirrored: Complex64::ZERO,
        };
        Self {
            open: vec![Complex64::ZERO; count],
            transfer: vec![Complex64::ZERO; count * count],
            emf: vec![Complex64::ZERO; count],
            departure: vec![Complex64::ZERO; count],
            slope: vec![none; count],
        }
    }

    /// Makes this a copy without allocating.
    pub(super) fn copy_from(&mut self, other: &Self) {
        self.open.copy_from_slice(&other.open);
        self.transfer.copy_from_slice(&other.transfer);
        self.emf.copy_from_slice(&other.emf);
        self.departure.copy_from_slice(&other.departure);
        self.slope.copy_from_slice(&other.slope);
    }

    /// Residual of one port at the EMFs and departures held, in volts per turn, the sources at `share`.
    pub(super) fn residual(&self, port: usize, share: f64) -> Complex64 {
        let row = &self.transfer[port * self.open.len()..][..self.open.len()];
        let drop: Complex64 = row.iter().zip(&self.departure).map(|(h, n)| h * n).sum();
        self.emf[port] - share * self.open[port] + drop
    }

    pub(super) fn evaluate(&mut self, laws: &[Excitation], straight: &[Complex64]) {
        for c in 0..laws.len() {
            let (total, slope) = laws[c].with_slope(self.emf[c]);
            self.departure[c] = total - straight[c] * self.emf[c];
            self.slope[c] = Slope {
                plain: slope.plain - straight[c],
                mirrored: slope.mirrored,
            };
        }
    }

    /// How the residual of one port changes with the real and the imaginary part of another's EMF.
    pub(super) fn slope_of_residual(&self, row: usize, column: usize) -> (Complex64, Complex64) {
        let h = self.transfer[row * self.emf.len() + column];
        let slope = self.slope[column];
        let same = if row == column {
            Complex64::ONE
        } else {
            Complex64::ZERO
        };
        let real = same + h * (slope.plain + slope.mirrored);
        let imaginary = Complex64::I * (same + h * (slope.plain - slope.mirrored));
        (real, imaginary)
    }

    /// Sum of squared residuals, each as a share of its core's EMF at the knee.
    fn merit(&self, laws: &[Excitation], share: f64) -> f64 {
        (0..laws.len())
            .map(|p| (self.residual(p, share) / laws[p].knee_emf()).norm_sqr())
            .sum()
    }
}

impl Newton {
    pub(super) fn new(count: usize) -> Self {
        Self {
            dense: Dense::new(2 * count),
            step: vec![0.0; 2 * count],
            trial: vec![Complex64::ZERO; count],
        }
    }

    /// Settles the ports from a cold start, the same whatever was solved before.
    /// # Errors
    /// `NotSettled`.
    pub(super) fn settle(
        &mut self,
        ports: &mut Ports,
        laws: &[Excitation],
        straight: &[Complex64],
    ) -> Result<(), NetworkError> {
        for (port, law) in laws.iter().enumerate() {
            let open = ports.open[port];
            let most = START * law.knee_emf();
            ports.emf[port] = if open.norm() > most {
                open * (most / open.norm())
            } else {
                open
            };
        }
        if self.iterate(ports, laws, straight, 1.0).is_ok() {
            return Ok(());
        }
        follow(self, ports, laws, straight)
    }

    /// Settles from the EMFs held, for a small change.
    /// # Errors
    /// `NotSettled`.
    pub(super) fn settle_near(
        &mut self,
        ports: &mut Ports,
        laws: &[Excitation],
        straight: &[Complex64],
    ) -> Result<(), NetworkError> {
        self.iterate(ports, laws, straight, 1.0)
            .or_else(|_| self.settle(ports, laws, straight))
    }

    /// Newton's method from the EMFs held, the sources at `share`.
    /// # Errors
    /// `NotSettled`.
    pub(super) fn iterate(
        &mut self,
        ports: &mut Ports,
        laws: &[Excitation],
        straight: &[Complex64],
        share: f64,
    ) -> Result<(), NetworkError> {
        ports.evaluate(laws, straight);
        let mut last = f64::INFINITY;
        for _ in 0..ROUNDS {
            if !self.linearise(ports) {
                break;
            }
            for port in 0..laws.len() {
                let residual = ports.residual(port, share);
                self.step[2 * port] = -residual.re;
                self.step[2 * port + 1] = -residual.im;
            }
            self.dense.solve(&mut self.step);
            last = self.advance(ports, laws, straight, share);
            if last < SETTLED {
                return Ok(());
            }
            if !last.is_finite() {
                break;
            }
        }
        Err(NetworkError::NotSettled {
            rounds: ROUNDS,
            residual: last,
        })
    }

    /// Takes the step, halved until the residual falls. Returns its relative size, infinite where none was found.
    fn advance(
        &mut self,
        ports: &mut Ports,
        laws: &[Excitation],
        straight: &[Complex64],
        share: f64,
    ) -> f64 {
        let before = ports.merit(laws, share);
        self.trial.copy_from_slice(&ports.emf);
        let whole = (0..laws.len())
            .map(|p| {
                Complex64::new(self.step[2 * p], self.step[2 * p + 1]).norm() / laws[p].knee_emf()
            })
            .fold(0.0, f64::max);
        let mut part = 1.0;
        for _ in 0..20 {
            for port in 0..laws.len() {
                let step = Complex64::new(self.step[2 * port], self.step[2 * port + 1]);
                ports.emf[port] = self.trial[port] + part * step;
            }
            ports.evaluate(laws, straight);
            // Near the end rounding decides whether the residual falls; a step that small is taken as it is.
            if whole < 1e-8 || ports.merit(laws, share) <= (1.0 - 1e-3 * part) * before {
                return whole;
            }
            part *= 0.5;
        }
        f64::INFINITY
    }

    /// Factorises the slope of the residual, real and imaginary parts apart; false when singular.
    pub(super) fn linearise(&mut self, ports: &Ports) -> bool {
        let count = ports.emf.len();
        let width = 2 * count;
        for row in 0..count {
            for column in 0..count {
                let (real, imaginary) = ports.slope_of_residual(row, column);
                let at = 2 * row * width + 2 * column;
                self.dense.value[at] = real.re;
                self.dense.value[at + 1] = imaginary.re;
                self.dense.value[at + width] = real.im;
                self.dense.value[at + width + 1] = imaginary.im;
            }
        }
        self.dense.factor()
    }

    /// How an answer that feels the departures through `weights` (its adjoint at the ports) feels the straight EMFs, by the implicit
    /// function theorem; [`Newton::linearise`] must have been called at the settled ports. Written into `weights`.
    pub(super) fn adjoint(&mut self, ports: &Ports, weights: &mut [Complex64]) {
        for (port, weight) in weights.iter().enumerate() {
            let slope = ports.slope[port];
            self.step[2 * port] = (weight * (slope.plain + slope.mirrored)).re;
            self.step[2 * port + 1] = (weight * Complex64::I * (slope.plain - slope.mirrored)).re;
        }
        self.dense.solve_transposed(&mut self.step);
        for (port, weight) in weights.iter_mut().enumerate() {
            *weight = Complex64::new(self.step[2 * port], -self.step[2 * port + 1]);
        }
    }
}
