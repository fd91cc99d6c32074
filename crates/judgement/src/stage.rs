//! The find as it would stand under conditions nobody has measured in: fed, loaded and set by hand, its parameters as believed.
//!
//! One stage holds one pattern of equations; moving a slider, the supply or the load only changes values in it.

use crate::belief::Belief;
use crate::ports::{self, Ports};
use evidence::model::{FindProblem, Given, Nominal};
use evidence::{Binding, Station};
use gear::{Find, PartKind, Setup};
use network::circuit::{ElementId, Node};
use network::{Belongs, Meaning, Model, ModelError, NetworkError, Solution};

/// Where a find is fed in conditions nobody made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fed {
    /// Where the drawn setup feeds it.
    AsDrawn,
    /// Where its plate and strips say it is to be fed.
    ByPlate,
}

/// Conditions of a stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Where it is fed.
    pub fed: Fed,
    /// Position of every slider, fraction of the turns; ganged ones each with their own offset.
    pub slider: f64,
    /// Supply, RMS volts: line to line for three phases, across the feed for one.
    pub supply: f64,
    /// Load on the output, volt-amperes at its rated volts and power factor 1; 0 is none.
    pub load: f64,
}

/// A stage.
#[derive(Debug, Clone)]
pub(crate) struct Stage {
    pub(crate) station: Station,
    pub(crate) model: Model,
    pub(crate) ports: Ports,
    pub(crate) setup: Setup,
    /// Volts the load's volt-amperes are for: line to line for three phases.
    pub(crate) load_volts: f64,
    loaded: bool,
    three: bool,
}

impl Stage {
    /// The stage of a find; `loaded` puts a load on the output, `like` is the setup whose switches hold.
    /// # Errors
    /// In the find's words.
    pub(crate) fn new(
        find: &Find,
        problem: &mut FindProblem,
        nominal: Nominal,
        ports: Ports,
        at: Rated,
        loaded: bool,
        like: Option<&Setup>,
    ) -> Result<Self, Vec<ModelError>> {
        let load = loaded.then_some((1.0, at.output_volts));
        let setup = ports::made_up(find, &ports, like, at.supply, at.slider, load);
        let (station, model) = problem.what_if(
            find,
            nominal,
            &setup,
            &Given {
                frequency: 0.0,
                made_up: true,
            },
        )?;
        let three = ports.input.lines.len() == 3;
        Ok(Self {
            station,
            model,
            ports,
            setup,
            load_volts: at.output_volts,
            loaded,
            three,
        })
    }

    /// Sets slider, supply and load.
    pub(crate) fn set(&mut self, conditions: Conditions) {
        let volts = if self.three {
            conditions.supply / 3f64.sqrt()
        } else {
            conditions.supply
        };
        for (meaning, binding) in self.model.meanings.iter().zip(&mut self.station.bindings) {
            match (meaning, binding) {
                (Meaning::SourceVolts { .. }, binding) => *binding = Binding::Fixed(volts),
                (Meaning::SliderAt { .. }, Binding::Sum { constant, .. }) => {
                    *constant = conditions.slider
                }
                (Meaning::LoadOhms { .. }, binding) if self.loaded => {
                    *binding = Binding::Fixed(
                        self.load_volts * self.load_volts / conditions.load.max(1e-9),
                    );
                }
                _ => {}
            }
        }
    }

    /// Solves under a belief.
    pub(crate) fn solve(&mut self, belief: &Belief) -> Result<Solution, NetworkError> {
        let values = belief.circuit_values(&self.station);
        self.station.solver.solve(&values)
    }

    /// Every wound part of one phase with the elements of its windings.
    pub(crate) fn windings(&self, find: &Find, phase: u8) -> Vec<WindingAt> {
        let mut found = Vec::new();
        for part in find
            .parts
            .iter()
            .filter(|p| p.phase.is_none_or(|n| n == phase))
        {
            let Some(wound) = part.kind.wound() else {
                continue;
            };
            for (index, winding) in wound.windings.iter().enumerate() {
                let Some(element) = self.model.winding(&part.designation, index) else {
                    continue;
                };
                let inner = winding.points.len().saturating_sub(2);
                let taps = winding.points.iter().skip(1).take(inner);
                // The tap it is fed at is an end of what the brush divides, not a tap of it.
                let input = &self.ports.input;
                let is_fed = |p: &&gear::Point| {
                    let terminal = part.terminal(&p.terminal);
                    input
                        .lines
                        .iter()
                        .chain(&input.against)
                        .any(|t| *t == terminal)
                };
                let taps = taps.filter(|p| !is_fed(p));
                let variable = matches!(part.kind, PartKind::VariableAutotransformer(_))
                    || !winding.sliders.is_empty();
                found.push(WindingAt {
                    part: part.designation.to_string(),
                    name: if wound.windings.len() > 1 {
                        winding.name.clone()
                    } else {
                        String::new()
                    },
                    element,
                    variable,
                    taps: taps.filter_map(|p| p.at.as_ref()?.value()).collect(),
                    core: self.model.core_of(&part.designation),
                });
            }
        }
        found
    }

    /// The two nodes of a port's phase: its line, and what it stands against.
    pub(crate) fn across(&self, port: &ports::Port, phase: u8) -> Option<(Node, Node)> {
        let line = port
            .lines
            .get(usize::from(phase.max(1)) - 1)
            .or_else(|| port.lines.first())?;
        let against = port
            .against
            .as_ref()
            .or_else(|| port.lines.iter().find(|l| *l != line))?;
        Some((self.model.node(line)?, self.model.node(against)?))
    }
}

/// Rated conditions a stage starts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rated {
    pub(crate) supply: f64,
    pub(crate) slider: f64,
    pub(crate) output_volts: f64,
    pub(crate) power: Option<f64>,
}

/// A winding of a stage.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct WindingAt {
    /// "T1".
    pub(crate) part: String,
    /// "primary"; empty for an only winding.
    pub(crate) name: String,
    pub(crate) element: ElementId,
    pub(crate) variable: bool,
    /// Positions of its inner taps.
    pub(crate) taps: Vec<f64>,
    pub(crate) core: Option<usize>,
}

/// Volts between two nodes, when they are in one island.
pub(crate) fn volts(solution: &Solution, (a, b): (Node, Node)) -> Option<f64> {
    (solution.island[a.0] == solution.island[b.0])
        .then(|| (solution.voltages[a.0] - solution.voltages[b.0]).norm())
}

/// Largest current of an element.
pub(crate) fn current(solution: &Solution, element: ElementId) -> f64 {
    solution.currents[element.0]
        .iter()
        .map(|p| p.amperes.norm())
        .fold(0.0, f64::max)
}

/// All losses in the find, watts: copper and cores; what its loads take is no loss.
pub(crate) fn losses(model: &Model, solution: &Solution) -> f64 {
    let inside = |belongs: &Belongs| {
        !matches!(
            belongs,
            Belongs::Load { .. } | Belongs::Feed { .. } | Belongs::Earthing { .. }
        )
    };
    let copper: f64 = model
        .belongs
        .iter()
        .zip(&solution.copper_loss)
        .filter(|(b, _)| inside(b))
        .map(|(_, w)| w)
        .sum();
    copper + solution.core_loss.iter().sum::<f64>()
}
