//! The derivative of an answer to every value, from its adjoint.
//!
//! With the equations as rows `r(x, values) = 0` and an answer whose change is `Re cᵀ dx`, the adjoint `λ` solves `Aᵀ λ = c` and the
//! derivative to a value is `-Re λᵀ ∂r/∂value`: one back-substitution an answer, then a handful of products a branch. (Standard adjoint
//! network method; S. W. Director, R. A. Rohrer, IEEE Trans. Circuit Theory CT-16 (1969) 318-323.)

use super::excitation::Excitation;
use super::layout::{Kind, Layout};
use super::shape::Shape;
use crate::circuit::Circuit;
use num_complex::Complex64;

/// What the derivative is taken at.
pub(super) struct At<'a> {
    pub(super) circuit: &'a Circuit,
    pub(super) layout: &'a Layout,
    pub(super) shape: &'a Shape,
    pub(super) values: &'a [f64],
    /// The state the answer was read from.
    pub(super) x: &'a [Complex64],
    /// Whether the sources are dead (ohms): their volts are then nothing to the answer.
    pub(super) dead: bool,
}

impl At<'_> {
    /// Adds the derivative to every value, from the adjoint, into `gradient`.
    pub(super) fn gradient(&self, adjoint: &[Complex64], gradient: &mut [f64]) {
        let first = self.layout.first_branch;
        let omega = self.layout.omega;
        let alternating = if omega == 0.0 { 0.0 } else { 1.0 };
        for (k, b) in self.shape.branches.iter().enumerate() {
            // A replaced equation holds none of its branch's values; a piece still counts in its core's ampere-turns.
            let felt = if self.shape.replaced[k] {
                Complex64::ZERO
            } else {
                adjoint[first + k]
            };
            let amperes = self.x[first + k];
            let power = felt * amperes;
            match b.kind {
                Kind::Source {
                    volts,
                    turn,
                    ohms,
                    reactance,
                } => {
                    if !self.dead {
                        gradient[volts] -= (felt * turn).re;
                    }
                    gradient[ohms] += power.re;
                    gradient[reactance] -= alternating * power.im;
                }
                Kind::Impedance { ohms, reactance } => {
                    gradient[ohms] += power.re;
                    gradient[reactance] -= alternating * power.im;
                }
                Kind::Capacitor { farads } => {
                    let across = self.voltage(b.from) - self.voltage(b.to);
                    gradient[farads] -= (felt * across * Complex64::new(0.0, omega)).re;
                }
                Kind::Link => {}
                Kind::Brush { ohms } => gradient[ohms] += power.re,
                Kind::Piece {
                    core,
                    turns,
                    ohms,
                    reactance,
                    low,
                    high,
                } => {
                    let share = self.values[high] - self.values[low];
                    let linked = core.map_or(0.0, |core| {
                        let core = self.layout.first_core + core;
                        (felt * self.x[core] + adjoint[core] * amperes).re
                    });
                    gradient[turns] += share * linked;
                    gradient[ohms] += share * power.re;
                    gradient[reactance] -= alternating * share * power.im;
                    let along = self.values[ohms] * power.re
                        - alternating * self.values[reactance] * power.im
                        + self.values[turns] * linked;
                    gradient[high] += along;
                    gradient[low] -= along;
                }
            }
        }
        if omega != 0.0 {
            self.cores(adjoint, gradient);
        }
    }

    fn cores(&self, adjoint: &[Complex64], gradient: &mut [f64]) {
        for (index, (_, core)) in self.circuit.cores.iter().enumerate() {
            let felt = adjoint[self.layout.first_core + index];
            let e = self.x[self.layout.first_core + index];
            if let Some(bend) = &core.bend {
                for (value, partial) in
                    Excitation::new(core, bend, self.values).partials(core, bend, e)
                {
                    gradient[value.0] -= (felt * partial).re;
                }
                continue;
            }
            let turns = self.values[core.reference_turns.0];
            let admittance = Complex64::new(
                self.values[core.conductance.0],
                -self.values[core.susceptance.0],
            );
            let flux = felt * e * turns;
            gradient[core.reference_turns.0] -= (2.0 * admittance * flux).re;
            gradient[core.conductance.0] -= turns * flux.re;
            gradient[core.susceptance.0] -= turns * flux.im;
        }
    }

    fn voltage(&self, node: usize) -> Complex64 {
        self.layout.unknown[node].map_or(Complex64::ZERO, |u| self.x[u])
    }
}
