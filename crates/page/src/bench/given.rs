//! The verdict of the reading just recorded, in shape and word, and what may be done about it. A prediction is said only where nothing is
//! queried: who is to read again must not know what is hoped for.

use judgement::{ReadingSaid, Verdict};
use maud::{Markup, html};

use super::spots::{self, Spot};
use super::{Bench, Stand, display, observed};
use crate::photos::shown;

/// Reasons a reading is commonly struck for.
const REASONS: [&str; 4] = [
    "clip on another terminal",
    "misread the display",
    "wrong range or socket",
    "setup was not as noted",
];

/// The page after a reading.
pub(super) fn show(bench: &Bench, stand: &Stand, reading: &ReadingSaid) -> Markup {
    let recorded = bench.reading(reading.number);
    let kept = recorded.is_some_and(|r| r.kept);
    let queried = matches!(reading.verdict, Verdict::Contradicts | Verdict::Doubtful);
    let spot = recorded.and_then(Spot::again);
    let again = stand.link(bench.slug, &[("again", &reading.number.to_string())]);
    html! {
        section.frame.after {
            (bench.strip(stand, reading.number, &reading.at))
            div.place { h1 { (spot.as_ref().map_or_else(|| reading.what.clone(), Spot::title)) } p { (reading.place) } }
            div.got-it {
                (display::button(bench, stand, reading, queried && !kept))
                p.got { span class=[queried.then_some("queried")] { (reading.read) } " " span.u { (reading.unit) } }
            }
            (verdict(reading))
            @if queried && !kept { (argument(reading)) (shown::of_display(bench.slug, bench.photos, reading.number)) } @else { (expected(reading)) }
            div.choices {
                @if queried && !kept {
                    a.act.wide.inked href=(again) { "Repeat, from an empty field" }
                    (strike(bench, stand, reading))
                    (keep(bench, stand, reading))
                } @else {
                    (next(bench, stand, spot.as_ref()))
                    @if reading.struck.is_none() { (strike(bench, stand, reading)) }
                    a.act href=(again) { "Repeat " (reading.number) }
                }
            }
            @if queried && !kept { p.plain-next { (next_plain(bench, stand, spot.as_ref())) } }
        }
        (observed::form(bench, stand))
        (other_places(bench, stand, spot.as_ref()))
        (bench.last_readings(stand))
    }
}

fn verdict(reading: &ReadingSaid) -> Markup {
    html! {
        p #said.said-verdict role="status" { (report::verdict(reading.verdict)) span.hidden { ": reading " (reading.number) } }
    }
}

/// What speaks against it; the prediction stays hidden.
fn argument(reading: &ReadingSaid) -> Markup {
    html! {
        @if let Some(argument) = &reading.argument { p.said.why { (without_figures(argument)) " " (meaning(reading)) } }
        @if !reading.kinds.is_empty() {
            table.odds { caption.hidden { "Possibilities" } tbody {
                @for kind in reading.kinds.iter().take(3) {
                    tr { td { (kind.words) } td.p { (report::probability(kind.probability)) } td.bar { span.belief style={ "--p:" (share(kind.probability)) } {} } }
                }
            } }
        }
        p.hush { "Prediction hidden until " (reading.number) " is repeated or kept." }
    }
}

/// The argument without what was expected: each sentence that states a figure with its ± ends before it, or goes.
fn without_figures(argument: &str) -> String {
    let sentences = argument.split_inclusive(". ");
    let kept = sentences.filter_map(|sentence| match sentence.find('±') {
        None => Some(sentence.to_owned()),
        Some(figure) => sentence[..figure]
            .rfind(": ")
            .map(|end| format!("{}. ", &sentence[..end])),
    });
    kept.collect::<String>().trim_end().to_owned()
}

fn share(value: f64) -> String {
    if value.is_finite() {
        format!("{:.3}", value.clamp(0.0, 1.0))
    } else {
        "0".to_owned()
    }
}

/// What the verdict's word means.
fn meaning(reading: &ReadingSaid) -> Markup {
    report::term(match reading.verdict {
        Verdict::Contradicts => "contradicts",
        Verdict::Doubtful => "doubtful",
        Verdict::Floating => "floating",
        _ => "verdict",
    })
}

/// What was expected, now that it is recorded.
fn expected(reading: &ReadingSaid) -> Markup {
    html! {
        @match reading.verdict {
            Verdict::Floating => p.said.why { "This number proves nothing. Not proven dead; use a low-impedance two-pole tester. " (meaning(reading)) },
            Verdict::Struck => p.said.why { "Struck: " (reading.struck.as_deref().unwrap_or_default()) ". It stays in the book." },
            Verdict::NotJudged => p.said.why { "Nothing says yet what it should be. Recorded as it was read." },
            _ => {
                @if let (Some(predicted), Some(pm)) = (&reading.predicted, &reading.plus_minus) {
                    p.exp { "predicted" (report::term("predicted")) " " b { (predicted) " ± " (pm) " " (reading.unit) } }
                    (scale(reading, predicted, pm))
                }
                p.said.why {
                    @if let Some(wrong) = reading.wrong { "Wrong" (report::term("wrong")) " with probability " (report::probability(wrong)) }
                    @if let Some(off) = &reading.off_by { "; off by " (off) " u" (report::term("off-by")) }
                    ". " i { "Agrees" } " is not " i { "safe to touch" } "."
                }
                @if let Some(unnoticed) = &reading.unnoticed { p.said.why { (unnoticed) } }
            }
        }
    }
}

/// Prediction and reading on one scale; nothing where the figures are no plain numbers.
fn scale(reading: &ReadingSaid, predicted: &str, pm: &str) -> Markup {
    let number = |text: &str| {
        text.replace(',', ".")
            .replace('\u{2212}', "-")
            .trim()
            .parse::<f64>()
            .ok()
    };
    let (Some(middle), Some(half), Some(read)) =
        (number(predicted), number(pm), number(&reading.read))
    else {
        return html! {};
    };
    let reach = (half * 2.0).max((read - middle).abs() * 1.15);
    if !(reach > 0.0 && reach.is_finite()) {
        return html! {};
    }
    let x = |value: f64| 164.0 + (value - middle) / reach * 148.0;
    let (low, high, at) = (x(middle - half), x(middle + half), x(read));
    let ends = (
        format!("{low:.1}"),
        format!("{high:.1}"),
        format!("{:.1}", high - low),
    );
    html! {
        svg.scale viewBox="0 0 328 72" width="328" height="72" role="img" aria-label="Prediction and reading on one scale" {
            rect.band2 x=(ends.0) y="26" width=(ends.2) height="20" {}
            path.sym d={ "M" (ends.0) " 22V50M" (ends.1) " 22V50" } {}
            path.rule d="M8 46H320" {}
            text.t-term.mid x="164" y="14" { "predicted" }
            text.t-term.mid x="164" y="68" { (predicted) }
            path.rule d="M164 46v6" {}
            path.dot d={ (format!("M{at:.1} 45l-7 -16h14z")) } {}
        }
    }
}

/// The spot after this one, large.
fn next(bench: &Bench, stand: &Stand, here: Option<&Spot>) -> Markup {
    html! {
        @match next_spot(bench, stand, here) {
            Some(spot) => a.act.wide.inked.next href=(stand.link_to(bench.slug, &spot)) { span.lbl { "Next" } span { (spot.title()) br; small { (spot.place()) } } },
            None => a.act.wide.inked href=(stand.link(bench.slug, &[("by", "hand")])) { "Choose the next place" },
        }
    }
}

fn next_plain(bench: &Bench, stand: &Stand, here: Option<&Spot>) -> Markup {
    html! {
        @if let Some(spot) = next_spot(bench, stand, here) { a href=(stand.link_to(bench.slug, &spot)) { "Leave it for now; next: " (spot.title()) } }
    }
}

fn next_spot(bench: &Bench, stand: &Stand, here: Option<&Spot>) -> Option<Spot> {
    let offered = spots::offered(bench.find, bench.said, stand.setup);
    match here {
        Some(here) => offered.after(here).cloned(),
        None => offered.first().cloned(),
    }
}

fn other_places(bench: &Bench, stand: &Stand, here: Option<&Spot>) -> Markup {
    let offered = spots::offered(bench.find, bench.said, stand.setup);
    super::entry::places(bench, stand, &offered, here)
}

fn strike(bench: &Bench, stand: &Stand, reading: &ReadingSaid) -> Markup {
    html! {
        details.strike-why {
            summary.act { "Strike " (reading.number) }
            form method="post" action={ "/find/" (bench.slug) "/bench/strike" } {
                (back(stand, reading.number))
                p.said { "Struck stays legible. Why?" }
                @for reason in REASONS { button type="submit" name="reason" value=(reason) { (reason) } }
            }
            form.other-reason method="post" action={ "/find/" (bench.slug) "/bench/strike" } {
                (back(stand, reading.number))
                label.hidden for="reason" { "Another reason" }
                input #reason type="text" name="reason" placeholder="another reason" required autocomplete="off";
                button type="submit" { "Strike" }
            }
        }
    }
}

fn keep(bench: &Bench, stand: &Stand, reading: &ReadingSaid) -> Markup {
    html! {
        form method="post" action={ "/find/" (bench.slug) "/bench/keep" } {
            (back(stand, reading.number))
            button type="submit" { "Keep as read" }
        }
    }
}

pub(super) fn back(stand: &Stand, number: u32) -> Markup {
    html! {
        input type="hidden" name="number" value=(number);
        input type="hidden" name="setup" value=(stand.setup.number);
        input type="hidden" name="instrument" value=(stand.instrument);
    }
}

#[cfg(test)]
mod tests {
    use super::without_figures;

    #[test]
    fn an_argument_keeps_what_is_hoped_for_to_itself() {
        assert_eq!(
            without_figures(
                "Ten times what the other readings leave for X1:1 to X1:N: 23.9 ± 0.8 V. A decimal point? And it shows 230.0, not 230 V."
            ),
            "Ten times what the other readings leave for X1:1 to X1:N. A decimal point? And it shows 230.0, not 230 V."
        );
        assert_eq!(
            without_figures("The others leave 2.1 ± 0.1 V. Look again."),
            "Look again."
        );
    }
}
