//! Meters used beyond what is printed on them: category, volts, fuse. Nothing here is said of a meter whose print is not recorded.

use super::{Category, Instrument};
use crate::{Find, Measured, Place, Reading, Setup, Steadiness};
use quantity::{Quantity, Unit};

/// RMS volts up to which a circuit is not taken for a mains one, whatever feeds it (IEC 60364-4-41, extra-low voltage; from memory).
const EXTRA_LOW_VOLTS: f64 = 50.0;

/// A meter put where it does not belong.
#[derive(Debug, Clone, PartialEq)]
pub struct Beyond {
    /// Number of the reading.
    pub reading: u32,
    /// The meter.
    pub instrument: crate::Designation,
    /// What is wrong, as a sentence without a full stop: "P1 is marked CAT II 300 V and was put on 398 V".
    pub what: String,
    /// What to do.
    pub remedy: String,
}

/// Every reading taken with a meter beyond what is printed on it, in the order of the readings; struck ones too, for the meter was there
/// all the same. Checks the volts shown and those the setup feeds against the category's volts, the category against how the setup is fed
/// (fixed three-phase mains: III; a plug: II), and amperes in line against the fuse. Does not know where in the find a higher voltage stands.
pub fn beyond(find: &Find) -> Vec<Beyond> {
    let mut found = Vec::new();
    for reading in &find.readings {
        let instrument = reading.instrument.as_ref().and_then(|d| find.instrument(d));
        let (Some(instrument), Some(setup)) = (instrument, find.setup(reading.setup)) else {
            continue;
        };
        let said = [
            category(find, setup, reading, instrument),
            fuse(reading, instrument),
        ];
        for (what, remedy) in said.into_iter().flatten() {
            found.push(Beyond {
                reading: reading.number,
                instrument: instrument.designation.clone(),
                what,
                remedy,
            });
        }
    }
    found
}

type Said = Option<(String, String)>;

fn category(find: &Find, setup: &Setup, reading: &Reading, instrument: &Instrument) -> Said {
    let on_volts = matches!(
        reading.measured,
        Measured::AcVoltage | Measured::AcCurrent | Measured::Power | Measured::Frequency
    );
    let clamped = instrument
        .measuring(reading.measured)
        .first()
        .is_some_and(|range| range.clamp);
    let printed = instrument.category.as_deref()?;
    let categories = Category::all_in(printed);
    if !on_volts || clamped || categories.is_empty() {
        return None;
    }
    let name = &instrument.designation;
    let shown = (reading.measured == Measured::AcVoltage)
        .then(|| reading.shown.as_ref().and_then(Quantity::value))
        .flatten()
        .unwrap_or(0.0);
    let most = categories.iter().map(|c| c.volts).fold(0.0, f64::max);
    if shown > most {
        return Some((
            format!("{name} is marked {printed} and showed {shown} V"),
            format!(
                "take off what is connected while dead, and use a meter for more than {shown} V"
            ),
        ));
    }
    let (wanted, how) = wanted(find, setup)?;
    // The print is for volts to earth: a line voltage of a star with an earthed neutral counts with its share.
    let to_earth = fed_volts(setup).map_or(shown, |volts| volts.max(shown));
    let fits = |c: &Category| c.level >= wanted && c.volts >= to_earth / star_share(setup);
    if to_earth <= EXTRA_LOW_VOLTS || categories.iter().any(fits) {
        return None;
    }
    let numeral = Category {
        level: wanted,
        volts: 0.0,
    }
    .numeral();
    Some((
        format!("{name} is marked {printed} and was put on {how}, which wants category {numeral}"),
        format!(
            "use a meter marked CAT {numeral} for at least these volts, or feed the find from an isolated low source"
        ),
    ))
}

/// The category a setup wants, and what it is fed from; nothing where it is not fed from the mains.
fn wanted(find: &Find, setup: &Setup) -> Option<(u8, &'static str)> {
    let from_mains = setup.feeds.iter().filter(|feed| {
        let source = feed
            .source
            .as_ref()
            .and_then(|name| find.kit.sources.iter().find(|s| s.name == *name));
        source.is_none_or(|s| {
            s.isolated != Some(true) && s.steadiness == Steadiness::Mains && !s.direct
        })
    });
    let three = from_mains.map(|feed| feed.to.len() == 3).max()?;
    Some(if three {
        (3, "three-phase mains")
    } else {
        (2, "mains")
    })
}

fn fed_volts(setup: &Setup) -> Option<f64> {
    let volts = setup.feeds.iter().filter_map(|f| f.volts.as_ref()?.value());
    volts.max_by(f64::total_cmp)
}

fn star_share(setup: &Setup) -> f64 {
    if setup.feeds.iter().any(|feed| feed.to.len() == 3) {
        3f64.sqrt()
    } else {
        1.0
    }
}

fn fuse(reading: &Reading, instrument: &Instrument) -> Said {
    let in_line = matches!(reading.place, Place::Into(_) | Place::PowerInto { .. });
    let amperes = matches!(reading.measured, Measured::AcCurrent | Measured::DcCurrent);
    let ranges = instrument.measuring(reading.measured);
    if !in_line || !amperes || ranges.iter().any(|range| range.clamp) {
        return None;
    }
    let fuse = instrument.fuse.as_ref()?;
    let shown = reading
        .shown
        .as_ref()
        .filter(|q| q.unit() == Unit::Ampere)?;
    if shown.value()?.abs() <= fuse.value()? {
        return None;
    }
    Some((
        format!(
            "{} has a fuse of {fuse} and showed {shown}",
            instrument.designation
        ),
        "use a clamp, or look whether the fuse was bridged; never bridge it".into(),
    ))
}
