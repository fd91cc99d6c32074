//! Drawings with what lies over them: the slider's handle as a real range input, the sentence of the setup with its changeable values,
//! and the table of values that follow.

use drawing::{Drawing, Handle};
use gear::{Feed, Setup};
use judgement::Behaviour;
use maud::{Markup, PreEscaped, html};

use crate::below::{self, Judge};
use crate::find_page::View;
use crate::places;

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
        form #conditions.setup method="get" action={ "/find/" (view.slug) "#wiring" } data-moved=(view.moved) {
            h2 { (phase_words(view)) }
            @match setup {
                Some(setup) => p.said {
                    (setups(view, setup)) ": "
                    (value_field("supply", "supply, volts", supply_text(view, feed), 7))
                    @if let Some(feed) = feed { " " (fed_words(feed)) } @else { " nothing fed" }
                    @if moves { ", slider at " (value_field("slider", "slider position", slider_text(view), 4)) }
                    ", load " (value_field("load", "load", load_text(view, setup), 8))
                    " " button.small-act type="submit" { "Show" }
                    " " a.small-act #as-read href={ "/find/" (view.slug) "?setup=" (setup.number) "#wiring" } hidden[!view.moved] { "as it was read" }
                },
                None => p.said { "No setup yet: a reading makes the first one." },
            }
            (phases(view))
        }
    }
}

/// The one-phase drawing with its handle over it.
pub(crate) fn drawing(view: &View, judge: &Judge) -> Markup {
    let Some(drawing) = below::schematic(view.find, judge, view.live, view.conditions, view.moved, phase(view)) else {
        return html! { p.said { "No drawing yet: it needs at least one part." } };
    };
    html! {
        figure.drawing class=(if view.moved { "moved" } else { "" }) #schematic {
            div.wide-figure tabindex="0" role="group" aria-label="Drawing, scrolls sideways on a narrow screen" {
                div.plot style={ "width:" (px(drawing.width)) } {
                    (PreEscaped(&drawing.svg))
                    @for handle in &drawing.handles { (upright_handle(view, &drawing, handle)) }
                }
            }
            figcaption.small #moved-note hidden[!view.moved] { "Moved away from the setup: the readings were not taken here; the predictions are for the values above." }
        }
    }
}

fn upright_handle(view: &View, drawing: &Drawing, handle: &Handle) -> Markup {
    let percent = |part: f64, whole: f64| format!("{:.3}%", 100.0 * part / whole);
    let (top, bottom) = (handle.one.y.min(handle.zero.y), handle.one.y.max(handle.zero.y));
    let upside_down = handle.one.y > handle.zero.y;
    let style = format!(
        "--x:{};left:{};top:{};height:{};width:{GRASP_LENGTH}px",
        view.live.slider,
        percent(handle.one.x - TIP, drawing.width),
        percent(top - GRASP / 2.0, drawing.height),
        percent(bottom - top + GRASP, drawing.height),
    );
    html! {
        div class=(if upside_down { "slidebox turned" } else { "slidebox" }) style=(style) {
            input.slide type="range" min="0" max="1" step="0.01" value=(position(view.live.slider)) data-follows="slider" autocomplete="off"
                aria-label={ "Slider at " (handle.terminal) "; 0 is the winding's first end, 1 its last" };
            output { (position(view.live.slider)) }
        }
    }
}

/// The travel charts with a handle on their own axis.
pub(crate) fn chart(view: &View, behaviour: &Behaviour) -> Markup {
    let drawing = below::travel_chart(view.said, behaviour, view.live.slider);
    html! {
        figure.chart #travel {
            div.wide-figure tabindex="0" role="group" aria-label="Travel charts, scroll sideways on a narrow screen" {
                div.plot style={ "width:" (px(drawing.width)) } {
                    (PreEscaped(&drawing.svg))
                    @for handle in &drawing.handles { (level_handle(view, &drawing, handle)) }
                }
            }
        }
    }
}

fn level_handle(view: &View, drawing: &Drawing, handle: &Handle) -> Markup {
    let (left, right) = (handle.zero.x, handle.one.x);
    let style = format!(
        "left:{:.3}%;width:{:.3}%;top:{:.3}%",
        100.0 * (left - GRASP / 2.0) / drawing.width,
        100.0 * (right - left + GRASP) / drawing.width,
        100.0 * handle.one.y / drawing.height,
    );
    html! {
        div.axisbox style=(style) data-from=(left) data-to=(right) {
            input.slide.level type="range" min="0" max="1" step="0.01" value=(position(view.live.slider)) data-follows="slider" autocomplete="off"
                aria-label="Slider position on the charts' axis";
        }
    }
}

/// The named values under the conditions shown.
pub(crate) fn values(view: &View) -> Markup {
    html! {
        table.values aria-label="Values under the conditions of the sentence" {
            tbody #values { @for value in &view.live.values { tr { th scope="row" { (value.what) } td.read { (value.value) } td { (value.unit) } } } }
        }
        ul #live-remarks { @for remark in &view.live.remarks { li.small { (remark) } } }
    }
}

fn value_field(name: &str, label: &str, value: String, size: usize) -> Markup {
    html! { input.live name=(name) aria-label=(label) value=(value) size=(size) autocomplete="off" spellcheck="false" data-setup=(value); }
}

fn setups(view: &View, setup: &Setup) -> Markup {
    html! {
        @if view.find.setups.len() > 1 {
            select.live name="setup" aria-label="setup" autocomplete="off" {
                @for other in &view.find.setups { option value=(other.number) selected[other.number == setup.number] { "Setup " (other.number) } }
            }
        } @else { "Setup " (setup.number) input type="hidden" name="setup" value=(setup.number); }
    }
}

fn fed_words(feed: &Feed) -> String {
    let tie = places::Tie { to: feed.to.clone(), neutral: feed.neutral.clone() };
    format!("on {}", tie.words())
}

fn supply_text(view: &View, feed: Option<&Feed>) -> String {
    if view.moved && view.came.has("supply") {
        return view.came.get("supply").to_owned();
    }
    feed.and_then(|f| f.volts.as_ref()).map(|v| v.text().to_owned()).unwrap_or_default()
}

fn slider_text(view: &View) -> String {
    position(view.live.slider)
}

fn load_text(view: &View, setup: &Setup) -> String {
    if view.moved && view.came.has("load") {
        return view.came.get("load").to_owned();
    }
    let load = setup.loads.first();
    load.and_then(|l| l.power.as_ref().or(l.resistance.as_ref())).map_or_else(|| "none".to_owned(), |q| q.text().to_owned())
}

/// The phase whose drawing is shown: the address's, else the first.
fn phase(view: &View) -> u8 {
    view.came.get("phase").parse().ok().filter(|p| (1..=3).contains(p)).unwrap_or(1)
}

fn phase_count(view: &View) -> u8 {
    view.find.parts.iter().filter_map(|p| p.phase).max().unwrap_or(1)
}

fn phase_words(view: &View) -> String {
    if phase_count(view) > 1 { format!("One phase, L{}", phase(view)) } else { "Wiring".to_owned() }
}

fn phases(view: &View) -> Markup {
    let setup = view.conditions.setup.map(|n| format!("setup={n}&")).unwrap_or_default();
    html! {
        @if phase_count(view) > 1 {
            p.phases {
                @for p in 1..=phase_count(view) {
                    a href={ "/find/" (view.slug) "?" (setup) "phase=" (p) "#wiring" } aria-current=[(p == phase(view)).then_some("true")] { "L" (p) }
                }
            }
            input type="hidden" name="phase" value=(phase(view));
        }
    }
}

fn position(x: f64) -> String {
    format!("{x:.2}")
}

fn px(length: f64) -> String {
    format!("{length:.0}px")
}
