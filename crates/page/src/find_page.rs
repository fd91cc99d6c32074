//! The page of a find: its sections in the order of the work, each working on what there is.
//!
//! What is said comes from the judgement through `report`; here it gets what only a page has: the handle that moves, the values that
//! may be changed where they stand, the form for the next reading and the acts on a queried one.

use std::collections::BTreeSet;

use book::{Noun, PhotoOf};
use gear::Find;
use judgement::{Conditions, Judge, Judgement, Live};
use maud::{Markup, html};
use report::{Section, SetupWords, Spread};

use crate::desk::{lists, tagged};
use crate::frame;
use crate::opened::Opened;
use crate::photos::shown;
use crate::reading_form;
use crate::submitted::{Errors, Submitted};
use crate::{acts, drawing_frame, help, live, start_page};

/// What a page of a find is made from.
pub(crate) struct View<'a> {
    /// Its word in the address.
    pub(crate) slug: &'a str,
    /// The find.
    pub(crate) find: &'a Find,
    /// Its judge.
    pub(crate) judge: &'a Judge,
    /// What the judge says.
    pub(crate) said: &'a Judgement,
    /// Its photos; `None` where none can be kept.
    pub(crate) photos: Option<&'a [PhotoOf]>,
    /// The conditions shown; none where there is no network.
    pub(crate) conditions: Option<Conditions>,
    /// What is so under them.
    pub(crate) live: Option<&'a Live>,
    /// Whether they are others than the setup's.
    pub(crate) moved: bool,
    /// The words it is tagged with; `None` where it is kept in a folder, which keeps none.
    pub(crate) tags: Option<&'a BTreeSet<String>>,
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
pub(crate) fn show_refused(
    slug: &str,
    opened: &Opened,
    form: &Submitted,
    errors: &Errors,
) -> Markup {
    page(slug, opened, form, errors)
}

fn page(slug: &str, opened: &Opened, came: &Submitted, errors: &Errors) -> Markup {
    with_view(slug, opened, came, |view| {
        let head = report::running_head(&view.said.find, Some("/"), None, |section| {
            format!("#{}", section.id())
        });
        let body = html! {
            main #find data-slug=(slug) data-mark=(opened.mark()) {
                h1.hidden { (view.said.find.name) }
                (plate(view))
                (wiring(view))
                (readings(view))
                (new_reading(view, errors))
                (learned(view))
                (behaviour(view))
                (record(view))
            }
            script src="/news.js" defer {}
        };
        frame::document(&view.said.find.name, &head, &body)
    })
}

/// Only what changes with a reading and is looked for at once: wiring with what is weighed, readings, the form. The script puts these in
/// the place of the old ones and asks for the rest when they have been seen.
pub(crate) fn parts(slug: &str, opened: &Opened, came: &Submitted, errors: &Errors) -> Markup {
    with_view(slug, opened, came, |view| {
        html! { main data-mark=(opened.mark()) { (wiring(view)) (readings(view)) (new_reading(view, errors)) } }
    })
}

fn with_view(
    slug: &str,
    opened: &Opened,
    came: &Submitted,
    show: impl Fn(&View) -> Markup,
) -> Markup {
    let (Ok(find), Some(judge)) = (&opened.find, opened.judge()) else {
        return broken(slug, opened);
    };
    // What cannot be read in the address is left as in the setup.
    let asked = live::asked(&judge, came).ok().flatten();
    let moved = asked.is_some();
    let conditions = asked.or_else(|| judge.drawn_conditions());
    let live = conditions.and_then(|c| judge.live_without_charts(c));
    show(&View {
        slug,
        find,
        judge: &judge,
        said: judge.promptly(),
        photos: opened.photos(),
        conditions,
        live: live.as_ref(),
        moved,
        tags: opened.tags(),
        came,
    })
}

fn plate(view: &View) -> Markup {
    let said = &view.said.plate;
    Spread {
        section: Some(Section::Plate),
        title: "Plate".to_owned(),
        margin: html! { p { b { "plate" } } (help::link("plate")) },
        leaf: html! { h2 { "Plate" (report::term("plate")) } (report::plate_fields(said)) (report::deductions_table(&said.deductions)) (lists::singles(view)) (tagged::show(view)) (shown::of_section(view, "plate", Some(&Noun::Plate))) },
        below: None,
        facing: Some(html! {
            (report::cautions_without_section(&view.said.cautions))
            (report::caution_notes(&view.said.cautions, Section::Plate))
            (report::plate_contradictions(&said.contradictions))
            (report::unlock_list("What a further figure would give", &said.unlocks))
        }),
    }
    .markup()
}

fn wiring(view: &View) -> Markup {
    let setup = view.judge.drawn_setup();
    let sentences = view
        .live
        .map(|l| l.sentences.as_slice())
        .unwrap_or_default();
    let said = view.said;
    // Who fills the form is about to read a meter: what is hoped for stays folded away.
    let reading = view.came.given("from").is_some() || view.came.given("again").is_some();
    Spread {
        section: Some(Section::Wiring),
        title: "Wiring".to_owned(),
        margin: html! { @if let Some(setup) = setup { p { @if let Some(at) = &setup.at { (at.text()) br; } b { "setup " (setup.number) } } } (help::link("wiring")) },
        leaf: html! {
            (drawing_frame::setup_line(view, setup))
            (drawing_frame::schematic(view))
            (report::wiring_faults(&said.wiring.faults))
            (report::tracing_notes(&said.tracing, |test| acts::on_test(view, test)))
            @if !sentences.is_empty() || said.tracing.is_empty() {
                div.pair {
                    div {
                        h2 { "How it works" }
                        ol.how-it-works #sentences { @for sentence in sentences { li { (sentence) } } }
                        @if sentences.is_empty() { p.said { "There is no complete network yet, so nothing is explained." } }
                    }
                    div { (drawing_frame::values(view)) }
                }
            }
            (report::unlock_list("What the next fact would unlock", &said.unlocks))
            (lists::of_section(view, "wiring"))
            (shown::of_section(view, "wiring", None))
        },
        below: None,
        facing: Some(html! {
            (report::caution_notes(&said.cautions, Section::Wiring))
            @let ranking = report::ranking_note(said.candidates.as_ref(), |place, candidate| acts::on_candidate(view, place, candidate));
            @let leads = report::ranking_leads(said.candidates.as_ref());
            @if leads { (ranking) }
            (report::argument_notes(&said.readings, |reading| acts::on_reading(view, reading)))
            @if !leads { (ranking) }
            (report::next_note(said.next.as_ref(), reading, |proposal| acts::on_proposal(view, proposal)))
        }),
    }
    .markup()
}

fn readings(view: &View) -> Markup {
    let setups = view
        .find
        .setups
        .iter()
        .map(|s| SetupWords {
            number: s.number,
            words: judgement::setup_words(s),
        })
        .collect::<Vec<_>>();
    Spread {
        section: Some(Section::Readings),
        title: "Readings".to_owned(),
        margin: help::link("readings"),
        leaf: html! { h2 { "Readings" (report::term("reading")) } p.said { (report::readings_summary(&view.said.readings)) } (report::repeat_line(view.said.repeat_first.as_ref())) },
        below: Some(html! {
            (report::readings_table(&view.said.readings, &setups))
            @if !view.said.readings.is_empty() { (report::foot_lines()) }
            (lists::of_section(view, "readings"))
            div.written { (shown::of_section(view, "readings", None)) }
        }),
        facing: Some(html! {
            (report::caution_notes(&view.said.cautions, Section::Readings))
        }),
    }
    .markup()
}

fn new_reading(view: &View, errors: &Errors) -> Markup {
    Spread {
        section: None,
        title: "Add a reading".to_owned(),
        margin: html! {},
        leaf: html! {
            @if view.find.parts.is_empty() { (start_page::parts_form(view.slug, view.find)) } @else {
                (verdict_just_given(view))
                p.acts { a.act href={ "/find/" (view.slug) "/bench" } { "At the bench, one value after another" } }
                (reading_form::show(view.slug, view.find, view.came, errors))
                (acts::strike_any(view))
            }
        },
        below: None,
        facing: None,
    }
    .markup()
}

fn learned(view: &View) -> Markup {
    if view.said.learned.is_empty() {
        return html! {};
    }
    Spread {
        section: None,
        title: "What the readings taught".to_owned(),
        margin: html! {},
        leaf: html! { h2 { "What the readings taught" (report::term("fit")) } div.wide-figure tabindex="0" role="group" aria-label="What the readings taught" { (report::learned_table(&view.said.learned)) } },
        below: None,
        facing: None,
    }
    .markup()
}

/// The verdict of the reading just recorded, said once as a status.
fn verdict_just_given(view: &View) -> Markup {
    let number = view.came.get("said");
    let reading = view
        .said
        .readings
        .iter()
        .find(|r| r.number.to_string() == number);
    html! {
        @if let Some(r) = reading {
            p #said.said-verdict role="status" {
                span { a href={ "#reading-" (r.number) } { "Reading " (r.number) } ":" } b { (report::verdict(r.verdict)) }
                span.small { (r.place) ", read " (r.read) " " (r.unit) @if let (Some(p), Some(pm)) = (&r.predicted, &r.plus_minus) { ", predicted " (p) " ± " (pm) } }
            }
        }
    }
}

fn behaviour(view: &View) -> Markup {
    Spread {
        section: Some(Section::Behaviour),
        title: "Behaviour".to_owned(),
        margin: help::link("behaviour"),
        leaf: html! {
            h2 { "Behaviour" (report::term("travel-chart")) }
            (report::caution_notes(&view.said.cautions, Section::Behaviour))
            div #travel-chart { (drawing_frame::charts(view)) }
        },
        below: None,
        facing: None,
    }
    .markup()
}

fn record(view: &View) -> Markup {
    Spread {
        section: Some(Section::Record),
        title: "Record".to_owned(),
        margin: help::link("record"),
        leaf: html! {
            h2 { "Record" (report::term("sheet")) }
            p.said { "The report holds everything above in one file that opens anywhere and prints; the sheet is the find itself, as text." }
            p.acts {
                a.act href={ "/find/" (view.slug) "/report" } download { "The report" }
                a.act href={ "/find/" (view.slug) "/sheet" } download { "The sheet" }
                a.act href={ "/find/" (view.slug) "/history" } { "The history" }
                a.act href={ "/find/" (view.slug) "/photos" } { "The photos" }
            }
            (shown::strip(view.slug, shown::unplaced(view.photos)))
            (lists::of_section(view, "record"))
            (report::caution_notes(&view.said.cautions, Section::Record))
        },
        below: None,
        facing: None,
    }
    .markup()
}

/// An empty form for the place of a reading that is to be repeated: everything but the figure.
fn fill_again(find: &Find, number: &str, came: &mut Submitted) {
    let Some(reading) = find
        .readings
        .iter()
        .find(|r| r.number.to_string() == number)
    else {
        return;
    };
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
pub(crate) fn broken(slug: &str, opened: &Opened) -> Markup {
    let faults = opened
        .find
        .as_ref()
        .err()
        .map(Vec::as_slice)
        .unwrap_or_default();
    frame::plain_page(
        &format!("{slug}.toml"),
        &html! {
            h2 { "This sheet has " (faults.len()) " " (if faults.len() == 1 { "fault" } else { "faults" }) }
            p.said { "Mend it in any text editor, then load this page again. Nothing in it was changed." }
            ul.faults { @for fault in faults { li.said { (fault.to_string()) } } }
        },
    )
}
