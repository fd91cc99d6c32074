//! Setups a reading could be taken in: those that stand, a dead one, and new low ones the kit allows.
//!
//! New ones feed the terminals the find was last fed at, then each winding, the one of most volts or ohms first, from an isolated source,
//! at the greatest volts that are low under everything not excluded.

use evidence::model::{Candidates, Key};
use gear::{Feed, Find, KitSource, Setup, TerminalRef, Winding};
use hazard::{Class, Exposure, Handling, Possible, exposure, greatest_low_volts};
use quantity::Quantity;

/// New setups looked at: more would only cost time.
const MOST_NEW: usize = 4;
/// Candidates and modes less probable than this are excluded.
const LEAST_CANDIDATE: f64 = 0.01;
/// Half-width of a 99 % interval, standard deviations.
const NINETY_NINE: f64 = 2.576;
/// Below this nothing is worth feeding: a meter shows its last digits only. Our choice.
const LEAST_VOLTS: f64 = 0.05;

/// A setup with its class.
#[derive(Debug, Clone)]
pub(crate) struct Standing {
    pub(crate) setup: Setup,
    pub(crate) new: bool,
    pub(crate) exposure: Exposure,
}

/// Every setup worth a look; live ones among them, which are never proposed but may be what would decide.
pub(crate) fn setups(find: &Find, candidates: &Candidates) -> Vec<Standing> {
    let possible = &hazard::possible(candidates);
    let mut list: Vec<Standing> = find
        .setups
        .iter()
        .filter(|s| !is_direct(find, s))
        .map(|setup| Standing {
            setup: setup.clone(),
            new: false,
            exposure: classed(&as_read(setup, candidates), find, possible),
        })
        .collect();
    let number = find.setups.iter().map(|s| s.number).max().unwrap_or(0) + 1;
    if list.iter().all(|s| !s.setup.feeds.is_empty()) {
        let setup = bare(find, number, "dead, plug in sight");
        let exposure = classed(&setup, find, possible);
        list.push(Standing {
            setup,
            new: true,
            exposure,
        });
    }
    let mut made = 0;
    for setup in fresh(find, number) {
        if made == MOST_NEW {
            break;
        }
        if let Some(standing) = lowered(setup, find, possible) {
            let same = |s: &Standing| {
                same_feed(&s.setup, &standing.setup) && s.exposure.class == Class::Low
            };
            if !list.iter().any(same) {
                list.push(standing);
                made += 1;
            }
        }
    }
    list
}

/// The setup at the most its feeds may have by what was read of them (99 %), where that is more than was noted.
fn as_read(setup: &Setup, candidates: &Candidates) -> Setup {
    let mut set = setup.clone();
    for (index, feed) in set.feeds.iter_mut().enumerate() {
        let line = if feed.to.len() == 3 { 3f64.sqrt() } else { 1.0 };
        let read = candidates
            .list
            .iter()
            .filter(|c| c.ranked.probability >= LEAST_CANDIDATE)
            .filter_map(|c| {
                let parameter = c.problem.registry.get(&Key::Supply(setup.number, index))?;
                let prior = c.problem.problem.parameters.get(parameter)?;
                let modes = c.ranked.posterior.modes.iter();
                modes
                    .filter(|m| m.probability >= LEAST_CANDIDATE)
                    .filter_map(|m| {
                        let width = m.covariance.get(parameter)?.get(parameter)?.max(0.0).sqrt();
                        // What no reading taught stays at what was set.
                        (width < evidence::PRIOR_ONLY)
                            .then(|| prior.value(m.z[parameter] + NINETY_NINE * width))
                    })
                    .reduce(f64::max)
            })
            .reduce(f64::max);
        let noted = feed.volts.as_ref().and_then(Quantity::value);
        if let Some(read) = read
            .map(|v| v * line)
            .filter(|r| noted.is_some_and(|n| *r > n))
        {
            feed.volts = Quantity::parse(&format!("{read:.6} V")).ok();
        }
    }
    set
}

/// The class when touched, or, if that is live, when everything is clipped on dead.
fn classed(setup: &Setup, find: &Find, possible: &[Possible]) -> Exposure {
    let touched = exposure(setup, &find.kit, possible, Handling::Touched);
    if touched.class != Class::Live {
        return touched;
    }
    let clipped = exposure(setup, &find.kit, possible, Handling::ClippedDead);
    if clipped.class == Class::Live {
        touched
    } else {
        clipped
    }
}

fn lowered(mut setup: Setup, find: &Find, possible: &[Possible]) -> Option<Standing> {
    let volts = [Handling::Touched, Handling::ClippedDead]
        .into_iter()
        .find_map(|h| greatest_low_volts(&setup, &find.kit, possible, h))
        .filter(|v| *v >= LEAST_VOLTS)?;
    for feed in &mut setup.feeds {
        feed.volts = Quantity::parse(&format!("{volts} V")).ok();
    }
    let exposure = classed(&setup, find, possible);
    (exposure.class == Class::Low).then_some(Standing {
        setup,
        new: true,
        exposure,
    })
}

fn same_feed(a: &Setup, b: &Setup) -> bool {
    let to = |s: &Setup| s.feeds.iter().map(|f| f.to.clone()).collect::<Vec<_>>();
    to(a) == to(b)
}

/// A setup with the sliders where they were noted last and nothing fed.
fn bare(find: &Find, number: u32, what: &str) -> Setup {
    let last = find.setups.iter().rev().find(|s| !s.sliders.is_empty());
    Setup {
        number,
        at: None,
        what: Some(what.to_owned()),
        feeds: Vec::new(),
        sliders: last.map(|s| s.sliders.clone()).unwrap_or_default(),
        switches: Vec::new(),
        joined: Vec::new(),
        lifted: Vec::new(),
        loads: Vec::new(),
        temperature: None,
    }
}

/// New setups, best first, at the greatest volts of their source.
fn fresh(find: &Find, number: u32) -> Vec<Setup> {
    let usable = |s: &&KitSource| s.isolated == Some(true) && !s.direct;
    let sources: Vec<&KitSource> = find.kit.sources.iter().filter(usable).collect();
    let feed = |source: &KitSource, to: Vec<TerminalRef>, neutral: Option<TerminalRef>| Feed {
        source: Some(source.name.clone()),
        to,
        neutral,
        earthed: false,
        volts: source
            .volts
            .as_ref()
            .and_then(greatest)
            .and_then(|v| Quantity::parse(&format!("{v} V")).ok()),
        frequency: None,
        angle: None,
        lost: Vec::new(),
    };
    let mut list = Vec::new();
    let last = find.setups.iter().rev().find_map(|s| s.feeds.first());
    if let Some(last) = last {
        let phases = if last.to.len() == 3 { 3 } else { 1 };
        if let Some(source) = sources.iter().find(|s| s.phases >= phases) {
            let mut setup = bare(find, number, "fed where it was fed last, low");
            setup
                .feeds
                .push(feed(source, last.to.clone(), last.neutral.clone()));
            list.push(setup);
        }
    }
    // Two terminals of a three-phase source give its line volts.
    if let Some(source) = sources.iter().min_by_key(|s| s.phases) {
        for (name, ends) in windings(find) {
            let mut setup = bare(find, number, &format!("{name} fed, low"));
            setup.feeds.push(feed(source, ends, None));
            list.push(setup);
        }
    }
    list
}

fn greatest(quantity: &Quantity) -> Option<f64> {
    match quantity.reach() {
        quantity::Reach::Span { high, .. } => Some(high),
        _ => quantity.value(),
    }
}

/// Every winding with its ends, the one with most volts, turns or ohms of a part first; parts in the find's order, one of each kind of
/// sister first.
fn windings(find: &Find) -> Vec<(String, Vec<TerminalRef>)> {
    let value = |q: &Option<Quantity>| q.as_ref().and_then(Quantity::value);
    let size = |w: &Winding| {
        value(&w.volts)
            .or_else(|| value(&w.turns))
            .or_else(|| value(&w.resistance))
    };
    let mut list: Vec<(u8, usize, String, Vec<TerminalRef>)> = Vec::new();
    for part in &find.parts {
        let mut windings: Vec<&Winding> = part
            .kind
            .wound()
            .map_or(&[][..], |w| &w.windings)
            .iter()
            .collect();
        windings.sort_by(|a, b| size(b).unwrap_or(0.0).total_cmp(&size(a).unwrap_or(0.0)));
        for (rank, winding) in windings.into_iter().enumerate() {
            let ends = winding.points.first().zip(winding.points.last());
            if let Some((first, last)) = ends {
                list.push((
                    part.phase.unwrap_or(1),
                    rank,
                    format!("{} of {}", winding.name, part.designation),
                    vec![
                        part.terminal(&first.terminal),
                        part.terminal(&last.terminal),
                    ],
                ));
            }
        }
    }
    list.sort_by_key(|(phase, rank, ..)| (*phase, *rank));
    list.into_iter()
        .map(|(_, _, name, ends)| (name, ends))
        .collect()
}

fn is_direct(find: &Find, setup: &Setup) -> bool {
    setup.feeds.iter().any(|feed| {
        let named = |s: &&KitSource| Some(&s.name) == feed.source.as_ref();
        find.kit
            .sources
            .iter()
            .find(named)
            .is_some_and(|s| s.direct)
    })
}
