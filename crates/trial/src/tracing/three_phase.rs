//! Three-phase parts of nine leads (star inside) and of twelve, sorted test by test: each half on its phase, starts alike.

use super::part::{blank, digits};
use crate::chance::Chance;
use gear::{
    Designation, Find, Measured, Part, PartKind, Place, Reading, Setup, TerminalRef, Unmarked,
};
use trace::{Next, Traced};

/// The inner star, no lead.
const STAR: &str = "star";

/// Half a phase in truth.
#[derive(Debug, Clone)]
struct Half {
    phase: usize,
    start: String,
    finish: String,
    ohms: f64,
}

/// A three-phase part in truth.
#[derive(Debug, Clone)]
pub(super) struct ThreePhase {
    halves: Vec<Half>,
    marks: Vec<String>,
    /// Share of a fed phase's volts on the next two, turned round.
    coupled: [[f64; 3]; 3],
}

impl ThreePhase {
    /// Draws one.
    pub(super) fn draw(chance: &mut Chance) -> Self {
        let leads = if chance.happens(0.5) { 9 } else { 12 };
        let marks: Vec<String> = (1..=leads).map(|n| n.to_string()).collect();
        let mut order = chance
            .different(leads, leads)
            .into_iter()
            .map(|i| marks[i].clone());
        let mut take = || order.next().unwrap_or_default();
        let ohms = chance.uniform(2.0, 40.0);
        let mut halves = Vec::new();
        for phase in 0..3 {
            for half in 0..2 {
                let start = take();
                let finish = if half == 1 && leads == 9 {
                    STAR.to_owned()
                } else {
                    take()
                };
                let ohms = ohms * chance.uniform(0.98, 1.02);
                halves.push(Half {
                    phase,
                    start,
                    finish,
                    ohms,
                });
            }
        }
        let mut coupled = [[1.0; 3]; 3];
        for (fed, row) in coupled.iter_mut().enumerate() {
            let near = -chance.uniform(0.42, 0.58);
            row[(fed + 1) % 3] = near;
            row[(fed + 2) % 3] = -1.0 - near;
        }
        Self {
            halves,
            marks,
            coupled,
        }
    }

    /// The find as the owner would start it.
    pub(super) fn find(&self, mut find: Find) -> Find {
        find.parts.clear();
        if let Ok(designation) = Designation::parse("T1") {
            find.parts.push(Part {
                designation,
                name: None,
                phase: None,
                kind: PartKind::Unmarked(Unmarked {
                    leads: self.marks.clone(),
                    ..Unmarked::default()
                }),
            });
        }
        find
    }

    /// Volts and ohms from one lead to all it is tied to, `each` volts a half by phase.
    fn tied(
        &self,
        links: &[Vec<TerminalRef>],
        from: &str,
        each: [f64; 3],
    ) -> Vec<(String, f64, f64)> {
        let mut known = vec![(from.to_owned(), 0.0, 0.0)];
        let mut next = 0;
        while let Some((mark, volts, ohms)) = known.get(next).cloned() {
            next += 1;
            let mut reach = Vec::new();
            for half in &self.halves {
                if half.start == mark {
                    reach.push((
                        half.finish.clone(),
                        volts + each[half.phase],
                        ohms + half.ohms,
                    ));
                } else if half.finish == mark {
                    reach.push((
                        half.start.clone(),
                        volts - each[half.phase],
                        ohms + half.ohms,
                    ));
                }
            }
            for group in links
                .iter()
                .filter(|g| g.iter().any(|t| t.terminal == mark))
            {
                reach.extend(group.iter().map(|t| (t.terminal.clone(), volts, ohms)));
            }
            for one in reach {
                if !known.iter().any(|(k, ..)| *k == one.0) {
                    known.push(one);
                }
            }
        }
        known
    }

    /// Volts a half by phase, in a setup that feeds one half.
    fn each(&self, setup: &Setup) -> [f64; 3] {
        let fed = setup.feeds.first().and_then(|f| {
            let is = |h: &&Half| {
                f.to.iter()
                    .all(|t| t.terminal == h.start || t.terminal == h.finish)
            };
            let half = self.halves.iter().find(is)?;
            Some((half.phase, f.volts.as_ref()?.value()?))
        });
        fed.map_or([0.0; 3], |(phase, volts)| {
            self.coupled[phase].map(|c| c * volts)
        })
    }

    /// Highest volts between any two leads, whatever floats.
    pub(super) fn highest(&self, setup: &Setup) -> f64 {
        let each = self.each(setup);
        let mut seen: Vec<String> = Vec::new();
        let mut spans: Vec<f64> = Vec::new();
        for mark in &self.marks {
            if seen.contains(mark) {
                continue;
            }
            let tied = self.tied(&setup.joined, mark, each);
            let volts = tied.iter().filter(|(k, ..)| k != STAR).map(|(_, v, _)| *v);
            let (low, high) = volts.fold((0f64, 0f64), |(l, h), v| (l.min(v), h.max(v)));
            spans.push(high - low);
            seen.extend(tied.into_iter().map(|(k, ..)| k));
        }
        spans.sort_by(|a, b| b.total_cmp(a));
        spans.iter().take(2).sum()
    }

    /// What the meter shows.
    pub(super) fn answer(&self, next: &Next, number: u32, chance: &mut Chance) -> Reading {
        let Place::Between(a, b) = &next.place else {
            return blank(next, number, "0 V");
        };
        let each = self.each(&next.setup);
        let tied = self.tied(&next.setup.joined, &a.terminal, each);
        let there = tied.iter().find(|(k, ..)| *k == b.terminal);
        let shown = match (next.measured, there) {
            (Measured::Resistance, None) => "OL".to_owned(),
            (Measured::Resistance, Some((_, _, ohms))) => digits(*ohms, 600.0, "Ω", chance),
            (_, None) => digits(0.0, 0.6, "V", chance),
            (_, Some((_, volts, _))) => digits(
                volts.abs() * (1.0 + 0.002 * chance.normal()),
                0.6,
                "V",
                chance,
            ),
        };
        blank(next, number, &shown)
    }

    /// Whether every phase has its halves and all starts stand alike.
    pub(super) fn right(&self, traced: &Traced) -> bool {
        let mut way = None;
        let mut phases = Vec::new();
        for found in &traced.phases {
            let mut of = Vec::new();
            for (start, finish) in &found.halves {
                let finish = finish.as_deref().unwrap_or(STAR);
                let same = |h: &&Half| (&h.start, h.finish.as_str()) == (start, finish);
                let back = |h: &&Half| {
                    (h.finish.as_str(), &h.start) == (start.as_str(), &finish.to_owned())
                };
                let (half, turned) =
                    match (self.halves.iter().find(same), self.halves.iter().find(back)) {
                        (Some(half), _) => (half, false),
                        (_, Some(half)) => (half, true),
                        _ => return false,
                    };
                if *way.get_or_insert(turned) != turned {
                    return false;
                }
                of.push(half.phase);
            }
            if of.len() != 2 || of[0] != of[1] {
                return false;
            }
            phases.push(of[0]);
        }
        phases.sort_unstable();
        phases == [0, 1, 2]
    }
}
