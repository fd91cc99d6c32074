//! Drawings and charts as SVG, by our own writer, in one embedded face whose metrics we know.
//!
//! [`svg`] writes and keeps account of what stands where; [`face`] knows how wide a text is.

mod account;
pub mod bars;
pub mod chart;
pub mod face;
mod plane;
mod schematic;
pub mod signs;
mod style;
pub mod svg;

pub use schematic::{Annotation, DrawingError, Mark, schematic};
pub use svg::{Drawing, Handle};
