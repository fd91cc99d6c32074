//! The class of a setup, with the place and the value that decide it, in one sentence.

use crate::blocks::Blocks;
use crate::bound::{self, UNBOUNDED};
use crate::feeds::{self, Supply};
use crate::graph::Graph;
use crate::{Class, Exposure, Handling, Highest, KICK_VOLTS, Possible};
use gear::{Kit, PartKind, Setup, TerminalRef};
use quantity::{Unit, show};

/// Rounding of the sums: a setting reckoned to meet the limit exactly does not exceed it.
pub(crate) const ROUNDING: f64 = 1e-9;

/// Why a setup is refused in which two feeds drive one core.
const TWO_ON_ONE_CORE: &str = "two feeds drive one core: how they share what does not fit between them hangs on copper and leakage, and nothing known bounds that; feed it from one source";

/// The class of a setup under everything that is still possible.
///
/// The setup is looked at in each possible find as given and, where that find records a setup of the same number otherwise, as recorded
/// there; and with every fuse and switch that is said to stand open closed as well.
pub fn exposure(setup: &Setup, kit: &Kit, possible: &[Possible], handling: Handling) -> Exposure {
    let charged = charged(possible);
    if setup.feeds.is_empty() {
        return Exposure {
            class: Class::Dead,
            highest: None,
            limit: handling.limit(false),
            why: format!(
                "dead: nothing is fed; plug in sight, proved with a two-pole tester that is itself proved before and after{charged}"
            ),
        };
    }
    let supply = match feeds::supply(setup, kit) {
        Ok(supply) => supply,
        Err(why) => return live(handling.limit(false), None, &why),
    };
    let limit = handling.limit(supply.direct);
    if possible.is_empty() {
        return live(limit, None, "no wiring of the find is known yet");
    }
    if supply.direct {
        return direct(setup, &supply, possible, handling, &charged);
    }
    let mut highest: Option<Worst> = None;
    for one in possible {
        match worst(setup, &supply, one) {
            Ok(worst) => {
                if highest.as_ref().is_none_or(|h| worst.volts > h.volts) {
                    highest = Some(worst);
                }
            }
            Err(why) => return live(limit, None, &why),
        }
    }
    match highest {
        Some(worst) => told(&worst, limit, handling, &charged),
        None => live(limit, None, "no place of it can be bounded"),
    }
}

/// The highest volts of one possible find.
#[derive(Debug, Clone)]
pub(crate) struct Worst {
    pub(crate) volts: f64,
    at: TerminalRef,
    against: Option<TerminalRef>,
    /// The two stand in parts that nothing ties together.
    apart: bool,
}

/// The highest volts anywhere in one possible find.
/// # Errors
/// In words: why nothing can be reckoned.
pub(crate) fn worst(setup: &Setup, supply: &Supply, possible: &Possible) -> Result<Worst, String> {
    let mut worst = worst_as_set(setup, supply, possible)?;
    let recorded = possible.find.setup(setup.number);
    if let Some(recorded) = recorded.filter(|r| *r != setup && r.feeds.len() == setup.feeds.len()) {
        let other = worst_as_set(recorded, supply, possible)?;
        if other.volts > worst.volts {
            worst = other;
        }
    }
    Ok(worst)
}

fn worst_as_set(setup: &Setup, supply: &Supply, possible: &Possible) -> Result<Worst, String> {
    let mut worst = reckoned(setup, supply, possible, false)?;
    if setup.switches.iter().any(|s| !s.closed) {
        let closed = reckoned(setup, supply, possible, true)?;
        if closed.volts > worst.volts {
            worst = closed;
        }
    }
    Ok(worst)
}

/// Bounds of each feed alone, added up: what one feed drives through another's impedance is in none of their own volts.
fn reckoned(
    setup: &Setup,
    supply: &Supply,
    possible: &Possible,
    all_closed: bool,
) -> Result<Worst, String> {
    let mut total: Vec<Vec<f64>> = Vec::new();
    let mut seen: Option<Graph> = None;
    let mut driven: Vec<bool> = Vec::new();
    for (feed, &volts) in supply.volts.iter().enumerate() {
        let graph = Graph::of(possible, setup, (feed, volts), all_closed)?;
        let by_this = Blocks::of(&graph).core_driven;
        driven.resize(by_this.len(), false);
        if driven
            .iter()
            .zip(&by_this)
            .any(|(before, now)| *before && *now)
        {
            return Err(TWO_ON_ONE_CORE.to_owned());
        }
        driven
            .iter_mut()
            .zip(by_this)
            .for_each(|(d, now)| *d |= now);
        let bounds = bound::bounds(&graph)?;
        if total.is_empty() {
            total = bounds.volts;
        } else {
            for (row, more) in total.iter_mut().zip(bounds.volts) {
                row.iter_mut().zip(more).for_each(|(t, m)| *t += m);
            }
        }
        seen = Some(graph);
    }
    let graph = seen.ok_or("nothing feeds it")?;
    highest(&graph, &total).ok_or_else(|| "the find has no terminals yet".to_owned())
}

/// The highest volts between any two terminals, or a terminal and earth. What nothing ties together may stand at any potential against
/// each other up to the sum of what each spans: a touch or a lead may tie any two points.
fn highest(graph: &Graph, volts: &[Vec<f64>]) -> Option<Worst> {
    let nodes = graph.names.len();
    let mut island: Vec<usize> = (0..nodes).collect();
    let mut tie = |a: usize, b: usize| {
        let (from, to) = (island[a], island[b]);
        let members = island.iter_mut().filter(|i| **i == from);
        members.for_each(|i| *i = to);
    };
    for edge in &graph.edges {
        tie(edge.ends.0, edge.ends.1);
    }
    for leads in &graph.unsorted {
        leads.windows(2).for_each(|pair| tie(pair[0], pair[1]));
    }
    let mut spans: Vec<(f64, usize, usize)> = Vec::new();
    for root in 0..nodes {
        let here: Vec<usize> = (0..nodes).filter(|n| island[*n] == root).collect();
        let named = |n: &&usize| graph.names[**n].is_some() || graph.earth == Some(**n);
        let here: Vec<usize> = here.iter().filter(named).copied().collect();
        let pairs = here
            .iter()
            .enumerate()
            .flat_map(|(i, a)| here[i..].iter().map(move |b| (volts[*a][*b], *a, *b)));
        spans.extend(pairs.max_by(|x, y| x.0.total_cmp(&y.0)));
    }
    spans.sort_by(|x, y| y.0.total_cmp(&x.0));
    let &(most, a, b) = spans.first()?;
    let name = |node: usize| graph.names[node].clone();
    if let Some(&(second, c, _)) = spans.get(1).filter(|s| s.0 > 0.0 && most < UNBOUNDED) {
        return Some(Worst {
            volts: most + second,
            at: name(a).or_else(|| name(b))?,
            against: name(c).or_else(|| name(spans[1].2)),
            apart: true,
        });
    }
    let (at, against) = match (name(a), name(b)) {
        (Some(at), Some(against)) if a != b => (at, Some(against)),
        (Some(at), _) | (None, Some(at)) => (at, None),
        (None, None) => return None,
    };
    Some(Worst {
        volts: most,
        at,
        against,
        apart: false,
    })
}

fn told(worst: &Worst, limit: f64, handling: Handling, charged: &str) -> Exposure {
    let between = match &worst.against {
        Some(other) => format!("between {} and {other}", worst.at),
        None => format!("between {} and earth", worst.at),
    };
    if worst.volts >= UNBOUNDED || !worst.volts.is_finite() {
        let why = format!(
            "nothing bounds the volts {between}: an unknown ratio counts as 40 : 1, and an unknown slider or start of a winding may leave next to no turns"
        );
        return live(limit, None, &why);
    }
    let apart = if worst.apart {
        " (two sides that nothing ties together: what each spans, added up)"
    } else {
        ""
    };
    let highest = Highest {
        volts: worst.volts,
        at: worst.at.clone(),
        against: worst.against.clone(),
    };
    let value = show(worst.volts, Unit::Volt, 3);
    if worst.volts > limit * (1.0 + ROUNDING) {
        let why = format!(
            "up to {value} AC {between}{apart} is not excluded, above the limit of {limit} V"
        );
        return live(limit, Some(highest), &why);
    }
    let how = match handling {
        Handling::Touched => "",
        Handling::ClippedDead => "; clip everything on while dead and touch nothing while it is on",
    };
    Exposure {
        class: Class::Low,
        highest: Some(highest),
        limit,
        why: format!(
            "low: at most {value} AC {between}{apart} under every wiring and ratio not excluded, limit {limit} V{how}{charged}"
        ),
    }
}

/// Direct current: what stands there is at most the sources' sum; but a winding kicks when the current stops.
fn direct(
    setup: &Setup,
    supply: &Supply,
    possible: &[Possible],
    handling: Handling,
    charged: &str,
) -> Exposure {
    let limit = handling.limit(true);
    let sum: f64 = supply.volts.iter().sum();
    for one in possible {
        for (feed, &volts) in supply.volts.iter().enumerate() {
            let graph = match Graph::of(one, setup, (feed, volts), true) {
                Ok(graph) => graph,
                Err(why) => return live(limit, None, &why),
            };
            if !bound::reaches_a_winding(&graph) {
                continue;
            }
            if sum > KICK_VOLTS || handling == Handling::Touched {
                return live(
                    limit,
                    None,
                    "direct current through a winding kicks when it stops, hundreds of volts, times the ratio elsewhere: at most 1.5 V for a kick test, everything clipped on while dead",
                );
            }
            return Exposure {
                class: Class::Low,
                highest: None,
                limit,
                why: format!(
                    "low, as a kick test only: at most {} DC; clip everything on while dead, touch nothing, wait until the value settles, turn the supply down before opening, demagnetise afterwards{charged}",
                    show(sum, Unit::Volt, 2)
                ),
            };
        }
    }
    let place = setup
        .feeds
        .first()
        .and_then(|f| Some((f.to.first()?, f.to.get(1)?)));
    let highest = place.map(|(at, against)| Highest {
        volts: sum,
        at: at.clone(),
        against: Some(against.clone()),
    });
    let value = show(sum, Unit::Volt, 3);
    if sum > limit * (1.0 + ROUNDING) {
        let why = format!("up to {value} DC, above the limit of {limit} V");
        return live(limit, highest, &why);
    }
    Exposure {
        class: Class::Low,
        highest,
        limit,
        why: format!(
            "low: at most {value} DC, and no winding in its path, limit {limit} V{charged}"
        ),
    }
}

fn live(limit: f64, highest: Option<Highest>, why: &str) -> Exposure {
    Exposure {
        class: Class::Live,
        highest,
        limit,
        why: format!("live: {why}"),
    }
}

/// What to do with capacitors first, as the end of a sentence.
fn charged(possible: &[Possible]) -> String {
    let mut names: Vec<String> = Vec::new();
    for one in possible {
        for part in &one.find.parts {
            let name = part.designation.to_string();
            if matches!(part.kind, PartKind::Capacitor { .. }) && !names.contains(&name) {
                names.push(name);
            }
        }
    }
    if names.is_empty() {
        return String::new();
    }
    format!(
        "; discharge {} first, and measure that it is",
        names.join(", ")
    )
}
