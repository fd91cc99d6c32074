//! Behaviour along the travel: output, current in each section and losses against slider position.

use crate::belief::Belief;
use crate::nominal;
use crate::said::{Behaviour, Series, TravelPanel};
use crate::stage::{self, Conditions, Stage, WindingAt};
use gear::{Find, PartKind};
use network::circuit::{ElementId, Node};
use network::{NetworkError, Solution};
use quantity::{Unit, show};

/// Positions this near are one place: a slider's own offset and a tap's estimate move them a little apart.
const SAME_PLACE: f64 = 0.03;
/// Positions of the chart.
const STEPS: usize = 40;
/// Every so many positions the band is reckoned from the draws; between them it is drawn straight.
const BAND_EVERY: usize = 2;

/// One line of a chart.
struct Line {
    panel: usize,
    name: String,
    asked: Asked,
}

/// What a line shows of a solution.
enum Asked {
    /// Volts between two nodes.
    Volts((Node, Node)),
    /// Current of a winding that is not cut.
    Current(ElementId),
    /// Current of the piece between the brush and its nearest tap (`inner`), or the greatest of the others; on a winding without
    /// taps, below the brush (`inner`) or above it.
    Piece {
        element: ElementId,
        taps: Vec<f64>,
        inner: bool,
    },
    /// Copper loss of an element.
    Copper(ElementId),
    /// Core loss.
    Core(usize),
}

impl Asked {
    /// The value with the slider at `x`.
    fn of(&self, solution: &Solution, x: f64) -> Option<f64> {
        match self {
            Self::Volts(pair) => stage::volts(solution, *pair),
            Self::Current(element) => Some(stage::current(solution, *element)),
            Self::Piece {
                element,
                taps,
                inner,
            } => piece(solution, element.0, x, taps, *inner),
            Self::Copper(element) => solution.copper_loss.get(element.0).copied(),
            Self::Core(core) => solution.core_loss.get(*core).copied(),
        }
    }
}

const PANELS: [(&str, Unit); 3] = [
    ("output", Unit::Volt),
    ("current", Unit::Ampere),
    ("losses", Unit::Watt),
];

/// The charts under these conditions, the slider running from one end to the other; `draws` are beliefs drawn from the posterior.
pub(crate) fn behaviour(
    find: &Find,
    stage: &mut Stage,
    belief: &Belief,
    draws: &[Belief],
    conditions: Conditions,
) -> Result<Behaviour, NetworkError> {
    let lines = lines(find, stage, conditions.load > 0.0);
    let slider: Vec<f64> = (0..=STEPS).map(|i| i as f64 / STEPS as f64).collect();
    let mut middle: Vec<Vec<Option<f64>>> = Vec::with_capacity(slider.len());
    let mut beyond = Vec::new();
    for x in &slider {
        stage.set(Conditions {
            slider: *x,
            ..conditions
        });
        let solution = stage.solve(belief)?;
        note_knees(stage, &solution, &mut beyond);
        middle.push(
            lines
                .iter()
                .map(|line| line.asked.of(&solution, *x))
                .collect(),
        );
    }
    let bands = bands(stage, &lines, draws, conditions, &slider);
    let panels = PANELS
        .iter()
        .enumerate()
        .filter_map(|(panel, (what, unit))| {
            let series: Vec<Series> = lines
                .iter()
                .enumerate()
                .filter(|(_, line)| line.panel == panel)
                .map(|(i, line)| Series {
                    name: line.name.clone(),
                    values: middle.iter().map(|row| row[i]).collect(),
                    half_widths: bands
                        .iter()
                        .map(|row| row.get(i).copied().flatten())
                        .collect(),
                })
                .collect();
            (!series.is_empty()).then(|| TravelPanel {
                what: (*what).to_owned(),
                unit: unit.symbol().to_owned(),
                series,
            })
        });
    beyond.sort();
    let mut remarks = Vec::new();
    if !beyond.is_empty() {
        let pass = if beyond.len() == 1 {
            "passes its knee"
        } else {
            "pass their knee"
        };
        remarks.push(format!(
            "Somewhere along the travel {} {pass}: fundamental only, peaks are higher.",
            beyond.join(", ")
        ));
    }
    if find.plate.fields.is_empty() {
        remarks.push("No rated figures are legible: the supply is a guess.".into());
    }
    Ok(Behaviour {
        condition: condition(find, conditions, stage.load_volts),
        at: conditions.slider,
        ends: ends(find),
        damage: damage(find),
        panels: panels.collect(),
        slider,
        remarks,
    })
}

fn note_knees(stage: &Stage, solution: &Solution, beyond: &mut Vec<String>) {
    for ((name, _), over) in stage.model.circuit.cores.iter().zip(&solution.beyond_knee) {
        if *over && !beyond.contains(name) {
            beyond.push(name.clone());
        }
    }
}

fn bands(
    stage: &mut Stage,
    lines: &[Line],
    draws: &[Belief],
    conditions: Conditions,
    slider: &[f64],
) -> Vec<Vec<Option<f64>>> {
    if draws.len() < 4 {
        return vec![Vec::new(); slider.len()];
    }
    let mut bands: Vec<Vec<Option<f64>>> = Vec::with_capacity(slider.len());
    for (i, x) in slider.iter().enumerate() {
        if i % BAND_EVERY != 0 {
            bands.push(Vec::new());
            continue;
        }
        stage.set(Conditions {
            slider: *x,
            ..conditions
        });
        let solved: Vec<Solution> = draws
            .iter()
            .filter_map(|draw| stage.solve(draw).ok())
            .collect();
        bands.push(
            lines
                .iter()
                .map(|line| half_width(solved.iter().filter_map(|s| line.asked.of(s, *x))))
                .collect(),
        );
    }
    for i in (1..slider.len().saturating_sub(1)).filter(|i| i % BAND_EVERY != 0) {
        bands[i] = (0..lines.len())
            .map(|k| {
                Some(f64::midpoint(
                    bands[i - 1].get(k).copied()??,
                    bands[i + 1].get(k).copied()??,
                ))
            })
            .collect();
    }
    bands
}

/// Half of the 95 % interval by the spread of the draws.
fn half_width(values: impl Iterator<Item = f64>) -> Option<f64> {
    let values: Vec<f64> = values.collect();
    if values.len() < 4 {
        return None;
    }
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let variance =
        values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (values.len() - 1) as f64;
    Some(1.96 * variance.sqrt())
}

fn lines(find: &Find, stage: &Stage, loaded: bool) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut add =
        |panel: usize, name: String, asked: Asked| lines.push(Line { panel, name, asked });
    if let Some(output) = &stage.ports.output
        && let Some(pair) = stage.across(output, 1)
    {
        let line = if output.lines.len() == 3 {
            "L1 to N"
        } else {
            "output"
        };
        add(0, line.to_owned(), Asked::Volts(pair));
    }
    for WindingAt {
        part,
        name,
        element,
        variable,
        taps,
        core,
    } in stage.windings(find, 1)
    {
        let label = format!("{part} {name}").trim().to_owned();
        if variable {
            let words = if taps.is_empty() {
                ["below the brush", "above the brush"]
            } else {
                ["tap to brush", "the rest"]
            };
            for (what, inner) in words.into_iter().zip([true, false]) {
                add(
                    1,
                    format!("{part} {what}"),
                    Asked::Piece {
                        element,
                        taps: taps.clone(),
                        inner,
                    },
                );
            }
        } else if loaded || name != "secondary" {
            add(1, label.clone(), Asked::Current(element));
        }
        if let Some(core) = core.filter(|_| name.is_empty() || name == "primary") {
            add(2, format!("{part} core"), Asked::Core(core));
        }
        add(2, format!("{label} copper"), Asked::Copper(element));
    }
    lines
}

/// See [`Asked::Piece`].
fn piece(solution: &Solution, element: usize, x: f64, taps: &[f64], inner: bool) -> Option<f64> {
    let pieces = &solution.currents[element];
    let nearest = |a: &&f64, b: &&f64| (*a - x).abs().total_cmp(&(*b - x).abs());
    let Some(tap) = taps.iter().min_by(nearest) else {
        let (below, above) = (
            pieces
                .iter()
                .rfind(|p| p.to <= x + SAME_PLACE && p.to > p.from),
            pieces
                .iter()
                .find(|p| p.from >= x - SAME_PLACE && p.to > p.from),
        );
        return if inner { below } else { above }.map(|p| p.amperes.norm());
    };
    let (low, high) = (x.min(*tap) - SAME_PLACE, x.max(*tap) + SAME_PLACE);
    let between = |p: &&network::PieceCurrent| p.from >= low && p.to <= high;
    let chosen = pieces.iter().filter(|p| between(p) == inner);
    chosen.map(|p| p.amperes.norm()).reduce(f64::max)
}

fn condition(find: &Find, conditions: Conditions, load_volts: f64) -> String {
    let phases = nominal::of(find).phases;
    let supply = show(conditions.supply, Unit::Volt, 3);
    let fed = if phases == 3 {
        format!("{supply} three-phase in")
    } else {
        format!("{supply} in")
    };
    if conditions.load > 0.0 {
        return format!(
            "{fed}, a resistive load of {} at {}",
            show(conditions.load, Unit::VoltAmpere, 2),
            show(load_volts, Unit::Volt, 3)
        );
    }
    format!("{fed}, no load")
}

/// Words for the two ends of the travel.
fn ends(find: &Find) -> (String, String) {
    let winding = find
        .parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::VariableAutotransformer(_)))
        .find_map(|p| {
            Some((
                p,
                p.kind
                    .wound()?
                    .windings
                    .iter()
                    .find(|w| !w.sliders.is_empty())?,
            ))
        });
    match winding {
        Some((part, winding)) => {
            let at = |point: Option<&gear::Point>| {
                point.map_or_else(String::new, |p| {
                    format!("{}:{}", part.designation, p.terminal)
                })
            };
            (at(winding.points.first()), at(winding.points.last()))
        }
        None => (String::new(), String::new()),
    }
}

fn damage(find: &Find) -> Vec<(f64, f64, String)> {
    find.damage
        .iter()
        .filter_map(|d| {
            let travel = d.travel.as_ref()?;
            Some((
                travel.from.value()?,
                travel.to.value()?,
                format!("{} {}", d.part, d.what),
            ))
        })
        .collect()
}
