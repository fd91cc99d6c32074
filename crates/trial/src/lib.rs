//! Synthetic finds with known truth, and the score of a judgement against it.
//!
//! A [`World`](world::World) is one stabilizer phase in six setups: its circuits, its parameters and the places where one may read.
//! [`draw`](draw::draw) draws a find from it: true values, instruments with their gains, readings as shown, slips among them.
//! [`score`] judges finds and counts what was found, what was accused and how often the intervals hold the truth. The data are made
//! by the same model, priors and slips as the judgement uses: what is scored is a ceiling for a well-specified find, no promise
//! for a real one. Chance lives here and nowhere else; every find has its own seed.

pub mod chance;
pub mod draw;
pub mod instruments;
pub mod low_steps;
pub mod misfit;
pub mod misreadings;
pub mod readings;
pub mod recorded;
pub mod reference;
pub mod replay;
pub mod score;
pub mod sisters;
pub mod table;
pub mod tracing;
pub mod wirings;
pub mod words;
pub mod world;
