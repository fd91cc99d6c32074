//! The nouns of a find: plate, parts, leads, joins, kit, instruments, setups, readings, damage, notes.
//!
//! Plain data as the owner recorded it; nothing here reckons. A [`Find`] may be as thin as a plate: everything else may be empty.
//! Quantities stay as they were written ([`quantity::Quantity`]); what is missing is `None`, never zero.
//! What may not be recorded by its type is checked where it enters (the `sheet` crate, the page's forms), by [`Find::faults`].

mod faults;
mod find;
mod instrument;
mod join;
mod kit;
mod moment;
mod nearest;
mod part;
mod plate;
mod reading;
mod setup;
mod terminal;

pub use faults::Fault;
pub use find::{Damage, Find, Gang, Note, Travel};
pub use instrument::{
    Beyond, Category, FORM_FACTOR_OF_A_SINE, Instrument, InstrumentClass, Range, Response, beyond,
};
pub use join::{Join, JoinState, Lead};
pub use kit::{Kit, KitItem, KitSource, Steadiness};
pub use moment::Moment;
pub use nearest::nearest;
pub use part::{CoreFacts, Dot, Part, PartKind, Point, Slider, Unmarked, Winding, Wound};
pub use plate::{Plate, PlateField};
pub use reading::{Kick, Measured, Place, Reading};
pub use setup::{Feed, Pairing, Setup, SetupLoad, SliderSetting, SwitchSetting};
pub use terminal::{Designation, TerminalRef};
