//! What may be done about what is said: a reading repeated, struck or kept, a proposed one taken, a candidate drawn. Nothing here writes a
//! value nobody read: the form opens filled with setup, place and instrument, and the figure is the meter's to give.

use gear::Measured;
use judgement::{CandidateSaid, FedSaid, NewSetup, ProposalSaid, ReadingSaid, TestSaid};
use maud::{Markup, html};

use crate::find_page::View;
use crate::photos::shown;
use crate::setup_form;
use crate::submitted::Submitted;

/// Below this a candidate is not worth a drawing of its own.
const WORTH_DRAWING: f64 = 0.01;

/// What may be done about a queried reading.
pub(crate) fn on_reading(view: &View, reading: &ReadingSaid) -> Markup {
    let number = reading.number;
    let kept = view
        .find
        .readings
        .iter()
        .any(|r| r.number == number && r.kept);
    html! {
        (shown::of_display(view.slug, view.photos, number))
        a.act.inked href={ "/find/" (view.slug) "?again=" (number) "#add" } { "Repeat" }
        @if kept { span.small { "Kept as read." } } @else {
            form method="post" action={ "/find/" (view.slug) "/keep" } {
                input type="hidden" name="number" value=(number);
                button { "Keep as read" }
            }
        }
        form.strike id={ "strike-" (number) } method="post" action={ "/find/" (view.slug) "/strike" } {
            input type="hidden" name="number" value=(number);
            label.hidden for={ "reason-" (number) } { "Why reading " (number) " is struck" }
            input id={ "reason-" (number) } type="text" name="reason" placeholder="reason" required autocomplete="off";
            button { "Strike" }
        }
    }
}

/// Striking a reading that nothing queries: the owner knows best where the clip sat.
pub(crate) fn strike_any(view: &View) -> Markup {
    let open: Vec<_> = view
        .find
        .readings
        .iter()
        .filter(|r| r.struck.is_none())
        .collect();
    html! {
        @if !open.is_empty() {
            details.strike-any {
                summary { "Strike a reading" }
                form.strike method="post" action={ "/find/" (view.slug) "/strike" } {
                    label for="strike-number" { "reading" }
                    select #strike-number name="number" { @for r in open.iter().rev() { option value=(r.number) { (r.number) ", " (r.place) } } }
                    label for="strike-reason" { "reason" }
                    input #strike-reason type="text" name="reason" required autocomplete="off";
                    button { "Strike" }
                }
                p.hint { "It stays legible, with its reason, and counts no more." }
            }
        }
    }
}

/// The drawing of a candidate that is not the one recorded.
pub(crate) fn on_candidate(view: &View, place: usize, candidate: &CandidateSaid) -> Markup {
    let worth = !candidate.as_recorded && candidate.probability >= WORTH_DRAWING;
    html! {
        @if worth { a.small href={ "/find/" (view.slug) "?as=" (place) "#wiring" } { "draw it so" } }
    }
}

/// The way from a proposal to the form.
pub(crate) fn on_proposal(view: &View, proposal: &ProposalSaid) -> Markup {
    let mut form = form_for(proposal.setup, proposal.set_up.as_ref(), &proposal.measured);
    form.set("instrument", proposal.instrument.clone());
    take(view, form, &proposal.terminals)
}

/// The way from a tracing test to the form.
pub(crate) fn on_test(view: &View, test: &TestSaid) -> Markup {
    let form = form_for(test.setup, test.set_up.as_ref(), &test.measured);
    take(view, form, &test.terminals)
}

fn take(view: &View, mut form: Submitted, terminals: &[String]) -> Markup {
    // A ratio has four terminals and no field here: it is written into the sheet.
    if terminals.is_empty() || terminals.len() > 2 {
        return html! {};
    }
    for (field, terminal) in ["from", "to"].iter().zip(terminals) {
        form.set(field, terminal.clone());
    }
    html! { a.act.inked href={ "/find/" (view.slug) "?" (form.query()) "#add" } { "Take this reading" } }
}

/// A form filled with a setup, made or to be made, and what is measured there.
pub(crate) fn form_for(number: u32, set_up: Option<&NewSetup>, measured: &str) -> Submitted {
    let mut form = Submitted::default();
    match set_up {
        None => form.set("setup", number.to_string()),
        Some(made) => fill_setup(&mut form, made),
    }
    // A beep is typed as such; the list of what is measured has no line for it.
    if measured != Measured::Continuity.word() {
        form.set("measured", measured);
    }
    form
}

fn fill_setup(form: &mut Submitted, made: &NewSetup) {
    form.set("setup", "new");
    match &made.fed {
        None => form.set("feed", "nothing"),
        Some(FedSaid {
            to,
            neutral,
            volts,
            source,
        }) => {
            let neutral = neutral
                .as_ref()
                .map_or_else(String::new, |n| format!("/{n}"));
            form.set("feed", format!("{}{neutral}", to.join("+")));
            form.set("volts", volts.clone());
            form.set("source", source.clone());
        }
    }
    for (slider, at) in &made.sliders {
        form.set(&setup_form::slider_field(slider), at.clone());
    }
    let joined: Vec<String> = made.joined.iter().map(|j| j.join("+")).collect();
    for (field, words) in [
        ("joined", joined),
        ("lifted", made.lifted.clone()),
        ("open", made.open.clone()),
        ("closed", made.closed.clone()),
    ] {
        if !words.is_empty() {
            form.set(field, words.join(", "));
        }
    }
}
