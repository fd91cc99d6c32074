//! Follows the settled state of the bending cores from no supply to the whole supply where Newton's method alone finds none.
//!
//! With capacitors about, the state may fold back as the sources rise (ferroresonance): a step in the sources then has nowhere to
//! settle. So neither EMFs nor sources are stepped but the length along the curve of states (pseudo-arclength continuation;
//! H. B. Keller, in *Applications of Bifurcation Theory*, Academic Press 1977). The first state met with the whole supply is taken:
//! that is one choice where several exist, and the same every time.

use super::NetworkError;
use super::dense::Dense;
use super::excitation::Excitation;
use super::knee::{Newton, Ports};
use num_complex::Complex64;

/// Steps along the curve before giving up.
const STEPS: usize = 3000;
/// Longest and shortest step; EMFs count in shares of the knee, the sources in shares of themselves.
const LONGEST: f64 = 0.25;
const SHORTEST: f64 = 1e-8;
/// Rounds of one correction; more mean that the step was too long.
const ROUNDS: usize = 8;

struct Curve<'a> {
    ports: &'a mut Ports,
    laws: &'a [Excitation],
    straight: &'a [Complex64],
    dense: Dense,
    /// EMFs, real and imaginary, as shares of the knee; last the share of the sources.
    at: Vec<f64>,
    tangent: Vec<f64>,
}

/// Settles the ports with the whole supply.
/// # Errors
/// `NotSettled`.
pub(super) fn follow(
    newton: &mut Newton,
    ports: &mut Ports,
    laws: &[Excitation],
    straight: &[Complex64],
) -> Result<(), NetworkError> {
    let size = 2 * laws.len() + 1;
    let mut tangent = vec![0.0; size];
    tangent[size - 1] = 1.0;
    let mut curve = Curve {
        ports,
        laws,
        straight,
        dense: Dense::new(size),
        at: vec![0.0; size],
        tangent,
    };
    let start = curve.at.clone();
    curve.turn(&start);
    let mut length = 0.1_f64;
    let mut rounds = 0;
    while rounds < STEPS && length > SHORTEST {
        rounds += 1;
        let Some(next) = curve.step(length) else {
            length *= 0.25;
            continue;
        };
        if next[size - 1] >= 1.0 {
            curve.between(&next);
            if newton.iterate(curve.ports, laws, straight, 1.0).is_ok() {
                return Ok(());
            }
            length *= 0.25;
            continue;
        }
        curve.turn(&next);
        curve.at = next;
        length = (2.0 * length).min(LONGEST);
    }
    Err(NetworkError::NotSettled {
        rounds,
        residual: 1.0 - curve.at[size - 1],
    })
}

impl Curve<'_> {
    fn share(&self) -> usize {
        self.at.len() - 1
    }

    fn put(&mut self, at: &[f64]) {
        for (port, law) in self.laws.iter().enumerate() {
            self.ports.emf[port] = law.knee_emf() * Complex64::new(at[2 * port], at[2 * port + 1]);
        }
        self.ports.evaluate(self.laws, self.straight);
    }

    /// Factorises the slope of the residual along EMFs and sources, bordered by the tangent; false when singular.
    fn border(&mut self) -> bool {
        let width = self.at.len();
        let last = self.share();
        for row in 0..self.laws.len() {
            let knee = self.laws[row].knee_emf();
            let at = 2 * row * width;
            for column in 0..self.laws.len() {
                let (real, imaginary) = self.ports.slope_of_residual(row, column);
                let scale = self.laws[column].knee_emf() / knee;
                let place = at + 2 * column;
                self.dense.value[place] = scale * real.re;
                self.dense.value[place + 1] = scale * imaginary.re;
                self.dense.value[place + width] = scale * real.im;
                self.dense.value[place + width + 1] = scale * imaginary.im;
            }
            let rise = -self.ports.open[row] / knee;
            self.dense.value[at + last] = rise.re;
            self.dense.value[at + width + last] = rise.im;
        }
        self.dense.value[last * width..].copy_from_slice(&self.tangent);
        self.dense.factor()
    }

    /// The state `length` further on, none when it is not found near enough.
    fn step(&mut self, length: f64) -> Option<Vec<f64>> {
        let last = self.share();
        let guess: Vec<f64> = self
            .at
            .iter()
            .zip(&self.tangent)
            .map(|(a, t)| a + length * t)
            .collect();
        let mut next = guess.clone();
        for _ in 0..ROUNDS {
            self.put(&next);
            if !self.border() {
                return None;
            }
            let mut change = vec![0.0; last + 1];
            for (port, law) in self.laws.iter().enumerate() {
                let residual = self.ports.residual(port, next[last]) / law.knee_emf();
                change[2 * port] = -residual.re;
                change[2 * port + 1] = -residual.im;
            }
            self.dense.solve(&mut change);
            for (n, c) in next.iter_mut().zip(&change) {
                *n += c;
            }
            let most = |of: &mut dyn Iterator<Item = f64>| {
                of.fold(0.0, |a: f64, b| if b.is_nan() { b } else { a.max(b) })
            };
            let size = most(&mut change.iter().map(|c| c.abs()));
            let strayed = most(&mut next.iter().zip(&guess).map(|(n, g)| (n - g).abs()));
            // Too far from the guess is another part of the curve.
            if !(size.is_finite() && strayed <= 0.5 * length) {
                return None;
            }
            if size < 1e-9 {
                return Some(next);
            }
        }
        None
    }

    /// The tangent at a new state, in the direction travelled.
    fn turn(&mut self, at: &[f64]) {
        self.put(at);
        if !self.border() {
            return;
        }
        let mut tangent = vec![0.0; at.len()];
        tangent[at.len() - 1] = 1.0;
        self.dense.solve(&mut tangent);
        let size = tangent.iter().map(|t| t * t).sum::<f64>().sqrt();
        if size.is_finite() && size > 0.0 {
            self.tangent = tangent.iter().map(|t| t / size).collect();
        }
    }

    /// Puts the ports where the straight line between here and `next` has the whole supply.
    fn between(&mut self, next: &[f64]) {
        let last = self.share();
        let part = (1.0 - self.at[last]) / (next[last] - self.at[last]);
        let at: Vec<f64> = self
            .at
            .iter()
            .zip(next)
            .map(|(a, n)| a + part * (n - a))
            .collect();
        self.put(&at);
    }
}
