//! The optimiser.
