//! The plate's frequency against the other mains frequency: the flux goes as volts per hertz.

use super::facts::{Facts, base};
use super::figure::{Figure, plain};
use super::rated::deduction;
use crate::said::Deduction;
use quantity::Unit;

/// Puts what a 60 Hz plate allows on 50 Hz, and what 60 Hz does to a 50 Hz plate. A plate for both needs neither.
pub(super) fn reckon(facts: &Facts, said: &mut Vec<Deduction>) {
    let [frequency] = facts.frequencies.as_slice() else {
        return;
    };
    let is = |hertz: f64| !frequency.open && (frequency.mid - hertz).abs() < 0.5;
    let fed = facts.primary.as_ref().or(facts.volts.as_ref());
    if is(60.0) {
        if let Some(volts) = fed {
            let how = format!(
                "{} × 50/60: volts per hertz, and so the flux, as on the plate",
                base(volts)
            );
            said.push(deduction(
                "volts allowed on 50 Hz",
                &volts.scaled(50.0 / 60.0),
                how,
                None,
            ));
        }
        let more = Figure::exact(60.0 / 50.0, Unit::One);
        said.push(deduction(
            "flux on 50 Hz at the plate's volts, times that on 60 Hz",
            &more,
            "60/50; beyond the knee of most cores: the no-load current soars",
            None,
        ));
    } else if is(50.0) {
        let less = Figure::exact(50.0 / 60.0, Unit::One);
        let how = format!(
            "50/60 = {}; the core has room on 60 Hz, volts and amperes of the plate stand",
            plain(50.0 / 60.0)
        );
        said.push(deduction(
            "flux on 60 Hz at the plate's volts, times that on 50 Hz",
            &less,
            how,
            None,
        ));
    }
}
