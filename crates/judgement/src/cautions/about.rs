//! Facts of a find that cautions turn on: what is fed how, what ratios are possible, what is written.

use super::{CLIPPED_VOLTS, CLIPPED_VOLTS_DIRECT, TOUCH_VOLTS, TOUCH_VOLTS_DIRECT};
use gear::{Feed, Find, KitSource, Part, PartKind, Setup, Wound};
use quantity::{Quantity, Reach};
use wiring::Conductors;

/// A ratio nothing is known of, both ways.
const UNKNOWN_RATIO: f64 = 40.0;
/// Units that make four figures before them no year; lower case.
const UNITS: [&str; 8] = ["v", "va", "w", "var", "a", "ma", "g", "ω"];

/// Designations of the parts of a kind.
pub(super) fn names(find: &Find, wanted: impl Fn(&PartKind) -> bool) -> Vec<String> {
    find.parts
        .iter()
        .filter(|p| wanted(&p.kind))
        .map(|p| p.designation.to_string())
        .collect()
}

/// "T1, T2 and T3".
pub(super) fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// The greatest volts a writing allows; nothing where it has no upper end.
pub(super) fn most_volts(volts: &Quantity) -> Option<f64> {
    match volts.reach() {
        Reach::Value { value, .. } => Some(value),
        Reach::Span { high, .. } | Reach::Illegible { high, .. } => Some(high),
        Reach::AtMost(high) => Some(high),
        Reach::AtLeast(_) | Reach::OverRange => None,
    }
}

fn source<'a>(find: &'a Find, feed: &Feed) -> Option<&'a KitSource> {
    find.kit
        .sources
        .iter()
        .find(|s| Some(&s.name) == feed.source.as_ref())
}

/// Whether the kit says this feed is direct current.
pub(super) fn is_direct(find: &Find, feed: &Feed) -> bool {
    source(find, feed).is_some_and(|s| s.direct)
}

/// Numbers of the setups that are live as written (source not known to be isolated, volts unknown or above what may be clipped
/// on), and of those that are above touch volts but not live.
pub(super) fn live_setups(find: &Find) -> (Vec<String>, Vec<String>) {
    let (mut live, mut clipped) = (Vec::new(), Vec::new());
    for setup in find.setups.iter().filter(|s| !s.feeds.is_empty()) {
        let grade = setup
            .feeds
            .iter()
            .map(|f| grade(find, f))
            .max()
            .unwrap_or(0);
        match grade {
            2 => live.push(setup.number.to_string()),
            1 => clipped.push(setup.number.to_string()),
            _ => {}
        }
    }
    (live, clipped)
}

/// 0 may be touched, 1 clipped on only, 2 live.
fn grade(find: &Find, feed: &Feed) -> u8 {
    let isolated = source(find, feed).and_then(|s| s.isolated) == Some(true);
    let (touch, clipped) = if is_direct(find, feed) {
        (TOUCH_VOLTS_DIRECT, CLIPPED_VOLTS_DIRECT)
    } else {
        (TOUCH_VOLTS, CLIPPED_VOLTS)
    };
    match feed.volts.as_ref().and_then(most_volts) {
        Some(volts) if isolated && volts <= touch => 0,
        Some(volts) if isolated && volts <= clipped => 1,
        _ => 2,
    }
}

/// Whether something of the find floats against earth: a feed from an isolated source, its star point not earthed.
pub(super) fn floated(find: &Find) -> bool {
    let feeds = find.setups.iter().flat_map(|s| &s.feeds);
    feeds
        .into_iter()
        .any(|f| !f.earthed && source(find, f).is_some_and(|s| s.isolated == Some(true)))
}

/// Whether a three-phase find has a neutral terminal.
pub(super) fn has_neutral(find: &Find) -> bool {
    let strips = find.parts.iter().filter_map(|p| match &p.kind {
        PartKind::Terminals(marks) => Some(marks),
        _ => None,
    });
    let phase = |m: &String| matches!(m.as_str(), "1" | "2" | "3" | "L1" | "L2" | "L3");
    strips
        .into_iter()
        .any(|m| m.iter().any(|m| m == "N") && m.iter().filter(|m| phase(m)).count() == 3)
}

/// Whether a setup feeds three phases with their neutral.
pub(super) fn fed_with_neutral(find: &Find) -> bool {
    find.setups
        .iter()
        .flat_map(|s| &s.feeds)
        .any(|f| f.to.len() == 3 && f.neutral.is_some())
}

/// The greatest ratio of volts between two windings of a part, and whether it is known: all volts or turns written.
pub(super) fn greatest_ratio(wound: &Wound) -> (f64, bool) {
    let written = |of: fn(&gear::Winding) -> &Option<Quantity>| -> Option<Vec<f64>> {
        wound
            .windings
            .iter()
            .map(|w| {
                of(w)
                    .as_ref()
                    .and_then(Quantity::value)
                    .filter(|v| *v > 0.0)
            })
            .collect()
    };
    let Some(sizes) = written(|w| &w.volts).or_else(|| written(|w| &w.turns)) else {
        return (UNKNOWN_RATIO, false);
    };
    let (low, high) = sizes
        .iter()
        .fold((f64::INFINITY, 0.0f64), |(l, h), v| (l.min(*v), h.max(*v)));
    (high / low, true)
}

/// Whether a setup feeds a part directly: a terminal of the feed on a conductor of one of the part's terminals.
pub(super) fn reached(find: &Find, setup: &Setup, part: &Part) -> bool {
    let conductors = Conductors::of(find, Some(setup));
    let fed: Vec<_> = setup
        .feeds
        .iter()
        .flat_map(|f| f.to.iter().chain(&f.neutral))
        .filter_map(|t| conductors.find(t))
        .collect();
    let on_fed = |mark: &&str| {
        conductors
            .find(&part.terminal(mark))
            .is_some_and(|c| fed.contains(&c))
    };
    part.terminals().iter().filter(|m| on_fed(m)).count() > 1
}

/// A year from 1900 to 2099 written on its own, not the figure of a quantity ("1950 W").
pub(super) fn year_on(words: &str) -> Option<u32> {
    let mut tokens = words.split_whitespace().peekable();
    while let Some(token) = tokens.next() {
        let of_quantity = tokens
            .peek()
            .is_some_and(|next| UNITS.contains(&next.trim_matches(|c: char| !c.is_alphanumeric())));
        let years = token
            .split(|c: char| !c.is_alphanumeric())
            .filter(|piece| piece.len() == 4)
            .filter_map(|piece| piece.parse().ok());
        let year = years.into_iter().find(|year| (1900..2100).contains(year));
        if let (Some(year), false) = (year, of_quantity) {
            return Some(year);
        }
    }
    None
}
