//! Makes a find of the tree. Takes what can be taken and leaves the rest out: what is wrong is told by `shape`, not here.

mod cursor;
mod tables;

use crate::paths::Paths;
use cursor::Cursor;
use gear::{Find, Measured};
use quantity::{Quantity, Reach, Unit};
use std::cell::RefCell;
use toml::Spanned;
use toml::de::DeTable;

/// The find, as far as the tree gives one, and where its things stand.
pub(crate) fn find(text: &str, root: &Spanned<DeTable<'_>>) -> (Find, Paths) {
    let paths = RefCell::new(Paths::default());
    let find = tables::sheet(&Cursor::root(text, root.get_ref(), &paths));
    (find, paths.into_inner())
}

/// What was measured, by the unit shown alone; nothing for a unit no meter of ours shows, or a bare `OL`.
pub(crate) fn told_by(shown: &Quantity, direct: bool) -> Option<Measured> {
    if shown.reach() == Reach::OverRange && shown.unit() == Unit::One {
        return None;
    }
    Some(match (shown.unit(), direct) {
        (Unit::Volt, false) => Measured::AcVoltage,
        (Unit::Volt, true) => Measured::DcVoltage,
        (Unit::Ampere, false) => Measured::AcCurrent,
        (Unit::Ampere, true) => Measured::DcCurrent,
        (Unit::Watt, _) => Measured::Power,
        (Unit::Ohm, _) => Measured::Resistance,
        (Unit::Hertz, _) => Measured::Frequency,
        (Unit::DegreeCelsius, _) => Measured::Temperature,
        (Unit::One, _) => Measured::Ratio,
        _ => return None,
    })
}
