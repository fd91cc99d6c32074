//! What readings say of a find's parameters, and which readings are probably wrong.
//!
//! A [`Problem`] is parameters with priors, stations (a solver and how its values follow from the parameters) and observations.
//! [`judge`] finds the posterior over parameters and over sets of misread readings. [`model`] makes a problem of a find.
//! [`optimise`] is the optimiser itself; it also serves plain least squares, which is how it is held against published sets.

mod check;
mod fitting;
mod judging;
mod known;
mod leave_out;
mod linear;
mod mirror;
pub mod model;
pub mod normal;
mod notice;
pub mod optimise;
mod posed;
mod posterior;
mod problem;
mod pushed;
mod rank;
mod repeat;
#[cfg(test)]
mod sample;
mod search;
mod slips;
mod tails;
mod view;

pub use check::Fault;
pub use fitting::{Fitted, fit};
pub use judging::{Judged, Predicted, ReadingEvidence, judge, judge_from};
pub use known::{Alone, alone};
pub use notice::{Noticed, would_notice};
pub use posterior::{Learned, Mode, PRIOR_ONLY, Posterior, Prediction};
pub use problem::{
    Binding, DisplayRange, Observation, OtherPlace, Parameter, Problem, SLIP_PROBABILITY, Shown,
    SlipKind, Station, Transform,
};
pub use pushed::pushed;
pub use rank::{Ranked, Rival, rank, rank_from, rank_near, sampled};
pub use repeat::{Repeat, repeat_first};
