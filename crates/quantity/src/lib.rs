//! Numbers as people write them at a bench: `23,8 V`, `4R7`, `> 2 GΩ`, `23.7 to 23.9 V`, `3? A`, `400 V ±20 %`.
//!
//! A [`Quantity`] keeps the text exactly as it was written and what it means: a unit, the values it allows, the digits shown.
//! An [`Estimate`] is a reckoned value with its standard uncertainty. [`Volts`], [`Ohms`] and their like are plain values for
//! public borders. This crate knows no file, clock, network or screen.

mod accuracy;
mod estimate;
mod number;
mod parse;
mod quantity;
mod show;
mod symbols;
mod unit;
mod value;

pub use estimate::{Estimate, Rounded};
pub use quantity::{Accuracy, Quantity, QuantityError, Reach, Tolerance};
pub use show::{Decimal, prefix_for, round_down_two_digits, show, significant};
pub use unit::Unit;
pub use value::{
    Amperes, Farads, Henries, Hertz, Kelvin, Minutes, Ohms, Ratio, Siemens, VoltAmperes, Volts,
    Watts,
};
