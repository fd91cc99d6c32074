//! What is seen or heard while a slider moves: a spark, a stutter, a hum, noted with where the slider stood.

use gear::{Moment, Note};
use maud::{Markup, html};
use quantity::Quantity;

use super::{Bench, Stand};
use crate::opened::Opened;
use crate::places;
use crate::submitted::Submitted;

/// What is commonly met along a travel.
const SEEN: [&str; 4] = ["spark", "stutter", "hum", "smell"];
/// Longer texts are no remark.
const LONGEST: usize = 400;

/// The form; nothing where nothing slides.
pub(super) fn form(bench: &Bench, stand: &Stand) -> Markup {
    let moves = places::moves(bench.find);
    let at = stand.setup.sliders.first().map(|s| s.at.text().to_owned());
    let wrong = bench.errors.of("position").or(bench.errors.of("seen"));
    html! {
        @if !moves.is_empty() {
            details #observed.list open[wrong.is_some() || bench.came.has("noted")] {
                summary { "Seen along the travel" }
                form method="post" action={ "/find/" (bench.slug) "/bench/note" } {
                    input type="hidden" name="setup" value=(stand.setup.number);
                    input type="hidden" name="instrument" value=(stand.instrument);
                    div.pair-of-fields {
                        div.field { label for="slider" { "slider" } select #slider name="slider" { @for m in &moves { option value=(m.slider) { (m.slider) } } } }
                        div.field { label for="position" { "stands at" } input #position name="position" type="text" inputmode="decimal" autocomplete="off" value=(bench.came.given("position").map_or_else(|| at.unwrap_or_default(), str::to_owned)) aria-invalid[wrong.is_some()]; }
                    }
                    @if let Some(wrong) = wrong { p.wrong role="alert" { (wrong) } }
                    div.seen { @for seen in SEEN { button type="submit" name="seen" value=(seen) { (seen) } } }
                    div.other-reason {
                        label.hidden for="words" { "Something else seen" }
                        input #words name="words" type="text" placeholder="something else" autocomplete="off";
                        button type="submit" { "Note" }
                    }
                    @if bench.came.has("noted") { p role="status" { "Noted." } }
                }
            }
        }
    }
}

/// The sheet's text with what was seen as a note.
/// # Errors
/// Field and words of what is wrong.
pub(super) fn take(opened: &Opened, came: &Submitted) -> Result<String, (&'static str, String)> {
    let find = opened
        .find
        .as_ref()
        .map_err(|_| ("seen", "the find has faults; mend it first".to_owned()))?;
    let seen = came.given("seen").or(came.given("words"));
    let seen = seen.ok_or(("seen", "say what was seen".to_owned()))?;
    if seen.len() > LONGEST {
        return Err(("seen", format!("at most {LONGEST} letters")));
    }
    let slider = came.get("slider");
    if !places::moves(find).iter().any(|m| m.slider == slider) {
        return Err(("position", format!("`{slider}` is no slider of this find")));
    }
    let text = came.get("position");
    let at = Quantity::parse(text).ok().and_then(|q| q.value());
    if !at.is_some_and(|x| (0.0..=1.0).contains(&x)) {
        return Err((
            "position",
            format!(
                "`{text}` is no position; write where the slider stood, from 0 to 1, as in 0.52"
            ),
        ));
    }
    let setup = came
        .given("setup")
        .map_or_else(String::new, |number| format!(", setup {number}"));
    let note = Note {
        at: Moment::parse(&crate::clock::now()).ok(),
        text: format!("{seen}, {slider} at {text}{setup}"),
    };
    let words = |problems: Vec<sheet::Problem>| {
        let all: Vec<String> = problems.iter().map(ToString::to_string).collect();
        ("seen", all.join("; "))
    };
    sheet::put(
        opened.text(),
        "note",
        None,
        &sheet::fragment::of_note(&note),
    )
    .map_err(words)
}
