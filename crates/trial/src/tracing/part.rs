//! A part with known windings, and what a meter shows of it.

use crate::chance::Chance;
use gear::{
    Designation, Dot, Find, KitSource, Measured, Part, PartKind, Place, Reading, Setup, Steadiness,
    TerminalRef, Unmarked, Wound,
};
use quantity::Quantity;
use trace::{Next, Traced};

/// Which parts to draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// 2 to 6 windings, 4 to 14 leads.
    Any,
    /// 4 windings, 8 to 10 leads.
    Four,
}

/// One winding in truth.
#[derive(Debug, Clone)]
struct Coil {
    /// Marks along the turns, from the start.
    leads: Vec<String>,
    /// Turns from the start to each.
    turns: Vec<f64>,
    /// Ohms from the start to each.
    ohms: Vec<f64>,
}

/// A part in truth.
#[derive(Debug, Clone)]
pub(super) struct Hidden {
    coils: Vec<Coil>,
    marks: Vec<String>,
    /// Whether the owner knows how many windings there are.
    told: bool,
    /// The ohmmeter's gain, its leads, the voltmeter's gain.
    meter: (f64, f64, f64),
}

/// Counts of the meter.
const COUNTS: f64 = 6000.0;

impl Hidden {
    /// Draws one.
    pub(super) fn draw(chance: &mut Chance, wanted: Wanted) -> Self {
        let (windings, leads) = match wanted {
            Wanted::Four => (4, 8 + chance.below(3)),
            Wanted::Any => {
                let windings = 2 + chance.below(5);
                (windings, (2 * windings + chance.below(5)).min(14))
            }
        };
        let mut sizes = vec![2; windings];
        for _ in 2 * windings..leads {
            let fewest = chance.below(windings);
            sizes[fewest] += 1;
        }
        let order = chance.different(leads, leads);
        let marks: Vec<String> = (1..=leads).map(|n| n.to_string()).collect();
        let most = chance.uniform(200.0, 2000.0);
        let wire = chance.uniform(0.5, 40.0) / (most * most);
        let mut taken = order.into_iter();
        let mut coils: Vec<Coil> = Vec::new();
        for (i, size) in sizes.iter().enumerate() {
            // Every fourth winding is the twin of the one before.
            let twin = i > 0 && chance.happens(0.25);
            let turns = match coils.last() {
                Some(last) if twin => last.turns[last.turns.len() - 1],
                _ if i == 0 => most,
                _ => most / chance.uniform(0.0, 30f64.ln()).exp(),
            };
            let ohms = wire * turns * turns * chance.uniform(0.6, 1.7);
            coils.push(coil(&mut taken, *size, turns, ohms, &marks, chance));
        }
        Self {
            coils,
            marks,
            told: wanted == Wanted::Four,
            meter: (
                1.0 + 0.005 * chance.uniform(-1.0, 1.0),
                chance.uniform(0.0, 0.3),
                1.0 + 0.008 * chance.uniform(-1.0, 1.0),
            ),
        }
    }

    /// The find as the owner would start it.
    pub(super) fn find(&self) -> Find {
        let mut find = Find {
            name: "unmarked part".into(),
            ..Find::default()
        };
        if let Ok(designation) = Designation::parse("T1") {
            find.parts.push(Part {
                designation,
                name: None,
                phase: None,
                kind: PartKind::Unmarked(Unmarked {
                    leads: self.marks.clone(),
                    number_of_windings: self.told.then_some(self.coils.len() as u32),
                    wound: Wound::default(),
                }),
            });
        }
        find.kit.sources.push(KitSource {
            name: "bench supply".into(),
            volts: Quantity::parse("0 to 48 V").ok(),
            amperes: Quantity::parse("3 A").ok(),
            phases: 1,
            isolated: Some(true),
            steadiness: Steadiness::Regulated,
            impedance: None,
            direct: false,
        });
        find
    }

    fn at(&self, mark: &str) -> Option<(usize, usize)> {
        self.coils.iter().enumerate().find_map(|(c, coil)| {
            let i = coil.leads.iter().position(|l| l == mark)?;
            Some((c, i))
        })
    }

    /// Ohms between a lead and others clipped together; `None` where there is no path.
    fn ohms(&self, lead: &str, against: &[String]) -> Option<f64> {
        let (c, i) = self.at(lead)?;
        let coil = &self.coils[c];
        let here: Vec<f64> = against
            .iter()
            .filter_map(|m| {
                self.at(m)
                    .filter(|(d, _)| *d == c)
                    .map(|(_, j)| coil.ohms[j])
            })
            .collect();
        let nearest = |above: bool| {
            here.iter()
                .filter(|o| (**o >= coil.ohms[i]) == above)
                .map(|o| (o - coil.ohms[i]).abs())
                .min_by(f64::total_cmp)
        };
        match (nearest(true), nearest(false)) {
            (Some(a), Some(b)) => Some(a * b / (a + b)),
            (a, b) => a.or(b),
        }
    }

    /// Turns between two marks over those of the feed, through windings and links; `None` where nothing ties them.
    fn turns(&self, links: &[Vec<TerminalRef>], from: &str, to: &str) -> Option<f64> {
        let mut known = vec![(from.to_owned(), 0.0)];
        let mut next = 0;
        while let Some((mark, sum)) = known.get(next).cloned() {
            if mark == to {
                return Some(sum);
            }
            next += 1;
            let mut reach = Vec::new();
            if let Some((c, i)) = self.at(&mark) {
                let coil = &self.coils[c];
                reach.extend(
                    coil.leads
                        .iter()
                        .zip(&coil.turns)
                        .map(|(l, t)| (l.clone(), sum + t - coil.turns[i])),
                );
            }
            for group in links
                .iter()
                .filter(|g| g.iter().any(|t| t.terminal == mark))
            {
                reach.extend(group.iter().map(|t| (t.terminal.clone(), sum)));
            }
            for (l, v) in reach {
                if !known.iter().any(|(k, _)| *k == l) {
                    known.push((l, v));
                }
            }
        }
        None
    }

    /// Volts a turn in a setup.
    fn volts_per_turn(&self, setup: &Setup) -> Option<f64> {
        let feed = setup.feeds.first()?;
        let volts = feed.volts.as_ref()?.value()?;
        let turns = self.turns(&[], &feed.to[0].terminal, &feed.to[1].terminal)?;
        (turns != 0.0).then_some((volts / turns).abs())
    }

    /// Highest volts between any two leads: within what is tied together, and between any two groups that are not.
    pub(super) fn highest(&self, setup: &Setup) -> f64 {
        let each = self.volts_per_turn(setup).unwrap_or(0.0);
        let mut spans: Vec<f64> = Vec::new();
        for (i, coil) in self.coils.iter().enumerate() {
            let of = &coil.leads[0];
            let mut group: Vec<f64> = self
                .marks
                .iter()
                .filter_map(|m| self.turns(&setup.joined, of, m))
                .collect();
            let first = self.coils[..i]
                .iter()
                .any(|c| self.turns(&setup.joined, of, &c.leads[0]).is_some());
            if first {
                continue;
            }
            group.sort_by(f64::total_cmp);
            spans.push((group[group.len() - 1] - group[0]) * each);
        }
        spans.sort_by(|a, b| b.total_cmp(a));
        spans.iter().take(2).sum()
    }

    /// What the meter shows.
    pub(super) fn answer(
        &self,
        next: &Next,
        number: u32,
        slip: bool,
        chance: &mut Chance,
    ) -> Reading {
        let Place::Between(a, b) = &next.place else {
            return blank(next, number, "0 V");
        };
        if next.measured == Measured::Resistance {
            let group = next
                .setup
                .joined
                .iter()
                .find(|g| g.contains(b) || g.contains(a));
            let lead = if group.is_some_and(|g| g.contains(a)) {
                b
            } else {
                a
            };
            let other = if lead == a { b } else { a };
            let against: Vec<String> = group.map_or(vec![other.terminal.clone()], |g| {
                g.iter().map(|t| t.terminal.clone()).collect()
            });
            let shown = self
                .ohms(&lead.terminal, &against)
                .map(|o| o * self.meter.0 + self.meter.1);
            let shown = match (shown, slip) {
                (Some(_), true) if chance.happens(0.5) => None,
                (None, true) => Some(chance.uniform(1.0, 20.0)),
                (Some(o), true) => Some(10.0 * o),
                (shown, false) => shown,
            };
            return blank(
                next,
                number,
                &shown.map_or("OL".to_owned(), |o| digits(o, 600.0, "Ω", chance)),
            );
        }
        let each = self.volts_per_turn(&next.setup).unwrap_or(0.0);
        let turns = self
            .turns(&next.setup.joined, &a.terminal, &b.terminal)
            .unwrap_or(0.0);
        let mut volts = (turns * each).abs() * self.meter.2 * (1.0 + 0.002 * chance.normal());
        if slip {
            volts *= if chance.happens(0.5) { 10.0 } else { 0.1 };
        }
        blank(next, number, &digits(volts, 0.6, "V", chance))
    }

    /// Whether leads and order are right, and whether all is.
    pub(super) fn right(&self, traced: &Traced) -> (bool, bool) {
        if traced.windings.len() != self.coils.len() {
            return (false, false);
        }
        let mut all = true;
        let mut fed: Option<(f64, bool)> = None;
        for w in &traced.windings {
            let Some((c, i)) = self.at(&w.points[0].terminal) else {
                return (false, false);
            };
            let coil = &self.coils[c];
            let back = i != 0;
            let mut leads = coil.leads.clone();
            if back {
                leads.reverse();
            }
            let found: Vec<&String> = w.points.iter().map(|p| &p.terminal).collect();
            if found != leads.iter().collect::<Vec<_>>() {
                return (false, false);
            }
            let whole = coil.turns[coil.turns.len() - 1];
            // Starts are told alike up to all of them together.
            let start_last = match w.dot {
                Dot::First => back,
                Dot::Last => !back,
                Dot::Unknown => {
                    all = false;
                    continue;
                }
            };
            let (reference, way) = *fed.get_or_insert((whole, start_last));
            let ratio = w.ratio.map_or(0.0, |r| r.0);
            all &= (ratio / (whole / reference) - 1.0).abs() < 0.05 && way == start_last;
        }
        (true, all)
    }
}

fn coil(
    taken: &mut impl Iterator<Item = usize>,
    size: usize,
    turns: f64,
    ohms: f64,
    marks: &[String],
    chance: &mut Chance,
) -> Coil {
    // Taps at least a twelfth of the turns apart.
    let mut at: Vec<f64> = loop {
        let mut inner: Vec<f64> = (2..size).map(|_| chance.uniform(0.08, 0.92)).collect();
        inner.sort_by(f64::total_cmp);
        if inner.windows(2).all(|w| w[1] - w[0] > 0.08) {
            break inner;
        }
    };
    at.insert(0, 0.0);
    at.push(1.0);
    let bend = chance.uniform(-0.1, 0.1);
    Coil {
        leads: taken.take(size).map(|i| marks[i].clone()).collect(),
        turns: at.iter().map(|x| x * turns).collect(),
        // Outer turns are longer: ohms bend a little along the turns.
        ohms: at
            .iter()
            .map(|x| ohms * x * (1.0 + bend * (1.0 - x)))
            .collect(),
    }
}

/// Digits of a 6000-count meter whose lowest range is `least`, with up to two counts of noise.
pub(super) fn digits(value: f64, least: f64, unit: &str, chance: &mut Chance) -> String {
    let mut full = least;
    while value >= full {
        full *= 10.0;
    }
    let step = full / COUNTS;
    let counts = (value / step + chance.uniform(-1.5, 1.5)).round().max(0.0);
    let decimals = (-step.log10()).round().max(0.0) as usize;
    format!("{:.decimals$} {unit}", counts * step)
}

pub(super) fn blank(next: &Next, number: u32, shown: &str) -> Reading {
    Reading {
        number,
        setup: next.setup.number,
        at: None,
        instrument: None,
        measured: next.measured,
        place: next.place.clone(),
        shown: Quantity::parse(shown).ok(),
        beep: None,
        kick: None,
        together: Default::default(),
        what: None,
        struck: None,
        kept: false,
        note: None,
    }
}
