//! What can stand on the find while a reading is taken: the class of a setup in words, with the order of the step and the limit to stop at.

use gear::Setup;
use hazard::{Class, Handling, Possible, exposure};
use quantity::{Decimal, Unit, show};

use crate::next::sentence;

/// The class of a setup, said before it is switched on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exposed {
    /// "dead", "low" or "live".
    pub class: &'static str,
    /// Why, in one sentence: the place and the value that decide it.
    pub why: String,
    /// The most that can stand anywhere on it, in words: "at most 45.5 V"; `None` where nothing is fed or nothing bounds it.
    pub most: Option<String>,
    /// Whether more may stand on it than may be touched: clips go on while dead, and hands stay off while it is on.
    pub hands_off: bool,
    /// The volts above which the class no longer holds, wherever they are read: "50 V". `None` where nothing is fed, and where it is live:
    /// no limit is known there.
    pub stop_above: Option<String>,
}

/// The class of a setup under everything still possible. Nothing possible known is live, whatever is fed.
pub(crate) fn exposed(
    find: &gear::Find,
    setup: &Setup,
    possible: &[Possible],
    decimal: Decimal,
) -> Exposed {
    let touched = exposure(setup, &find.kit, possible, Handling::Touched);
    let hands_off = touched.class > Class::Low;
    let held = if hands_off {
        exposure(setup, &find.kit, possible, Handling::ClippedDead)
    } else {
        touched
    };
    let most = held
        .highest
        .as_ref()
        .map(|highest| format!("at most {}", volts(highest.volts, decimal)));
    let limit = volts(held.limit, decimal);
    Exposed {
        class: held.class.word(),
        why: sentence(&held.why),
        most,
        hands_off,
        stop_above: (held.class == Class::Low).then_some(limit),
    }
}

fn volts(value: f64, decimal: Decimal) -> String {
    decimal.set(&show(value, Unit::Volt, 3))
}
