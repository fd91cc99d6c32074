//! The posterior over parameters and over sets of misread readings. (Interface; the body is being written.)

use crate::{Problem, SlipKind};

/// One mode of the posterior in z, with its covariance.
#[derive(Debug, Clone)]
pub struct Mode {
    /// z of each parameter at the mode.
    pub z: Vec<f64>,
    /// Covariance in z, row by row.
    pub covariance: Vec<Vec<f64>>,
    /// Observations held to be misread in it, by index.
    pub misread: Vec<usize>,
    /// Its posterior probability among the modes.
    pub probability: f64,
}

/// The posterior.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// Modes, most probable first.
    pub modes: Vec<Mode>,
}

/// What the others say of one reading.
#[derive(Debug, Clone)]
pub struct ReadingEvidence {
    /// The reading's number.
    pub number: u32,
    /// What the network answers there.
    pub answer: Predicted,
    /// Probability that it is wrong.
    pub wrong: f64,
    /// Kinds of slip with their probability given that it is wrong, most probable first; with the place for wrong pairs.
    pub kinds: Vec<(SlipKind, Option<String>, f64)>,
    /// Standard uncertainty of ln of its leave-out prediction: a decimal slip here would be noticed when below about 0.5.
    pub would_notice: bool,
}

/// A prediction that leaves the reading itself out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Predicted {
    /// A value with its standard uncertainty (of the prediction alone, gain included), and the distance of the reading from it in
    /// standard uncertainties of both together.
    Value {
        /// Prediction.
        value: f64,
        /// Its standard uncertainty.
        uncertainty: f64,
        /// Distance in standard uncertainties of reading and prediction together.
        distance: f64,
    },
    /// Nothing joins the two places.
    Floating,
    /// No path.
    Open,
}

/// Everything [`judge`] finds.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The posterior.
    pub posterior: Posterior,
    /// One for each observation, in order.
    pub readings: Vec<ReadingEvidence>,
}

/// Judges a problem.
/// # Errors
/// The network's own error at the prior's centre, if it has none.
pub fn judge(_problem: &mut Problem) -> Result<Judged, network::NetworkError> {
    Err(network::NetworkError::Singular { at: "not built yet".into() })
}
