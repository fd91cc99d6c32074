//! Searching a set from afar: from all starts, and across every tap. Its parents' peaks do not always lead to its own.

use super::{Candidate, FAR_BEHIND, Known, Search, Step, WIDTH, WORTH_ANOTHER_LOOK};
use crate::fitting::{Peak, anneal, refit_unless};
use crate::mirror::mirrors;

/// Up to so many readings every set that is explored is searched from all starts: it costs little, and fewer readings leave more ways.
const FEW_READINGS: usize = 12;
/// So many slips are hardly ever made at once: one other slip is sought in their place.
const MANY_SLIPS: usize = 3;
/// How often the search crosses over from a peak better than the last.
const MOST_CROSSINGS: usize = 3;

impl Search<'_, '_> {
    /// Which set is to be searched from afar: the best; where few readings leave many ways, all that are explored.
    pub(super) fn next_start(&self, ranked: &[&Candidate]) -> Option<(Step, Vec<usize>)> {
        let best = ranked.first()?;
        let few = self.posed.readings() <= FEW_READINGS;
        let wanted = ranked
            .iter()
            .take(if few { WIDTH } else { 1 })
            .filter(|it| it.known == Known::Refitted && it.log > best.log - FAR_BEHIND);
        for candidate in wanted {
            let members = &candidate.members;
            // A slip may have hidden the other side of a tap as long as it was believed.
            if !members.is_empty() && !self.restarted.contains(members) {
                return Some((Step::Restart, members.clone()));
            }
            if self.starts.is_empty() {
                continue;
            }
            if !self.crossed.contains(members) {
                return Some((Step::Cross, members.clone()));
            }
            if members.len() >= MANY_SLIPS && !self.sought_one {
                return Some((Step::SeekOne, members.clone()));
            }
        }
        None
    }

    /// Searches sets of one reading from all starts: what looks like many slips in a setup may be one other slip there, believed.
    pub(super) fn seek_one(&mut self, members: &[usize]) {
        self.sought_one = true;
        let observations = &self.posed.problem.observations;
        let stations: Vec<usize> = members.iter().map(|&it| observations[it].station).collect();
        let beside: Vec<usize> = (0..observations.len())
            .filter(|&it| stations.contains(&observations[it].station))
            .collect();
        for reading in beside {
            let mut misread = vec![false; self.posed.readings()];
            misread[reading] = true;
            if let Ok(peaks) = anneal(self.posed, &self.starts, &misread, &[]) {
                self.admit(&misread, peaks);
            }
        }
    }

    /// Searches a set from all starts.
    pub(super) fn restart(&mut self, members: &[usize]) {
        self.restarted.push(members.to_vec());
        let Some(candidate) = self.candidates.get(members) else {
            return;
        };
        let misread = candidate.misread.clone();
        let known: Vec<&Peak> = candidate.peaks.iter().map(|scored| &scored.peak).collect();
        if let Ok(peaks) = anneal(self.posed, &self.starts, &misread, &known) {
            self.admit(&misread, peaks);
        }
    }

    /// Searches a set on the other side of every tap: from there straight lines do not lead back.
    pub(super) fn cross(&mut self, members: &[usize]) {
        self.crossed.push(members.to_vec());
        for _ in 0..MOST_CROSSINGS {
            let Some((best, misread)) = self.candidates.get(members).and_then(|candidate| {
                Some((candidate.peaks.first()?.clone(), candidate.misread.clone()))
            }) else {
                return;
            };
            for start in mirrors(self.posed, &best.peak.z) {
                if let Ok(peak) = refit_unless(self.posed, &start, &misread, self.hopeless()) {
                    self.admit(&misread, peak);
                }
            }
            let now = self.candidates.get(members).map(|candidate| candidate.log);
            if now.is_none_or(|now| now <= best.log + WORTH_ANOTHER_LOOK) {
                return;
            }
        }
    }
}
