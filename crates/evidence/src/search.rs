//! The search over sets of readings held to be misread.
//!
//! Each set that matters gets its own refit without those readings and its own evidence, so that two slips that support each other are
//! seen together. Seeds: where robust fits land, without the readings that stand far off there. The best few sets are widened by the
//! readings with the worst odds and narrowed by taking one back, until none of the best is unexplored. A new set is first guessed from
//! its parent's odds, then foreseen on straight lines (`view`), and refitted only if it could matter to a verdict or if straight lines
//! lead too far to be believed. From the best set's peak the search crosses to the other side of every tap (`mirror`).

mod afar;
mod weigh;

use crate::fitting::{Peak, anneal, polish, refit, refit_unless, robust};
use crate::optimise::Equations;
use crate::posed::Posed;
use crate::slips::Slip;
use crate::view::View;
use network::NetworkError;
use std::collections::BTreeMap;
use std::rc::Rc;
use weigh::is_suspect;
pub(crate) use weigh::{KEPT_SHARE, log_sum};

/// How many of the best sets are explored.
const WIDTH: usize = 5;
/// How many of the best sets are refitted if they come near the best.
const REFIT_WIDTH: usize = 12;
/// How many readings are tried beside each.
const FAN_OUT: usize = 4;
/// Sets this far behind the best in ln of probability are not explored: all their kin together would not move a verdict.
const FAR_BEHIND: f64 = 14.0;
/// Sets this far behind the best are not refitted: what they weigh is a quarter of a per cent, told well enough by straight lines.
const NEAR_BEST: f64 = 6.0;
/// A set that costs this much more than the least, in ln, is not worth a fit to its end: no readings taken for good where others were
/// taken for slips make up for it.
const HOPELESS: f64 = 60.0;
/// Peaks of one set this far behind its best are not followed further.
const PEAK_BEHIND: f64 = 20.0;
/// Peaks below this ln of probability keep the digits they have.
const WORTH_POLISHING: f64 = -7.0;
/// Most peaks kept for a set.
const MOST_PEAKS: usize = 3;
/// What looks better by this, in ln, than the best known of a set has another look: a guess from elsewhere, a peak across a tap.
const WORTH_ANOTHER_LOOK: f64 = 1.0;
/// Most sets refitted, and most foreseen, in one judgement: where they are spent so many readings contradict each other that no set
/// of slips explains them, and the drawing is the likelier fault.
const MOST_REFITS: usize = 80;
const MOST_FORESEEN: usize = 400;

/// A peak with what its misread readings add.
#[derive(Debug, Clone)]
pub(crate) struct Scored {
    pub(crate) peak: Peak,
    /// Logarithm of evidence, slips and prior together.
    pub(crate) log: f64,
    /// Of each misread reading: its slips.
    pub(crate) slips: Vec<(usize, Vec<Slip>)>,
}

/// How well a set is known.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Known {
    /// By its parent's odds.
    Guessed,
    /// On its parent's straight lines.
    Foreseen,
    /// By its own fit.
    Refitted,
}

/// A set of readings held to be misread.
#[derive(Clone)]
pub(crate) struct Candidate {
    pub(crate) members: Vec<usize>,
    pub(crate) misread: Vec<bool>,
    /// Best first; empty where it was not refitted.
    pub(crate) peaks: Vec<Scored>,
    /// Logarithm of the sum over its peaks.
    pub(crate) log: f64,
    known: Known,
    /// Of every reading, once foreseen.
    odds: Vec<f64>,
    /// The views it was seen from.
    from: Vec<Rc<View>>,
    explored: bool,
}

/// What the search does next.
enum Step {
    Foresee,
    Refit,
    Explore,
    Restart,
    Cross,
    SeekOne,
}

/// The search.
pub(crate) struct Search<'s, 'a> {
    pub(crate) posed: &'s mut Posed<'a>,
    pub(crate) candidates: BTreeMap<Vec<usize>, Candidate>,
    /// Whether it gave up before everything worth exploring was explored.
    pub(crate) exhausted: bool,
    starts: Vec<Vec<f64>>,
    /// Sets that were searched from all starts, here or in an earlier judgement.
    restarted: Vec<Vec<usize>>,
    /// Sets whose taps were crossed.
    crossed: Vec<Vec<usize>>,
    /// Whether one slip was sought in the place of many.
    sought_one: bool,
    refits: usize,
    foreseen: usize,
}

impl<'s, 'a> Search<'s, 'a> {
    pub(crate) fn new(posed: &'s mut Posed<'a>, starts: Vec<Vec<f64>>) -> Self {
        Self {
            posed,
            candidates: BTreeMap::new(),
            exhausted: false,
            starts,
            restarted: vec![],
            crossed: vec![],
            sought_one: false,
            refits: 0,
            foreseen: 0,
        }
    }

    /// Seeds the search from its starts.
    /// # Errors
    /// The network's own, if it fails from every start.
    pub(crate) fn seed(&mut self) -> Result<(), NetworkError> {
        let none = vec![false; self.posed.readings()];
        let landed = robust(self.posed, &self.starts)?;
        for (z, far) in &landed {
            let count = far.iter().filter(|&&is_far| is_far).count();
            let slips = self.posed.problem.slip_probability > 0.0;
            if count > 0 && 2 * count <= far.len() && slips {
                let peak = refit(self.posed, z, far)?;
                self.admit(far, peak);
            } else {
                let peak = refit(self.posed, z, &none)?;
                self.admit(&none, peak);
            }
        }
        if self.candidates.is_empty() {
            for peak in anneal(self.posed, &self.starts, &none, &[])? {
                self.admit(&none, [peak]);
            }
        }
        Ok(())
    }

    /// Seeds the search with a set and a peak known from before.
    pub(crate) fn seed_known(&mut self, members: &[usize], z: &[f64]) -> Result<(), NetworkError> {
        let mut misread = vec![false; self.posed.readings()];
        members
            .iter()
            .filter(|&&member| member < self.posed.readings())
            .for_each(|&member| misread[member] = true);
        let peak = refit(self.posed, z, &misread)?;
        self.admit(&misread, peak);
        self.restarted.push(members.to_vec());
        Ok(())
    }

    /// Takes peaks of a set into the account; those already known are left out.
    fn admit(&mut self, misread: &[bool], peaks: impl IntoIterator<Item = Peak>) {
        let members: Vec<usize> = (0..misread.len())
            .filter(|&reading| misread[reading])
            .collect();
        let before = self.candidates.remove(&members);
        let explored = before
            .as_ref()
            .is_some_and(|before| before.explored && before.known == Known::Refitted);
        let mut known = before.map_or_else(Vec::new, |before| before.peaks);
        let best = known.first().map_or(f64::NEG_INFINITY, |first| first.log);
        for peak in peaks {
            if known.iter().any(|other| {
                other.peak.is_same(&peak) && other.peak.log_evidence >= peak.log_evidence - 1e-6
            }) {
                continue;
            }
            if let Ok(scored) = self.score(peak, misread, &members)
                && scored.log.is_finite()
            {
                known.retain(|other| !other.peak.is_same(&scored.peak));
                known.push(scored);
            }
        }
        if known.is_empty() {
            return;
        }
        known.sort_by(|left, right| right.log.total_cmp(&left.log));
        known.truncate(MOST_PEAKS);
        let log = log_sum(known.iter().map(|scored| scored.log));
        let candidate = Candidate {
            members: members.clone(),
            misread: misread.to_vec(),
            // What was explored is so again only from a better peak.
            explored: explored && known[0].log <= best,
            peaks: known,
            log,
            known: Known::Refitted,
            odds: vec![],
            from: vec![],
        };
        self.candidates.insert(members, candidate);
    }

    /// Explores until none of the best sets is unexplored.
    pub(crate) fn explore(&mut self) {
        if self.posed.problem.slip_probability <= 0.0 {
            return;
        }
        while let Some((step, members)) = self.next() {
            if self.refits >= MOST_REFITS || self.foreseen >= MOST_FORESEEN {
                self.exhausted = true;
                break;
            }
            match step {
                Step::Foresee => self.foresee(&members),
                Step::Refit => {
                    self.refits += 1;
                    self.refit(&members);
                }
                Step::Explore => self.widen_and_narrow(&members),
                Step::Restart => self.restart(&members),
                Step::Cross => self.cross(&members),
                Step::SeekOne => self.seek_one(&members),
            }
        }
    }

    /// The best sets, best first.
    fn best(&self, count: usize) -> Vec<&Candidate> {
        let mut best: Vec<&Candidate> = Vec::with_capacity(count + 1);
        for candidate in self.candidates.values() {
            if best.len() < count || best[count - 1].log < candidate.log {
                let place = best.partition_point(|other| other.log >= candidate.log);
                best.insert(place, candidate);
                best.truncate(count);
            }
        }
        best
    }

    fn next(&self) -> Option<(Step, Vec<usize>)> {
        let ranked = self.best(REFIT_WIDTH);
        let best = ranked.first()?;
        if let Some(step) = self.next_start(&ranked) {
            return Some(step);
        }
        for candidate in ranked.iter().filter(|it| it.log > best.log - NEAR_BEST) {
            let step = match candidate.known {
                Known::Guessed => Step::Foresee,
                Known::Foreseen => Step::Refit,
                Known::Refitted => continue,
            };
            return Some((step, candidate.members.clone()));
        }
        for candidate in ranked.iter().take(WIDTH) {
            if candidate.explored || candidate.log <= best.log - FAR_BEHIND {
                continue;
            }
            let step = if candidate.known == Known::Guessed {
                Step::Foresee
            } else {
                Step::Explore
            };
            return Some((step, candidate.members.clone()));
        }
        None
    }

    /// Brings every peak worth keeping to its last digit.
    pub(crate) fn polish(&mut self) {
        let total = log_sum(self.candidates.values().map(|candidate| candidate.log));
        for candidate in self.candidates.values_mut() {
            for scored in candidate
                .peaks
                .iter_mut()
                .filter(|scored| scored.log - total > WORTH_POLISHING)
            {
                if let Ok(Some(peak)) = polish(self.posed, &scored.peak, &candidate.misread) {
                    scored.peak = peak;
                }
            }
        }
    }

    /// Sees a guessed set on the straight lines of where it was guessed from.
    fn foresee(&mut self, members: &[usize]) {
        self.foreseen += 1;
        let Some(candidate) = self.candidates.get(members) else {
            return;
        };
        let misread = candidate.misread.clone();
        let from = candidate.from.clone();
        let told = from
            .iter()
            .filter_map(|view| view.foresee(self.posed, &misread))
            .map(|seen| {
                let slips = self.log_of_slips(&misread, |reading| &seen.left[reading]);
                (seen.log_evidence + slips, seen)
            })
            .max_by(|(left, _), (right, _)| left.total_cmp(right))
            .map(|(log, seen)| (log, self.odds(&seen.left)));
        let Some(candidate) = self.candidates.get_mut(members) else {
            return;
        };
        match told {
            Some((log, odds)) if log.is_finite() => {
                candidate.log = log;
                candidate.odds = odds;
                candidate.known = Known::Foreseen;
            }
            // Where straight lines do not lead only a fit can tell.
            _ => candidate.known = Known::Foreseen,
        }
    }

    /// Refits a set from where straight lines lead from its parent's peaks.
    fn refit(&mut self, members: &[usize]) {
        let Some(candidate) = self.candidates.remove(members) else {
            return;
        };
        self.refit_from(&candidate.misread, &candidate.from);
        if !self.candidates.contains_key(members) {
            // It has no peak: known to be nothing.
            let nothing = Candidate {
                log: f64::NEG_INFINITY,
                known: Known::Refitted,
                explored: true,
                ..candidate
            };
            self.candidates.insert(members.to_vec(), nothing);
        }
    }

    fn refit_from(&mut self, misread: &[bool], from: &[Rc<View>]) {
        for view in from {
            let start = view.place(misread);
            if let Ok(peak) = refit_unless(self.posed, &start, misread, self.hopeless()) {
                self.admit(misread, peak);
            }
        }
    }

    /// A cost from which no set comes near the best any more.
    fn hopeless(&self) -> f64 {
        let costs = self.candidates.values().flat_map(|it| &it.peaks);
        let least = costs.map(|scored| scored.peak.linear.cost());
        least.fold(f64::INFINITY, f64::min) + HOPELESS
    }

    /// The views from a set's peaks with what each weighs, for its children; of a set that was only foreseen, its own.
    fn views(&mut self, candidate: &Candidate) -> Vec<(f64, Rc<View>)> {
        let Some(best) = candidate.peaks.first().map(|best| best.log) else {
            let from = candidate.from.iter();
            return from.map(|view| (candidate.log, view.clone())).collect();
        };
        let followed = candidate
            .peaks
            .iter()
            .filter(|scored| scored.log > best - PEAK_BEHIND);
        followed
            .filter_map(|scored| {
                let view = View::new(self.posed, &scored.peak, &candidate.misread, is_suspect)?;
                Some((scored.log, Rc::new(view)))
            })
            .collect()
    }

    fn widen_and_narrow(&mut self, members: &[usize]) {
        let Some(candidate) = self.candidates.get_mut(members) else {
            return;
        };
        candidate.explored = true;
        let parent = candidate.clone();
        let (logs, from): (Vec<f64>, Vec<Rc<View>>) = self.views(&parent).into_iter().unzip();
        if parent.peaks.is_empty() {
            self.guess_children(&parent, parent.log, parent.odds.clone(), &from);
            return;
        }
        // Each peak has its own way on: what is wrong on one side of a tap need not be on the other.
        for (log, view) in logs.into_iter().zip(&from) {
            let odds = self.odds(&view.left);
            self.guess_children(&parent, log, odds, &from);
        }
    }

    /// Guesses the sets beside one by the odds of each reading at one of its peaks.
    fn guess_children(&mut self, parent: &Candidate, log: f64, told: Vec<f64>, from: &[Rc<View>]) {
        let mut odds: Vec<(f64, usize)> = told
            .into_iter()
            .zip(0..)
            .filter(|(odds, _)| *odds > f64::NEG_INFINITY)
            .collect();
        odds.sort_by(|(left, _), (right, _)| right.total_cmp(left));
        let added = odds
            .iter()
            .filter(|(_, reading)| !parent.misread[*reading])
            .take(FAN_OUT);
        let returned = odds
            .iter()
            .rev()
            .filter(|(_, reading)| parent.misread[*reading])
            .take(FAN_OUT);
        for &(odds, reading) in added.chain(returned) {
            let mut misread = parent.misread.clone();
            misread[reading] = !misread[reading];
            let child: Vec<usize> = (0..misread.len())
                .filter(|&reading| misread[reading])
                .collect();
            let misread_fewer = !misread[reading];
            let log = log + if misread_fewer { -odds } else { odds };
            let known = self.candidates.get(&child);
            let known = known.map(|known| (known.known == Known::Refitted, known.log));
            if 2 * child.len() > misread.len() || known.is_some_and(|(_, known)| known >= log) {
                continue;
            }
            if let Some((true, known)) = known {
                // It may have been refitted on the wrong side of a tap only.
                if log > known + WORTH_ANOTHER_LOOK {
                    self.refit_from(&misread, from);
                }
                continue;
            }
            let guess = Candidate {
                members: child.clone(),
                misread,
                peaks: vec![],
                log,
                known: Known::Guessed,
                odds: vec![],
                from: from.to_vec(),
                explored: false,
            };
            // What fixes a parameter by itself leads far when it is taken back: only a fit can tell.
            let doubted = misread_fewer && from.iter().any(|view| view.leads_far(&guess.misread));
            self.candidates.insert(child.clone(), guess);
            if doubted {
                self.refit(&child);
            }
        }
    }
}
