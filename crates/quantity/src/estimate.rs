//! A reckoned value with its doubt.

use crate::Unit;

/// A reckoned value with its standard uncertainty; shown as value ± 1.96 u, rounded to what the uncertainty supports.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The value, in the unit.
    pub value: f64,
    /// Its standard uncertainty, same unit.
    pub standard_uncertainty: f64,
    /// The unit.
    pub unit: Unit,
}

impl Estimate {
    /// The half width of the 95 % interval.
    pub fn half_width(self) -> f64 {
        1.96 * self.standard_uncertainty
    }
}
