//! Holds every feed of a test against the limits: nothing is proposed that could exceed them under any ratio not yet excluded.

use crate::volts::Volts;
use gear::{
    Designation, Dot, Feed, Find, KitSource, Part, PartKind, Point, Setup, TerminalRef, Winding,
    Wound,
};
use hazard::{Class, Exposure, Handling, Possible, Turns, exposure, greatest_low_volts};
use quantity::Quantity;

/// Share a ratio read at low volts may be off, for the bound: the meter's and some leakage (our choice).
const RATIO_OFF: f64 = 0.05;

/// Everything is clipped on dead and not touched while on.
pub(crate) const HANDLING: Handling = Handling::ClippedDead;

/// A setup without feed.
pub(crate) fn dead(find: &Find, joined: Vec<Vec<TerminalRef>>, what: &str) -> Setup {
    Setup {
        number: find.setups.iter().map(|s| s.number).max().unwrap_or(0) + 1,
        at: None,
        what: Some(what.to_owned()),
        feeds: Vec::new(),
        sliders: Vec::new(),
        switches: Vec::new(),
        joined,
        lifted: Vec::new(),
        loads: Vec::new(),
        temperature: None,
    }
}

/// The kit's first source that is isolated and alternating.
pub(crate) fn source(find: &Find) -> Option<&KitSource> {
    find.kit
        .sources
        .iter()
        .find(|s| s.isolated == Some(true) && !s.direct)
}

/// The find with the part's windings as they are known: the fed one first, ratios bounded where they were read.
pub(crate) fn possible(find: &Find, part: &Part, told: &Volts) -> Vec<Possible> {
    if told.windings.is_empty() {
        return Vec::new();
    }
    let marks = part.terminals();
    let turn: Vec<usize> = std::iter::once(told.reference)
        .chain((0..told.windings.len()).filter(|i| *i != told.reference))
        .collect();
    let mut turns = Turns::default();
    let fed = told.windings.get(told.reference).and_then(|w| w.whole());
    let mut windings = Vec::new();
    for (place, i) in turn.iter().enumerate() {
        let winding = &told.windings[*i];
        if let (Some(whole), Some(fed)) = (winding.whole(), fed) {
            let low = (whole - 4.0 * told.step).max(0.0) / fed * (1.0 - RATIO_OFF);
            let high = (whole + 4.0 * told.step) / fed * (1.0 + RATIO_OFF);
            let least = 1.0 / (hazard::UNKNOWN_RATIO * hazard::UNKNOWN_RATIO);
            turns.bound(part.designation.clone(), place, low.max(least), high);
        }
        if let (Some(volts), Some(whole)) = (&winding.volts, winding.whole().filter(|w| *w > 0.0)) {
            let off = 4.0 * told.step / whole + RATIO_OFF / 2.0;
            for (point, v) in volts.iter().enumerate().take(volts.len() - 1).skip(1) {
                let at = v / whole;
                let bounds = ((at - off).max(0.0), (at + off).min(1.0));
                turns.bound_tap(part.designation.clone(), place, point, bounds);
            }
        }
        windings.push(Winding {
            name: format!("winding {}", place + 1),
            points: winding
                .leads
                .iter()
                .map(|l| Point {
                    terminal: marks[*l].to_owned(),
                    at: None,
                })
                .collect(),
            dot: Dot::Unknown,
            ..Winding::default()
        });
    }
    let mut find = find.clone();
    for p in &mut find.parts {
        if p.designation == part.designation {
            p.kind = PartKind::Transformer(Wound {
                windings: windings.clone(),
                ..Wound::default()
            });
        }
    }
    find.setups.clear();
    find.readings.clear();
    vec![Possible { find, turns }]
}

/// The setup with a low feed on two leads: at the volts used so far, or a share of the greatest low ones. `None` where none is low.
pub(crate) fn fed(
    find: &Find,
    part: &Part,
    (told, share): (&Volts, f64),
    feed: (usize, usize),
    joined: Vec<Vec<TerminalRef>>,
    what: &str,
) -> Option<(Setup, Exposure)> {
    let source = source(find)?;
    let mut setup = dead(find, joined, what);
    let marks = part.terminals();
    setup.feeds.push(Feed {
        source: Some(source.name.clone()),
        to: vec![part.terminal(marks[feed.0]), part.terminal(marks[feed.1])],
        neutral: None,
        earthed: false,
        volts: Quantity::parse("1 V").ok(),
        frequency: None,
        angle: None,
        lost: Vec::new(),
    });
    let possible = possible(find, part, told);
    let volts = match told.set {
        Some(set) => set,
        None => share * greatest_low_volts(&setup, &find.kit, &possible, HANDLING)?,
    };
    setup.feeds[0].volts = Quantity::parse(&format!("{} V", quantity_text(volts))).ok();
    let exposed = exposure(&setup, &find.kit, &possible, HANDLING);
    (exposed.class == Class::Low).then_some((setup, exposed))
}

fn quantity_text(volts: f64) -> String {
    let text = format!("{volts:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The same setup as one the find has, if it has.
pub(crate) fn known(find: &Find, setup: &Setup) -> Option<u32> {
    find.setups
        .iter()
        .find(|s| {
            s.feeds == setup.feeds
                && s.joined == setup.joined
                && s.lifted.is_empty()
                && s.loads.is_empty()
        })
        .map(|s| s.number)
}

/// A part's designation in words.
pub(crate) fn named(part: &Designation, mark: &str) -> TerminalRef {
    TerminalRef {
        part: part.clone(),
        terminal: mark.to_owned(),
    }
}
