//! Setups: feeds, sliders, switches, links and loads.

use super::check::{Check, Sign, Spot};
use crate::{Feed, KitSource, Pairing, PartKind, Setup, SetupLoad, SliderSetting, TerminalRef};
use quantity::Unit;
use std::collections::HashSet;

pub(super) fn setups(check: &mut Check<'_>) {
    setups_from(check, 0);
}

/// Those from an index on, held against all.
pub(super) fn setups_from(check: &mut Check<'_>, first: usize) {
    let setups = &check.find.setups;
    let root = Spot::root("setup");
    let mut before: HashSet<u32> = setups.iter().take(first).map(|s| s.number).collect();
    for (i, setup) in setups.iter().enumerate().skip(first) {
        if !before.insert(setup.number) {
            check.fault(
                root.index(i).key("number"),
                format!("setup {} stands twice", setup.number),
                "give one of them another number",
            );
        }
    }
    for (i, setup) in setups.iter().enumerate().skip(first) {
        one_setup(check, &root.index(i), setup);
    }
}

fn one_setup(check: &mut Check<'_>, spot: &Spot, setup: &Setup) {
    check.figure(
        spot.key("temperature"),
        setup.temperature.as_ref(),
        &[Unit::DegreeCelsius],
        Sign::Any,
    );
    for setting in &setup.sliders {
        slider(check, &spot.key("sliders").key(&setting.slider), setting);
    }
    let names = setup
        .sliders
        .iter()
        .map(|s| (spot.key("sliders").key(&s.slider), s.slider.as_str()));
    check.doubles(names, |n| format!("slider `{n}` is set twice"), "keep one");
    switches(check, spot, setup);
    for (i, group) in setup.joined.iter().enumerate() {
        check.terminals(
            &spot.key("joined").index(i),
            group,
            2,
            "a link of the setup",
        );
    }
    check.terminals(&spot.key("lifted"), &setup.lifted, 0, "`lifted`");
    for (i, feed) in setup.feeds.iter().enumerate() {
        one_feed(check, &spot.key("feed").index(i), feed);
    }
    for (i, load) in setup.loads.iter().enumerate() {
        one_load(check, &spot.key("load").index(i), load);
    }
}

fn slider(check: &mut Check<'_>, spot: &Spot, setting: &SliderSetting) {
    let find = check.find;
    check.position(spot.key("at"), &setting.at);
    if find.gangs.iter().any(|g| g.name == setting.slider) {
        return;
    }
    if let Ok(terminal) = TerminalRef::parse(&setting.slider) {
        let Some(part) = check.part(spot.clone(), &terminal.part) else {
            return;
        };
        let marks: Vec<&str> = part.sliders().map(|s| s.terminal.as_str()).collect();
        if !marks.contains(&terminal.terminal.as_str()) {
            let what = format!(
                "`{}` of {} is no slider",
                terminal.terminal, part.designation
            );
            check.unknown(spot.clone(), "part", what, &terminal.terminal, &marks);
        }
    } else if let Some(part) = find
        .parts
        .iter()
        .find(|p| p.designation.as_str() == setting.slider)
    {
        let marks: Vec<String> = part
            .sliders()
            .map(|s| format!("`{}`", part.terminal(&s.terminal)))
            .collect();
        match marks.len() {
            0 => check.fault(
                spot.clone(),
                format!("{} has no slider", part.designation),
                "take it out, or give its winding a slider",
            ),
            1 => {}
            many => check.fault(
                spot.clone(),
                format!("{} has {many} sliders", part.designation),
                format!("say which: {}", marks.join(" or ")),
            ),
        }
    } else {
        let with_slider = find
            .parts
            .iter()
            .filter(|p| p.sliders().next().is_some())
            .map(|p| p.designation.as_str());
        let known: Vec<&str> = find
            .gangs
            .iter()
            .map(|g| g.name.as_str())
            .chain(with_slider)
            .collect();
        check.unknown(
            spot.clone(),
            "gang",
            format!("unknown slider or gang `{}`", setting.slider),
            &setting.slider,
            &known,
        );
    }
}

fn switches(check: &mut Check<'_>, spot: &Spot, setup: &Setup) {
    let mut named = Vec::new();
    for (key, closed) in [("open", false), ("closed", true)] {
        for (i, setting) in setup
            .switches
            .iter()
            .filter(|s| s.closed == closed)
            .enumerate()
        {
            let at = spot.key(key).index(i);
            let part = check.part(at.clone(), &setting.part);
            if part.is_some_and(|p| !matches!(p.kind, PartKind::Fuse { .. } | PartKind::Switch)) {
                check.fault(
                    at.clone(),
                    format!("{} is neither fuse nor switch", setting.part),
                    "lift a terminal with `lifted` instead",
                );
            }
            named.push((at, &setting.part));
        }
    }
    check.doubles(
        named,
        |d| format!("{d} is named twice among `open` and `closed`"),
        "keep one",
    );
}

fn one_feed(check: &mut Check<'_>, spot: &Spot, feed: &Feed) {
    let sources = &check.find.kit.sources;
    let source = feed
        .source
        .as_ref()
        .and_then(|name| sources.iter().find(|s| s.name == *name));
    if let (Some(name), None) = (&feed.source, source) {
        let known: Vec<&str> = sources.iter().map(|s| s.name.as_str()).collect();
        check.unknown(
            spot.key("source"),
            "kit.source",
            format!("unknown source `{name}`"),
            name,
            &known,
        );
    }
    check.terminals(&spot.key("to"), &feed.to, 0, "the feed");
    if let Some(neutral) = &feed.neutral {
        check.terminal(spot.key("neutral"), neutral);
        if feed.to.contains(neutral) {
            check.fault(
                spot.key("neutral"),
                format!("{neutral} is both line and neutral of the feed"),
                "write the terminal where the star point lands, or leave it out",
            );
        }
    }
    feed_phases(check, spot, feed, source);
    check.figure(
        spot.key("volts"),
        feed.volts.as_ref(),
        &[Unit::Volt],
        Sign::NotNegative,
    );
    check.figure(
        spot.key("frequency"),
        feed.frequency.as_ref(),
        &[Unit::Hertz],
        Sign::Positive,
    );
    check.figure(
        spot.key("angle"),
        feed.angle.as_ref(),
        &[Unit::Degree],
        Sign::Any,
    );
    if feed.frequency.is_some() && source.is_some_and(|s| s.direct) {
        check.fault(
            spot.key("frequency"),
            "a direct source has no frequency",
            "leave it out",
        );
    }
}

fn feed_phases(check: &mut Check<'_>, spot: &Spot, feed: &Feed, source: Option<&KitSource>) {
    let three = feed.to.len() == 3;
    if !three && feed.to.len() != 2 {
        let what = format!("the feed has {} terminals", feed.to.len());
        check.fault(
            spot.key("to"),
            what,
            "write two terminals for one phase, or three for three phases; the neutral apart",
        );
    }
    if let Some(source) = source.filter(|s| three && s.phases == 1) {
        check.fault(
            spot.key("to"),
            format!(
                "source `{}` has one phase, the feed three terminals",
                source.name
            ),
            "write two terminals, or give the source `phases = 3`",
        );
    }
    if feed.to.len() == 2 {
        if feed.neutral.is_some() {
            check.fault(
                spot.key("neutral"),
                "a one-phase feed has no neutral of its own",
                "write both its terminals in `to`",
            );
        }
        if !feed.lost.is_empty() {
            check.fault(
                spot.key("lost"),
                "a one-phase feed has no phase to lose",
                "leave `lost` out",
            );
        }
    }
    for (i, lost) in feed.lost.iter().enumerate() {
        if !(1..=3).contains(lost) {
            check.fault(
                spot.key("lost").index(i),
                format!("lost phase {lost}"),
                "write 1, 2 or 3",
            );
        } else if feed.lost[..i].contains(lost) {
            check.fault(
                spot.key("lost").index(i),
                format!("lost phase {lost} stands twice"),
                "write it once",
            );
        }
    }
}

fn one_load(check: &mut Check<'_>, spot: &Spot, load: &SetupLoad) {
    check.terminals(&spot.key("across"), &load.across, 0, "the load");
    match (load.across.len(), load.pairing) {
        (2, Pairing::Single) | (3, Pairing::Delta | Pairing::Star) | (4, Pairing::Star) => {}
        (2, _) => check.fault(
            spot.key("pairing"),
            "a load between two terminals has no pairing",
            "leave `pairing` out",
        ),
        (3 | 4, Pairing::Single) => check.fault(
            spot.clone(),
            "a load on three or four terminals does not say how it is paired",
            "add `pairing = \"star\"` or `pairing = \"delta\"`",
        ),
        (4, Pairing::Delta) => check.fault(
            spot.key("pairing"),
            "a delta has three terminals, not four",
            "take the neutral out, or write `pairing = \"star\"`",
        ),
        (many, _) => check.fault(
            spot.key("across"),
            format!("the load has {many} terminals"),
            "write two, or three or four with `pairing`",
        ),
    }
    check.figure(
        spot.key("resistance"),
        load.resistance.as_ref(),
        &[Unit::Ohm],
        Sign::NotNegative,
    );
    check.figure(
        spot.key("reactance"),
        load.reactance.as_ref(),
        &[Unit::Ohm],
        Sign::Any,
    );
    check.figure(
        spot.key("power"),
        load.power.as_ref(),
        &[Unit::VoltAmpere, Unit::Watt],
        Sign::Positive,
    );
    check.figure(
        spot.key("volts"),
        load.volts.as_ref(),
        &[Unit::Volt],
        Sign::Positive,
    );
    let by_ohms = load.resistance.is_some() || load.reactance.is_some();
    match (by_ohms, load.power.is_some()) {
        (false, false) => check.fault(
            spot.clone(),
            "the load has no value",
            "add `resistance = \"20 Ω\"` or `power = \"2 kW\"`",
        ),
        (true, true) => check.fault(
            spot.key("power"),
            "the load is given both in ohms and by its power",
            "keep one",
        ),
        _ => {}
    }
    if let Some(factor) = &load.power_factor {
        check.figure(
            spot.key("power_factor"),
            Some(factor),
            &[Unit::One],
            Sign::Positive,
        );
        if factor.value().is_some_and(|v| v > 1.0) {
            check.fault(
                spot.key("power_factor"),
                format!("power factor `{factor}` is above 1"),
                "write it from 0 to 1",
            );
        }
    }
}
