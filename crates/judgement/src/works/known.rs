//! What can be told of how a find works without a solved network: from its joins and what is written on its parts.

use super::seen::{list, ratio, terminal};
use super::stabilizer;
use gear::{Find, Part, PartKind, Winding};
use quantity::{Unit, show};
use wiring::Stage;

/// Less than this between two ratios is rounding on a plate.
const NO_SPREAD: f64 = 1e-9;

pub(super) fn sentences(find: &Find, stages: &[Stage]) -> Vec<String> {
    if let Some(stage) = stages.first() {
        let mut said = vec![stabilizer::intro(stages)];
        said.extend(stabilizer::side(stage));
        said.push(feeding(stage));
        said.extend(written_range(find, stage));
        said.push(
            "Say in a setup what is fed and where the slider stands, and the figures follow."
                .to_owned(),
        );
        return said;
    }
    let mut said: Vec<String> = find.parts.iter().filter_map(part).collect();
    if !said.is_empty() {
        said.push(
            "Say in a setup what is fed onto which terminals, and the figures follow.".to_owned(),
        );
    }
    said
}

fn feeding(stage: &Stage) -> String {
    let at = |mark: &str| terminal(&stage.autotransformer, mark);
    format!(
        "{}'s primary hangs between the slider {} and {}: what stands between the two, divided by its ratio, is added to the line or taken from it.",
        stage.booster,
        at(&stage.slider),
        at(&stage.fixed)
    )
}

/// How far the output can be moved, by the volts written on the booster.
fn written_range(find: &Find, stage: &Stage) -> Option<String> {
    let windings = &find.part(&stage.booster)?.kind.wound()?.windings;
    let written = |i: usize| {
        windings
            .get(i)?
            .volts
            .as_ref()?
            .value()
            .filter(|v| *v > 0.0)
    };
    let n = written(stage.primary)? / written(stage.secondary)?;
    let fixed = stage.fixed_at?;
    let ends = [-fixed, 1.0 - fixed].map(|d| stage.sense * d / n);
    let gain = |share: f64| {
        if stage.output_side == Some(true) {
            1.0 / (1.0 - share)
        } else {
            1.0 + share
        }
    };
    let moves = ends.map(|share| gain(share) - 1.0);
    let (low, high) = (moves[0].min(moves[1]), moves[0].max(moves[1]));
    let percent = |share: f64| show(share.abs(), Unit::Percent, 2);
    let way = match (low < -NO_SPREAD, high > NO_SPREAD) {
        (true, true) => format!(
            "from {} below the input to {} above it",
            percent(low),
            percent(high)
        ),
        (false, true) => format!("up to {} above the input", percent(high)),
        _ => format!("down to {} below the input", percent(low)),
    };
    Some(format!(
        "{} is written {} to 1, so the output can go {way}.",
        stage.booster,
        ratio(n)
    ))
}

fn part(part: &Part) -> Option<String> {
    let name = &part.designation;
    match &part.kind {
        PartKind::Transformer(wound) if wound.windings.len() > 1 => {
            let written: Vec<String> = wound
                .windings
                .iter()
                .filter_map(|w| w.volts.as_ref().map(|v| format!("{} {}", w.name, v.text())))
                .collect();
            let volts = if written.is_empty() {
                String::new()
            } else {
                format!(" ({})", list(&written))
            };
            Some(format!(
                "{name} is a transformer of {} windings{volts}; their volts go as their turns.",
                wound.windings.len()
            ))
        }
        PartKind::VariableAutotransformer(wound) => {
            let volts = wound
                .windings
                .first()
                .and_then(|w: &Winding| w.volts.as_ref())
                .map_or(String::new(), |v| format!(" for {}", v.text()));
            Some(format!(
                "{name} is one winding{volts} with a brush along its turns: the slider divides its volts by its place; it isolates nothing."
            ))
        }
        PartKind::Choke(_) => Some(format!(
            "{name} is a choke: it holds back alternating current and lets direct current pass."
        )),
        _ => None,
    }
}
