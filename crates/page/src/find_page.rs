//! The page of a find: its sections in the order of the work, each working on what there is.
//!
//! What is said comes from the judgement through `report`; here it gets what only a page has: the handle that moves, the values that
//! may be changed where they stand, the form for the next reading and the acts on a queried one.

use gear::Find;
use judgement::{Judgement, Live, ReadingSaid, Verdict};
use maud::{Markup, PreEscaped, html};

use crate::below::{self, Conditions, Judge};
use crate::folder::Opened;
use crate::frame;
use crate::reading_form;
use crate::submitted::{Errors, Submitted};
use crate::{drawing_frame, live};

/// The sections there are, with their anchors.
const SECTIONS: [(&str, &str); 5] =
    [("plate", "Plate"), ("wiring", "Wiring"), ("readings", "Readings"), ("behaviour", "Behaviour"), ("record", "Record")];

/// What a page of a find is made from.
pub(crate) struct View<'a> {
    /// Its word in the address.
    pub(crate) slug: &'a str,
    /// The find.
    pub(crate) find: &'a Find,
    /// Its judgement.
    pub(crate) said: &'a Judgement,
    /// What is so under the conditions shown.
    pub(crate) live: &'a Live,
    /// The conditions shown.
    pub(crate) conditions: &'a Conditions,
    /// Whether they are others than the setup's.
    pub(crate) moved: bool,
    /// What came: in the address, or in a refused form.
    pub(crate) came: &'a Submitted,
}

/// The page under the conditions of the address.
pub(crate) fn show(slug: &str, opened: &Opened, query: &Submitted) -> Markup {
    let mut came = query.clone();
    if let (Ok(find), Some(again)) = (&opened.find, query.given("again")) {
        fill_again(find, again, &mut came);
    }
    page(slug, opened, &came, &Errors::default())
}

/// The page with a refused reading form: everything typed, each message beside its field.
pub(crate) fn show_refused(slug: &str, opened: &Opened, form: &Submitted, errors: &Errors) -> Markup {
    page(slug, opened, form, errors)
}

fn page(slug: &str, opened: &Opened, came: &Submitted, errors: &Errors) -> Markup {
    let (Ok(find), Some(judge)) = (&opened.find, opened.judge()) else { return broken(slug, opened) };
    let said = judge.judgement();
    let (conditions, moved) = conditions(find, came);
    let live = judge.live(&conditions);
    let view = View { slug, find, said, live: &live, conditions: &conditions, moved, came };
    let number = said.find.number.map(|n| format!("find {n}, ")).unwrap_or_default();
    let head = frame::running_head(&said.find.name, &format!("{number}{}", said.find.summary), &SECTIONS);
    let body = html! {
        main #find data-slug=(slug) {
            h1.hidden { (said.find.name) }
            (plate(&view))
            (wiring(&view, &judge))
            (readings(&view, errors))
            (behaviour(&view))
            (record(&view))
        }
    };
    frame::document(&said.find.name, &head, &body)
}

/// Setup and changed values from the address; what cannot be read there is left as in the setup.
fn conditions(find: &Find, came: &Submitted) -> (Conditions, bool) {
    let asked = live::asked(came).unwrap_or_default();
    let moved = asked.slider.is_some() || asked.supply.is_some() || asked.load.is_some();
    let setup = asked.setup.filter(|n| find.setup(*n).is_some()).or_else(|| find.setups.last().map(|s| s.number));
    (Conditions { setup, ..asked }, moved)
}

fn section(anchor: &str, margin: &Markup, leaf: &Markup, facing: &Markup, words: &str) -> Markup {
    html! {
        section.spread id=(anchor) aria-label=(words) {
            div.margin { (margin) }
            div.leaf { (leaf) }
            aside.facing { (facing) }
        }
    }
}

fn plate(view: &View) -> Markup {
    let facing = html! {
        (PreEscaped(below::cautions(view.said, "Plate")))
        @if !view.said.plate.unlocks.is_empty() { h3 { "What a further figure would give" } (unlocks(&view.said.plate.unlocks)) }
    };
    section("plate", &html! { b { "plate" } }, &html! { h2 { "Plate" } (PreEscaped(below::plate_fragment(&view.said.plate))) }, &facing, "Plate")
}

fn wiring(view: &View, judge: &Judge) -> Markup {
    let setup = view.conditions.setup.and_then(|n| view.find.setup(n));
    let margin = html! {
        @if let Some(setup) = setup {
            p { @if let Some(at) = &setup.at { (at.text()) br; } b { "setup " (setup.number) } }
        }
    };
    let leaf = html! {
        (drawing_frame::setup_line(view, setup))
        (drawing_frame::drawing(view, judge))
        @if !view.said.wiring.faults.is_empty() {
            h3 { "What keeps it from being reckoned" }
            ul { @for fault in &view.said.wiring.faults { li.said { (fault) } } }
        }
        details { summary { "Every join, and how it is known" } (PreEscaped(below::joins(view.said))) }
    };
    let facing = html! {
        h2 { "How it works" }
        ol.how-it-works #sentences { @for sentence in &view.live.sentences { li { (sentence) } } }
        @if view.live.sentences.is_empty() { p.said { "Not said yet: parts, joins and one setup are needed before anything flows." } }
        (drawing_frame::values(view))
        (PreEscaped(below::cautions(view.said, "Wiring")))
        @if !view.said.unlocks.is_empty() { h3 { "What the next fact would unlock" } (unlocks(&view.said.unlocks)) }
    };
    section("wiring", &margin, &leaf, &facing, "Wiring")
}

fn readings(view: &View, errors: &Errors) -> Markup {
    html! {
        section.spread #readings aria-label="Readings" {
            div.below.readings {
                div.leaf.title { h2 { "Readings" } (verdict_just_given(view)) }
                (PreEscaped(below::readings(view.said)))
            }
            aside.facing aria-label="What the readings say" { (notes(view)) (PreEscaped(below::cautions(view.said, "Readings"))) }
            div.margin {}
            div.leaf { (reading_form::show(view.slug, view.find, view.came, errors)) (strike_any(view)) }
        }
        @if !view.said.learned.is_empty() {
            section.spread #learned aria-label="What was learned" {
                div.margin {}
                div.leaf { h2 { "What the readings taught" } div.wide-figure { (PreEscaped(below::learned(view.said))) } }
                aside.facing { p.small { "Hollow: before the readings. Solid: after. What stays hollow rests on its prior alone." } }
            }
        }
    }
}

/// The verdict of the reading just recorded, said once as a status.
fn verdict_just_given(view: &View) -> Markup {
    let number = view.came.get("said");
    let reading = view.said.readings.iter().find(|r| r.number.to_string() == number);
    html! {
        @if let Some(r) = reading {
            p #said.said-verdict role="status" {
                (PreEscaped(below::sign(r.verdict)))
                span { "Reading " (r.number) " " b { (below::verdict_word(r.verdict)) } }
                span.small { (r.place) ", read " (r.read) " " (r.unit) @if let (Some(p), Some(pm)) = (&r.predicted, &r.plus_minus) { ", predicted " (p) " ± " (pm) " " (r.unit) } }
            }
        }
    }
}

/// What looks wrong, worst first, with what may be done about it.
fn notes(view: &View) -> Markup {
    let mut queried: Vec<&ReadingSaid> = view.said.readings.iter().filter(|r| matches!(r.verdict, Verdict::Contradicts | Verdict::Doubtful)).collect();
    queried.sort_by(|a, b| b.wrong.unwrap_or(0.0).total_cmp(&a.wrong.unwrap_or(0.0)));
    html! {
        @for reading in &queried { (note(view, reading)) }
        @if queried.is_empty() && view.said.readings.iter().any(|r| r.verdict == Verdict::Agrees) {
            p.said { "Nothing looks wrong. " i { "Agrees" } " never means safe to touch." }
        }
    }
}

fn note(view: &View, reading: &ReadingSaid) -> Markup {
    let number = reading.number;
    let kept = view.find.readings.iter().any(|r| r.number == number && r.kept);
    html! {
        section.note aria-labelledby={ "q" (number) } {
            (PreEscaped(below::note_body(reading)))
            @if kept { p.small { "Looked at again and kept as read." } }
            div.acts {
                a.act.inked href={ "/find/" (view.slug) "?again=" (number) "#add" } { "Repeat" }
                form.strike method="post" action={ "/find/" (view.slug) "/strike" } {
                    input type="hidden" name="number" value=(number);
                    label.hidden for={ "reason-" (number) } { "Why reading " (number) " is struck" }
                    input id={ "reason-" (number) } name="reason" placeholder="reason" required autocomplete="off";
                    button { "Strike" }
                }
                @if !kept {
                    form method="post" action={ "/find/" (view.slug) "/keep" } {
                        input type="hidden" name="number" value=(number);
                        button { "Keep as read" }
                    }
                }
            }
        }
    }
}

/// Striking a reading that nothing queries: the owner knows best where the clip sat.
fn strike_any(view: &View) -> Markup {
    let open: Vec<_> = view.find.readings.iter().filter(|r| r.struck.is_none()).collect();
    html! {
        @if !open.is_empty() {
            details.strike-any {
                summary { "Strike a reading" }
                form.strike method="post" action={ "/find/" (view.slug) "/strike" } {
                    label for="strike-number" { "reading" }
                    select #strike-number name="number" { @for r in open.iter().rev() { option value=(r.number) { (r.number) ", " (r.place) } } }
                    label for="strike-reason" { "reason" }
                    input #strike-reason name="reason" required autocomplete="off";
                    button { "Strike" }
                }
                p.hint { "It stays legible, with its reason, and counts no more." }
            }
        }
    }
}

fn behaviour(view: &View) -> Markup {
    let leaf = html! {
        h2 { "Behaviour" }
        @match &view.said.behaviour {
            Some(behaviour) => { p.said { (behaviour.condition) } (drawing_frame::chart(view, behaviour)) },
            None => p.said { "Nothing to chart yet: a slider, joins and something that feeds it are needed." },
        }
    };
    let facing = html! {
        @if let Some(behaviour) = &view.said.behaviour {
            ul #remarks { @for remark in &behaviour.remarks { li.said { (remark) } } }
        }
        (PreEscaped(below::cautions(view.said, "Behaviour")))
    };
    section("behaviour", &html! {}, &leaf, &facing, "Behaviour")
}

fn record(view: &View) -> Markup {
    let leaf = html! {
        h2 { "Record" }
        p.said { "The report holds everything above in one file that opens anywhere and prints; the sheet is the find itself, as text." }
        p.acts {
            a.act href={ "/find/" (view.slug) "/report" } download { "The report" }
            a.act href={ "/find/" (view.slug) "/sheet" } download { "The sheet" }
        }
    };
    let facing = html! { (PreEscaped(below::cautions(view.said, "Record"))) };
    section("record", &html! {}, &leaf, &facing, "Record")
}

fn unlocks(list: &[judgement::Unlock]) -> Markup {
    html! { dl.unlock { @for unlock in list { dt { (unlock.fact) } dd { (unlock.gives) } } } }
}

/// An empty form for the place of a reading that is to be repeated: everything but the figure.
fn fill_again(find: &Find, number: &str, came: &mut Submitted) {
    let Some(reading) = find.readings.iter().find(|r| r.number.to_string() == number) else { return };
    came.set("setup", reading.setup.to_string());
    for (field, terminal) in ["from", "to"].iter().zip(reading.place.terminals()) {
        came.set(field, terminal.to_string());
    }
    if let Some(instrument) = &reading.instrument {
        came.set("instrument", instrument.to_string());
    }
    if let Some(what) = &reading.what {
        came.set("what", what.clone());
    }
    came.set("measured", reading.measured.word());
    came.set("shown", "");
}

/// A sheet that cannot be worked with: every fault with its place and remedy.
fn broken(slug: &str, opened: &Opened) -> Markup {
    let faults = opened.find.as_ref().err().map(Vec::as_slice).unwrap_or_default();
    frame::plain_page(&format!("{slug}.toml"), &html! {
        h2 { "This sheet has " (faults.len()) " " (if faults.len() == 1 { "fault" } else { "faults" }) }
        p.said { "Mend it in any text editor, then load this page again. Nothing in it was changed." }
        ul.faults { @for fault in faults { li.said { (fault.to_string()) } } }
    })
}
