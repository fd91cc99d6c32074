//! The big field: where, in what order, then the digits as the meter shows them. What is expected there is not said before.

use gear::{Find, Measured};
use maud::{Markup, PreEscaped, html};
use quantity::{Decimal, Unit};

use super::spots::{Offered, Spot};
use super::{Bench, Stand, drawn, observed, spots, step};
use crate::setup_form;

/// The page before a reading.
pub(super) fn show(bench: &Bench, stand: &Stand) -> Markup {
    let offered = spots::offered(bench.find, bench.said, stand.setup);
    let again = bench
        .came
        .given("again")
        .and_then(|number| number.parse().ok());
    let again = again.and_then(|number| bench.reading(number));
    let spot = Spot::of(bench.find, stand.setup, bench.came)
        .or_else(|| again.and_then(Spot::again))
        .or_else(|| offered.first().cloned());
    html! {
        section.frame {
            (bench.strip(stand, bench.next_number(), ""))
            @match &spot {
                Some(spot) => (asked(bench, stand, spot)),
                None => div.place { h1 { "Choose a place" } p { "Below, from the list or on the drawing." } },
            }
        }
        (places(bench, stand, &offered, spot.as_ref()))
        (observed::form(bench, stand))
        (bench.last_readings(stand))
    }
}

fn asked(bench: &Bench, stand: &Stand, spot: &Spot) -> Markup {
    let exposed = bench.judge.exposed(stand.setup);
    let with = bench.instrument(&stand.instrument);
    let due = step::left_in_amperes(bench.find, with.as_ref(), spot.measured);
    let instrument = with.as_ref().map_or_else(String::new, ToString::to_string);
    let cautions = judgement::cautions::of_step(bench.find, stand.setup, spot.measured);
    // Read in full before the first clip goes on in this setup, and whenever nothing clears the step.
    let first = !bench
        .find
        .readings
        .iter()
        .any(|r| r.setup == stand.setup.number);
    let full = bench.came.has("fresh") || first || exposed.class == "live";
    html! {
        div.place { h1 #title { (spot.title()) } p #where { (spot.place()) } }
        (drawn::meter(bench.find, spot, &instrument))
        form #entry method="post" action={ "/find/" (bench.slug) "/bench/reading" } novalidate {
            (step::before(bench.find, &exposed, spot, with.as_ref()))
            (step::leads_back(due, with.as_ref(), bench.came.has("leads_back"), bench.errors.of("leads_back").is_some()))
            (report::cautions_folded(&cautions, full))
            input type="hidden" name="setup" value=(stand.setup.number);
            input type="hidden" name="instrument" value=(stand.instrument);
            input type="hidden" name="from" value=(spot.from);
            input type="hidden" name="to" value=[spot.to.as_deref()];
            input type="hidden" name="measured" value=(spot.measured.word());
            input type="hidden" name="what" value=(spot.what);
            @if spot.measured == Measured::Continuity { (refusals(bench)) (beeps()) } @else { (digits(bench, spot)) }
        }
    }
}

/// What was wrong with what was sent, but for the leads, which say so themselves.
fn refusals(bench: &Bench) -> Markup {
    let all = bench
        .errors
        .all()
        .filter(|(field, _)| *field != "leads_back");
    let all: Vec<&str> = all.map(|(_, message)| message).collect();
    html! { @if !all.is_empty() { p.wrong role="alert" { "Not recorded yet: " (all.join("; ")) } } }
}

/// Continuity has two answers.
fn beeps() -> Markup {
    html! {
        div.beeps {
            button.record.inked type="submit" name="shown" value="beep" { "Beep" }
            button.record type="submit" name="shown" value="no beep" { "No beep" }
        }
    }
}

fn digits(bench: &Bench, spot: &Spot) -> Markup {
    let decimal = match bench.judge.decimal() {
        Decimal::Point => ".",
        Decimal::Comma => ",",
    };
    let chosen = bench.came.get("unit");
    let units = units(spot.unit());
    let shown = bench.came.get("shown");
    html! {
        label.hidden for="shown" { "Reading, as the meter shows it" }
        p.later { "The prediction shows once this is recorded." }
        div.typing {
        (refusals(bench))
        div.field {
            input #shown name="shown" type="text" inputmode="decimal" autocomplete="off" spellcheck="false" value=(shown) placeholder=(if decimal == "," { "–,–" } else { "–.–" })
                aria-invalid[bench.errors.of("shown").is_some()];
            @if units.len() > 1 {
                select.u name="unit" aria-label="unit" {
                    @for unit in &units { option value=(unit) selected[*unit == chosen || (chosen.is_empty() && *unit == spot.unit().symbol())] { (unit) } }
                }
            } @else { span.u { (spot.unit().symbol()) } }
        }
        }
        div.foot-keys {
            div.keys.with-script aria-label="Keys" role="group" {
                @for (n, key) in ["1", "2", "3", "back", "4", "5", "6", "unit", "7", "8", "9", "over", "point", "0", "minus", "skip"].into_iter().enumerate() {
                    @match key {
                        "back" => button.side type="button" data-key="back" aria-label="take back one digit" { (PreEscaped(r#"<svg width="30" height="22" viewBox="0 0 30 22" aria-hidden="true"><path d="M9.5 2H28V20H9.5L2 11Z" fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round"/><path d="M14 7l9 8M23 7l-9 8" stroke="currentColor" stroke-width="2"/></svg>"#)) },
                        "unit" => button.side type="button" data-key="unit" disabled[units.len() < 2] { (units.first().copied().unwrap_or_default()) },
                        "over" => button.side.two type="button" data-key="over" { "over" br; "range" },
                        "point" => button.pt type="button" data-key=(decimal) aria-label=(if decimal == "," { "decimal comma" } else { "decimal point" }) { (decimal) },
                        "minus" => button type="button" data-key="-" aria-label="minus" { "−" },
                        "skip" => button.side.two type="button" data-key="clear" { "clear" br; "all" },
                        digit => button type="button" data-key=(digit) data-n=(n) { (digit) },
                    }
                }
            }
            button.record.inked type="submit" { "Record" span #amount {} }
        }
    }
}

/// Units a meter shows for one thing, smallest first.
fn units(unit: Unit) -> Vec<&'static str> {
    match unit {
        Unit::Volt => vec!["mV", "V"],
        Unit::Ampere => vec!["mA", "A"],
        Unit::Ohm => vec!["mΩ", "Ω", "kΩ", "MΩ"],
        other => vec![other.symbol()],
    }
}

/// Every other place, in order; two lists and the drawing have those nobody thought of.
pub(super) fn places(
    bench: &Bench,
    stand: &Stand,
    offered: &Offered,
    now: Option<&Spot>,
) -> Markup {
    html! {
        section #places.list aria-label="Places" {
            (list("Tells most next", bench, stand, &offered.proposed, now))
            (other_setup(bench, stand))
            (list("Not read yet in this setup", bench, stand, &offered.unread, now))
            (by_hand(bench, stand))
            @if !offered.read.is_empty() {
                details { summary { "Read already" } (list("", bench, stand, &offered.read, now)) }
            }
        }
    }
}

fn list(title: &str, bench: &Bench, stand: &Stand, spots: &[Spot], now: Option<&Spot>) -> Markup {
    html! {
        @if !spots.is_empty() {
            @if !title.is_empty() { h2 { (title) } }
            ul { @for spot in spots { (line(bench.find, bench, stand, spot, now)) } }
        }
    }
}

fn line(find: &Find, bench: &Bench, stand: &Stand, spot: &Spot, now: Option<&Spot>) -> Markup {
    let here = now.is_some_and(|now| now.is_same(spot));
    let with = bench.instrument(&stand.instrument);
    let leads = step::left_in_amperes(find, with.as_ref(), spot.measured);
    html! {
        li {
            a.spot-link href=(stand.link_to(bench.slug, spot)) aria-current=[here.then_some("true")]
                data-from=(spot.from) data-to=(spot.to.as_deref().unwrap_or_default()) data-measured=(spot.measured.word()) data-what=(spot.what)
                data-title=(spot.title()) data-place=(spot.place()) data-unit=(spot.unit().symbol()) data-leads=[leads] {
                b { (spot.unit().symbol()) }
                span.pl { (spot.title()) small { (spot.place()) } }
            }
        }
    }
}

/// What is proposed in another setup, or in one still to be made.
fn other_setup(bench: &Bench, stand: &Stand) -> Markup {
    let proposals = bench.said.next.iter().flat_map(|next| &next.proposals);
    let other: Vec<_> = proposals
        .filter(|p| p.new_setup || p.setup != stand.setup.number)
        .take(2)
        .collect();
    html! {
        @if !other.is_empty() {
            h2 { "Would tell more, in another setup" }
            ul {
                @for p in other {
                    li { a href=(super::chooser::link_to(bench, stand, p)) { b { (p.class) } span.pl { (p.setup_words) small { "then " (p.place) ", " (p.measured) } } } }
                }
            }
        }
    }
}

/// Any two terminals, from lists or by the drawing.
fn by_hand(bench: &Bench, stand: &Stand) -> Markup {
    let phases = report::drawings::phases(bench.judge);
    html! {
        details #by-hand open[bench.came.has("by")] {
            summary { "Another place: drawing, lists" }
            form.by-hand method="get" action={ "/find/" (bench.slug) "/bench" } {
                input type="hidden" name="setup" value=(stand.setup.number);
                input type="hidden" name="instrument" value=(stand.instrument);
                (setup_form::terminal_choice(bench.find, "from", "from", bench.came, bench.errors))
                (setup_form::terminal_choice(bench.find, "to", "to (none for amperes)", bench.came, bench.errors))
                div.field { label for="measured" { "measured" } select #measured name="measured" {
                    option value="" { "as usual here" }
                    @for m in [Measured::AcVoltage, Measured::DcVoltage, Measured::AcCurrent, Measured::DcCurrent, Measured::Resistance, Measured::Continuity, Measured::Insulation] { option value=(m.word()) { (m.word()) } }
                } }
                div.field { label for="called" { "what it is called" } input #called name="what" type="text" autocomplete="off"; p.hint { "as in booster secondary; empty for nothing" } }
                button type="submit" { "Read there" }
            }
            @for phase in phases { (touchable(bench, stand, phase)) }
        }
    }
}

/// One phase drawn without a figure, its terminals to be tapped.
fn touchable(bench: &Bench, stand: &Stand, phase: u8) -> Markup {
    let Ok(drawing) = drawing::schematic(bench.find, Some(stand.setup), phase, &[]) else {
        return html! {};
    };
    let percent = |part: f64, whole: f64| format!("{:.3}%", 100.0 * part / whole);
    html! {
        div.wide-figure tabindex="0" role="group" aria-label={ "Drawing, phase " (phase) } {
            div.plot {
                (PreEscaped(&drawing.svg))
                @for spot in &drawing.boxes {
                    @if let Some(terminal) = spot.what.strip_prefix("terminal ") {
                        button.spot.with-script type="button" data-terminal=(terminal) aria-pressed="false" aria-label={ "read at " (terminal) }
                            style={ "left:" (percent((spot.at.x0 + spot.at.x1) / 2.0, drawing.width)) ";top:" (percent((spot.at.y0 + spot.at.y1) / 2.0, drawing.height)) } {}
                    }
                }
            }
        }
    }
}
