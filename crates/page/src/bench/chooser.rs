//! Setup and instrument, chosen once: one that was made, or a new one.

use judgement::ProposalSaid;
use maud::{Markup, html};

use super::{Bench, Stand};
use crate::setup_form;
use crate::{acts, frame, reading_form};

/// The page that asks for setup and instrument.
pub(super) fn show(bench: &Bench) -> Markup {
    let find = bench.find;
    let setup = bench.came.given("setup").map_or_else(
        || {
            find.setups
                .last()
                .map_or_else(String::new, |s| s.number.to_string())
        },
        str::to_owned,
    );
    let instrument = bench
        .came
        .given("instrument")
        .map_or_else(|| reading_form::usual_instrument(find), str::to_owned);
    let making = find.setups.is_empty() || bench.came.has("feed") || !bench.errors.is_empty();
    html! {
        section.frame.choosing {
            header.strip { p.mark { b { "bench" } } p.where { a href={ "/find/" (bench.slug) } { span { (find.name) } } } }
            div.place { h1 { "Setup and instrument" } p { "Chosen once; then value after value." } }
            @if !bench.errors.is_empty() { p.wrong role="alert" { "Not made yet: " @for (n, (_, message)) in bench.errors.all().enumerate() { @if n > 0 { "; " } (message) } } }
            (cautions(bench))
            @if !find.setups.is_empty() {
                form method="get" action={ "/find/" (bench.slug) "/bench" } {
                    input type="hidden" name="fresh" value="1";
                    (frame::choice("at", "setup", "setup", &reading_form::made_setups(find), &setup, None))
                    (frame::choice("at", "instrument", "with", &reading_form::instrument_options(find), &instrument, None))
                    button.record.inked type="submit" { "To the readings" }
                }
            }
            details #new-setup open[making] {
                summary { "A new setup" }
                form.making method="post" action={ "/find/" (bench.slug) "/bench/setup" } novalidate {
                    (setup_form::fields(find, bench.came, bench.errors))
                    (frame::choice("new", "instrument", "with", &reading_form::instrument_options(find), &instrument, bench.errors.of("instrument")))
                    button.record.inked type="submit" { "Make this setup" }
                }
            }
        }
    }
}

/// What endangers while this find is read: the gravest in full, the rest by name. Each stands in full again at the first step in the setup
/// that is chosen, before anything is clipped on.
fn cautions(bench: &Bench) -> Markup {
    let title = report::Section::Readings.title();
    let all = bench.said.cautions.iter().filter(|c| c.section == title);
    let all: Vec<_> = all.cloned().collect();
    html! {
        @if let Some((gravest, rest)) = all.split_first() {
            (report::caution_note(gravest))
            (report::cautions_folded(rest, false))
        }
    }
}

/// The way to a proposal's setup: to the one that was made, or to the form for it, filled.
pub(super) fn link_to(bench: &Bench, stand: &Stand, proposal: &ProposalSaid) -> String {
    let mut form = acts::form_for(proposal.setup, proposal.set_up.as_ref(), &proposal.measured);
    if proposal.new_setup {
        form.set("change", "1");
    }
    let instrument = if proposal.instrument.is_empty() {
        &stand.instrument
    } else {
        &proposal.instrument
    };
    form.set("instrument", instrument.clone());
    for (field, terminal) in ["from", "to"].iter().zip(&proposal.terminals) {
        form.set(field, terminal.clone());
    }
    format!("/find/{}/bench?{}", bench.slug, form.query())
}
