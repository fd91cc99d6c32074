//! Drawings and charts as SVG, by our own writer, in one embedded face whose metrics we know.
//!
//! ```
//! use gear::{Designation, Find, Part, PartKind, Point, Winding, Wound};
//!
//! let ends = ["1", "2"].map(|mark| Point { terminal: mark.into(), at: None });
//! let winding = Winding { name: "winding".into(), points: ends.into(), ..Winding::default() };
//! let kind = PartKind::Choke(Wound { windings: vec![winding], ..Wound::default() });
//! let part = Part { designation: Designation::parse("L1")?, name: None, phase: None, kind };
//! let find = Find { parts: vec![part], ..Find::default() };
//! let drawing = drawing::schematic(&find, None, 1, &[]).map_err(|e| e.to_string())?;
//! assert!(drawing.standalone().starts_with("<svg"));
//! # Ok::<(), String>(())
//! ```
//!
//! [`schematic`] lays a find out by lines and crossings, with its readings as dimension lines; [`chart`] and [`bars`] set curves
//! and beliefs. All write through [`svg`], which keeps account of what stands where; [`face`] knows how wide a text is;
//! [`signs`] are drawn once. A page brings colours and sizes by the class names of the look; a file of its own carries them.
//!
//! It reckons nothing electrical, judges nothing, and does not draw all three phases on one sheet.

mod account;
pub mod bars;
pub mod chart;
pub mod face;
mod plane;
mod schematic;
pub mod signs;
mod style;
pub mod svg;

pub use schematic::{Annotation, Doubt, DrawingError, Mark, schematic, schematic_doubted};
pub use svg::{Drawing, Handle};
