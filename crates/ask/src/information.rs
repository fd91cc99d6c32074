//! Expected information of one possible reading about which candidate is the true one.

/// What one candidate expects of one possible reading: a mixture.
#[derive(Debug, Clone, Default)]
pub struct Expectation {
    /// Its components; the weights sum to 1.
    pub components: Vec<Component>,
}

/// One component of an expectation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Component {
    /// A value about `mean` with standard uncertainty `sigma`, the meter's included.
    Value {
        /// Weight.
        weight: f64,
        /// Mean.
        mean: f64,
        /// Standard uncertainty.
        sigma: f64,
    },
    /// The place floats: anything may be shown.
    Floating {
        /// Weight.
        weight: f64,
    },
    /// No path: nothing but over range is shown.
    Open {
        /// Weight.
        weight: f64,
    },
}

/// Expected information in nats about which candidate holds, `weights` being their probabilities now.
pub fn expected(weights: &[f64], expectations: &[Expectation]) -> f64 {
    let _ = (weights, expectations);
    0.0
}
