//! One-slip neighbours of a setup as noted: slider elsewhere, source on another pair, a phase or the neutral missing, a link, a load
//! or a lifted lead forgotten.

use super::Slip;
use gear::{Find, Part, PartKind, Setup, SwitchSetting, TerminalRef, Winding};

/// Every setup one slip away, each as the whole find.
pub(super) fn slips(find: &Find, setup: &Setup) -> Vec<Slip> {
    let mut maker = Maker {
        find,
        setup,
        slips: Vec::new(),
    };
    maker.sliders();
    maker.feeds();
    maker.links();
    maker.switches();
    maker.slips
}

struct Maker<'a> {
    find: &'a Find,
    setup: &'a Setup,
    slips: Vec<Slip>,
}

impl Maker<'_> {
    fn push(&mut self, share: f64, what: String, remedy: String, change: impl FnOnce(&mut Setup)) {
        let mut find = self.find.clone();
        let number = self.setup.number;
        if let Some(setup) = find.setups.iter_mut().find(|s| s.number == number) {
            change(setup);
            self.slips.push(Slip {
                find,
                what: format!("in setup {number} {what}"),
                remedy,
                share,
            });
        }
    }

    fn sliders(&mut self) {
        for index in 0..self.setup.sliders.len() {
            let name = self.setup.sliders[index].slider.clone();
            self.push(
                2.0,
                format!("the slider of {name} did not stand where noted"),
                format!("read the scale of {name} again"),
                |setup| {
                    setup.sliders.remove(index);
                },
            );
        }
    }

    fn feeds(&mut self) {
        for index in 0..self.setup.feeds.len() {
            let feed = &self.setup.feeds[index];
            if feed.to.len() == 2 {
                for end in 0..2 {
                    for other in self.next_to(&feed.to[end]) {
                        if !feed.to.contains(&other) {
                            let what =
                                format!("the source was on {other}, not on {}", feed.to[end]);
                            self.push(
                                1.0,
                                what,
                                "look where the source is clipped".into(),
                                |setup| {
                                    setup.feeds[index].to[end] = other;
                                },
                            );
                        }
                    }
                }
                self.other_winding(index);
                continue;
            }
            for phase in (1..=3).filter(|p| !feed.lost.contains(p)) {
                let what = format!("phase L{phase} of the source was missing");
                let remedy = format!("measure L{phase} against the others at the input");
                self.push(1.0, what, remedy, |setup| {
                    setup.feeds[index].lost.push(phase);
                });
            }
            if let Some(neutral) = feed.neutral.clone() {
                let last = feed.to[2].clone();
                let what =
                    format!("the source's neutral and L3 were exchanged, on {last} and {neutral}");
                self.push(
                    0.5,
                    what,
                    "measure the source line to line".into(),
                    |setup| {
                        let feed = &mut setup.feeds[index];
                        feed.to[2] = neutral;
                        feed.neutral = Some(last);
                    },
                );
                let remedy = "look whether the neutral is on; part it last, join it first";
                self.push(
                    1.0,
                    "the neutral of the source was off".into(),
                    remedy.into(),
                    |setup| setup.feeds[index].neutral = None,
                );
            }
        }
    }

    /// A source meant for the ends of one winding on those of another: of the same part, or of a sister.
    fn other_winding(&mut self, index: usize) {
        let to = &self.setup.feeds[index].to;
        let ends = |part: &Part, winding: &Winding| {
            Some([
                part.terminal(&winding.points.first()?.terminal),
                part.terminal(&winding.points.last()?.terminal),
            ])
        };
        let all: Vec<[TerminalRef; 2]> = self
            .find
            .parts
            .iter()
            .filter_map(|part| Some((part, part.kind.wound()?)))
            .flat_map(|(part, wound)| wound.windings.iter().filter_map(move |w| ends(part, w)))
            .collect();
        let fed = |pair: &[TerminalRef; 2]| to.contains(&pair[0]) && to.contains(&pair[1]);
        let Some(here) = all.iter().find(|pair| fed(pair)).cloned() else {
            return;
        };
        let like = |pair: &&[TerminalRef; 2]| {
            **pair != here && (pair[0].part == here[0].part || pair[0].terminal == here[0].terminal)
        };
        for pair in all.iter().filter(like) {
            let what = format!(
                "the source was on {} and {}, not on {} and {}",
                pair[0], pair[1], here[0], here[1]
            );
            self.push(
                1.0,
                what,
                "look where the source is clipped".into(),
                |setup| {
                    setup.feeds[index].to = pair.to_vec();
                },
            );
        }
    }

    /// The neighbouring terminals of a terminal's part.
    fn next_to(&self, terminal: &TerminalRef) -> Vec<TerminalRef> {
        let Some(part) = self.find.part(&terminal.part) else {
            return Vec::new();
        };
        let marks = part.terminals();
        let at = marks.iter().position(|m| *m == terminal.terminal);
        let near = at
            .into_iter()
            .flat_map(|at| [at.checked_sub(1), Some(at + 1)]);
        near.flatten()
            .filter_map(|n| marks.get(n).map(|m| part.terminal(m)))
            .collect()
    }

    fn links(&mut self) {
        for index in 0..self.setup.joined.len() {
            let names: Vec<String> = self.setup.joined[index]
                .iter()
                .map(ToString::to_string)
                .collect();
            let what = format!("the link between {} made no contact", names.join(" and "));
            self.push(1.0, what, "look at its clips".into(), |setup| {
                setup.joined.remove(index);
            });
        }
        for index in 0..self.setup.lifted.len() {
            let what = format!("the lead on {} was not lifted", self.setup.lifted[index]);
            self.push(1.0, what, "look at that terminal".into(), |setup| {
                setup.lifted.remove(index);
            });
        }
        for index in 0..self.setup.loads.len() {
            self.push(
                1.0,
                format!("load {} was not connected", index + 1),
                "look at its leads and its fuse".into(),
                |setup| {
                    setup.loads.remove(index);
                },
            );
        }
    }

    fn switches(&mut self) {
        for part in &self.find.parts {
            if !matches!(part.kind, PartKind::Fuse { .. } | PartKind::Switch) {
                continue;
            }
            let noted = self
                .setup
                .switches
                .iter()
                .position(|s| s.part == part.designation);
            let closed = noted.is_none_or(|n| self.setup.switches[n].closed);
            let state = if closed { "open" } else { "closed" };
            let what = format!("{} stood {state}", part.designation);
            let remedy = format!("look at {}", part.designation);
            let designation = part.designation.clone();
            self.push(1.0, what, remedy, |setup| {
                setup.switches.retain(|s| s.part != designation);
                setup.switches.push(SwitchSetting {
                    part: designation,
                    closed: !closed,
                });
            });
        }
    }
}
