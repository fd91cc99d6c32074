//! A random find of one to three cores with its truth, what is known of it, and a random kit.

use crate::chance::Chance;
use gear::{
    Designation, Dot, Feed, Find, Gang, Join, JoinState, Kit, KitSource, Part, PartKind, Point,
    Setup, Slider, SliderSetting, Steadiness, SwitchSetting, TerminalRef, Winding, Wound,
};
use hazard::{Possible, Turns};
use quantity::Quantity;
use std::collections::HashMap;

/// Half-width of a 99 % interval, standard deviations: what is known is drawn within it.
const NINETY_NINE: f64 = 2.576;

/// A find with its truth.
#[derive(Debug, Clone)]
pub(super) struct Made {
    /// The true find: its joins and dots are the true ones.
    pub truth: Find,
    /// What is not excluded, the truth among it, with starts that are not known left out.
    pub possible: Vec<Possible>,
    /// True turns over the first winding's, with their sign.
    pub turns: HashMap<(Designation, usize), f64>,
    /// True positions of taps.
    pub taps: HashMap<(Designation, usize, usize), f64>,
}

/// Draws a find.
pub(super) fn part(chance: &mut Chance) -> Made {
    let mut made = Made {
        truth: Find::default(),
        possible: Vec::new(),
        turns: HashMap::new(),
        taps: HashMap::new(),
    };
    let mut known = Turns::default();
    let mut written = Find::default();
    let cores = 1 + chance.among(&[0.6, 0.25, 0.15]);
    for number in 1..=cores {
        let (true_part, known_part) = core(number, &mut made, &mut known, chance);
        made.truth.parts.push(true_part);
        written.parts.push(known_part);
    }
    if cores > 1 && chance.happens(0.3) {
        let gang = Gang {
            name: "shaft".into(),
            parts: made
                .truth
                .parts
                .iter()
                .filter(|p| p.sliders().next().is_some())
                .map(|p| p.designation.clone())
                .collect(),
        };
        made.truth.gangs.push(gang.clone());
        written.gangs.push(gang);
    }
    for kind in others(chance) {
        made.truth.parts.push(kind.clone());
        written.parts.push(kind);
    }
    made.truth.kit = kit(chance);
    written.kit = made.truth.kit.clone();
    let joins = random_joins(&made.truth, chance);
    made.truth.joins.clone_from(&joins);
    let mut find = written.clone();
    find.joins = joins;
    made.possible.push(Possible {
        find,
        turns: known.clone(),
    });
    for _ in 0..chance.below(4) {
        let mut find = written.clone();
        find.joins = random_joins(&made.truth, chance);
        made.possible.push(Possible {
            find,
            turns: known.clone(),
        });
    }
    made
}

fn text(value: f64, decimals: usize, unit: &str) -> Option<Quantity> {
    Quantity::parse(&format!("{value:.decimals$}{unit}")).ok()
}

fn designation(text: &str) -> Designation {
    match Designation::parse(text) {
        Ok(it) => it,
        Err(why) => unreachable!("{why}"),
    }
}

/// One core: the true part and the part as far as it is known.
fn core(number: usize, made: &mut Made, known: &mut Turns, chance: &mut Chance) -> (Part, Part) {
    let name = designation(&format!("T{number}"));
    let variable = chance.happens(0.25);
    let count = if variable {
        1
    } else {
        1 + chance.among(&[0.1, 0.3, 0.2, 0.15, 0.15, 0.1])
    };
    let logs: Vec<f64> = (0..count)
        .map(|_| chance.uniform(0.0, 40f64.ln()))
        .collect();
    let (mut true_windings, mut known_windings) = (Vec::new(), Vec::new());
    let starts_known = chance.happens(0.5);
    for (index, log) in logs.iter().enumerate() {
        let ratio = (log - logs[0]).exp();
        let dot = if chance.happens(0.5) {
            Dot::First
        } else {
            Dot::Last
        };
        let way = |d: Dot| if d == Dot::Last { -1.0 } else { 1.0 };
        let first = true_windings.first().map_or(dot, |w: &Winding| w.dot);
        made.turns
            .insert((name.clone(), index), ratio * way(dot) * way(first));
        if index > 0 && chance.happens(0.5) {
            let width = [0.002, 0.02, 0.1][chance.below(3)];
            let off = chance.normal().clamp(-NINETY_NINE, NINETY_NINE) * width;
            let half = NINETY_NINE * width;
            known.bound(
                name.clone(),
                index,
                ratio * (off - half).exp(),
                ratio * (off + half).exp(),
            );
        }
        let winding = winding(&name, index, variable, dot, made, chance);
        known_windings.push(Winding {
            dot: if starts_known { dot } else { Dot::Unknown },
            ..winding.clone()
        });
        true_windings.push(winding);
    }
    let kind = |windings| {
        let wound = Wound {
            windings,
            ..Wound::default()
        };
        if variable {
            PartKind::VariableAutotransformer(wound)
        } else {
            PartKind::Transformer(wound)
        }
    };
    let part = |kind| Part {
        designation: name.clone(),
        name: None,
        phase: None,
        kind,
    };
    (part(kind(true_windings)), part(kind(known_windings)))
}

fn winding(
    part: &Designation,
    index: usize,
    variable: bool,
    dot: Dot,
    made: &mut Made,
    chance: &mut Chance,
) -> Winding {
    let taps = chance.among(&[0.6, 0.25, 0.15]);
    let mut at: Vec<f64> = (0..taps).map(|_| chance.uniform(0.03, 0.97)).collect();
    at.sort_by(f64::total_cmp);
    let mut points = vec![Point {
        terminal: format!("{}.0", index + 1),
        at: None,
    }];
    for (tap, &at) in at.iter().enumerate() {
        let noted = chance.happens(0.5).then(|| {
            let off = chance.normal().clamp(-NINETY_NINE, NINETY_NINE) * 0.004;
            text((at + off).clamp(0.0, 1.0), 4, "")
        });
        made.taps.insert((part.clone(), index, tap + 1), at);
        points.push(Point {
            terminal: format!("{}.{}", index + 1, tap + 1),
            at: noted.flatten(),
        });
    }
    points.push(Point {
        terminal: format!("{}.{}", index + 1, taps + 1),
        at: None,
    });
    let sliders = (0..if variable { 1 + chance.below(2) } else { 0 })
        .map(|slider| Slider {
            terminal: format!("s{}", slider + 1),
            brush: None,
        })
        .collect();
    Winding {
        name: format!("winding {}", index + 1),
        points,
        sliders,
        dot,
        ..Winding::default()
    }
}

/// Fuses, switches, resistors, a strip with a protective-earth terminal.
fn others(chance: &mut Chance) -> Vec<Part> {
    let part = |name: &str, kind: PartKind| Part {
        designation: designation(name),
        name: None,
        phase: None,
        kind,
    };
    let mut parts = vec![];
    for fuse in 0..chance.below(3) {
        parts.push(part(
            &format!("F{}", fuse + 1),
            PartKind::Fuse { current: None },
        ));
    }
    if chance.happens(0.2) {
        parts.push(part("R1", PartKind::Resistor { resistance: None }));
    }
    if chance.happens(0.3) {
        parts.push(part("X1", PartKind::Terminals(vec!["PE".into()])));
    }
    parts
}

fn terminals(find: &Find) -> Vec<TerminalRef> {
    find.parts
        .iter()
        .flat_map(|p| p.terminals().into_iter().map(|t| p.terminal(t)))
        .collect()
}

fn random_joins(find: &Find, chance: &mut Chance) -> Vec<Join> {
    let all = terminals(find);
    let most = (all.len() / 2).min(6);
    (0..chance.below(most + 1))
        .map(|_| {
            let count = 2 + usize::from(chance.happens(0.3));
            let chosen = chance.different(count.min(all.len()), all.len());
            Join {
                terminals: chosen.into_iter().map(|i| all[i].clone()).collect(),
                state: JoinState::Assumed,
                note: None,
            }
        })
        .collect()
}

fn kit(chance: &mut Chance) -> Kit {
    let mut sources = Vec::new();
    for number in 0..=chance.below(3) {
        let isolated = [Some(true), Some(true), Some(false), None][chance.below(4)];
        let (name, volts, phases) = [
            ("bench supply", "0 to 30 V", 1),
            ("isolating transformer", "24 V", 1),
            ("bell transformer", "8 V", 1),
            ("three-phase supply", "0 to 60 V", 3),
            ("variable autotransformer", "0 to 260 V", 1),
            ("signal source", "0.1 to 12 V", 1),
        ][chance.below(6)];
        sources.push(KitSource {
            name: format!("{name} {}", number + 1),
            volts: Quantity::parse(volts).ok(),
            amperes: None,
            phases,
            isolated,
            steadiness: Steadiness::Mains,
            impedance: None,
            direct: chance.happens(0.1),
        });
    }
    Kit {
        sources,
        ..Kit::default()
    }
}

impl Made {
    /// A random setup: a random source on random terminals, or across a winding; sliders noted or not, fuses open or not.
    pub(super) fn setup(&self, chance: &mut Chance) -> Setup {
        let all = terminals(&self.truth);
        let source = &self.truth.kit.sources[chance.below(self.truth.kit.sources.len())];
        let feeds = 1 + usize::from(source.phases == 1 && chance.happens(0.15));
        let mut setup = Setup {
            number: 1,
            at: None,
            what: None,
            feeds: Vec::new(),
            sliders: self.sliders(chance),
            switches: Vec::new(),
            joined: Vec::new(),
            lifted: Vec::new(),
            loads: Vec::new(),
            temperature: None,
        };
        for _ in 0..feeds {
            let to = self.fed(source, &all, chance);
            setup.feeds.push(Feed {
                source: Some(source.name.clone()),
                neutral: (to.len() == 3 && chance.happens(0.5))
                    .then(|| all[chance.below(all.len())].clone()),
                to,
                earthed: chance.happens(0.15),
                volts: text(chance.uniform(0.5, 30.0), 1, " V"),
                frequency: None,
                angle: None,
                lost: Vec::new(),
            });
        }
        for part in &self.truth.parts {
            if matches!(part.kind, PartKind::Fuse { .. }) && chance.happens(0.3) {
                setup.switches.push(SwitchSetting {
                    part: part.designation.clone(),
                    closed: false,
                });
            }
        }
        if chance.happens(0.2) {
            setup.lifted.push(all[chance.below(all.len())].clone());
        }
        setup
    }

    fn fed(
        &self,
        source: &KitSource,
        all: &[TerminalRef],
        chance: &mut Chance,
    ) -> Vec<TerminalRef> {
        let count = if source.phases == 3 { 3 } else { 2 };
        if count == 2 && chance.happens(0.7) {
            let wound: Vec<(&Part, &Winding)> = self
                .truth
                .parts
                .iter()
                .filter_map(|p| Some((p, p.kind.wound()?)))
                .flat_map(|(p, w)| w.windings.iter().map(move |w| (p, w)))
                .collect();
            let (part, winding) = wound[chance.below(wound.len())];
            let last = winding.points.len() - 1;
            return [0, last]
                .map(|p| part.terminal(&winding.points[p].terminal))
                .to_vec();
        }
        chance
            .different(count, all.len())
            .into_iter()
            .map(|i| all[i].clone())
            .collect()
    }

    fn sliders(&self, chance: &mut Chance) -> Vec<SliderSetting> {
        let mut settings = Vec::new();
        for part in &self.truth.parts {
            for slider in part.sliders() {
                if chance.happens(0.7) {
                    settings.extend(text(chance.uniform(0.0, 1.0), 2, "").map(|at| {
                        SliderSetting {
                            slider: part.terminal(&slider.terminal).to_string(),
                            at,
                        }
                    }));
                }
            }
        }
        settings
    }

    fn sources_of<'a>(&'a self, setup: &'a Setup) -> impl Iterator<Item = &'a KitSource> {
        setup.feeds.iter().filter_map(|f| {
            let named = |s: &&KitSource| Some(&s.name) == f.source.as_ref();
            self.truth.kit.sources.iter().find(named)
        })
    }

    /// Whether all its sources are marked isolated and none is a variable autotransformer.
    pub(super) fn is_isolated(&self, setup: &Setup) -> bool {
        self.sources_of(setup)
            .all(|s| s.isolated == Some(true) && !s.name.contains("autotransformer"))
    }

    /// Whether it is fed with direct current.
    pub(super) fn is_direct(&self, setup: &Setup) -> bool {
        self.sources_of(setup).any(|s| s.direct)
    }
}
