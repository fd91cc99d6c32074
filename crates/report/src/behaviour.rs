//! Behaviour along the travel: the judgement's panels as a travel chart, its condition and remarks.

use drawing::Drawing;
use drawing::chart::{DamagedTravel, Panel, Series, TravelChart, travel_chart};
use judgement::Behaviour;
use maud::{Markup, PreEscaped, html};

/// Why there is no chart.
pub(crate) const NOTHING_TO_CHART: &str =
    "There is nothing to chart along a travel: no slider, or no complete network yet.";

/// The travel chart, `width` px wide. `read_outs` are the values at the handle: panel, series, value in words with its unit.
pub fn travel_drawing(
    behaviour: &Behaviour,
    read_outs: &[(usize, usize, String)],
    width: f64,
) -> Drawing {
    let read_out = |panel: usize, series: usize| {
        let found = read_outs.iter().find(|r| (r.0, r.1) == (panel, series));
        found.map(|r| with_its_unit(&r.2, &behaviour.panels[panel].unit))
    };
    let panels = behaviour
        .panels
        .iter()
        .enumerate()
        .map(|(panel, said)| Panel {
            what: said.what.clone(),
            unit: said.unit.clone(),
            series: said
                .series
                .iter()
                .enumerate()
                .map(|(index, series)| Series {
                    name: series.name.clone(),
                    phase: phase_of(&series.name),
                    values: series.values.clone(),
                    half_widths: series.half_widths.clone(),
                    read_out: read_out(panel, index),
                })
                .collect(),
        });
    let chart = TravelChart {
        title: title(behaviour),
        slider: behaviour.slider.clone(),
        handle: behaviour.at,
        ends: behaviour.ends.clone(),
        panels: panels.collect(),
        damage: behaviour
            .damage
            .iter()
            .map(|(from, to, words)| DamagedTravel {
                from: *from,
                to: *to,
                words: words.clone(),
            })
            .collect(),
    };
    travel_chart(&chart, width)
}

/// A value ends with the unit of its panel.
fn with_its_unit(words: &str, unit: &str) -> String {
    if unit.is_empty() || words.ends_with(unit) {
        words.to_owned()
    } else {
        format!("{words}\u{a0}{unit}")
    }
}

fn title(behaviour: &Behaviour) -> String {
    let whats: Vec<&str> = behaviour.panels.iter().map(|p| p.what.as_str()).collect();
    format!(
        "Travel chart: {} against slider position; {}",
        whats.join(", "),
        behaviour.condition
    )
}

/// A series that names one phase has its conductor's colour.
fn phase_of(name: &str) -> Option<u8> {
    let words = || name.split(|c: char| !c.is_alphanumeric());
    let phases: Vec<u8> = (1..=3u8)
        .filter(|p| words().any(|w| w == format!("L{p}")))
        .collect();
    match phases[..] {
        [one] => Some(one),
        _ => None,
    }
}

/// Condition, chart and remarks. `chart` is ready ([`travel_drawing`], with whatever the live page lays over it).
pub fn behaviour_section(behaviour: Option<&Behaviour>, chart: Markup) -> Markup {
    html! {
        @match behaviour {
            None => p class="said" { (NOTHING_TO_CHART) },
            Some(behaviour) => {
                figure {
                    @if !behaviour.condition.is_empty() { figcaption class="said" { (behaviour.condition) } }
                    div class="wide-figure" tabindex="0" role="group" aria-label="Travel chart" { div class="plot" { (chart) } }
                }
                (remarks(&behaviour.remarks))
            },
        }
    }
}

fn remarks(remarks: &[String]) -> Markup {
    html! { @for remark in remarks { p class="small" { (remark) } } }
}

/// The chart without anything laid over it.
pub(crate) fn plain_chart(
    behaviour: &Behaviour,
    read_outs: &[(usize, usize, String)],
    width: f64,
) -> Markup {
    PreEscaped(travel_drawing(behaviour, read_outs, width).svg)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_series_of_one_phase_has_a_colour() {
        assert_eq!(phase_of("output L2"), Some(2));
        assert_eq!(phase_of("L1 to L2"), None);
        assert_eq!(phase_of("T1 tap to brush"), None);
        assert_eq!(phase_of("XL1"), None);
    }
}
