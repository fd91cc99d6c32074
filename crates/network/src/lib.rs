//! The phasor equations of one find in one setup, and their exact sensitivities.
//!
//! [`circuit`] holds the parts of the equations: nodes, cores, windings with taps and sliders, sources, impedances, links; every
//! number in it is a [`circuit::ValueId`] into one flat list of values, so that the pattern stays while values change.
//! [`Solver`] numbers, orders and factorises that pattern once and answers [`Question`]s with their gradients.
//! [`Model`] turns a find and a setup into a circuit. This crate does not know readings, meters' errors or priors.

pub mod circuit;
pub mod copper;
mod model;
pub mod open_short;
mod solve;

pub use model::{Belongs, Meaning, Model, ModelError, Supply, load_impedance};
pub use solve::{Answer, Answered, NetworkError, PieceCurrent, Question, Solution, Solver};
