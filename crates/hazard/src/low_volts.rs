//! The greatest setting of the source that keeps a setup low.
//!
//! The bounds are linear in the source, so one reckoning is enough.

use crate::exposure::{ROUNDING, exposure, worst};
use crate::feeds::{self, Supply};
use crate::{Class, Handling, KICK_VOLTS, Possible};
use gear::{Kit, Setup};
use quantity::{Quantity, Reach};

/// The greatest volts of the setup's source (line to line for three phases) that keep it low, rounded down to what a knob can do, and
/// no more than the source gives. Several feeds are set in the proportion their volts have in the setup; the answer is the first's.
/// `None`: no setting the source has keeps it low.
pub fn greatest_low_volts(
    setup: &Setup,
    kit: &Kit,
    possible: &[Possible],
    handling: Handling,
) -> Option<f64> {
    let first = setup.feeds.first()?;
    let supply = feeds::supply(setup, kit).ok()?;
    let &whole = supply.volts.first()?;
    let source = feeds::source(kit, first)?;
    let (least, most) = source.volts.as_ref().map_or((0.0, whole), settings);
    if supply.direct {
        return direct(setup, kit, possible, handling, (least, most));
    }
    if whole <= 0.0 || possible.is_empty() {
        return None;
    }
    let unit = Supply {
        volts: supply.volts.iter().map(|v| v / whole).collect(),
        direct: false,
    };
    let mut gain: f64 = 0.0;
    for one in possible {
        gain = gain.max(worst(setup, &unit, one).ok()?.volts);
    }
    let limit = handling.limit(false);
    let volts = (limit / gain.max(limit / most)).min(most);
    let volts = settled(volts, least, most)?;
    // Where nothing bounds it the sums are not linear: what is offered is held against the limit once more.
    let set = Supply {
        volts: unit.volts.iter().map(|v| v * volts).collect(),
        direct: false,
    };
    let mut all = possible.iter().map(|one| worst(setup, &set, one));
    all.all(|w| w.is_ok_and(|w| w.volts <= limit * (1.0 + ROUNDING)))
        .then_some(volts)
}

fn direct(
    setup: &Setup,
    kit: &Kit,
    possible: &[Possible],
    handling: Handling,
    (least, most): (f64, f64),
) -> Option<f64> {
    let low = |volts: f64| {
        let mut set = setup.clone();
        for feed in &mut set.feeds {
            feed.volts = Quantity::parse(&format!("{volts} V")).ok();
        }
        exposure(&set, kit, possible, handling).class == Class::Low
    };
    let each = handling.limit(true) / setup.feeds.len() as f64;
    [each, KICK_VOLTS]
        .into_iter()
        .filter_map(|volts| settled(volts.min(most), least, most))
        .find(|volts| low(*volts))
}

/// The settings a source has, volts. One written figure is the only setting.
fn settings(volts: &Quantity) -> (f64, f64) {
    match volts.reach() {
        Reach::Span { low, high, .. } => (low, high),
        _ => feeds::greatest(volts).map_or((0.0, 0.0), |v| (v, v)),
    }
}

/// Rounded down to what a knob can do: half volts from 10 V, tenths from 1 V, hundredths below.
fn settled(volts: f64, least: f64, most: f64) -> Option<f64> {
    if volts >= most && most > 0.0 {
        return Some(most);
    }
    let step = if volts >= 10.0 {
        0.5
    } else if volts >= 1.0 {
        0.1
    } else {
        0.01
    };
    let set = (volts / step + 1e-9).floor() * step;
    let set = (set * 100.0).round() / 100.0;
    (set > 0.0 && set >= least).then_some(set)
}
