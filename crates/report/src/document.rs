//! The self-contained report: one HTML file with style, face and drawings in it. It fetches nothing and runs no script.

use crate::behaviour::{behaviour_section, plain_chart};
use crate::cautions::{caution_notes, cautions_without_section};
use crate::head::{Section, number_and_summary, running_head};
use crate::next::next_note;
use crate::ranking::{ranking_leads, ranking_note, repeat_line};
use crate::readings::{SetupWords, foot_lines, readings_summary, readings_table};
use crate::signs::signs;
use crate::spread::Spread;
use crate::terms::{meanings_used, term};
use crate::{
    argument_notes, deductions_table, how_it_works, joins_table, learned_table,
    plate_contradictions,
};
use crate::{plate_fields, schematic_figure, style, tracing_notes, unlock_list, wiring_faults};
use judgement::{Head, Judgement};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What stands ready beside the judgement.
#[derive(Debug, Clone, Default)]
pub struct Drawings {
    /// Schematics, in the order to be shown.
    pub schematics: Vec<Schematic>,
    /// What each setup was, in words; a setup that is not among them is known by its number.
    pub setups: Vec<SetupWords>,
    /// Values at the handle of the travel chart: panel, series, value in words with its unit (`judgement::Live::read_outs`).
    pub read_outs: Vec<(usize, usize, String)>,
}

/// One schematic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Schematic {
    /// "One phase, L1".
    pub title: String,
    /// What the values on it belong to: "Setup 5: 41.8 V three-phase on X1, no load"; may be empty.
    pub setup: String,
    /// The `<svg>` element.
    pub svg: String,
}

/// Width of the travel chart in the report, px: the leaf beside a facing column on a desk.
const CHART_WIDTH: f64 = 848.0;

/// What a report was made by and from, so that it can be made again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Made<'a> {
    /// The program's version.
    pub version: &'a str,
    /// The find's word in its book, and the newest entry known; `None` for a sheet.
    pub entry: Option<(&'a str, u64)>,
}

/// The report as one file.
pub fn document(judgement: &Judgement, drawings: &Drawings, made: Made<'_>) -> String {
    let find = &judgement.find;
    let body = html! {
        main {
            h1 class="hidden" { (find.name) }
            (plate(judgement))
            (wiring(judgement, drawings))
            (readings(judgement, drawings))
            (learned(judgement))
            (behaviour(judgement, drawings))
            (record(judgement, made))
        }
    };
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "Windfall " (made.version) };
                title { (page_title(find)) }
                style { (PreEscaped(drawing::face::css())) (PreEscaped(style())) }
            }
            body {
                (signs())
                (running_head(find, None, None, |section| format!("#{}", section.id())))
                (body)
                (meanings_used(&body))
            }
        }
    }
    .into_string()
}

fn page_title(find: &Head) -> String {
    match find.number {
        Some(number) => format!("{}, find {number}, Windfall", find.name),
        None => format!("{}, Windfall", find.name),
    }
}

fn some(markup: Markup) -> Option<Markup> {
    (!markup.0.is_empty()).then_some(markup)
}

fn plate(judgement: &Judgement) -> Markup {
    let plate = &judgement.plate;
    Spread {
        section: Some(Section::Plate),
        title: "Plate".to_owned(),
        margin: html! { @if let Some(number) = judgement.find.number { p { b { "find " (number) } } } },
        leaf: html! {
            h2 { "Plate" (term("plate")) }
            (cautions_without_section(&judgement.cautions))
            (caution_notes(&judgement.cautions, Section::Plate))
            (plate_fields(plate))
            (deductions_table(&plate.deductions))
        },
        below: None,
        facing: some(html! {
            (plate_contradictions(&plate.contradictions))
            (unlock_list("What the next legible figure would unlock", &plate.unlocks))
        }),
    }
    .markup()
}

fn wiring(judgement: &Judgement, drawings: &Drawings) -> Markup {
    let wiring = &judgement.wiring;
    Spread {
        section: Some(Section::Wiring),
        title: "Wiring".to_owned(),
        margin: html! { @if !wiring.joins.is_empty() { p { b { (wiring.joins.len()) } " joins" } } },
        leaf: html! {
            h2 { "Wiring" (term("wiring")) }
            @if let Some(arrangement) = &wiring.arrangement { p class="said" { (arrangement) } }
            (caution_notes(&judgement.cautions, Section::Wiring))
            @for schematic in &drawings.schematics {
                div class="setup" { h3 { (schematic.title) } @if !schematic.setup.is_empty() { p class="said" { (schematic.setup) } } }
                (schematic_figure(schematic, html! {}))
            }
            (wiring_faults(&wiring.faults))
            (tracing_notes(&judgement.tracing, |_| html! {}))
            div class="pair" {
                div { h3 { "How it works" } (how_it_works(&judgement.how_it_works)) }
                div { (joins_table(&wiring.joins)) }
            }
        },
        below: None,
        facing: None,
    }
    .markup()
}

fn readings(judgement: &Judgement, drawings: &Drawings) -> Markup {
    Spread {
        section: Some(Section::Readings),
        title: "Readings".to_owned(),
        margin: html! { @if !judgement.readings.is_empty() { p { b { (judgement.readings.len()) } " taken" } } },
        leaf: html! {
            h2 { "Readings" (term("reading")) }
            (caution_notes(&judgement.cautions, Section::Readings))
            p class="said" { (readings_summary(&judgement.readings)) }
            (repeat_line(judgement.repeat_first.as_ref()))
        },
        below: Some(html! {
            (readings_table(&judgement.readings, &drawings.setups))
            @if !judgement.readings.is_empty() { (foot_lines()) }
        }),
        facing: some(html! {
            @let ranking = ranking_note(judgement.candidates.as_ref(), |_, _| html! {});
            @let leads = ranking_leads(judgement.candidates.as_ref());
            @if leads { (ranking) }
            (argument_notes(&judgement.readings, |_| html! {}))
            @if !leads { (ranking) }
            (next_note(judgement.next.as_ref(), false, |_| html! {}))
        }),
    }
    .markup()
}

fn learned(judgement: &Judgement) -> Markup {
    if judgement.learned.is_empty() {
        return html! {};
    }
    Spread {
        section: None,
        title: "What the readings taught".to_owned(),
        margin: html! {},
        leaf: html! { h2 { "What the readings taught" (term("fit")) } (learned_table(&judgement.learned)) },
        below: None,
        facing: None,
    }
    .markup()
}

fn behaviour(judgement: &Judgement, drawings: &Drawings) -> Markup {
    let behaviour = judgement.behaviour.as_ref();
    let chart = html! { @if let Some(said) = behaviour { (plain_chart(said, &drawings.read_outs, CHART_WIDTH)) } };
    Spread {
        section: Some(Section::Behaviour),
        title: "Behaviour".to_owned(),
        margin: html! { @if let Some(said) = behaviour { p { "slider at " b { (format!("{:.2}", said.at)) } } } },
        leaf: html! {
            h2 { "Behaviour along the travel" (term("travel-chart")) }
            (caution_notes(&judgement.cautions, Section::Behaviour))
            (behaviour_section(behaviour, chart))
        },
        below: None,
        facing: some(unlock_list(
            "What the next missing fact would unlock",
            &judgement.unlocks,
        )),
    }
    .markup()
}

fn record(judgement: &Judgement, made: Made<'_>) -> Markup {
    Spread {
        section: Some(Section::Record),
        title: "Record".to_owned(),
        margin: html! {},
        leaf: html! {
            h2 { "Record" }
            (caution_notes(&judgement.cautions, Section::Record))
            p class="said" {
                (judgement.find.name) ", " (number_and_summary(&judgement.find)) ". Made by Windfall " (made.version) " from "
                @match made.entry {
                    Some((slug, entry)) => {
                        "the find's entries in its book up to entry " (entry) ". The same entries and the same version give the same report: "
                        span class="typed" { "windfall report --find " (slug) " --at " (entry) } "."
                    }
                    None => { "the sheet of the find. The same sheet and the same version give the same report." }
                }
            }
            p class="small" {
                "What stands here is reckoned from what was recorded, and only as true as that. It is no leave to touch or to switch on: local codes and licensed practice come first."
            }
        },
        below: None,
        facing: None,
    }
    .markup()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;

    #[test]
    fn out_of_a_book_it_says_how_it_is_made_again() {
        let made = Made {
            entry: Some(("crate-find", 41)),
            ..sample::MADE
        };
        let html = document(&sample::judgement(), &sample::drawings(), made);
        assert!(html.contains("windfall report --find crate-find --at 41"));
    }

    fn made() -> String {
        document(&sample::judgement(), &sample::drawings(), sample::MADE)
    }

    #[test]
    fn it_is_one_file_that_fetches_nothing_and_runs_nothing() {
        let html = made();
        for outside in [
            "<script",
            "<link",
            "<img",
            "<iframe",
            " src=",
            "@import",
            "url(h",
            "url(/",
            "javascript:",
        ] {
            assert!(!html.contains(outside), "{outside}");
        }
        let elsewhere =
            html.matches("http").count() - html.matches("http://www.w3.org/2000/svg").count();
        assert_eq!(elsewhere, 0);
        assert!(html.contains("@font-face"));
    }

    #[test]
    fn every_place_that_is_pointed_to_exists_once() {
        let html = made();
        for target in html
            .split("href=\"#")
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap())
        {
            assert_eq!(
                html.matches(&format!("id=\"{target}\"")).count(),
                1,
                "#{target}"
            );
        }
    }

    #[test]
    fn cautions_stand_before_the_act_they_concern_and_none_is_lost() {
        let html = made();
        let at = |words: &str| html.find(words).unwrap_or_else(|| panic!("{words}"));
        assert!(
            at("T1 to T3 do not isolate") > at("id=\"readings\"")
                && at("T1 to T3 do not isolate") < at("class=\"log\"")
        );
        assert!(
            at("A fridge-sized cabinet") < at("class=\"plate\""),
            "a caution without a section stands first"
        );
        let said = sample::judgement();
        let at_a_step = said.next.iter().flat_map(|next| &next.proposals);
        assert_eq!(
            html.matches("class=\"caution\"").count(),
            said.cautions.len() + at_a_step.map(|p| p.cautions.len()).sum::<usize>()
        );
    }

    #[test]
    fn a_plate_alone_makes_a_report_that_says_what_is_missing() {
        let mut judgement = sample::judgement();
        judgement.readings.clear();
        judgement.learned.clear();
        judgement.behaviour = None;
        judgement.how_it_works.sentences.clear();
        let html = document(&judgement, &Drawings::default(), sample::MADE);
        for words in [
            "No reading has been taken yet",
            "nothing to explain",
            "nothing to chart",
            "What the next missing fact would unlock",
        ] {
            assert!(html.contains(words), "{words}");
        }
    }

    #[test]
    fn what_was_typed_is_escaped() {
        let mut judgement = sample::judgement();
        judgement.find.name = "<script>alert(1)</script>".to_owned();
        judgement.readings[0].remark = "a \"quoted\" & <b>bold</b> remark".to_owned();
        let html = document(&judgement, &sample::drawings(), sample::MADE);
        assert!(!html.contains("<script") && !html.contains("<b>bold"));
    }
}
