//! The excitation of one core, `F(e)` in ampere-turns against EMF per turn, with its derivatives.
//!
//! With `E = n_ref e` and `u = |E| / volts`, softened at nought as `s² = (u² + f²) / (1 + f²)`:
//!
//! ```text
//! F(e) = n_ref² (g s^(w - 2) - j b s^(p - 1) √((1 + (s/k)²⁴) / (1 + k⁻²⁴))) e
//! ```
//!
//! `w` is the exponent of the watts, `p` of the magnetising current, `k` the knee. At `volts` the core takes exactly `g` and `b`; up to
//! there the current follows its exponent within 2 % at a knee of 1.15; beyond the knee it gains twelve more powers of the voltage.
//! Odd powers of about 7 to 15 are what studies of saturating transformers fit (from memory); thirteen in all and the sharpness of the
//! corner are our choice. Loss has no knee of its own. RMS of the fundamental only: the peaks of a saturated core are higher.

use crate::circuit::{Bend, Core, ValueId};
use num_complex::Complex64;

/// Below this share of rated volts the exponents end and the core is straight: `s^(p-1)` has no derivative at nought. Our choice,
/// well below the lowest voltage anybody tests with.
const FLOOR: f64 = 1e-4;
/// The corner: `(s/k)` to this power is compared with 1.
const CORNER: i32 = 24;

/// A core's excitation with its numbers in place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Excitation {
    turns: f64,
    conductance: f64,
    susceptance: f64,
    volts: f64,
    current_exponent: f64,
    watts_exponent: f64,
    knee: f64,
}

/// `F` near one EMF: `dF = plain de + mirrored conj(de)`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slope {
    pub(super) plain: Complex64,
    pub(super) mirrored: Complex64,
}

struct Factors {
    /// `u²`.
    square: f64,
    /// `s²`.
    soft: f64,
    loss: f64,
    magnetising: f64,
    /// `(s/k)²⁴ / (1 + (s/k)²⁴)`: 0 below the knee, 1 beyond.
    beyond: f64,
}

impl Excitation {
    pub(super) fn new(core: &Core, bend: &Bend, values: &[f64]) -> Self {
        Self {
            turns: values[core.reference_turns.0],
            conductance: values[core.conductance.0],
            susceptance: values[core.susceptance.0],
            volts: values[bend.volts.0],
            current_exponent: values[bend.current_exponent.0],
            watts_exponent: values[bend.watts_exponent.0],
            knee: values[bend.knee.0],
        }
    }

    /// EMF per turn at the knee, volts.
    pub(super) fn knee_emf(&self) -> f64 {
        (self.knee * self.volts / self.turns).abs()
    }

    fn factors(&self, e: Complex64) -> Factors {
        let square = e.norm_sqr() * (self.turns / self.volts).powi(2);
        let soft = (square + FLOOR * FLOOR) / (1.0 + FLOOR * FLOOR);
        let ln = soft.ln();
        let past = (soft / (self.knee * self.knee)).powi(CORNER / 2);
        let bent = ((1.0 + past) / (1.0 + self.knee.powi(-CORNER))).sqrt();
        Factors {
            square,
            soft,
            loss: (0.5 * (self.watts_exponent - 2.0) * ln).exp(),
            magnetising: (0.5 * (self.current_exponent - 1.0) * ln).exp() * bent,
            // Written so that a huge overload does not become a fraction of infinities.
            beyond: 1.0 / (1.0 + past.recip()),
        }
    }

    fn admittance(&self, f: &Factors) -> Complex64 {
        Complex64::new(self.conductance * f.loss, -self.susceptance * f.magnetising)
    }

    /// Derivative of the admittance to `u²`.
    fn bending(&self, f: &Factors) -> Complex64 {
        let inner = 1.0 / (f.soft * (1.0 + FLOOR * FLOOR));
        let loss = 0.5 * (self.watts_exponent - 2.0) * f.loss;
        let magnetising = (0.5 * (self.current_exponent - 1.0)
            + 0.25 * f64::from(CORNER) * f.beyond)
            * f.magnetising;
        Complex64::new(self.conductance * loss, -self.susceptance * magnetising) * inner
    }

    /// `F(e)`, ampere-turns.
    pub(super) fn ampere_turns(&self, e: Complex64) -> Complex64 {
        self.turns * self.turns * self.admittance(&self.factors(e)) * e
    }

    /// `F(e)` and its slope.
    pub(super) fn with_slope(&self, e: Complex64) -> (Complex64, Slope) {
        let f = self.factors(e);
        let admittance = self.admittance(&f);
        let square = self.turns * self.turns;
        let bending = self.bending(&f) * (square / (self.volts * self.volts));
        let slope = Slope {
            plain: square * (admittance + bending * e.norm_sqr()),
            mirrored: square * bending * e * e,
        };
        (square * admittance * e, slope)
    }

    /// Derivative of `F(e)` to each value of the core, `e` held.
    pub(super) fn partials(
        &self,
        core: &Core,
        bend: &Bend,
        e: Complex64,
    ) -> [(ValueId, Complex64); 7] {
        let f = self.factors(e);
        let flux = self.turns * self.turns * e;
        let half_ln = 0.5 * f.soft.ln();
        let steep = self.bending(&f) * (2.0 * f.square);
        let loss = Complex64::new(f.loss, 0.0);
        let magnetising = Complex64::new(0.0, -f.magnetising);
        let corner = 0.5 * f64::from(CORNER) / self.knee;
        let rated = 1.0 / (1.0 + self.knee.powi(CORNER));
        [
            (
                core.reference_turns,
                2.0 * self.turns * self.admittance(&f) * e + flux * steep / self.turns,
            ),
            (core.conductance, flux * loss),
            (core.susceptance, flux * magnetising),
            (bend.volts, -flux * steep / self.volts),
            (
                bend.current_exponent,
                flux * magnetising * (self.susceptance * half_ln),
            ),
            (
                bend.watts_exponent,
                flux * loss * (self.conductance * half_ln),
            ),
            (
                bend.knee,
                flux * magnetising * (self.susceptance * corner * (rated - f.beyond)),
            ),
        ]
    }
}
