//! One find to all that is said of it: the order in which plate, network, evidence and behaviour are asked.

use crate::behaviour;
use crate::belief::Belief;
use crate::brief::{self, Prior};
use crate::cautions;
use crate::doubted;
use crate::exposed::{Exposed, exposed};
use crate::learned;
use crate::live;
use crate::nominal;
use crate::plate;
use crate::readings::Seen;
use crate::said::{Behaviour, Head, HowItWorks, Judgement, Live, ReadingSaid, Verdict, WiringSaid};
use crate::stage::{Conditions, Fed, Rated};
use crate::stages::{self, Stages};
use crate::tracing;
use crate::unlocks;
use crate::weighed::{Bench, Known, Weighed};
use evidence::model::{FindProblem, Key, Nominal};
use evidence::{Judged, Posterior};
use gear::{Find, Reading, Setup, TerminalRef};
use quantity::{Decimal, Quantity, Unit};
use std::sync::{Mutex, OnceLock};

/// Draws of the posterior behind the bands of the charts: enough for a width good to a fifth.
const DRAWS: usize = 16;

/// A find with everything said of it, ready to answer for other conditions.
pub struct Judge {
    find: Find,
    /// All but the charts, which nobody waits for.
    promptly: Judgement,
    whole: OnceLock<Judgement>,
    decimal: Decimal,
    belief: Belief,
    draws: Vec<Belief>,
    rated: Option<Rated>,
    /// Supply of the drawn setup as the readings have it, line to line for three phases.
    drawn_supply: Option<f64>,
    stages: Mutex<Stages>,
    /// The candidates told, as finds.
    drawn: Vec<Find>,
    known: Known,
    /// Every way the find may be that is not excluded; empty before a reading can be judged.
    possible: Vec<hazard::Possible>,
}

impl Judge {
    /// Judges a find; never fails: what cannot be judged is said, with what would unlock it.
    pub fn new(find: Find) -> Self {
        Self::judged(find, None)
    }

    /// Judges a find that was judged before, most often with one reading less: begins from what is known and says the same, sooner.
    pub fn after(previous: &Self, find: Find) -> Self {
        Self::judged(find, Some(previous))
    }

    fn judged(find: Find, previous: Option<&Self>) -> Self {
        let typed = find.plate;
        let find = Find {
            plate: plate::completed(&typed),
            ..find
        };
        let nominal = nominal::of(&find);
        let decimal = decimal_of(&find);
        let before = previous.map(|p| (&p.find, &p.known));
        let mut problem = FindProblem::new(&find, nominal);
        let judged = judged(
            &mut problem,
            before.and_then(|(was, k)| k.posterior(was, &find)),
        );
        let prior = Belief::prior(&problem.problem.parameters);
        let (belief, draws) = beliefs(&problem, judged.as_ref());
        let mut readings = said_of_readings(&find, nominal, decimal, &problem, judged.as_ref());
        let weighed = judged.as_ref().map_or_else(Weighed::default, |judged| {
            let bench = Bench {
                find: &find,
                nominal,
                decimal,
                problem: &mut problem,
                judged,
                before,
            };
            bench.weigh(&mut readings)
        });
        let learned = if judged.is_some() {
            learned::learned(&problem.registry.named, &prior, &belief, decimal)
        } else {
            Vec::new()
        };
        let drawn = drawn_setup(&find);
        let rated = stages::rated(&find, drawn);
        let mut faults = faults(&find, &problem);
        let stages = Stages::new(&find, &mut problem, nominal, drawn, &mut faults);
        let drawn_supply = drawn_supply(&find, &problem, &belief);
        let belief = belief.widened(&problem.problem.parameters);
        let draws: Vec<Belief> = draws
            .into_iter()
            .map(|d| d.widened(&problem.problem.parameters))
            .collect();
        let plate = plate::judge(&typed, find.arrangement.as_deref());
        let tracing = tracing::said(&find, decimal);
        let trouble = !plate.contradictions.is_empty()
            || readings.iter().any(|r| r.verdict == Verdict::Contradicts)
            || tracing.iter().any(|t| !t.contradictions.is_empty());
        let mut judge = Self {
            promptly: Judgement {
                find: Head {
                    name: find.name.clone(),
                    number: find.number,
                    summary: plate::summary(&typed),
                    trouble,
                },
                wiring: wiring_said(&find, faults),
                unlocks: unlocks::unlocks(&find, &readings, &learned),
                cautions: cautions::cautions(&find),
                plate,
                readings,
                candidates: weighed.candidates,
                repeat_first: weighed.repeat_first,
                next: weighed.next,
                tracing,
                learned,
                behaviour: None,
                how_it_works: HowItWorks::default(),
            },
            whole: OnceLock::new(),
            find,
            decimal,
            belief,
            draws,
            rated,
            drawn_supply,
            stages: Mutex::new(stages),
            drawn: weighed.drawn,
            known: weighed.known,
            possible: weighed.possible,
        };
        judge.promptly.how_it_works.sentences = judge
            .rated_conditions()
            .and_then(|c| judge.live_without_charts(c))
            .map(|l| l.sentences)
            .unwrap_or_else(|| crate::works::sentences(&judge.find, None));
        judge
    }

    /// What is said.
    pub fn judgement(&self) -> &Judgement {
        self.whole.get_or_init(|| Judgement {
            behaviour: self.rated_conditions().and_then(|c| self.behaviour(c)),
            ..self.promptly.clone()
        })
    }

    /// What is said but for the charts (`behaviour` is left out): for who waits.
    pub fn promptly(&self) -> &Judgement {
        &self.promptly
    }

    /// The priors it took: what was believed of each parameter before any reading, and what that rests on.
    pub fn priors(&self) -> Vec<Prior<'_>> {
        brief::priors(&self.promptly.learned)
    }

    /// The find as it would be under the candidate in this place of the ranking ([`crate::CandidatesSaid::ranked`]).
    pub fn candidate(&self, place: usize) -> Option<&Find> {
        self.drawn.get(place)
    }

    /// Where other wirings are likelier than the one recorded: the terminals they join to others or turn about, and what they are, in words.
    /// `None` where the drawing as recorded holds, or where the difference is none of these (a setup, a slider).
    pub fn doubted(&self) -> Option<(Vec<TerminalRef>, String)> {
        let candidates = self.promptly.candidates.as_ref()?;
        let mut terminals = Vec::new();
        let mut words = Vec::new();
        for place in doubted::likelier(candidates) {
            let other = self.candidate(place)?;
            terminals.extend(doubted::moved(&self.find, other));
            terminals.extend(doubted::turned(&self.find, other));
            words.push(candidates.ranked.get(place)?.words.as_str());
        }
        (!terminals.is_empty()).then(|| (terminals, words.join(", or ")))
    }

    /// What can stand on the find in a setup, made or to be made: its class with the order of the step and the limit to stop at.
    pub fn exposed(&self, setup: &Setup) -> Exposed {
        exposed(&self.find, setup, &self.possible, self.decimal)
    }

    /// The decimal sign its readings are written with.
    pub fn decimal(&self) -> Decimal {
        self.decimal
    }

    /// The find, its plate completed from its own text.
    pub fn find(&self) -> &Find {
        &self.find
    }

    /// The find at its plate's volts and load, sliders where the drawn setup has them; `None` where there is no network.
    pub fn rated_conditions(&self) -> Option<Conditions> {
        let rated = self.rated?;
        Some(Conditions {
            fed: Fed::ByPlate,
            slider: rated.slider,
            supply: rated.supply,
            load: rated.power.unwrap_or(0.0),
        })
    }

    /// Conditions of the drawn setup: its supply as believed, no load; `None` where there is no network.
    pub fn drawn_conditions(&self) -> Option<Conditions> {
        let rated = self.rated?;
        Some(Conditions {
            fed: Fed::AsDrawn,
            slider: rated.slider,
            supply: self.drawn_supply.unwrap_or(rated.supply),
            load: 0.0,
        })
    }

    /// The setup whose readings stand on the drawing: the latest that is fed and has readings, else the latest.
    pub fn drawn_setup(&self) -> Option<&Setup> {
        drawn_setup(&self.find)
    }

    /// The drawn setup with every slider moved to this position.
    pub fn drawn_setup_at(&self, slider: f64) -> Option<Setup> {
        let mut setup = self.drawn_setup()?.clone();
        let at = crate::ports::position(slider)?;
        setup.sliders = crate::ports::movers(&self.find)
            .into_iter()
            .map(|slider| gear::SliderSetting {
                slider,
                at: at.clone(),
            })
            .collect();
        Some(setup)
    }

    /// What is so under these conditions; `None` where there is no network or it has no answer there.
    pub fn live(&self, conditions: Conditions) -> Option<Live> {
        let mut live = self.live_without_charts(conditions)?;
        if let Some(behaviour) = &self.judgement().behaviour {
            live.read_outs = live::read_outs(behaviour, conditions.slider, self.decimal);
        }
        Some(live)
    }

    /// What is so under these conditions but for the charts' read-outs.
    pub fn live_without_charts(&self, conditions: Conditions) -> Option<Live> {
        let mut stages = self.stages.lock().ok()?;
        let stage = stages.choose(conditions)?;
        let setup = drawn_setup(&self.find).map(|s| s.number);
        let shown: Vec<&Reading> = self
            .find
            .readings
            .iter()
            .filter(|r| r.struck.is_none() && Some(r.setup) == setup)
            .collect();
        live::live(
            &self.find,
            stage,
            &self.belief,
            self.decimal,
            conditions,
            &shown,
        )
        .ok()
    }

    /// The charts' values at a slider position, in words with their units: panel, series, value.
    pub fn read_outs(&self, behaviour: &Behaviour, slider: f64) -> Vec<(usize, usize, String)> {
        live::read_outs(behaviour, slider, self.decimal)
    }

    /// The travel charts under these conditions; `None` where there is no slider or no network.
    pub fn behaviour(&self, conditions: Conditions) -> Option<Behaviour> {
        if crate::ports::movers(&self.find).is_empty() {
            return None;
        }
        let mut stages = self.stages.lock().ok()?;
        let stage = stages.choose(conditions)?;
        behaviour::behaviour(&self.find, stage, &self.belief, &self.draws, conditions).ok()
    }
}

/// What keeps the network from being made or solved, with the remedies.
fn faults(find: &Find, problem: &FindProblem) -> Vec<String> {
    let of_data = find.faults();
    let of_data = of_data.iter().map(|f| format!("{}; {}", f.what, f.remedy));
    let odd = wiring::oddities(find, None);
    let odd = odd.iter().map(|o| format!("{}; {}", o.what, o.remedy));
    let of_setups = problem
        .faults
        .iter()
        .map(|(setup, e)| format!("setup {setup}: {e}"));
    of_data.chain(odd).chain(of_setups).collect()
}

/// The evidence's judgement; why there is none, where readings there are but no answer, goes to the problem's faults.
fn judged(problem: &mut FindProblem, known: Option<(&Posterior, usize)>) -> Option<Judged> {
    let first = problem.problem.observations.first()?.station;
    let judged = match known {
        Some((posterior, parameters)) => {
            evidence::judge_from(&mut problem.problem, posterior, parameters)
        }
        None => evidence::judge(&mut problem.problem),
    };
    match judged {
        Ok(judged) => Some(judged),
        Err(error) => {
            let at = &problem.models[first];
            let fault = (at.setup, at.model.explain(&error));
            problem.faults.push(fault);
            None
        }
    }
}

fn beliefs(problem: &FindProblem, judged: Option<&Judged>) -> (Belief, Vec<Belief>) {
    let parameters = &problem.problem.parameters;
    match judged.and_then(|j| Some((j, j.posterior.modes.first()?))) {
        Some((judged, mode)) => {
            let draws = judged.posterior.draws(DRAWS, 1);
            (
                Belief::posterior(parameters, mode),
                draws
                    .into_iter()
                    .map(|z| Belief::drawn(parameters, z))
                    .collect(),
            )
        }
        None => (Belief::prior(parameters), Vec::new()),
    }
}

fn said_of_readings(
    find: &Find,
    nominal: Nominal,
    decimal: Decimal,
    problem: &FindProblem,
    judged: Option<&Judged>,
) -> Vec<ReadingSaid> {
    let seen = Seen {
        find,
        phases: nominal.phases,
        decimal,
    };
    let mut said: Vec<ReadingSaid> = find
        .readings
        .iter()
        .map(|reading| {
            let evidence =
                judged.and_then(|j| j.readings.iter().find(|e| e.number == reading.number));
            if let (Some(evidence), None) = (evidence, &reading.struck) {
                return seen.judged(reading, evidence);
            }
            let reason = problem
                .unused
                .iter()
                .find(|(n, _)| *n == reading.number)
                .map_or("no network yet", |(_, reason)| reason.as_str());
            seen.not_judged(reading, reason)
        })
        .collect();
    said.sort_by_key(|r| r.number);
    said
}

fn wiring_said(find: &Find, faults: Vec<String>) -> WiringSaid {
    let arrangement = find
        .arrangement
        .as_deref()
        .map(|key| wiring::arrangement(key).map_or_else(|| key.to_owned(), |a| a.name.to_owned()));
    let joins = find
        .joins
        .iter()
        .map(|j| {
            (
                j.terminals.iter().map(ToString::to_string).collect(),
                j.state.word().to_owned(),
            )
        })
        .collect();
    WiringSaid {
        arrangement,
        joins,
        faults,
    }
}

fn drawn_setup(find: &Find) -> Option<&Setup> {
    let has_readings = |s: &&Setup| find.readings.iter().any(|r| r.setup == s.number);
    let fed = || find.setups.iter().filter(|s| !s.feeds.is_empty());
    fed()
        .rfind(has_readings)
        .or_else(|| fed().next_back())
        .or_else(|| find.setups.last())
}

/// The drawn setup's supply: as believed after the readings, else as noted.
fn drawn_supply(find: &Find, problem: &FindProblem, belief: &Belief) -> Option<f64> {
    let setup = drawn_setup(find)?;
    let feed = setup.feeds.first()?;
    let believed = problem
        .registry
        .get(&Key::Supply(setup.number, 0))
        .and_then(|i| belief.parameter(i));
    let line = if feed.to.len() == 3 { 3f64.sqrt() } else { 1.0 };
    believed
        .map(|v| v * line)
        .or_else(|| feed.volts.as_ref()?.value())
}

/// Volts as written, or `otherwise` when nothing was written. A bare figure is volts.
/// # Errors
/// What is wrong with the text and what to write.
pub fn volts(text: Option<&str>, otherwise: f64) -> Result<f64, String> {
    written(text, Unit::Volt, otherwise)
}

/// Volt-amperes as written (watts count alike at power factor 1), or `otherwise` when nothing was written; `0` is no load.
/// # Errors
/// What is wrong with the text and what to write.
pub fn volt_amperes(text: Option<&str>, otherwise: f64) -> Result<f64, String> {
    match text.map(Quantity::parse) {
        Some(Ok(q)) if q.unit() == Unit::Watt => written(text, Unit::Watt, otherwise),
        _ => written(text, Unit::VoltAmpere, otherwise),
    }
}

fn written(text: Option<&str>, unit: Unit, otherwise: f64) -> Result<f64, String> {
    let Some(text) = text.filter(|t| !t.trim().is_empty()) else {
        return Ok(otherwise);
    };
    let quantity = match Quantity::parse(text) {
        Ok(q) if q.unit() == Unit::One => q,
        _ => Quantity::parse_as(text, unit).map_err(|e| e.to_string())?,
    };
    quantity.value().filter(|v| *v >= 0.0).ok_or_else(|| {
        format!(
            "`{text}` is no single value from 0 up; write it like `230 {}`",
            unit.symbol()
        )
    })
}

/// The decimal sign of the book: a comma where the readings are written with commas.
fn decimal_of(find: &Find) -> Decimal {
    let commas = find
        .readings
        .iter()
        .filter(|r| r.shown.as_ref().is_some_and(|q| q.text().contains(',')))
        .count();
    if commas * 2 > find.readings.len() {
        Decimal::Comma
    } else {
        Decimal::Point
    }
}
