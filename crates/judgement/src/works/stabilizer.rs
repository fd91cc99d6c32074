//! How a stabilizer with a booster works, told for its first phase, with the others beside it.
//!
//! Formulas: output = input (1 + s d/n) with the autotransformer on the input side, input / (1 - s d/n) on the output side, d the
//! slider's distance from the fixed point as a share of the turns, n the booster's ratio, s the sense. They are the turns ratios
//! of ideal transformers in series (any textbook on transformers); the network's figures stand beside them.

use super::seen::{Seen, along, amperes, apparent, list, ratio, terminal, volts};
use wiring::Stage;

/// Closer to the fixed point than this the slider stands on it.
const ON_THE_POINT: f64 = 0.005;

pub(super) fn sentences(seen: &Seen<'_>, stages: &[Stage]) -> Vec<String> {
    let Some(stage) = stages.first() else {
        return Vec::new();
    };
    let mut said = vec![intro(stages)];
    said.extend(side(stage));
    let Some(here) = Here::of(seen, stage) else {
        return Vec::new();
    };
    said.push(here.slider());
    said.push(here.line());
    said.extend(here.formula());
    said.extend(here.currents(seen));
    said.extend(here.booster_share());
    said.extend(seen.losses());
    said.extend(phases(seen, stages));
    said
}

/// What it is made of.
pub(super) fn intro(stages: &[Stage]) -> String {
    let autos: Vec<&str> = stages.iter().map(|s| s.autotransformer.as_str()).collect();
    let boosters: Vec<&str> = stages.iter().map(|s| s.booster.as_str()).collect();
    match stages.len() {
        1 => format!(
            "{}, a variable autotransformer, feeds the booster {}, whose secondary stands in the line.",
            autos[0], boosters[0]
        ),
        _ => format!(
            "Each phase is alike: a variable autotransformer ({}) feeds a booster ({}), whose secondary stands in the line.",
            list(&autos),
            list(&boosters)
        ),
    }
}

/// On which side the autotransformer hangs.
pub(super) fn side(stage: &Stage) -> Option<String> {
    let (auto, booster) = (&stage.autotransformer, &stage.booster);
    Some(match stage.output_side? {
        true => format!(
            "{auto} hangs on the output side of {booster}, so it is fed with what {booster} has already made."
        ),
        false => format!(
            "{auto} hangs on the input side of {booster}, so it is fed with the line as it comes in."
        ),
    })
}

/// One phase at this moment.
struct Here<'a> {
    stage: &'a Stage,
    /// Slider and fixed point, positions.
    at: f64,
    fixed: f64,
    /// Primary turns over secondary turns.
    n: f64,
    primary: f64,
    secondary: f64,
    input: f64,
    output: f64,
    /// The secondary's volts help the line.
    adds: bool,
    /// Currents of secondary and primary, load or none.
    line: Option<f64>,
    brush: Option<f64>,
    loaded: bool,
}

impl<'a> Here<'a> {
    fn of(seen: &Seen<'_>, stage: &'a Stage) -> Option<Self> {
        let (auto, booster) = (&stage.autotransformer, &stage.booster);
        let windings = &seen.find.part(booster)?.kind.wound()?.windings;
        let neutral = terminal(auto, &stage.star_end);
        let input = seen.volts(&terminal(booster, &stage.line_in), &neutral)?;
        let output = seen.volts(&terminal(booster, &stage.line_out), &neutral)?;
        Some(Self {
            stage,
            at: seen.slider(auto, &stage.slider)?,
            fixed: seen.point(auto, &stage.fixed)?,
            n: seen.turns(booster, stage.primary)? / seen.turns(booster, stage.secondary)?,
            primary: seen.across(booster, windings.get(stage.primary)?)?.norm(),
            secondary: (output - input).norm(),
            input: input.norm(),
            output: output.norm(),
            adds: output.norm() >= input.norm(),
            line: seen.amperes(booster, stage.secondary),
            brush: seen.amperes(booster, stage.primary),
            loaded: seen.loaded(),
        })
    }

    /// Name of the fixed point.
    fn point(&self) -> &'static str {
        let (at_first, at_last) = (
            self.stage.fixed_at == Some(0.0),
            self.stage.fixed_at == Some(1.0),
        );
        match (at_first, at_last, self.stage.towards_line) {
            (false, false, _) => "tap",
            (true, _, true) | (_, true, false) => "star end",
            _ => "line end",
        }
    }

    fn slider(&self) -> String {
        let booster = &self.stage.booster;
        let above = (self.at - self.fixed) * if self.stage.towards_line { 1.0 } else { -1.0 };
        if above.abs() < ON_THE_POINT {
            return format!(
                "The slider stands on the {}, so {booster}'s primary gets next to nothing and the line goes through as it is.",
                self.point()
            );
        }
        let (way, does) = (
            if above > 0.0 { "above" } else { "below" },
            if self.adds { "adds" } else { "takes away" },
        );
        format!(
            "The slider stands {} {way} the {}, so {booster}'s primary gets {} and its secondary {does} {}.",
            along(above),
            self.point(),
            volts(self.primary),
            volts(self.secondary)
        )
    }

    fn line(&self) -> String {
        let phase = self
            .stage
            .phase
            .map_or(String::new(), |p| format!(" of L{p}"));
        let stands = format!(
            "With {} from line to neutral at the input{phase}, {} stand at the output",
            volts(self.input),
            volts(self.output)
        );
        let Some((a, b)) = self.ideal(0.0).zip(self.ideal(1.0)) else {
            return format!("{stands}.");
        };
        let (low, high) = (a.min(b) * self.input, a.max(b) * self.input);
        format!(
            "{stands}; over its whole travel the slider can set it from about {} to {}.",
            volts(low),
            volts(high)
        )
    }

    /// Output over input by the turns alone.
    fn ideal(&self, at: f64) -> Option<f64> {
        let share = self.stage.sense * (at - self.fixed) / self.n;
        match self.stage.output_side? {
            true => Some(1.0 / (1.0 - share)),
            false => Some(1.0 + share),
        }
        .filter(|r| r.is_finite() && *r > 0.0)
    }

    fn formula(&self) -> Option<String> {
        let gain = self.ideal(self.at)?;
        let share = self.stage.sense * (self.at - self.fixed);
        let (d, n) = (along(share), ratio(self.n));
        if share.abs() < ON_THE_POINT {
            return Some(format!(
                "{}'s primary has {n} turns for each turn of its secondary; by the turns alone the output is the input here.",
                self.stage.booster
            ));
        }
        let law = match (self.stage.output_side?, share >= 0.0) {
            (true, true) => format!("input / (1 \u{2212} {d}/{n})"),
            (true, false) => format!("input / (1 + {d}/{n})"),
            (false, true) => format!("input × (1 + {d}/{n})"),
            (false, false) => format!("input × (1 \u{2212} {d}/{n})"),
        };
        Some(format!(
            "{}'s primary has {n} turns for each turn of its secondary; by the turns alone the output is {law}, {gain:.3} of the input.",
            self.stage.booster
        ))
    }

    fn currents(&self, seen: &Seen<'_>) -> Vec<String> {
        let auto = &self.stage.autotransformer;
        if !self.loaded {
            let drawn = seen.feed_amperes(self.stage.phase.map_or(0, |p| p.saturating_sub(1)));
            return drawn
                .map(|a| format!("Nothing is taken at the output; the {} that flow in only magnetise the cores and feed their loss.", amperes(a)))
                .into_iter()
                .collect();
        }
        let (Some(line), Some(brush)) = (self.line, self.brush) else {
            return Vec::new();
        };
        let mut said = vec![format!(
            "Of the {} in the line, {} flow in {}'s primary and {auto}'s brush: the line current over {}, wherever the slider stands.",
            amperes(line),
            amperes(brush),
            self.stage.booster,
            ratio(self.n)
        )];
        said.extend(self.winding_currents(seen));
        said
    }

    /// Currents between fixed point and slider, and in the rest.
    fn winding_currents(&self, seen: &Seen<'_>) -> Option<String> {
        let (low, high) = (self.at.min(self.fixed), self.at.max(self.fixed));
        let pieces = seen.pieces(&self.stage.autotransformer, 0);
        let middle = |p: &(f64, f64, f64)| (p.0 + p.1) / 2.0;
        let greatest = |inside: bool| {
            let wanted = pieces
                .iter()
                .filter(|p| (low..=high).contains(&middle(p)) == inside);
            wanted.map(|p| p.2).max_by(f64::total_cmp)
        };
        if high - low < ON_THE_POINT {
            return None;
        }
        Some(format!(
            "Between {} and slider {}'s winding carries {}, in the rest {}: few turns near the {} carry nearly all of it.",
            self.point(),
            self.stage.autotransformer,
            amperes(greatest(true)?),
            amperes(greatest(false)?),
            self.point()
        ))
    }

    fn booster_share(&self) -> Option<String> {
        let line = self.line.filter(|_| self.loaded)?;
        Some(format!(
            "Only what is added or taken passes through {}: {} for the {} of this phase.",
            self.stage.booster,
            apparent(self.secondary * line),
            apparent(self.output * line)
        ))
    }
}

/// The other phases, and how their sliders hang together.
fn phases(seen: &Seen<'_>, stages: &[Stage]) -> Option<String> {
    if stages.len() < 2 {
        return None;
    }
    let outputs: Vec<String> = stages
        .iter()
        .map(|s| {
            seen.volts(
                &terminal(&s.booster, &s.line_out),
                &terminal(&s.autotransformer, &s.star_end),
            )
            .map(|v| volts(v.norm()))
        })
        .collect::<Option<_>>()?;
    let one_gang = seen
        .find
        .gang_of(&stages[0].autotransformer)
        .filter(|g| stages.iter().all(|s| g.parts.contains(&s.autotransformer)));
    let sliders = match one_gang {
        Some(gang) => format!("All sliders move together on one {}", gang.name),
        None => "Each slider moves by itself".to_owned(),
    };
    Some(format!(
        "{sliders}; the outputs stand at {} to the star point.",
        list(&outputs)
    ))
}
