//! Drawings with what lies over them: the slider's handle as a real range input, the sentence of the setup with its changeable values,
//! and the table of values that follow.

use drawing::svg::Placed;
use drawing::{Drawing, Handle};
use gear::{Feed, Setup};
use maud::{Markup, PreEscaped, html};

use crate::find_page::View;
use crate::live;
use crate::places;
/// Width of the leaf at a desk, px; a broader drawing takes some of the facing column's room.
const LEAF: f64 = 880.0;
/// The handle's wedge is 28 px across its travel, and 76 px can be grasped.
const GRASP: f64 = 28.0;
const GRASP_LENGTH: f64 = 76.0;
/// From the left edge of what can be grasped to the wedge's tip.
const TIP: f64 = 10.0;

/// The setup in one sentence; what may be changed is dotted under and a field of the form whose answer is this page.
pub(crate) fn setup_line(view: &View, setup: Option<&Setup>) -> Markup {
    let feed = setup.and_then(|s| s.feeds.first());
    let moves = !places::moves(view.find).is_empty();
    html! {
        form #conditions.setup method="get" action={ "/find/" (view.slug) "#wiring" } {
            h2 { (phase_words(view)) }
            p.said {
                @match setup { Some(setup) => { "Setup " (setup.number) ": " }, None => "No setup yet: " }
                @if view.live.is_some() || view.moved {
                    (value_field("supply", "supply, volts", &typed(view, "supply"), &live::set_text(view.judge, "supply")))
                    @if let Some(feed) = feed { " " (fed_words(feed)) }
                    @if moves { ", slider at " (value_field("slider", "slider position", &slider_text(view), &live::set_text(view.judge, "slider"))) }
                    ", load " (value_field("load", "load, volt-amperes", &typed(view, "load"), &live::set_text(view.judge, "load")))
                    " " button.small-act type="submit" { "Show" }
                    " " a.small-act #as-read href={ "/find/" (view.slug) "#wiring" } hidden[!view.moved] { "as it was read" }
                } @else { "nothing is reckoned yet." }
            }
            (phases(view))
        }
        p #live-refused.wrong role="alert" hidden {}
    }
}

/// The one-phase drawing with its handle over it.
pub(crate) fn schematic(view: &View) -> Markup {
    let drawn_as = drawn_as(view);
    let drawing = match &drawn_as {
        Some((place, _)) => report::drawings::schematic_as(view.judge, *place, phase(view)),
        None => {
            report::drawings::schematic(view.judge, phase(view), view.live.filter(|_| view.moved))
        }
    };
    let drawing = match drawing {
        Ok(drawing) => drawing,
        Err(why) => return html! { p.said { "No drawing yet: " (why) "." } },
    };
    let frame = report::Schematic {
        title: phase_words(view),
        setup: String::new(),
        svg: drawing.svg.clone(),
    };
    let over = html! {
        @for handle in &drawing.handles { (upright_handle(view, &drawing, handle)) }
        @for spot in &drawing.boxes { (terminal_spot(&drawing, spot)) }
    };
    html! {
        @if let Some((_, words)) = &drawn_as {
            p.said.drawn-as { b { "Not as recorded." } " Drawn as it would be if " (words) ". " a href={ "/find/" (view.slug) "#wiring" } { "As it is recorded" } }
        }
        div #schematic class=[view.moved.then_some("moved")] data-broad[drawing.width > LEAF] { (report::schematic_figure(&frame, over)) }
        p.small #moved-note hidden[!view.moved] { "Moved away from the setup: the readings were not taken here; the predictions are for the values above." }
    }
}

/// The candidate that is drawn in place of the wiring recorded, if the address asks for one: its place in the ranking, its words.
fn drawn_as(view: &View) -> Option<(usize, String)> {
    let place: usize = view.came.get("as").parse().ok()?;
    let candidate = view.said.candidates.as_ref()?.ranked.get(place)?;
    (!candidate.as_recorded).then(|| (place, candidate.words.clone()))
}

fn upright_handle(view: &View, drawing: &Drawing, handle: &Handle) -> Markup {
    let (top, bottom) = (
        handle.one.y.min(handle.zero.y),
        handle.one.y.max(handle.zero.y),
    );
    let at = setup_or_shown(view, handle);
    // The wedge points at its winding: what it covers lies on the side it is grasped from.
    let to_the_left = handle.covers.x1 <= handle.zero.x + 1.0;
    let style = format!(
        "--x:{at};left:{};top:{};height:{};width:{GRASP_LENGTH}px",
        percent(
            if to_the_left {
                handle.one.x + TIP - GRASP_LENGTH
            } else {
                handle.one.x - TIP
            },
            drawing.width
        ),
        percent(top - GRASP / 2.0, drawing.height),
        percent(bottom - top + GRASP, drawing.height),
    );
    html! {
        div.slidebox.turned[handle.one.y > handle.zero.y].left[to_the_left] style=(style) {
            input.slide type="range" min="0" max="1" step="0.01" value=(position(at)) data-follows="slider" autocomplete="off"
                aria-label={ "Slider at " (handle.terminal) "; 0 is the winding's first end, 1 its last" };
            output { (position(at)) }
        }
    }
}

/// A terminal that can be chosen on the drawing; only the script shows it, the lists of the form do the same.
fn terminal_spot(drawing: &Drawing, spot: &Placed) -> Markup {
    let Some(terminal) = spot.what.strip_prefix("terminal ") else {
        return html! {};
    };
    let style = format!(
        "left:{};top:{}",
        percent((spot.at.x0 + spot.at.x1) / 2.0, drawing.width),
        percent((spot.at.y0 + spot.at.y1) / 2.0, drawing.height),
    );
    html! { button.spot.with-script type="button" data-terminal=(terminal) aria-pressed="false" aria-label={ "read at " (terminal) } style=(style) {} }
}

fn percent(part: f64, whole: f64) -> String {
    format!("{:.3}%", 100.0 * part / whole)
}

/// Where the handle stands: at the conditions shown, else where the drawing has it.
fn setup_or_shown(view: &View, handle: &Handle) -> f64 {
    view.conditions.map_or(handle.position, |c| c.slider)
}

/// The travel charts with a handle on their own axis: condition, chart, remarks.
pub(crate) fn charts(view: &View) -> Markup {
    let charted = view.conditions.and_then(|c| live::charted(view.judge, c));
    let over = html! {
        @if let Some((_, drawing)) = &charted {
            (PreEscaped(&drawing.svg))
            @for handle in &drawing.handles { (level_handle(view, drawing, handle)) }
        }
    };
    report::behaviour_section(charted.as_ref().map(|(behaviour, _)| behaviour), over)
}

fn level_handle(view: &View, drawing: &Drawing, handle: &Handle) -> Markup {
    let (left, right) = (handle.zero.x, handle.one.x);
    let style = format!(
        "left:{:.3}%;width:{:.3}%;top:calc({:.3}% - 8px)",
        100.0 * (left - GRASP / 2.0) / drawing.width,
        100.0 * (right - left + GRASP) / drawing.width,
        100.0 * handle.one.y / drawing.height,
    );
    html! {
        div.axisbox style=(style) {
            input.slide.level type="range" min="0" max="1" step="0.01" value=(position(setup_or_shown(view, handle))) data-follows="slider" autocomplete="off"
                aria-label="Slider position on the charts' axis";
        }
    }
}

/// The named values under the conditions shown.
pub(crate) fn values(view: &View) -> Markup {
    html! {
        @if let Some(live) = view.live {
            table.values aria-label="Values under the conditions of the sentence" {
                tbody #values { @for value in &live.values { tr { th scope="row" { (value.what) } td.read { (value.value) } td { (value.unit) } } } }
            }
            ul #live-remarks { @for remark in &live.remarks { li.small { (remark) } } }
        }
    }
}

fn value_field(name: &str, label: &str, value: &str, as_read: &str) -> Markup {
    html! { input.live type="text" name=(name) aria-label=(label) value=(value) size=(value.chars().count().max(3)) autocomplete="off" spellcheck="false" data-setup=(as_read); }
}

/// What was typed for a condition, else the setup's.
fn typed(view: &View, field: &str) -> String {
    let came = view.moved.then(|| view.came.given(field)).flatten();
    came.map_or_else(|| live::set_text(view.judge, field), str::to_owned)
}

fn fed_words(feed: &Feed) -> String {
    let tie = places::Tie {
        to: feed.to.clone(),
        neutral: feed.neutral.clone(),
    };
    format!("on {}", tie.words())
}

fn slider_text(view: &View) -> String {
    view.conditions
        .map(|c| position(c.slider))
        .unwrap_or_default()
}

/// The phase whose drawing is shown: the address's, else the first.
fn phase(view: &View) -> u8 {
    view.came
        .get("phase")
        .parse()
        .ok()
        .filter(|p| (1..=phase_count(view)).contains(p))
        .unwrap_or(1)
}

fn phase_count(view: &View) -> u8 {
    view.find
        .parts
        .iter()
        .filter_map(|p| p.phase)
        .max()
        .unwrap_or(1)
}

fn phase_words(view: &View) -> String {
    if phase_count(view) > 1 {
        format!("One phase, L{}", phase(view))
    } else {
        "Wiring".to_owned()
    }
}

fn phases(view: &View) -> Markup {
    html! {
        @if phase_count(view) > 1 {
            p.phases {
                @for p in 1..=phase_count(view) {
                    a href={ "/find/" (view.slug) "?phase=" (p) "#wiring" } aria-current=[(p == phase(view)).then_some("true")] { "L" (p) }
                }
            }
            input type="hidden" name="phase" value=(phase(view));
        }
    }
}

fn position(x: f64) -> String {
    format!("{x:.2}")
}
