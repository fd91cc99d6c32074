//! What is known of a part's windings so far, and what to do next.

use crate::doubt::{Conflict, Known};
use crate::low;
use crate::observed::{Seen, observed};
use crate::order::{Ordered, order};
use crate::plan::{Next, On};
use crate::sorting::Sorting;
use crate::three_phase::{self, Halves};
use crate::told::{per_turn, phases, remarks, windings};
use crate::volts::{Volts, volts};
use gear::{Designation, Dot, Find, PartKind, Point, Unmarked, Winding, Wound};
use quantity::{Quantity, Unit, show};

/// How far an unmarked part is sorted.
#[derive(Debug, Clone)]
pub struct Traced {
    /// The part.
    pub part: Designation,
    /// Marks of its leads.
    pub leads: Vec<String>,
    /// Windings found so far; while leads are still being placed, groups that are known to be separate.
    pub windings: Vec<TracedWinding>,
    /// Leads that stand in no group yet.
    pub unplaced: Vec<String>,
    /// Readings that cannot all be right.
    pub contradictions: Vec<Contradiction>,
    /// The next test; `None` when all is told or nothing within reach can tell more.
    pub next: Option<Next>,
    /// Tests left at worst, if none has to be repeated.
    pub left: u32,
    /// Whether leads, order, ratios and starts are all told.
    pub settled: bool,
    /// Why no test can be made, where more is wanted.
    pub blocked: Option<String>,
    /// Phases of a three-phase part, once told; its windings have no common core, so no ratio stands between phases.
    pub phases: Vec<TracedPhase>,
    /// Remarks: a three-phase part recognised, a winding concluded from what was left.
    pub remarks: Vec<String>,
}

/// One winding found.
#[derive(Debug, Clone, PartialEq)]
pub struct TracedWinding {
    /// `winding 1`; the fed one first. What the owner wound through keeps its name.
    pub name: String,
    /// Terminals in order of the turns, as far as the order is told.
    pub points: Vec<TracedPoint>,
    /// Ohms end to end.
    pub ohms: Option<f64>,
    /// Volts end to end over those of the fed winding, with its standard uncertainty.
    pub ratio: Option<(f64, f64)>,
    /// Which end is the start, all windings alike; the fed winding starts at its first point.
    pub dot: Dot,
    /// Turns, with their standard uncertainty, where a winding of known turns was read beside.
    pub turns: Option<(f64, f64)>,
    /// Its leads were joined only because nothing else was left for them.
    pub by_elimination: bool,
}

/// A terminal along a winding.
#[derive(Debug, Clone, PartialEq)]
pub struct TracedPoint {
    /// The mark.
    pub terminal: String,
    /// Fraction of the turns from the first point, with its standard uncertainty; by volts, else by ohms. `None` at the ends.
    pub at: Option<(f64, f64)>,
}

/// One phase of a nine- or twelve-lead three-phase part.
#[derive(Debug, Clone, PartialEq)]
pub struct TracedPhase {
    /// `U` is the fed one; `V` and `W` may stand exchanged, which turns the rotation.
    pub name: &'static str,
    /// Its halves, start and finish; the finish is `None` where it is the star inside.
    pub halves: Vec<(String, Option<String>)>,
}

/// Readings that cannot all be right.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// Their numbers, the likeliest to have slipped first.
    pub readings: Vec<u32>,
    /// What is wrong.
    pub what: String,
}

/// Flux density in tesla, peak: `B = V / (4.44 f N A)`.
///
/// `volts` RMS, `frequency` in hertz, `turns` of the winding the volts stand on, net `area` in square metres.
/// # Source
/// CHECKS I1 and I2: Hubert, *Electric Machines*, examples 2.1 and 2.2 (4.4429 exactly: `2 pi / sqrt 2`).
pub fn flux_density(volts: f64, frequency: f64, turns: f64, area: f64) -> f64 {
    volts / (std::f64::consts::PI * std::f64::consts::SQRT_2 * frequency * turns * area)
}

/// What the readings of a find say about an unmarked part; `None` if it has no such part. Other parts are not traced.
pub fn traced(find: &Find, part: &Designation) -> Option<Traced> {
    traced_at(find, part, None)
}

/// Likewise, and with the flux density at volts (RMS) intended for the winding the tests fed.
pub fn traced_at(find: &Find, part: &Designation, intended: Option<f64>) -> Option<Traced> {
    let part = find.part(part)?;
    let PartKind::Unmarked(unmarked) = &part.kind else {
        return None;
    };
    let seen = observed(find, part);
    let count = unmarked.leads.len();
    let number = unmarked.number_of_windings.map(|n| n as usize);
    let through = through(unmarked, count);
    let known = Known {
        count,
        number,
        through: &through,
        seen: &seen,
    };
    let sorting = known.sorted(&seen);
    let orders: Vec<Ordered> = sorting.groups.iter().map(|g| order(g, &seen)).collect();
    let sorted = sorting.ask.is_none() && sorting.conflict.is_none();
    let ordered = sorted
        && orders
            .iter()
            .all(|o| o.ask.is_none() && o.conflict.is_none());
    let told = volts(&orders, &through, &seen);
    let mut traced = Traced {
        part: part.designation.clone(),
        leads: unmarked.leads.clone(),
        windings: Vec::new(),
        unplaced: unplaced(unmarked, &sorting),
        contradictions: contradictions(&known, &sorting, &orders, &told, ordered),
        next: None,
        left: 0,
        settled: false,
        blocked: None,
        phases: Vec::new(),
        remarks: Vec::new(),
    };
    let on = On { find, part };
    let halves = if ordered && told.conflict.is_none() {
        three_phase::halves(&orders, &told, &seen)
    } else {
        None
    };
    let conflict = halves.as_ref().and_then(|h| h.conflict.clone());
    traced
        .contradictions
        .extend(conflict.map(|(readings, what)| Contradiction { readings, what }));
    next(
        &mut traced,
        &on,
        &sorting,
        &orders,
        &told,
        &seen,
        halves.as_ref(),
    );
    traced.left = left(&sorting, &orders, &told, count, through.len(), ordered);
    if find.plate.phases != Some(1) {
        traced.left += match &halves {
            Some(halves) => halves.left,
            None if !sorted => three_phase::besides(count),
            None if !ordered || !told.wanted.is_empty() => three_phase::besides_of(&orders),
            None => 0,
        };
    }
    let turns = per_turn(unmarked, &told, orders.len());
    traced.windings = windings(part, &sorting, &orders, &told, ordered, turns);
    if let Some(halves) = &halves {
        phases(&mut traced, part, &told, halves);
    }
    remarks(&mut traced, find, part, unmarked, &orders, intended, sorted);
    Some(traced)
}

/// Terminals of the windings the owner wound through, counted on behind the leads.
fn through(unmarked: &Unmarked, count: usize) -> Vec<Vec<usize>> {
    let mut next = count;
    let windings = unmarked.wound.windings.iter();
    windings
        .map(|w| {
            let these = (next..next + w.points.len()).collect();
            next += w.points.len() + w.sliders.len();
            these
        })
        .collect()
}

fn unplaced(unmarked: &Unmarked, sorting: &Sorting) -> Vec<String> {
    let placed = |i: usize| sorting.groups.iter().any(|g| g.contains(&i));
    let leads = unmarked.leads.iter().enumerate();
    leads
        .filter(|(i, _)| !placed(*i))
        .map(|(_, l)| l.clone())
        .collect()
}

fn contradictions(
    known: &Known<'_>,
    sorting: &Sorting,
    orders: &[Ordered],
    told: &Volts,
    ordered: bool,
) -> Vec<Contradiction> {
    let dead = sorting.conflict.iter();
    let mut list: Vec<Conflict> = dead
        .map(|(readings, what)| (known.slipped_dead(readings), what.clone()))
        .collect();
    for (group, order) in sorting.groups.iter().zip(orders) {
        if let Some((readings, what)) = &order.conflict {
            list.push((known.slipped_ohms(group, readings), what.clone()));
        }
    }
    if ordered {
        list.extend(known.doubts(orders, told));
        if let Some((readings, what)) = &told.conflict {
            list.push((known.slipped_volts(orders, readings), what.clone()));
        }
    }
    list.into_iter()
        .map(|(readings, what)| Contradiction { readings, what })
        .collect()
}

fn next(
    traced: &mut Traced,
    on: &On<'_>,
    sorting: &Sorting,
    orders: &[Ordered],
    told: &Volts,
    seen: &[Seen],
    halves: Option<&Halves>,
) {
    for one in &traced.contradictions {
        if let Some(again) = on.again(told, &one.readings, seen) {
            traced.next = Some(again);
            return;
        }
    }
    if !traced.contradictions.is_empty() {
        traced.blocked = Some(
            "the readings contradict each other though each was taken twice: look for a broken winding, a screen, or a clip on the wrong lead"
                .to_owned(),
        );
        return;
    }
    traced.next = match &sorting.ask {
        Some(ask) => Some(on.asked(ask)),
        None => orders.iter().find_map(|o| on.ordered(o)),
    };
    if traced.next.is_some() {
        return;
    }
    let fed = match (on.fed(told, orders), halves.and_then(|h| h.ask)) {
        (Ok(None), Some((feed, at))) => on.beside(told, feed, at).map(Some),
        (fed, _) => fed,
    };
    match fed {
        Ok(Some(next)) => traced.next = Some(next),
        Ok(None) => traced.settled = true,
        Err(why) => traced.blocked = Some(why),
    }
}

/// Tests left at worst.
fn left(
    sorting: &Sorting,
    orders: &[Ordered],
    told: &Volts,
    count: usize,
    through: usize,
    ordered: bool,
) -> u32 {
    let fed = count.saturating_sub(1) as u32 + through as u32;
    if sorting.ask.is_some() || sorting.conflict.is_some() {
        return sorting.left + fed;
    }
    let by_volts: usize = orders.iter().map(|o| o.by_volts.len()).sum();
    if !ordered {
        let dead: u32 = orders.iter().map(|o| o.left).sum();
        return dead + by_volts as u32 + fed;
    }
    let open = if told.ways.is_empty() {
        orders.len().saturating_sub(1)
    } else {
        told.open.len()
    };
    // What volts along a winding still want; sides that only they tell are wanted once the lengths are there.
    let wanted = told.wanted.len();
    let later: usize = told
        .windings
        .iter()
        .zip(orders)
        .filter(|(w, o)| w.volts.is_none() && !o.by_volts.is_empty())
        .map(|(w, o)| {
            let base = w.leads[0];
            let lengths = told
                .wanted
                .iter()
                .any(|(a, b)| *a == base && w.leads.contains(b));
            if lengths { o.by_volts.len() } else { 0 }
        })
        .sum();
    // Ohms that tell the ends of the winding to feed.
    let fed = &orders[told.reference.min(orders.len().saturating_sub(1))..];
    let ends = match fed.first() {
        Some(o) if !o.by_volts.is_empty() && told.set.is_none() && !o.ends_near => o.unread,
        _ => 0,
    };
    (wanted + later + open + ends) as u32
}

impl Traced {
    /// The windings as a wound part's, to be written into a sheet: points in order, positions, starts, ohms, turns. Nothing that was not
    /// told is in it.
    pub fn wound(&self, unmarked: &Unmarked) -> Wound {
        let quantity = |value: f64, unit: Unit| Quantity::parse(&show(value, unit, 3)).ok();
        let windings = self
            .windings
            .iter()
            .filter(|w| w.points.len() > 1)
            .map(|w| Winding {
                name: w.name.clone(),
                points: w
                    .points
                    .iter()
                    .map(|p| Point {
                        terminal: p.terminal.clone(),
                        at: p
                            .at
                            .and_then(|(at, _)| Quantity::parse(&format!("{at:.3}")).ok()),
                    })
                    .collect(),
                dot: w.dot,
                resistance: w.ohms.and_then(|o| quantity(o, Unit::Ohm)),
                turns: w
                    .turns
                    .and_then(|(n, _)| Quantity::parse(&format!("{n:.0}")).ok()),
                ..Winding::default()
            });
        Wound {
            windings: windings.collect(),
            core: unmarked.wound.core.clone(),
            power: unmarked.wound.power.clone(),
            frequency: unmarked.wound.frequency.clone(),
            insulation: unmarked.wound.insulation.clone(),
        }
    }

    /// The highest class a proposed test has had to be held to: what all low tests are limited to, volts.
    pub fn limit() -> f64 {
        low::HANDLING.limit(false)
    }
}
