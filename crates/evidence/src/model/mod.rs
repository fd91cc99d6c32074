//! From a find to a problem: which parameters it has, what is believed of them before any reading, which readings speak of them.
//!
//! [`FindProblem::new`] goes through the setups that readings were taken in, builds each one's equations, binds every value of them
//! to shared parameters (`registry`) with priors from plate and part or from what such gear is like (`priors`), and turns readings
//! into observations (`observe`). What cannot be used is kept with the reason. Knows no file, clock or screen.

mod bind;
mod cross_check;
mod crowded;
mod drift;
mod light;
mod observe;
mod priors;
mod registry;
pub mod rivals;
mod size;
#[cfg(test)]
mod tests;
mod undrawn;
pub mod usual;

pub use bind::Given;
pub use cross_check::{CrossCheck, cross_check};
pub use crowded::{Crowded, crowded};
pub use priors::Prior;
pub use registry::{Key, Named, Registry};
pub use rivals::{
    Against, Candidate, Candidates, Memory, candidates, candidates_from, stood_before,
};

use crate::{Binding, Problem, Station};
use gear::{Find, Measured, Reading, Setup};
use network::circuit::Circuit;
use network::{Model, ModelError, NetworkError, Solver};

/// What is known of the find as a whole that its parts may not say: from the plate, or the mains it was made for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nominal {
    /// Rated frequency, hertz.
    pub frequency: f64,
    /// Rated volts line to line (three phases) or line to neutral (one phase), where known.
    pub volts: Option<f64>,
    /// Rated throughput, volt-amperes, where known.
    pub power: Option<f64>,
    /// Phases.
    pub phases: u8,
}

/// One setup's equations: alternating (or fed with direct current), and dead, for ohms.
#[derive(Debug, Clone)]
pub struct SetupModel {
    /// The setup's number.
    pub setup: u32,
    /// Whether these are the equations for ohms.
    pub dead: bool,
    /// Its circuit with the meaning of each value.
    pub model: Model,
}

/// A problem made of a find, with what is needed to speak of it in the find's words.
#[derive(Debug, Clone)]
pub struct FindProblem {
    /// The problem; its stations are in the order of `models`.
    pub problem: Problem,
    /// The setups' equations.
    pub models: Vec<SetupModel>,
    /// Parameters by key and named quantities.
    pub registry: Registry,
    /// Readings that could not be used: number, why.
    pub unused: Vec<(u32, String)>,
    /// Setups whose equations could not be made or solved: number, what and what to do.
    pub faults: Vec<(u32, ModelError)>,
    /// Whether it is made to be judged, or only looked at.
    thorough: bool,
}

impl FindProblem {
    /// Makes the problem. Never fails: what cannot be used is listed.
    pub fn new(find: &Find, nominal: Nominal) -> Self {
        Self::made(find, nominal, true)
    }

    /// The same for a first look: no other places the leads may have been on, and no solver tried before it is asked.
    fn at_a_glance(find: &Find, nominal: Nominal) -> Self {
        Self::made(find, nominal, false)
    }

    fn made(find: &Find, nominal: Nominal, thorough: bool) -> Self {
        let mut made = Self {
            thorough,
            problem: Problem::default(),
            models: Vec::new(),
            registry: Registry::default(),
            unused: Vec::new(),
            faults: Vec::new(),
        };
        let mut moments = drift::Moments::default();
        for reading in &find.readings {
            if reading.struck.is_some() {
                continue;
            }
            if let Err(reason) = made.observe(find, nominal, reading, &mut moments) {
                made.unused.push((reading.number, reason));
            }
        }
        made.problem.drift = moments.settle(&mut made.problem.observations);
        made.problem.parameters = made.registry.parameters.clone();
        made.problem.starts = made.registry.starts();
        made.lift_light_burdens();
        made
    }

    /// Index of the station for a setup, made when first asked for.
    fn station(
        &mut self,
        find: &Find,
        nominal: Nominal,
        setup: &Setup,
        dead: bool,
    ) -> Result<usize, String> {
        if let Some(index) = self
            .models
            .iter()
            .position(|m| m.setup == setup.number && m.dead == dead)
        {
            return Ok(index);
        }
        let frequency = bind::frequency_of(setup, nominal);
        let built = if dead {
            Model::direct(find, setup)
        } else {
            Model::new(find, setup, frequency)
        };
        let model = built.map_err(|errors| self.fault(setup.number, errors))?;
        let given = Given {
            frequency,
            made_up: false,
        };
        let mut bindings: Vec<Binding> = model
            .meanings
            .iter()
            .map(|m| self.registry.bind(m, find, setup, nominal, &given))
            .collect();
        let mut circuit = model.circuit.clone();
        let grown = (&mut circuit, &mut bindings);
        self.registry
            .hang_undrawn(find, nominal, (setup, &model), grown);
        let solver = self
            .solvable(circuit, &bindings)
            .map_err(|error| self.fault(setup.number, vec![model.explain(&error)]))?;
        self.problem.stations.push(Station { solver, bindings });
        self.models.push(SetupModel {
            setup: setup.number,
            dead,
            model,
        });
        Ok(self.models.len() - 1)
    }

    /// The solver of a circuit, tried at the prior's centre: what has no solution there (a shorted source, parallel sources of unlike
    /// voltage) must not keep the other setups from being judged.
    fn solvable(&self, circuit: Circuit, bindings: &[Binding]) -> Result<Solver, NetworkError> {
        let centres = self.registry.centres();
        let values: Vec<f64> = bindings.iter().map(|b| b.value(&centres)).collect();
        let mut solver = Solver::new(circuit)?;
        if self.thorough {
            solver.solve(&values)?;
        }
        Ok(solver)
    }

    fn fault(&mut self, setup: u32, errors: Vec<ModelError>) -> String {
        let reason = errors
            .iter()
            .map(|e| format!("{}; {}", e.what, e.remedy))
            .collect::<Vec<_>>()
            .join("; ");
        for error in errors {
            if !self.faults.iter().any(|(s, e)| *s == setup && *e == error) {
                self.faults.push((setup, error));
            }
        }
        if reason.is_empty() {
            format!("setup {setup} has no equations yet")
        } else {
            reason
        }
    }

    fn observe(
        &mut self,
        find: &Find,
        nominal: Nominal,
        reading: &Reading,
        moments: &mut drift::Moments,
    ) -> Result<(), String> {
        let setup = find
            .setup(reading.setup)
            .ok_or_else(|| format!("setup {} is not in the find", reading.setup))?;
        if let Some(part) = unsorted(find, reading) {
            return Err(format!(
                "the windings of {part} are not sorted yet; this reading helps to trace them"
            ));
        }
        let dead = match reading.measured {
            Measured::Resistance | Measured::Continuity => true,
            Measured::AcVoltage
            | Measured::AcCurrent
            | Measured::Power
            | Measured::Ratio
            | Measured::DcVoltage
            | Measured::DcCurrent => false,
            Measured::Insulation | Measured::Frequency | Measured::Temperature | Measured::Kick => {
                return Err(format!("{} is kept, not judged", reading.measured.word()));
            }
        };
        let station = self.station(find, nominal, setup, dead)?;
        let seen = observe::Seen {
            find,
            nominal,
            setup,
            reading,
            station,
            model: &self.models[station].model,
            elsewhere: self.thorough,
        };
        let observation = observe::observation(&seen, &mut self.registry, moments)?;
        self.problem.observations.push(observation);
        Ok(())
    }

    /// The equations of a setup that nobody has measured in (a moved slider, another supply or load): its station and model.
    /// Values listed in `given` are fixed; everything else is bound to the parameters the problem has, or to prior centres. A setup
    /// without feeds gives the dead equations, for ohms.
    /// # Errors
    /// In the find's words.
    pub fn what_if(
        &mut self,
        find: &Find,
        nominal: Nominal,
        setup: &Setup,
        given: &Given,
    ) -> Result<(Station, Model), Vec<ModelError>> {
        let frequency = bind::frequency_of(setup, nominal);
        let model = if setup.feeds.is_empty() {
            Model::direct(find, setup)?
        } else {
            Model::new(find, setup, frequency)?
        };
        let solver = Solver::new(model.circuit.clone())
            .map_err(|e: NetworkError| vec![model.explain(&e)])?;
        let given = Given {
            frequency,
            ..given.clone()
        };
        let bindings = model
            .meanings
            .iter()
            .map(|m| self.registry.bind(m, find, setup, nominal, &given))
            .collect();
        self.problem.parameters = self.registry.parameters.clone();
        Ok((Station { solver, bindings }, model))
    }
}

/// The part with unsorted windings a reading is taken on, if one.
fn unsorted<'a>(find: &Find, reading: &'a Reading) -> Option<&'a gear::Designation> {
    let parts = reading.place.terminals().into_iter().map(|t| &t.part);
    parts.into_iter().find(|d| {
        find.part(d)
            .is_some_and(|p| matches!(p.kind, gear::PartKind::Unmarked(_)))
    })
}
