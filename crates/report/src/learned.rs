//! What the readings taught: each parameter before and after, with its bar; what they did not touch is said by name.

use crate::terms::term;
use drawing::bars::{PriorToPosterior, Row, bar};
use judgement::Learned;
use maud::{Markup, PreEscaped, html};

/// The parameters with their prior-to-posterior bars; those that rest on their prior alone stand last.
pub fn learned_table(learned: &[Learned]) -> Markup {
    let (untaught, taught): (Vec<&Learned>, Vec<&Learned>) =
        learned.iter().partition(|l| l.prior_only);
    html! {
        @if learned.is_empty() {
            p class="said" { "There is no network yet, so the readings could teach nothing." }
        } @else {
            div class="wide-figure" tabindex="0" role="group" aria-label="What the readings taught" {
                table class="learned" {
                    caption class="hidden" { "Parameters before and after the readings" }
                    thead {
                        tr {
                            th scope="col" { span class="hidden" { "parameter" } }
                            th scope="col" class="before" { "before" (term("prior")) }
                            th scope="col" { span class="hidden" { "bar" } }
                            th scope="col" class="after" { "after" (term("posterior")) }
                            th scope="col" { "known before from" }
                        }
                    }
                    tbody { @for parameter in taught.iter().chain(&untaught) { (row(parameter)) } }
                }
            }
            p class="small" {
                "Hollow: before" (term("prior")) ". Solid: after" (term("posterior")) ". Each row on its own scale, the hollow bar always the same width; an arrow points to what lies outside it."
                @if !untaught.is_empty() { " Prior only: known no better than before, whatever else was read." }
            }
        }
    }
}

/// The row of a parameter as a drawing has it.
pub(crate) fn bar_row(parameter: &Learned) -> Row {
    Row {
        name: parameter.name.clone(),
        before: with_unit(&parameter.before, &parameter.unit),
        after: if parameter.prior_only {
            "prior only".to_owned()
        } else {
            with_unit(&parameter.after, &parameter.unit)
        },
        bar: prior_to_posterior(parameter),
    }
}

fn prior_to_posterior(parameter: &Learned) -> PriorToPosterior {
    PriorToPosterior {
        title: if parameter.prior_only {
            format!("{}: not touched by these readings", parameter.name)
        } else {
            format!(
                "{}: {} before, {} after",
                parameter.name, parameter.before, parameter.after
            )
        },
        width_ratio: parameter.width_ratio,
        centre: parameter.centre,
        prior_only: parameter.prior_only,
    }
}

fn row(parameter: &Learned) -> Markup {
    let drawn = bar(&prior_to_posterior(parameter));
    html! {
        tr {
            th scope="row" { (parameter.name) }
            td class="before" { (with_unit(&parameter.before, &parameter.unit)) }
            td class="bar" { (PreEscaped(drawn.svg)) }
            td class="after" {
                @if parameter.prior_only { span class="quiet" { "prior only" } }
                @else { (with_unit(&parameter.after, &parameter.unit)) }
            }
            td class="basis" { (parameter.basis) }
        }
    }
}

pub(crate) fn with_unit(value: &str, unit: &str) -> String {
    if unit.is_empty() {
        value.to_owned()
    } else {
        format!("{value}\u{a0}{unit}")
    }
}
