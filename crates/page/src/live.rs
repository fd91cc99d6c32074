//! What follows the hand: the answer for a slider, supply and load that differ from the setup's.

use drawing::Drawing;
use judgement::{Behaviour, Conditions, Judge, Live};
use serde::Serialize;

use crate::submitted::Submitted;

/// The gear this program knows ends here.
const LARGEST_VOLTS: f64 = 1000.0;

/// What a load field says when there is none.
const NO_LOAD: &str = "none";
/// The conditions that can be changed, each a field.
const CHANGEABLE: [&str; 3] = ["slider", "supply", "load"];

/// What a condition's field says while it stands as in the setup drawn: the person's own digits where there are any.
pub(crate) fn set_text(judge: &Judge, field: &str) -> String {
    let Some(drawn) = judge.drawn_conditions() else {
        return String::new();
    };
    match field {
        "slider" => format!("{:.2}", drawn.slider),
        "supply" => {
            let feed = judge.drawn_setup().and_then(|s| s.feeds.first());
            let fed = feed.and_then(|f| f.volts.as_ref());
            fed.map_or_else(|| format!("{} V", drawn.supply), |v| v.text().to_owned())
        }
        _ => NO_LOAD.to_owned(),
    }
}

/// The conditions asked for, fields left out or empty standing as in the setup; `None` when none came or there is no network. A field that
/// says what the setup says asks for no change: the source's volts stay what all readings make of them.
/// # Errors
/// What is wrong with which field, in words.
pub(crate) fn asked(judge: &Judge, query: &Submitted) -> Result<Option<Conditions>, String> {
    let given = |field: &&str| query.given(field).is_some();
    match judge.drawn_conditions() {
        Some(setup) if CHANGEABLE.iter().any(given) => {
            let mut query = query.clone();
            for field in CHANGEABLE {
                if query.get(field) == set_text(judge, field) {
                    query.set(field, "");
                }
            }
            changed(setup, &query).map(Some)
        }
        _ => Ok(None),
    }
}

fn changed(setup: Conditions, query: &Submitted) -> Result<Conditions, String> {
    let slider = match query.given("slider") {
        Some(text) => text.replace(',', ".").parse::<f64>().ok().filter(|x| (0.0..=1.0).contains(x)).ok_or_else(|| {
            format!("slider: `{text}` is no position; write a fraction of the turns from 0 to 1, as in 0.70")
        })?,
        None => setup.slider,
    };
    let supply = judgement::volts(query.given("supply"), setup.supply)
        .map_err(|e| format!("supply: {e}"))?;
    if !(0.0..=LARGEST_VOLTS).contains(&supply) {
        return Err(format!("supply: from 0 to {LARGEST_VOLTS} V"));
    }
    let load = match query.given("load") {
        Some(NO_LOAD | "no load") => 0.0,
        text => judgement::volt_amperes(text, setup.load).map_err(|e| format!("load: {e}"))?,
    };
    if !(load.is_finite() && load >= 0.0) {
        return Err("load: write volt-amperes, as in 10 kVA".to_owned());
    }
    Ok(Conditions {
        slider,
        supply,
        load,
        ..setup
    })
}

/// The values under the conditions asked for; `None` where there is no network.
/// # Errors
/// What is wrong with which field, in words.
pub(crate) fn values(judge: &Judge, query: &Submitted) -> Result<Option<Live>, String> {
    let conditions = asked(judge, query)?.or_else(|| judge.drawn_conditions());
    Ok(conditions.and_then(|c| judge.live_without_charts(c)))
}

/// Width of the travel charts, px: the leaf at a desk.
const CHART_WIDTH: f64 = 848.0;

/// The travel charts as an answer to the script.
#[derive(Serialize)]
pub(crate) struct Travel {
    /// The condition in one sentence.
    condition: String,
    /// The `<svg>` element.
    svg: String,
    /// Remarks under it.
    remarks: Vec<String>,
}

/// The travel charts under the conditions asked for; `None` where there is nothing along the travel.
/// # Errors
/// What is wrong with which field, in words.
pub(crate) fn travel(judge: &Judge, query: &Submitted) -> Result<Option<Travel>, String> {
    let conditions = asked(judge, query)?.or_else(|| judge.drawn_conditions());
    let charted = conditions.and_then(|c| charted(judge, c));
    Ok(charted.map(|(behaviour, drawing)| Travel {
        condition: behaviour.condition,
        svg: drawing.svg,
        remarks: behaviour.remarks,
    }))
}

/// Behaviour and its charts with the handle at these conditions: at the plate's supply and load, as judged, while only the slider
/// moves; at the supply and load asked for once either was changed.
pub(crate) fn charted(judge: &Judge, conditions: Conditions) -> Option<(Behaviour, Drawing)> {
    let setup = judge.drawn_conditions()?;
    let changed = conditions.supply != setup.supply || conditions.load != setup.load;
    let behaviour = if changed {
        judge.behaviour(conditions)?
    } else {
        judge.judgement().behaviour.clone()?
    };
    let read_outs = judge.read_outs(&behaviour, conditions.slider);
    let behaviour = Behaviour {
        at: conditions.slider,
        ..behaviour
    };
    let drawing = report::travel_drawing(&behaviour, &read_outs, CHART_WIDTH);
    Some((behaviour, drawing))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Conditions of a one-phase stabilizer at its plate's 230 V.
    fn setup() -> Conditions {
        let arrangement = wiring::arrangement("stabilizer-centre-tap").unwrap();
        let options = wiring::Options {
            plate: Some("10 kVA 230 V ±20 % 50 Hz".to_owned()),
            chosen: vec![("phases".to_owned(), "1".to_owned())],
            ..wiring::Options::default()
        };
        Judge::new((arrangement.build)(&options))
            .drawn_conditions()
            .unwrap()
    }

    fn of(fields: &[(&str, &str)]) -> Result<Conditions, String> {
        let fields = fields
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()));
        changed(setup(), &Submitted(fields.collect()))
    }

    #[test]
    fn what_is_left_out_stands_as_in_the_setup() {
        let only_slider = of(&[("slider", "0,70"), ("load", " ")]).unwrap();
        assert_eq!(
            (only_slider.slider, only_slider.supply, only_slider.load),
            (0.7, 230.0, 0.0)
        );
    }

    #[test]
    fn units_may_be_written() {
        let some = of(&[("supply", "400 V"), ("load", "10 kVA")]).unwrap();
        assert_eq!((some.supply, some.load), (400.0, 10_000.0));
        assert_eq!(of(&[("load", "none")]).unwrap().load, 0.0);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(of(&[("slider", "1.2")]).is_err());
        assert!(of(&[("slider", "nan")]).is_err());
        assert!(of(&[("supply", "4 kV")]).is_err());
        assert!(of(&[("load", "x")]).is_err());
    }
}
