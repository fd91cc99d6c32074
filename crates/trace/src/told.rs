//! Puts what was told of windings into what the caller sees: windings with points, ratios, starts and turns; phases; remarks.

use crate::order::Ordered;
use crate::sorting::Sorting;
use crate::three_phase::{self, Halves};
use crate::traced::{Traced, TracedPhase, TracedPoint, TracedWinding, flux_density};
use crate::volts::{Measured, Volts, bound};
use gear::{Dot, Find, Part, PlateField, Unmarked};
use quantity::{Quantity, Unit, show};

/// Turns the starts on other phases round, and names the phases.
pub(crate) fn phases(traced: &mut Traced, part: &Part, told: &Volts, halves: &Halves) {
    let marks = part.terminals();
    let mark = |lead: usize| marks.get(lead).map_or(String::new(), |m| (*m).to_owned());
    let of = |windings: &[TracedWinding], i: usize| {
        let first = mark(told.windings[i].leads[0]);
        windings
            .iter()
            .position(|w| w.points.first().is_some_and(|p| p.terminal == first))
    };
    for i in &halves.others {
        if let Some(at) = of(&traced.windings, *i) {
            let winding = &mut traced.windings[at];
            winding.dot = turned(winding.dot);
            winding.ratio = None;
            winding.turns = None;
        }
    }
    if halves.pairs.is_empty() {
        return;
    }
    if !halves.star.is_empty() {
        for winding in traced.windings.iter_mut() {
            if winding.points.len() == 3 {
                winding.dot = Dot::Unknown;
                winding.ratio = None;
                winding.turns = None;
            } else if halves.star_is_finish {
                winding.dot = turned(winding.dot);
            }
        }
    }
    for (phase, name) in ["U", "V", "W"].into_iter().enumerate() {
        let pairs = halves.pairs[phase].iter().filter_map(|i| {
            let w = &traced.windings[of(&traced.windings, *i)?];
            let (first, last) = (w.points.first()?, w.points.last()?);
            let (start, finish) = match w.dot {
                Dot::First => (first, last),
                Dot::Last => (last, first),
                Dot::Unknown => return None,
            };
            Some((start.terminal.clone(), Some(finish.terminal.clone())))
        });
        let star = halves.star.get(phase).map(|lead| (mark(*lead), None));
        let halves = pairs.chain(star).collect();
        traced.phases.push(TracedPhase { name, halves });
    }
    // Until every start is told a phase has nothing to show.
    if traced.phases.iter().any(|p| p.halves.len() != 2) {
        traced.phases.clear();
    }
}

fn turned(dot: Dot) -> Dot {
    match dot {
        Dot::First => Dot::Last,
        Dot::Last => Dot::First,
        Dot::Unknown => Dot::Unknown,
    }
}

/// Volts a turn in the tests, with its relative standard uncertainty, by the windings of known turns.
pub(crate) fn per_turn(unmarked: &Unmarked, told: &Volts, sorted: usize) -> Option<(f64, f64)> {
    let windings = unmarked
        .wound
        .windings
        .iter()
        .zip(&told.windings[sorted.min(told.windings.len())..]);
    windings
        .filter_map(|(w, m)| {
            let turns = w.turns.as_ref()?.value()?;
            let volts = m.whole().filter(|v| *v > 0.0)?;
            let off = bound(volts, told.step) / volts / 3f64.sqrt();
            Some((volts / turns, off))
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

pub(crate) fn windings(
    part: &Part,
    sorting: &Sorting,
    orders: &[Ordered],
    told: &Volts,
    ordered: bool,
    per_turn: Option<(f64, f64)>,
) -> Vec<TracedWinding> {
    let marks = part.terminals();
    let fed = told.windings.get(told.reference).and_then(Measured::whole);
    let relative =
        |volts: f64| bound(volts, told.step) / volts.max(f64::MIN_POSITIVE) / 3f64.sqrt();
    let turn = std::iter::once(told.reference)
        .chain((0..told.windings.len()).filter(|i| *i != told.reference))
        .filter(|i| *i < orders.len());
    turn.enumerate()
        .map(|(place, i)| {
            let winding = &told.windings[i];
            let dot = match (ordered, told.ways.first()) {
                _ if i == told.reference && ordered => Dot::First,
                (true, Some(way)) if !told.open.contains(&i) => {
                    if way[i] {
                        Dot::Last
                    } else {
                        Dot::First
                    }
                }
                _ => Dot::Unknown,
            };
            let ratio = winding
                .whole()
                .zip(fed)
                .filter(|(v, _)| *v > 0.0)
                .map(|(v, f)| (v / f, v / f * relative(v)));
            let turns = winding
                .whole()
                .zip(per_turn)
                .filter(|(v, _)| *v > 0.0)
                .map(|(v, (each, off))| (v / each, v / each * off.hypot(relative(v))));
            TracedWinding {
                name: format!("winding {}", place + 1),
                points: points(winding, &orders[i], &marks, told.step),
                ohms: winding.ohms,
                ratio,
                dot,
                turns,
                by_elimination: winding
                    .leads
                    .iter()
                    .any(|l| sorting.by_elimination.contains(l)),
            }
        })
        .collect()
}

/// Share a position by ohms may be off from one by turns: the length of a turn changes along a winding (our choice).
const OHMS_FOR_TURNS: f64 = 0.05;

fn points(winding: &Measured, order: &Ordered, marks: &[&str], step: f64) -> Vec<TracedPoint> {
    let last = winding.leads.len() - 1;
    let at = |i: usize| {
        if i == 0 || i == last {
            return None;
        }
        if let Some(volts) = &winding.volts {
            let whole = volts[last];
            return Some((
                volts[i] / whole,
                bound(volts[i], step) / whole / 3f64.sqrt(),
            ));
        }
        let ohms = order.ohms.as_ref().filter(|o| o.len() > last)?;
        Some((ohms[i] / ohms[last], OHMS_FOR_TURNS))
    };
    winding
        .leads
        .iter()
        .enumerate()
        .map(|(i, l)| TracedPoint {
            terminal: marks[*l].to_owned(),
            at: at(i),
        })
        .collect()
}

pub(crate) fn remarks(
    traced: &mut Traced,
    find: &Find,
    part: &Part,
    unmarked: &Unmarked,
    orders: &[Ordered],
    intended: Option<f64>,
    sorted: bool,
) {
    if sorted {
        traced.remarks.extend(three_phase::recognised(orders));
    }
    for w in traced
        .windings
        .iter()
        .filter(|w| w.by_elimination && sorted && w.ohms.is_none())
    {
        let marks: Vec<&str> = w.points.iter().map(|p| p.terminal.as_str()).collect();
        traced.remarks.push(format!(
            "{} ({}) was concluded because nothing else was left; its ohms were not read, and a screen would stand out so",
            w.name,
            marks.join(", ")
        ));
    }
    let area = unmarked.wound.core.area.as_ref().and_then(Quantity::value);
    let written = |q: &Option<Quantity>| q.as_ref().and_then(Quantity::value);
    let plate = find
        .plate
        .fields
        .iter()
        .find(|(f, _)| *f == PlateField::Frequency)
        .and_then(|(_, q)| q.value());
    let frequency = written(&unmarked.wound.frequency).or(plate).unwrap_or(50.0);
    if let (Some(area), Some((turns, off))) = (area, traced.windings.first().and_then(|w| w.turns))
    {
        let name = traced.windings[0].name.clone();
        let volts_at =
            |b: f64| b * std::f64::consts::PI * std::f64::consts::SQRT_2 * frequency * turns * area;
        traced.remarks.push(match intended {
            Some(volts) => {
                let tesla = flux_density(volts, frequency, turns, area);
                format!(
                    "{} on {name} of {} at {frequency} Hz would mean {tesla:.2} ± {:.2} T in the core",
                    show(volts, Unit::Volt, 3),
                    part.designation,
                    2.0 * tesla * off / turns
                )
            }
            None => format!(
                "{name} of {} reaches 1.2 T at {} and {frequency} Hz",
                part.designation,
                show(volts_at(1.2), Unit::Volt, 2)
            ),
        });
    }
}
