//! What readings say of a find's parameters, and which readings are probably wrong.
//!
//! A [`Problem`] is parameters with priors, stations (a solver and how its values follow from the parameters) and observations.
//! [`judge`] finds the posterior over parameters and over sets of misread readings (DESIGN 5). [`model`] makes a problem of a find.
//! [`optimise`] is the optimiser itself; it also serves plain least squares, which is how it is held against published sets.

pub mod model;
pub mod normal;
pub mod optimise;
mod posterior;
mod problem;

pub use posterior::{Judged, Mode, Posterior, ReadingEvidence, judge};
pub use problem::{Binding, Observation, OtherPlace, Parameter, Problem, Shown, SlipKind, Station, Transform};
