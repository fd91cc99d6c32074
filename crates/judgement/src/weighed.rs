//! What is weighed beside the readings themselves: which wiring, what to repeat, what to read next; and what a later judgement begins from.

use crate::said::{CandidatesSaid, NextSaid, ReadingSaid, RepeatSaid};
use crate::{candidates, next, repeat};
use evidence::model::{Candidates, FindProblem, Memory, Nominal, candidates_from, stood_before};
use evidence::{Judged, Posterior};
use gear::Find;
use quantity::Decimal;

/// A candidate that stood above this before the last reading may be settled on.
const STOOD: f64 = 0.95;

/// What a judgement of the same find with more readings begins from.
#[derive(Debug, Clone, Default)]
pub(crate) struct Known {
    /// The posterior, with how many parameters it had.
    posterior: Option<(Posterior, usize)>,
    /// Which neighbours were how far behind.
    memory: Memory,
    /// The best candidate, where it stood above 0.95; none in it where nothing did.
    stood: Option<Option<String>>,
}

impl Known {
    /// The posterior a find with these readings more may begin from: nothing else may have changed but setups added behind.
    pub(crate) fn posterior(&self, was: &Find, is: &Find) -> Option<(&Posterior, usize)> {
        let grown = is.readings.starts_with(&was.readings)
            && is.setups.starts_with(&was.setups)
            && bare(was) == bare(is);
        self.posterior
            .as_ref()
            .filter(|_| grown)
            .map(|(posterior, parameters)| (posterior, *parameters))
    }
}

/// A find without what grows at its bench.
fn bare(find: &Find) -> Find {
    Find {
        readings: Vec::new(),
        setups: Vec::new(),
        damage: Vec::new(),
        notes: Vec::new(),
        kit: gear::Kit::default(),
        ..find.clone()
    }
}

/// What is weighed.
#[derive(Debug, Default)]
pub(crate) struct Weighed {
    pub(crate) candidates: Option<CandidatesSaid>,
    pub(crate) repeat_first: Option<RepeatSaid>,
    pub(crate) next: Option<NextSaid>,
    /// The candidates that were told beside the one recorded, as finds, in the order they were told.
    pub(crate) drawn: Vec<Find>,
    pub(crate) known: Known,
    /// Every way the find may be that is not excluded.
    pub(crate) possible: Vec<hazard::Possible>,
}

/// A find with its readings judged one by one.
pub(crate) struct Bench<'a> {
    pub(crate) find: &'a Find,
    pub(crate) nominal: Nominal,
    pub(crate) decimal: Decimal,
    pub(crate) problem: &'a mut FindProblem,
    pub(crate) judged: &'a Judged,
    /// What was known of the find with one reading less, where it was judged so.
    pub(crate) before: Option<(&'a Find, &'a Known)>,
}

impl Bench<'_> {
    /// Weighs the wiring as recorded against its neighbours, puts that into the verdicts, and asks for the next reading.
    pub(crate) fn weigh(self, readings: &mut [ReadingSaid]) -> Weighed {
        let Self {
            find,
            nominal,
            decimal,
            problem,
            judged,
            before,
        } = self;
        let mut memory = before.map_or_else(Memory::default, |(_, known)| known.memory.clone());
        let mut ranked = candidates_from(find, nominal, problem, judged, &mut memory);
        candidates::weigh(readings, &ranked);
        let stood = before
            .filter(|(was, _)| is_next(was, find))
            .and_then(|(_, known)| known.stood.clone())
            .unwrap_or_else(|| stood_before(&ranked));
        let possible = hazard::possible(&ranked);
        // Two questions that need nothing of each other: what to read next, and what of the readings taken to look at again.
        let (asked, repeat_first) = std::thread::scope(|both| {
            let again = both.spawn(|| {
                repeat::unnoticed(find, problem, judged, &possible, readings);
                repeat::first(problem, judged, readings)
            });
            let asked = ask::next(find, nominal, &mut ranked, judged, stood.as_deref());
            let again = again.join();
            (
                asked,
                again.unwrap_or_else(|gone| std::panic::resume_unwind(gone)),
            )
        });
        let said = candidates::said(find, &ranked, decimal);
        Weighed {
            next: Some(next::said(find, &asked, &ranked, decimal)),
            drawn: candidates::told(&ranked)
                .map(|c| c.variant.find.clone())
                .collect(),
            candidates: Some(said),
            repeat_first,
            known: Known {
                posterior: Some((judged.posterior.clone(), problem.problem.parameters.len())),
                memory,
                stood: Some(stands(&ranked)),
            },
            possible,
        }
    }
}

/// Whether a find is another with exactly one reading more.
fn is_next(was: &Find, is: &Find) -> bool {
    is.readings.len() == was.readings.len() + 1 && is.readings.starts_with(&was.readings)
}

/// The best candidate's words, if it stands above 0.95.
fn stands(ranked: &Candidates) -> Option<String> {
    let best = ranked.list.first()?;
    (best.ranked.probability > STOOD).then(|| best.variant.what.clone())
}
