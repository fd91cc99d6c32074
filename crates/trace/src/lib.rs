//! Sorting an unmarked part: which leads form a winding, taps in order, starts and finishes, ratios, absolute turns.
//!
//! [`traced`] takes the readings recorded on a part of kind *unmarked windings* and gives what they say, what contradicts, the next test
//! and how many are left at worst. First the dead tests (ohms between leads, or one lead against several clipped together), then one
//! low feed with volts read winding by winding, then linked windings for the starts. `observed` turns readings into what was seen
//! between leads, `sorting` makes windings of it (`halving` with the fewest tests, where the number of windings is known), `order` puts taps in order, `volts` tells ratios and starts, `low` holds each feed
//! against the limits, `told` puts it all into windings, `doubt` names the reading to take again, `least` tells how few tests can do.
//!
//! A winding that broke inside, or a screen with one lead, shows as a lead that stands alone. Does not judge insulation or condition.

mod doubt;
mod halving;
pub mod least;
mod low;
mod observed;
mod order;
mod plan;
mod sorting;
#[cfg(test)]
mod tests;
mod three_phase;
mod told;
mod traced;
mod volts;

pub use plan::Next;
pub use traced::{
    Contradiction, Traced, TracedPhase, TracedPoint, TracedWinding, flux_density, traced, traced_at,
};
