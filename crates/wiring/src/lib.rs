//! Joins as algebra, polarity, and the named arrangements such gear is usually wired in.
//!
//! [`Conductors`] says which terminals are one conductor. [`polarity`] says which way a winding's turns count against the
//! first winding of its part. [`arrangements`] lists the named arrangements; each builds a whole find: parts, terminals,
//! joins (*assumed*), so that a drawing and a network stand at once. Knows nothing of volts and amperes.

mod arrangement;
mod conductors;
pub mod neighbours;
mod oddities;
mod polarity;
mod sliders;
mod stage;

pub use arrangement::{Arrangement, Choice, Options, arrangement, arrangements, recognise};
pub use conductors::Conductors;
pub use neighbours::{Variant, VariantKind, variants};
pub use oddities::{Oddity, oddities};
pub use polarity::{Polarity, polarity};
pub use sliders::slider_setting;
pub use stage::{Stage, stages};
