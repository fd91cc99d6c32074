//! The next reading: the one with the greatest expected information about the question that matters now.
//!
//! [`information`] is the sum alone; the rest knows finds, kits and classes.

pub mod information;
