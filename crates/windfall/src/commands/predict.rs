//! `windfall predict`: what stands where, at a slider position, supply and load.

use crate::arguments::Predict;
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use judgement::{Conditions, Judge, Live};

pub(crate) fn run(asked: &Predict) -> Result<Outcome, Failure> {
    let given = given::find(&asked.sheet.at)?;
    let judge = input::judge(given.find);
    let name = given.name;
    let rated = judge.rated_conditions().ok_or_else(|| {
        Failure::input(format!(
            "{name}: there is nothing to predict from; {}",
            missing(&judge)
        ))
    })?;
    let conditions = conditions(asked, rated)?;
    let live = judge.live(conditions).ok_or_else(|| {
        let faults = &judge.judgement().wiring.faults;
        let why = if faults.is_empty() {
            missing(&judge)
        } else {
            faults.join("; ")
        };
        Failure::input(format!("{name}: the network has no answer; {why}"))
    })?;
    if asked.sheet.json {
        input::print_json(&live)?;
    } else {
        input::print(&text(&live))?;
    }
    Ok(Outcome::Good)
}

fn missing(judge: &Judge) -> String {
    judge.judgement().unlocks.first().map_or_else(
        || "add parts and joins".to_owned(),
        |u| format!("add {}: {}", u.fact, u.gives),
    )
}

fn conditions(asked: &Predict, rated: Conditions) -> Result<Conditions, Failure> {
    let slider = asked.slider.unwrap_or(rated.slider);
    if !(0.0..=1.0).contains(&slider) {
        return Err(Failure::input(format!(
            "--slider {slider} lies off the winding; write 0 to 1, counted from its first terminal"
        )));
    }
    let supply = judgement::volts(asked.supply.as_deref(), rated.supply)
        .map_err(|e| Failure::input(format!("--supply: {e}")))?;
    let load = judgement::volt_amperes(asked.load.as_deref(), rated.load)
        .map_err(|e| Failure::input(format!("--load: {e}")))?;
    Ok(Conditions {
        slider,
        supply,
        load,
        ..rated
    })
}

fn text(live: &Live) -> String {
    let mut text = format!("slider at {:.2}\n\n", live.slider);
    let wide = live
        .values
        .iter()
        .map(|v| v.what.chars().count())
        .max()
        .unwrap_or(0);
    for v in &live.values {
        text.push_str(&format!("  {:<wide$}  {:>8} {}\n", v.what, v.value, v.unit));
    }
    for sentence in live.sentences.iter().chain(&live.remarks) {
        text.push_str(&format!("\n{sentence}"));
    }
    text
}
