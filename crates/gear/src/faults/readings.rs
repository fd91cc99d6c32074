//! Readings: their number, setup, instrument, place, value and time.

use super::check::{Check, Spot, unit_fault};
use crate::{Measured, Moment, Place, Reading, Setup};
use quantity::{Reach, Unit};
use std::collections::HashSet;

pub(super) fn readings(check: &mut Check<'_>) {
    readings_from(check, 0);
}

/// Those from an index on, held against all.
pub(super) fn readings_from(check: &mut Check<'_>, first: usize) {
    let readings = &check.find.readings;
    let root = Spot::root("reading");
    let mut before: HashSet<u32> = readings.iter().take(first).map(|r| r.number).collect();
    for (i, reading) in readings.iter().enumerate().skip(first) {
        if !before.insert(reading.number) {
            check.fault(
                root.index(i).key("number"),
                format!("reading {} stands twice", reading.number),
                "give one of them another number",
            );
        }
    }
    for (i, reading) in readings.iter().enumerate().skip(first) {
        one_reading(check, &root.index(i), reading);
    }
}

fn one_reading(check: &mut Check<'_>, spot: &Spot, reading: &Reading) {
    let find = check.find;
    match find.setup(reading.setup) {
        Some(setup) => time(check, spot, reading, setup),
        None => {
            let numbers: Vec<String> = find.setups.iter().map(|s| s.number.to_string()).collect();
            let known: Vec<&str> = numbers.iter().map(String::as_str).collect();
            check.unknown(
                spot.key("setup"),
                "setup",
                format!("unknown setup {}", reading.setup),
                "",
                &known,
            );
        }
    }
    if let Some(designation) = &reading.instrument
        && find.instrument(designation).is_none()
    {
        let known: Vec<&str> = find
            .instruments
            .iter()
            .map(|m| m.designation.as_str())
            .collect();
        check.unknown(
            spot.key("with"),
            "instrument",
            format!("unknown instrument `{designation}`"),
            designation.as_str(),
            &known,
        );
    }
    together(check, spot, reading);
    place(check, spot, reading);
    value(check, spot, reading);
}

/// Two readings of one moment are of one setup, and their times do not differ.
fn together(check: &mut Check<'_>, spot: &Spot, reading: &Reading) {
    let Some(with) = reading.together else { return };
    let spot = spot.key("together");
    let number = reading.number;
    if with == number {
        return check.fault(
            spot,
            format!("reading {number} is taken together with itself"),
            "write the number of the other reading",
        );
    }
    let readings = &check.find.readings;
    let Some(other) = readings.iter().find(|r| r.number == with) else {
        let numbers: Vec<String> = readings.iter().map(|r| r.number.to_string()).collect();
        let known: Vec<&str> = numbers.iter().map(String::as_str).collect();
        return check.unknown(
            spot,
            "reading",
            format!("unknown reading {with}"),
            "",
            &known,
        );
    };
    if other.setup != reading.setup {
        let what = format!(
            "reading {number} of setup {} cannot be taken together with reading {with} of setup {}",
            reading.setup, other.setup
        );
        return check.fault(
            spot,
            what,
            "leave `together` out, or correct one of the setups",
        );
    }
    if let (Some(here), Some(there)) = (&reading.at, &other.at)
        && here.text() != there.text()
    {
        let what = format!(
            "readings {number} and {with} are taken together and have different times, {} and {}",
            here.text(),
            there.text()
        );
        check.fault(spot, what, "write the time with one of them, or correct it");
    }
}

/// A reading is not taken before its setup stands. An undated time is of the setup's day.
fn time(check: &mut Check<'_>, spot: &Spot, reading: &Reading, setup: &Setup) {
    let (Some(read), Some(set)) = (&reading.at, &setup.at) else {
        return;
    };
    const DAY: f64 = 1440.0;
    let day = |m: &Moment| m.is_dated().then(|| (m.minutes() / DAY).floor());
    let clock = |m: &Moment| (!m.clock().is_empty()).then(|| m.minutes().rem_euclid(DAY));
    let earlier_day = matches!((day(read), day(set)), (Some(r), Some(s)) if r < s);
    let same_day = !matches!((day(read), day(set)), (Some(r), Some(s)) if r != s);
    let earlier_clock =
        same_day && matches!((clock(read), clock(set)), (Some(r), Some(s)) if r < s);
    if earlier_day || earlier_clock {
        let what = format!(
            "reading {} was taken at {}, before its setup {} stood ({})",
            reading.number,
            read.text(),
            setup.number,
            set.text()
        );
        check.fault(
            spot.key("at"),
            what,
            "correct one of the times; after midnight write the day too",
        );
    }
}

fn place(check: &mut Check<'_>, spot: &Spot, reading: &Reading) {
    for (keys, terminal) in place_keys(&reading.place)
        .iter()
        .zip(reading.place.terminals())
    {
        let at = keys
            .1
            .map_or(spot.key(keys.0), |i| spot.key(keys.0).index(i));
        check.terminal(at, terminal);
    }
    if let Place::At(part) = &reading.place {
        check.part(spot.key("part"), part);
    }
    let twice = match &reading.place {
        Place::Between(a, b) => (a == b).then_some(("between", a)),
        Place::PowerInto { into, against } => (into == against).then_some(("against", into)),
        Place::RatioOf(a, b, c, d) => {
            if a == b {
                Some(("over", a))
            } else {
                (c == d).then_some(("under", c))
            }
        }
        Place::Into(_) | Place::At(_) => None,
    };
    if let Some((key, terminal)) = twice {
        check.fault(
            spot.key(key),
            format!("reading {} has both leads at {terminal}", reading.number),
            "write two different terminals",
        );
    }
    let (wanted, fits) = fitting(reading.measured, &reading.place);
    if !fits {
        let what = format!(
            "{} is not read {}",
            reading.measured.word(),
            describe(&reading.place)
        );
        check.fault(
            spot.clone(),
            what,
            format!("write {wanted}, or another `measured`"),
        );
    }
}

/// The keys of a place's terminals, in the order of [`Place::terminals`].
fn place_keys(place: &Place) -> &'static [(&'static str, Option<usize>)] {
    match place {
        Place::Between(..) => &[("between", Some(0)), ("between", Some(1))],
        Place::Into(_) => &[("into", None)],
        Place::PowerInto { .. } => &[("into", None), ("against", None)],
        Place::RatioOf(..) => &[
            ("over", Some(0)),
            ("over", Some(1)),
            ("under", Some(0)),
            ("under", Some(1)),
        ],
        Place::At(_) => &[],
    }
}

/// What kind of place a measured thing wants, and whether this is one.
fn fitting(measured: Measured, place: &Place) -> (&'static str, bool) {
    match measured {
        Measured::AcVoltage
        | Measured::DcVoltage
        | Measured::Resistance
        | Measured::Continuity
        | Measured::Kick
        | Measured::Insulation => (
            "`between = [\"T1:1\", \"T1:3\"]`",
            matches!(place, Place::Between(..)),
        ),
        Measured::Frequency => (
            "`between = [\"T1:1\", \"T1:3\"]`",
            matches!(place, Place::Between(..) | Place::Into(_)),
        ),
        Measured::AcCurrent | Measured::DcCurrent => {
            ("`into = \"X1:1\"`", matches!(place, Place::Into(_)))
        }
        Measured::Power => (
            "`into = \"X1:1\"` and `against = \"X1:N\"`",
            matches!(place, Place::PowerInto { .. }),
        ),
        Measured::Ratio => (
            "`over = [...]` and `under = [...]`",
            matches!(place, Place::RatioOf(..)),
        ),
        Measured::Temperature => ("`part = \"T1\"`", matches!(place, Place::At(_))),
    }
}

fn describe(place: &Place) -> &'static str {
    match place {
        Place::Between(..) => "between two terminals",
        Place::Into(_) => "into one terminal",
        Place::PowerInto { .. } => "into one terminal against another",
        Place::RatioOf(..) => "over two pairs of terminals",
        Place::At(_) => "at a part",
    }
}

fn value(check: &mut Check<'_>, spot: &Spot, reading: &Reading) {
    let number = reading.number;
    if reading.kick.is_some() != (reading.measured == Measured::Kick) {
        let (what, remedy) = if reading.kick.is_some() {
            (
                format!(
                    "reading {number} is of {} and has a kick",
                    reading.measured.word()
                ),
                "leave `kick` out, or write `measured = \"kick\"`",
            )
        } else {
            (
                format!("reading {number} of a kick does not say which way the meter went"),
                "add `kick = \"+\"` or `kick = \"-\"`",
            )
        };
        return check.fault(spot.clone(), what, remedy);
    }
    let Some(unit) = reading.measured.unit() else {
        if reading.measured == Measured::Kick {
            if reading.shown.is_some() || reading.beep.is_some() {
                check.fault(
                    spot.clone(),
                    format!("reading {number} of a kick has another value too"),
                    "write `kick` alone; where the needle came to rest does not count",
                );
            }
            return;
        }
        if let Some(shown) = &reading.shown {
            check.fault(
                spot.key("shown"),
                format!("reading {number} is of continuity and shows `{shown}`"),
                "write `beep = true` or `beep = false`, or measure resistance",
            );
        } else if reading.beep.is_none() {
            check.fault(
                spot.clone(),
                format!("reading {number} of continuity does not say whether it beeped"),
                "add `beep = true` or `beep = false`",
            );
        }
        return;
    };
    if reading.beep.is_some() {
        check.fault(
            spot.key("beep"),
            format!(
                "reading {number} is of {} and has a beep",
                reading.measured.word()
            ),
            "leave `beep` out, or write `measured = \"continuity\"`",
        );
    }
    let Some(shown) = &reading.shown else {
        let example = if unit == Unit::One {
            "2.50".to_owned()
        } else {
            format!("23.0 {}", unit.symbol())
        };
        return check.fault(
            spot.clone(),
            format!("reading {number} shows nothing"),
            format!("add what the instrument showed, like `shown = \"{example}\"`"),
        );
    };
    // A bare `OL` has no unit to judge.
    if shown.reach() == Reach::OverRange {
        return;
    }
    if let Some((what, remedy)) = unit_fault(shown, &[unit]) {
        return check.fault(
            spot.key("shown"),
            what,
            format!("{remedy}, or correct `measured`"),
        );
    }
    let never_negative = matches!(
        reading.measured,
        Measured::AcVoltage | Measured::AcCurrent | Measured::Frequency
    );
    if never_negative && shown.value().is_some_and(|v| v < 0.0) {
        check.fault(
            spot.key("shown"),
            format!("an {} of `{shown}` is below zero", reading.measured.word()),
            "write it without the minus sign, or correct `measured`",
        );
    }
}
