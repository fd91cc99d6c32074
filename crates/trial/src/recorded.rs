//! The trial of what was recorded wrong: a find on a sheet, the gear wired otherwise in one thing, readings taken from the gear.
//!
//! Finds go the whole way an owner's do: arrangement, joins, setups, readings as shown, [`FindProblem`], judgement, candidates. Truth is
//! drawn from the find's own priors. *Felt*: at the true values the wiring as recorded and the true one differ by more than four
//! standard uncertainties in some reading, or one of them has no value there. *Named first*: the first candidate is the true wiring; or
//! one that expects the same of every reading within one standard uncertainty, where the true one stands among the candidates and
//! nothing is said to be decided. Three runs of the same finds: one thing recorded wrong; nothing wrong; nothing
//! wrong but one reading misread.

mod made;
mod shown;
mod slip;

use crate::chance::Chance;
use crate::score::SEED_STRIDE;
use crate::table::rate;
use crate::words::Words;
use evidence::model::{Candidates, FindProblem, candidates};
use evidence::{Shown, judge};
use gear::Find;
use made::Made;
use shown::{Said, Values};
use slip::Kind;
use std::collections::HashMap;
use std::time::Instant;
use wiring::VariantKind;

/// What is wrong in a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wrong {
    /// One thing on the sheet.
    Recorded,
    /// Nothing.
    Nothing,
    /// One reading.
    Reading,
}

/// What a run counts.
#[derive(Debug, Clone, Default)]
pub struct Score {
    /// Finds judged.
    pub finds: usize,
    /// Finds in which a reading feels what is wrong.
    pub felt: usize,
    /// Of the felt, the true wiring first, or an equal with the true one in the list and nothing decided.
    pub named: usize,
    /// Of the named, those where an equal stands first.
    pub equals: usize,
    /// Of the felt, an equal first, and not named: the true one is not in the list, or the equal is said to be decided.
    pub only_equal: usize,
    /// Of the felt, above 0.95 together with those no reading tells from it.
    pub sure: usize,
    /// Of the felt, the wiring as recorded still first.
    pub believed: usize,
    /// Of the felt, neither.
    pub other: usize,
    /// Wrong wirings and setups together above 0.5.
    pub wrong: usize,
    /// A wrong wiring or setup above 0.95.
    pub wrong_sure: usize,
    /// Good readings, and those called *contradicts* by the judgement of the wiring as recorded.
    pub good: usize,
    /// Of them, called *contradicts* where the wiring as recorded stands first.
    pub accused: usize,
    /// Misread readings, and those called *contradicts* with the wiring as recorded first.
    pub misread: usize,
    /// Of them, found.
    pub found: usize,
    /// By kind of what was recorded wrong: felt, named.
    pub kinds: HashMap<&'static str, (usize, usize)>,
    /// Seconds each ranking took.
    pub seconds: Vec<f64>,
    /// Neighbours looked at.
    pub considered: Vec<usize>,
}

/// Above this a reading is called *contradicts*, and a candidate believed rather than not.
const MORE_LIKELY: f64 = 0.5;
/// Above this a candidate is said to be so.
const SURE: f64 = 0.95;
/// Standard uncertainties by which a reading feels a difference.
const FELT: f64 = 4.0;
/// Draws until a find can be made with what was drawn.
const TRIES: usize = 200;

/// Runs it: `--finds N --readings N --seed N`; the table as Markdown. `--show yes` tells of every find that was judged wrong.
/// # Errors
/// Words it does not understand, or a find that could not be made.
pub fn trial(mut words: Words) -> Result<String, String> {
    let finds = words.number("finds", 400)?;
    let readings = words.number("readings", 10)?;
    let seed = words.number("seed", 1)? as u64;
    let told = words.text("show").is_some_and(|said| said == "yes");
    words.done()?;
    let run = |wrong| run(finds, readings, seed, wrong, told);
    let (recorded, nothing, reading) = (
        run(Wrong::Recorded)?,
        run(Wrong::Nothing)?,
        run(Wrong::Reading)?,
    );
    Ok(table(&recorded, &nothing, &reading))
}

/// Draws and judges finds.
/// # Errors
/// What kept a find from being made, in words: a fault of ours.
pub fn run(
    finds: usize,
    readings: usize,
    seed: u64,
    wrong: Wrong,
    told: bool,
) -> Result<Score, String> {
    let mut score = Score::default();
    for number in 0..finds {
        let seed = seed.wrapping_add((number as u64).wrapping_mul(SEED_STRIDE));
        let mut chance = Chance::new(seed);
        let case = (0..TRIES)
            .find_map(|_| Case::draw(readings, wrong, &mut chance).transpose())
            .ok_or("no find could be drawn")??;
        case.count(&mut score, told.then_some(number));
    }
    Ok(score)
}

/// One find with the truth behind it.
struct Case {
    made: Made,
    recorded: Find,
    truth: Find,
    kind: Option<Kind>,
    values: Values,
    /// What is truly at every reading's place.
    truly: HashMap<u32, Said>,
    misread: Option<u32>,
}

impl Case {
    /// Draws a find; none where what was drawn cannot be so.
    fn draw(readings: usize, wrong: Wrong, chance: &mut Chance) -> Result<Option<Self>, String> {
        let made = made::make(chance)?;
        let mut taken = made.plan(readings, chance)?;
        let drawn = match wrong {
            Wrong::Recorded => {
                slip::truth(&made.find, chance).map(|(truth, kind)| (truth, Some(kind)))
            }
            Wrong::Nothing | Wrong::Reading => Some((made.find.clone(), None)),
        };
        let Some((truth, kind)) = drawn else {
            return Ok(None);
        };
        let Some((values, truly)) = shown::take(&truth, made.nominal, &mut taken, chance) else {
            return Ok(None);
        };
        let mut misread = None;
        if wrong == Wrong::Reading {
            let one = chance.below(taken.len());
            if !shown::misread(&mut taken[one], chance) {
                return Ok(None);
            }
            misread = Some(taken[one].number);
        }
        let mut recorded = made.find.clone();
        recorded.readings = taken;
        Ok(Some(Self {
            made,
            recorded,
            truth,
            kind,
            values,
            truly,
            misread,
        }))
    }

    fn count(&self, score: &mut Score, told: Option<usize>) {
        let mut base = FindProblem::new(&self.recorded, self.made.nominal);
        let Ok(judged) = judge(&mut base.problem) else {
            return;
        };
        score.finds += 1;
        let felt = self.differs(&mut base.clone(), FELT);
        let start = Instant::now();
        let mut ranked = candidates(&self.recorded, self.made.nominal, &base, &judged);
        score.seconds.push(start.elapsed().as_secs_f64());
        score.considered.push(ranked.considered);
        let (mut of_right, mut of_wrong) = (0.0, 0.0);
        let (mut as_recorded, mut right, mut itself, mut listed) = (false, false, false, false);
        for (place, one) in ranked.list.iter_mut().enumerate() {
            let recorded = one.variant.kind == VariantKind::AsRecorded;
            let is_right =
                !self.differs(&mut one.problem, 1.0) && (self.kind.is_some() || recorded);
            if is_right {
                of_right += one.ranked.probability;
            } else if !recorded {
                of_wrong += one.ranked.probability;
            }
            let is_it = slip::same(&one.variant.find, &self.truth);
            listed |= is_it;
            if place == 0 {
                (as_recorded, right, itself) = (recorded, is_right, is_it);
            }
        }
        let named = right && (itself || (listed && !ranked.decided));
        if self.kind.is_some() && felt {
            score.felt += 1;
            score.named += usize::from(named);
            score.equals += usize::from(named && !itself);
            score.only_equal += usize::from(right && !named);
            score.sure += usize::from(right && of_right > SURE);
            score.believed += usize::from(!right && as_recorded);
            score.other += usize::from(!right && !as_recorded);
            let word = Kind::ALL
                .iter()
                .find(|k| Some(k.0) == self.kind)
                .map_or("", |k| k.2);
            let of_kind = score.kinds.entry(word).or_default();
            of_kind.0 += 1;
            of_kind.1 += usize::from(named);
        }
        let blames = !right && !as_recorded;
        score.wrong += usize::from(of_wrong > MORE_LIKELY);
        score.wrong_sure += usize::from(of_wrong > SURE);
        for reading in &judged.readings {
            let called = as_recorded && reading.wrong > MORE_LIKELY;
            if Some(reading.number) == self.misread {
                score.misread += 1;
                score.found += usize::from(called);
            } else {
                score.good += 1;
                score.accused += usize::from(called);
            }
        }
        if let Some(number) = told
            && (blames || (felt && !named))
        {
            self.tell(number, felt, &ranked);
        }
    }

    /// Whether what a wiring expects at the true values differs from what is truly there by more than so many standard uncertainties.
    fn differs(&self, problem: &mut FindProblem, by: f64) -> bool {
        let expected = self.values.answers(problem);
        self.recorded.readings.iter().any(|reading| {
            let there = self
                .truly
                .get(&reading.number)
                .copied()
                .unwrap_or(Said::Nothing);
            let told = expected
                .get(&reading.number)
                .copied()
                .unwrap_or(Said::Nothing);
            match (there, told) {
                (Said::Value(one), Said::Value(other)) => {
                    let observation = problem
                        .problem
                        .observations
                        .iter()
                        .find(|o| o.number == reading.number);
                    let sigma = match observation.map(|o| o.shown) {
                        Some(Shown::Value { sigma, .. }) => sigma,
                        _ => return false,
                    };
                    let gain = observation
                        .and_then(|o| o.gain)
                        .map_or(0.0, |g| problem.problem.parameters[g].width);
                    (one - other).abs() > by * sigma.hypot(gain * one.max(other))
                }
                (one, other) => one != other,
            }
        })
    }

    fn tell(&self, number: usize, felt: bool, ranked: &Candidates) {
        eprintln!(
            "find {number} {:?} felt {felt} {:?}",
            self.recorded.arrangement, self.kind
        );
        for reading in &self.recorded.readings {
            eprintln!(
                "  {} setup {} {} shown {} truly {:?}",
                reading.number,
                reading.setup,
                reading.place,
                reading.shown.as_ref().map_or("", |q| q.text()),
                self.truly.get(&reading.number)
            );
        }
        let mut truth = self.truth.clone();
        truth.readings.clone_from(&self.recorded.readings);
        let mut problem = FindProblem::new(&truth, self.made.nominal);
        let log = judge(&mut problem.problem).map_or(f64::NAN, |judged| judged.log_evidence);
        eprintln!("  truth has {log:.1}");
        for (one, other) in self.recorded.joins.iter().zip(&self.truth.joins) {
            if one != other {
                eprintln!(
                    "    {:?} is {:?}",
                    words(&one.terminals),
                    words(&other.terminals)
                );
            }
        }
        for one in ranked.list.iter().take(4) {
            eprintln!(
                "  {:.4} {:.1} {}",
                one.ranked.probability, one.ranked.log_evidence, one.variant.what
            );
        }
    }
}

fn words(terminals: &[gear::TerminalRef]) -> Vec<String> {
    terminals.iter().map(ToString::to_string).collect()
}

fn table(recorded: &Score, nothing: &Score, reading: &Score) -> String {
    let mut text = String::from("| | |\n| --- | --- |\n");
    let mut row = |name: &str, told: String| text += &format!("| {name} | {told} |\n");
    let it = recorded;
    row(
        "**one thing recorded wrong**: finds, felt by a reading",
        format!("{}, {}", it.finds, it.felt),
    );
    row("named first, of those felt", rate(it.named, it.felt));
    row(
        "of them the first of equals no reading tells apart, *undecided* said and the true one among them",
        rate(it.equals, it.named),
    );
    row(
        "only an equal of the true one named, of those felt",
        rate(it.only_equal, it.felt),
    );
    row("named above 0.95, equals together", rate(it.sure, it.felt));
    row(
        "the wiring as recorded still first",
        rate(it.believed, it.felt),
    );
    row("another first", rate(it.other, it.felt));
    row(
        "others together above 0.95, of all",
        rate(it.wrong_sure, it.finds),
    );
    let mut kinds: Vec<_> = it.kinds.iter().collect();
    kinds.sort();
    for (kind, (felt, named)) in kinds {
        row(&format!("named first: {kind}"), rate(*named, *felt));
    }
    row(
        "readings accused with the wiring as recorded first",
        rate(it.accused, it.good),
    );
    for (name, it) in [("nothing wrong", nothing), ("one reading misread", reading)] {
        row(&format!("**{name}**: finds"), it.finds.to_string());
        row(
            "a wrong wiring or setup above 0.5",
            rate(it.wrong, it.finds),
        );
        row(
            "a wrong wiring or setup above 0.95",
            rate(it.wrong_sure, it.finds),
        );
        row("good readings accused", rate(it.accused, it.good));
        if it.misread > 0 {
            row(
                "misread readings found, the drawing not blamed",
                rate(it.found, it.misread),
            );
        }
    }
    let mut seconds = [&recorded.seconds[..], &nothing.seconds, &reading.seconds].concat();
    seconds.sort_by(f64::total_cmp);
    let at = |share: f64| {
        seconds
            .get((share * (seconds.len().max(1) - 1) as f64) as usize)
            .map_or(0.0, |s| 1e3 * s)
    };
    row(
        "time of a ranking: median, 95th percentile",
        format!("{:.1}, {:.1} ms", at(0.5), at(0.95)),
    );
    let considered: usize = recorded.considered.iter().sum();
    row(
        "neighbours looked at, mean",
        format!(
            "{:.0}",
            considered as f64 / recorded.considered.len().max(1) as f64
        ),
    );
    text
}
