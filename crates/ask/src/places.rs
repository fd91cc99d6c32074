//! Where to put the meter: pairs of terminals one can reach, one pair for each pair of conductors; feeds and windings for a clamp.

use gear::{Feed, Find, Measured, PartKind, Place, Setup, TerminalRef};
use std::collections::HashSet;
use wiring::Conductors;

/// Pairs looked at in one setup: more would only cost time.
const MOST_PAIRS: usize = 48;

/// Pairs of terminals on different conductors: within each wound part first, then between terminals of strips, then across parts.
pub(crate) fn pairs(find: &Find, setup: &Setup) -> Vec<Place> {
    let conductors = Conductors::of(find, Some(setup));
    let mut seen: HashSet<(usize, usize)> = HashSet::new();
    let mut places = Vec::new();
    let mut add = |a: &TerminalRef, b: &TerminalRef| {
        let (Some(p), Some(q)) = (conductors.find(a), conductors.find(b)) else {
            return;
        };
        if p != q && places.len() < MOST_PAIRS && seen.insert((p.min(q), p.max(q))) {
            places.push(Place::Between(a.clone(), b.clone()));
        }
    };
    let of = |wanted: &dyn Fn(&PartKind) -> bool| -> Vec<Vec<TerminalRef>> {
        let parts = find.parts.iter().filter(|p| wanted(&p.kind));
        parts
            .map(|p| p.terminals().into_iter().map(|t| p.terminal(t)).collect())
            .collect()
    };
    let mut within = |terminals: &[TerminalRef]| {
        for (i, a) in terminals.iter().enumerate() {
            for b in &terminals[i + 1..] {
                add(a, b);
            }
        }
    };
    let wound = of(&|kind| kind.wound().is_some());
    wound.iter().for_each(|part| within(part));
    let strips = of(&|kind| matches!(kind, PartKind::Terminals(_)));
    within(&strips.concat());
    let one_each: Vec<TerminalRef> = conductors
        .groups
        .iter()
        .filter_map(|g| g.first().cloned())
        .collect();
    within(&one_each);
    places
}

/// Where a current can be taken: into the find at each fed terminal, and, with a clamp, into each winding.
pub(crate) fn currents(find: &Find, setup: &Setup, clamp: bool) -> Vec<Place> {
    let fed = setup.feeds.iter().flat_map(|f| f.to.iter().take(driven(f)));
    let mut places: Vec<Place> = fed.cloned().map(Place::Into).collect();
    if clamp {
        for part in &find.parts {
            let windings = part.kind.wound().map_or(&[][..], |w| &w.windings);
            for winding in windings {
                let first = winding.points.first();
                let place = first.map(|p| Place::Into(part.terminal(&p.terminal)));
                places.extend(place.filter(|p| !places.contains(p)));
            }
        }
    }
    places
}

/// How many terminals of a feed are driven ends: the first of two, all of three.
fn driven(feed: &Feed) -> usize {
    if feed.to.len() == 3 { 3 } else { 1 }
}

/// Where watts can be taken: at each feed.
pub(crate) fn powers(setup: &Setup) -> Vec<Place> {
    let of = |feed: &Feed| -> Vec<Place> {
        let against = match (&feed.neutral, feed.to.len()) {
            (Some(neutral), _) => Some(neutral),
            (None, 2) => feed.to.get(1),
            _ => None,
        };
        let Some(against) = against else {
            return Vec::new();
        };
        let into = feed.to.iter().take(driven(feed));
        into.map(|into| Place::PowerInto {
            into: into.clone(),
            against: against.clone(),
        })
        .collect()
    };
    setup.feeds.iter().flat_map(of).collect()
}

/// Where the source itself is read: between the first feed's first two terminals, or line and neutral.
pub(crate) fn supply(setup: &Setup) -> Option<Place> {
    let feed = setup.feeds.first()?;
    let against = match &feed.neutral {
        Some(neutral) => neutral,
        None => feed.to.get(1)?,
    };
    Some(Place::Between(feed.to.first()?.clone(), against.clone()))
}

/// What can be measured in a setup: volts, amperes and watts if it is fed, ohms or beeps if it is dead.
pub(crate) fn kinds(setup: &Setup) -> &'static [Measured] {
    if setup.feeds.is_empty() {
        &[Measured::Resistance, Measured::Continuity]
    } else {
        &[Measured::AcVoltage, Measured::AcCurrent, Measured::Power]
    }
}
