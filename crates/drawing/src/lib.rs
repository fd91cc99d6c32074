//! Drawings and charts as SVG, by our own writer, in one embedded face whose metrics we know.
//!
//! [`svg`] writes and keeps account of what stands where; [`face`] knows how wide a text is.

pub mod face;
pub mod signs;
pub mod svg;

pub use svg::{Drawing, Handle};
