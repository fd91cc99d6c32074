//! The true volts of a setup: the network with true turns, starts, taps and sliders.

use super::made::Made;
use crate::chance::Chance;
use gear::Setup;
use network::{Meaning, Model, Solution, Solver};

/// The highest volts between any two terminals, or a terminal and earth, in truth; `None` where the setup has no solution (a shorted
/// source, a feed on one conductor). What nothing ties together counts with what each side spans, added up.
pub(super) fn highest(made: &Made, setup: &Setup, knee: bool, chance: &mut Chance) -> Option<f64> {
    let mut model = Model::new(&made.truth, setup, 50.0).ok()?;
    if !knee {
        for (_, core) in &mut model.circuit.cores {
            core.bend = None;
        }
    }
    let rated = chance.uniform(20.0, 230.0);
    let iron = Iron {
        rated,
        base: rated * rated / chance.uniform(3f64.ln(), 2000f64.ln()).exp(),
        copper: chance.uniform(0.005, 0.1),
        leakage: chance.uniform(0.005, 0.1),
        magnetising: chance.uniform(0.03, 0.4),
    };
    let values: Vec<f64> = model
        .meanings
        .clone()
        .iter()
        .map(|meaning| value(made, setup, &model, meaning, iron, chance))
        .collect();
    let solved = Solver::new(model.circuit.clone())
        .ok()?
        .solve(&values)
        .ok()?;
    Some(span(&model, &solved))
}

/// What a core's figures hang on.
#[derive(Debug, Clone, Copy)]
struct Iron {
    rated: f64,
    /// Rated volts squared over rated power, ohms.
    base: f64,
    copper: f64,
    leakage: f64,
    magnetising: f64,
}

fn value(
    made: &Made,
    setup: &Setup,
    model: &Model,
    meaning: &Meaning,
    iron: Iron,
    chance: &mut Chance,
) -> f64 {
    let turns = |part: &gear::Designation, winding: usize| {
        made.turns
            .get(&(part.clone(), winding))
            .copied()
            .unwrap_or(1.0)
    };
    match meaning {
        Meaning::Fixed(value) => *value,
        Meaning::SourceVolts { feed, .. } => {
            let feed = &setup.feeds[*feed];
            let volts = feed.volts.as_ref().and_then(quantity::Quantity::value);
            let phase = if feed.to.len() == 3 { 3f64.sqrt() } else { 1.0 };
            volts.unwrap_or(0.0) / phase
        }
        // A source's volts are those at its terminals; its own ohms are small beside what it feeds.
        Meaning::SourceOhms { .. } => 1e-4 * iron.base,
        Meaning::Turns { part, winding } => turns(part, *winding),
        Meaning::WindingOhms { part, winding } => {
            iron.copper * iron.base * turns(part, *winding).powi(2)
        }
        Meaning::WindingReactance { part, winding } => {
            iron.leakage * iron.base * turns(part, *winding).powi(2)
        }
        Meaning::Tap {
            part,
            winding,
            point,
        } => made
            .taps
            .get(&(part.clone(), *winding, *point))
            .copied()
            .unwrap_or(0.5),
        Meaning::SliderAt {
            part,
            winding,
            slider,
        } => {
            let terminal = made
                .truth
                .part(part)
                .and_then(|p| p.kind.wound()?.windings.get(*winding)?.sliders.get(*slider))
                .map(|s| s.terminal.clone())
                .unwrap_or_default();
            let noted = Model::slider_setting(&made.truth, setup, part, &terminal)
                .and_then(quantity::Quantity::value);
            match noted {
                Some(at) => (at + chance.normal().clamp(-2.576, 2.576) * 0.006).clamp(0.0, 1.0),
                None => chance.uniform(0.0, 1.0),
            }
        }
        Meaning::Brush { .. } => 1e-3 * iron.base,
        Meaning::CoreConductance(_) => 0.3 * iron.magnetising / iron.base,
        Meaning::CoreSusceptance(_) => iron.magnetising / iron.base,
        Meaning::CoreVolts(_) => iron.rated,
        Meaning::CurrentExponent(_) => chance.uniform(0.8, 1.5),
        Meaning::WattsExponent(_) => 1.8,
        Meaning::Knee(_) => 1.15,
        Meaning::PartOhms(_) => iron.base * chance.uniform(-4.0, 3.0).exp(),
        Meaning::PartFarads(_) => 1e-6,
        Meaning::SourceReactance { .. }
        | Meaning::PartReactance(_)
        | Meaning::LoadOhms { .. }
        | Meaning::LoadReactance { .. } => {
            let _ = model;
            0.0
        }
    }
}

/// The two greatest spans of the islands, added up.
fn span(model: &Model, solved: &Solution) -> f64 {
    let nodes = model.conductors.groups.len();
    let islands = solved.island.iter().copied().max().map_or(0, |m| m + 1);
    let mut spans = vec![0f64; islands];
    for a in 0..nodes {
        for b in 0..a {
            if solved.island[a] == solved.island[b] {
                let volts = (solved.voltages[a] - solved.voltages[b]).norm();
                spans[solved.island[a]] = spans[solved.island[a]].max(volts);
            }
        }
    }
    spans.sort_by(|x, y| y.total_cmp(x));
    spans.iter().take(2).sum()
}
