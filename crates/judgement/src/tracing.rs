//! Unmarked parts in words: windings found so far, what cannot be right, the next test.

use crate::next::{sentence, set_up};
use crate::said::{TestSaid, TracedSaid};
use crate::setups::setup_words;
use gear::{Dot, Find, PartKind};
use quantity::{Decimal, Estimate, Unit};
use trace::{Next, Traced, TracedWinding};

/// Every unmarked part of a find.
pub(crate) fn said(find: &Find, decimal: Decimal) -> Vec<TracedSaid> {
    find.parts
        .iter()
        .filter(|part| matches!(part.kind, PartKind::Unmarked(_)))
        .filter_map(|part| trace::traced(find, &part.designation))
        .map(|traced| one(&traced, decimal))
        .collect()
}

fn one(traced: &Traced, decimal: Decimal) -> TracedSaid {
    let phases = traced.phases.iter().map(|phase| {
        let half = |(start, finish): &(String, Option<String>)| {
            format!(
                "{start} to {}",
                finish.as_deref().unwrap_or("the star inside")
            )
        };
        let halves: Vec<String> = phase.halves.iter().map(half).collect();
        (phase.name.to_owned(), halves.join(", "))
    });
    let contradictions = traced.contradictions.iter().map(|c| {
        let numbers: Vec<String> = c.readings.iter().map(u32::to_string).collect();
        format!(
            "{} Readings {}, the likeliest to have slipped first.",
            sentence(&c.what),
            numbers.join(", ")
        )
    });
    TracedSaid {
        part: traced.part.to_string(),
        summary: summary(traced),
        windings: traced
            .windings
            .iter()
            .map(|w| (w.name.clone(), row(w, decimal)))
            .collect(),
        phases: phases.collect(),
        unplaced: traced.unplaced.clone(),
        contradictions: contradictions.collect(),
        remarks: traced.remarks.iter().map(|r| sentence(r)).collect(),
        next: traced.next.as_ref().map(test),
        left: traced.left,
        settled: traced.settled,
    }
}

fn summary(traced: &Traced) -> String {
    let leads = traced.leads.len();
    let found = match traced.windings.len() {
        0 => "none stands in a winding yet".to_owned(),
        1 => "one winding is told so far".to_owned(),
        n => format!("{n} windings are told so far"),
    };
    if traced.settled {
        return format!("{leads} leads, and all is told: windings, order, ratios, starts.");
    }
    match (&traced.next, &traced.blocked) {
        (Some(_), _) => {
            let tests = if traced.left == 1 { "test" } else { "tests" };
            format!(
                "{leads} leads; {found}. At worst {} {tests} are left, if none has to be repeated.",
                traced.left
            )
        }
        (None, Some(why)) => format!("{leads} leads; {found}. {}", sentence(why)),
        (None, None) => format!("{leads} leads; {found}."),
    }
}

/// "1 - 5 (at 0.50 ± 0.02) - 3, start 1, 12.3 Ω, ratio 0.50 ± 0.01".
fn row(winding: &TracedWinding, decimal: Decimal) -> String {
    let figure = |value: f64, u: f64, unit: Unit| {
        Estimate {
            value,
            standard_uncertainty: u,
            unit,
        }
        .text(decimal)
        .trim_end()
        .to_owned()
    };
    let points: Vec<String> = winding
        .points
        .iter()
        .map(|point| match point.at {
            Some((at, u)) => format!("{} (at {})", point.terminal, figure(at, u, Unit::One)),
            None => point.terminal.clone(),
        })
        .collect();
    let start = match winding.dot {
        Dot::First => winding.points.first(),
        Dot::Last => winding.points.last(),
        Dot::Unknown => None,
    };
    let facts = [
        start.map(|point| format!("start {}", point.terminal)),
        winding
            .ohms
            .map(|ohms| decimal.set(&quantity::show(ohms, Unit::Ohm, 3))),
        winding.ratio.map(|(ratio, u)| {
            format!("{} of the fed winding's volts", figure(ratio, u, Unit::One))
        }),
        winding
            .turns
            .map(|(turns, u)| format!("{} turns", figure(turns, u, Unit::One))),
        winding
            .by_elimination
            .then(|| "what was left over".to_owned()),
    ];
    std::iter::once(points.join(" – "))
        .chain(facts.into_iter().flatten())
        .collect::<Vec<_>>()
        .join(", ")
}

fn test(next: &Next) -> TestSaid {
    TestSaid {
        what: next.what.clone(),
        why: sentence(&next.why),
        class: next.class.word(),
        class_why: sentence(&next.class_why),
        setup: next.setup.number,
        setup_words: setup_words(&next.setup),
        set_up: next.new_setup.then(|| set_up(&next.setup)),
        terminals: next
            .place
            .terminals()
            .iter()
            .map(ToString::to_string)
            .collect(),
        measured: next.measured.word().to_owned(),
        cautions: next.cautions.clone(),
    }
}
