//! The judgement as plain text for a terminal: at most 100 columns, no colour, every verdict by its word.
//!
//! [`all`] says everything in the order of the work; the other functions give one section each, for the commands that want only
//! that. Every section begins with the cautions that belong to it.

mod table;
mod weighed;

use crate::head::{Section, number_and_summary};
use crate::learned::with_unit;
use crate::readings::readings_summary;
use crate::words::{probability, verdict_word};
use judgement::{Caution, Judgement, ReadingSaid, Unlock, Verdict};
use table::{Align, table, wrap};

pub use weighed::{next_reading, repeat_first, tracing, which_wiring};

/// No line is longer, where words can be broken.
pub const WIDTH: usize = 100;

/// Everything, in the order of the work.
pub fn all(judgement: &Judgement) -> String {
    let sections = [
        head(judgement),
        plate(judgement),
        wiring(judgement),
        tracing(judgement),
        readings(judgement),
        which_wiring(judgement),
        next_reading(judgement),
        learned(judgement),
        behaviour(judgement),
        unlocks(judgement),
    ];
    sections
        .into_iter()
        .filter(|s| !s.is_empty())
        .collect::<Vec<_>>()
        .join("\n")
}

/// The find in two lines, and the cautions that belong to no one section.
pub fn head(judgement: &Judgement) -> String {
    let mut out = format!("{}\n", judgement.find.name);
    let line = number_and_summary(&judgement.find);
    if !line.is_empty() {
        out.push_str(&format!("{line}\n"));
    }
    let homeless = |c: &&Caution| Section::ALL.iter().all(|s| s.title() != c.section);
    push_cautions(&mut out, judgement.cautions.iter().filter(homeless));
    out
}

/// What the plate says and implies; the same lines as of a plate alone.
pub fn plate(judgement: &Judgement) -> String {
    let cautions = cautions_of(judgement, Section::Plate);
    let cautions: Vec<Caution> = cautions.cloned().collect();
    let said = judgement::plate::text(&judgement.plate, &cautions);
    format!("PLATE\n{}\n", said.trim())
}

/// What joins what, what keeps the network from being solved, and how the find works.
pub fn wiring(judgement: &Judgement) -> String {
    let said = &judgement.wiring;
    let mut out = begin("WIRING", judgement, Section::Wiring);
    if let Some(arrangement) = &said.arrangement {
        push_wrapped(&mut out, "", arrangement);
    }
    let joins: Vec<Vec<String>> = said
        .joins
        .iter()
        .map(|(terminals, state)| vec![state.clone(), terminals.join(" - ")])
        .collect();
    if joins.is_empty() {
        out.push_str("No joins are recorded.\n");
    } else {
        out.push_str(&table(
            &["state", "terminals that are one conductor"],
            &[Align::Left; 2],
            &joins,
            WIDTH,
        ));
    }
    if !said.faults.is_empty() {
        out.push_str("\nWhat keeps the network from being solved:\n");
        for fault in &said.faults {
            push_wrapped(&mut out, "- ", fault);
        }
    }
    let explained = how_it_works(judgement);
    if !explained.is_empty() {
        out.push('\n');
        out.push_str(&explained);
    }
    out
}

/// How the find works, in numbered sentences; empty where there is no network.
pub fn how_it_works(judgement: &Judgement) -> String {
    let sentences = &judgement.how_it_works.sentences;
    if sentences.is_empty() {
        return String::new();
    }
    let mut out = "HOW IT WORKS\n".to_owned();
    for (index, sentence) in sentences.iter().enumerate() {
        push_wrapped(&mut out, &format!("{:>2}. ", index + 1), sentence);
    }
    out
}

/// The readings with their verdicts, then the argument about each that is in question.
pub fn readings(judgement: &Judgement) -> String {
    let mut out = begin("READINGS", judgement, Section::Readings);
    push_wrapped(&mut out, "", &readings_summary(&judgement.readings));
    out.push_str(&repeat_first(judgement));
    if judgement.readings.is_empty() {
        return out;
    }
    out.push('\n');
    let rows: Vec<Vec<String>> = judgement.readings.iter().map(reading_row).collect();
    let heads = [
        "no.",
        "time",
        "from, to",
        "read",
        "",
        "predicted",
        "off by",
        "wrong",
        "verdict",
        "remark",
    ];
    let aligns = [
        Align::Right,
        Align::Left,
        Align::Left,
        Align::Point,
        Align::Left,
        Align::Point,
        Align::Point,
        Align::Right,
        Align::Left,
        Align::Left,
    ];
    out.push_str(&table(&heads, &aligns, &rows, WIDTH));
    out.push('\n');
    for line in [
        "± is 95 % throughout; off by is in u, the standard uncertainty of reading and prediction together.",
        "wrong: how probably the reading or the drawing is wrong. Agrees below 0.1, doubtful to 0.5, contradicts above.",
        "A floating reading proves nothing, not even that a place is dead. Agrees never means safe to touch.",
    ] {
        push_wrapped(&mut out, "", line);
    }
    for verdict in [Verdict::Contradicts, Verdict::Doubtful] {
        for reading in judgement.readings.iter().filter(|r| r.verdict == verdict) {
            push_argument(&mut out, reading);
        }
    }
    push_unnoticed(&mut out, &judgement.readings);
    out
}

/// Readings a slip in which would not be noticed: those with a cross-check each by itself, the others by number.
fn push_unnoticed(out: &mut String, readings: &[ReadingSaid]) {
    let unnoticed: Vec<String> = readings
        .iter()
        .filter(|r| r.unnoticed.is_some())
        .map(|r| r.number.to_string())
        .collect();
    if unnoticed.is_empty() {
        return;
    }
    let line = format!(
        "A slipped decimal point would not be noticed in reading {}: hardly anything else checks it.",
        unnoticed.join(", ")
    );
    out.push('\n');
    push_wrapped(out, "", &line);
    for reading in readings {
        let check = reading
            .unnoticed
            .as_ref()
            .and_then(|u| u.split_once("To check it: "));
        if let Some((_, check)) = check {
            push_wrapped(
                out,
                "- ",
                &format!("to check reading {}: {check}", reading.number),
            );
        }
    }
}

fn reading_row(reading: &ReadingSaid) -> Vec<String> {
    let struck = reading.verdict == Verdict::Struck;
    let shown = |text: Option<String>| {
        if struck {
            String::new()
        } else {
            text.unwrap_or_default()
        }
    };
    let predicted = match (&reading.predicted, &reading.plus_minus) {
        (Some(value), Some(half)) => Some(format!("{value} ± {half}")),
        (Some(value), None) => Some(value.clone()),
        (None, _) => (reading.verdict == Verdict::Floating).then(|| "none".to_owned()),
    };
    let not_read = reading.read.trim().is_empty();
    vec![
        reading.number.to_string(),
        reading.at.clone(),
        reading.place.clone(),
        if not_read {
            "not read".to_owned()
        } else {
            reading.read.clone()
        },
        if not_read {
            String::new()
        } else {
            reading.unit.clone()
        },
        shown(predicted),
        shown(reading.off_by.clone()),
        shown(reading.wrong.map(|w| probability(w).replace('\u{a0}', " "))),
        verdict_word(reading.verdict).to_owned(),
        reading
            .struck
            .clone()
            .filter(|s| struck && !s.is_empty())
            .unwrap_or_else(|| reading.remark.clone()),
    ]
}

fn push_argument(out: &mut String, reading: &ReadingSaid) {
    out.push_str(&format!("\n{}\n", crate::arguments::title(reading)));
    if let Some(argument) = &reading.argument {
        push_wrapped(out, "  ", argument);
    }
    let kinds: Vec<Vec<String>> = reading
        .kinds
        .iter()
        .map(|k| {
            vec![
                String::new(),
                probability(k.probability).replace('\u{a0}', " "),
                k.words.clone(),
            ]
        })
        .collect();
    out.push_str(&table(
        &["", "", ""],
        &[Align::Left, Align::Right, Align::Left],
        &kinds,
        WIDTH,
    ));
}

/// Each parameter before and after; those that rest on their prior alone by name.
pub fn learned(judgement: &Judgement) -> String {
    if judgement.learned.is_empty() {
        return String::new();
    }
    let mut out = "WHAT THE READINGS TAUGHT\n".to_owned();
    let rows: Vec<Vec<String>> = judgement
        .learned
        .iter()
        .filter(|l| !l.prior_only)
        .map(|l| {
            vec![
                l.name.clone(),
                with_unit(&l.before, &l.unit),
                with_unit(&l.after, &l.unit),
                l.basis.clone(),
            ]
        })
        .collect();
    let rows: Vec<Vec<String>> = rows
        .into_iter()
        .map(|row| {
            row.into_iter()
                .map(|cell| cell.replace('\u{a0}', " "))
                .collect()
        })
        .collect();
    let aligns = [Align::Left, Align::Point, Align::Point, Align::Left];
    if !rows.is_empty() {
        out.push_str(&table(
            &["parameter", "before", "after", "known before from"],
            &aligns,
            &rows,
            WIDTH,
        ));
    }
    let untaught: Vec<&str> = judgement
        .learned
        .iter()
        .filter(|l| l.prior_only)
        .map(|l| l.name.as_str())
        .collect();
    if !untaught.is_empty() {
        out.push_str("Prior only, known no better than before:\n");
        push_wrapped(&mut out, "  ", &format!("{}.", untaught.join("; ")));
    }
    out
}

/// The condition and remarks of the travel, and the damage on it. The figures are the chart's.
pub fn behaviour(judgement: &Judgement) -> String {
    let mut out = begin("BEHAVIOUR", judgement, Section::Behaviour);
    let Some(said) = &judgement.behaviour else {
        push_wrapped(&mut out, "", crate::behaviour::NOTHING_TO_CHART);
        return out;
    };
    push_wrapped(&mut out, "", &said.condition);
    for panel in &said.panels {
        let names: Vec<String> = panel.series.iter().map(|s| s.name.clone()).collect();
        push_wrapped(
            &mut out,
            "- ",
            &format!(
                "charted: {} in {} ({})",
                panel.what,
                panel.unit,
                names.join(", ")
            ),
        );
    }
    for (from, to, words) in &said.damage {
        push_wrapped(
            &mut out,
            "- ",
            &format!("damage from {from} to {to} of the travel: {words}"),
        );
    }
    for remark in &said.remarks {
        push_wrapped(&mut out, "- ", remark);
    }
    out
}

/// What the next missing fact would unlock; empty if none is missing.
pub fn unlocks(judgement: &Judgement) -> String {
    if judgement.unlocks.is_empty() {
        return String::new();
    }
    let mut out = "WHAT THE NEXT MISSING FACT WOULD UNLOCK\n".to_owned();
    push_unlocks(&mut out, &judgement.unlocks);
    out
}

fn push_unlocks(out: &mut String, unlocks: &[Unlock]) {
    for unlock in unlocks {
        push_wrapped(out, "- ", &format!("{}: {}", unlock.fact, unlock.gives));
    }
}

fn cautions_of(judgement: &Judgement, section: Section) -> impl Iterator<Item = &Caution> {
    let all = judgement.cautions.iter();
    all.filter(move |c| c.section == section.title())
}

/// A title and the section's cautions.
fn begin(title: &str, judgement: &Judgement, section: Section) -> String {
    let mut out = format!("{title}\n");
    push_cautions(&mut out, cautions_of(judgement, section));
    out
}

/// Set as beside a plate: a mark, the danger, plain words.
fn push_cautions<'a>(out: &mut String, cautions: impl Iterator<Item = &'a Caution>) {
    for caution in cautions {
        let said = format!("{}. {}", caution.danger.word(), caution.words);
        push_wrapped(out, "! ", &said);
    }
}

/// A text behind `lead`, wrapped; further lines stand under its beginning where that leaves half the width.
fn push_wrapped(out: &mut String, lead: &str, text: &str) {
    let hang = if table::count(lead) < WIDTH / 2 {
        table::count(lead)
    } else {
        2
    };
    for (index, line) in wrap(text, WIDTH - hang).iter().enumerate() {
        let start = if index == 0 {
            lead.to_owned()
        } else {
            " ".repeat(hang)
        };
        out.push_str(format!("{start}{line}").trim_end());
        out.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;

    #[test]
    fn no_line_is_longer_than_the_width_and_none_ends_in_a_blank() {
        for line in all(&sample::judgement()).lines() {
            assert!(
                table::count(line) <= WIDTH,
                "{} columns: {line}",
                table::count(line)
            );
            assert_eq!(line, line.trim_end());
        }
    }

    #[test]
    fn cautions_stand_at_the_head_of_their_section() {
        let text = readings(&sample::judgement());
        let caution = text.find("! NOT ISOLATED").unwrap();
        assert!(caution < text.find("no.").unwrap());
        assert!(head(&sample::judgement()).contains("! HEAVY"));
    }

    #[test]
    fn readings_read_as_they_should() {
        insta::assert_snapshot!(readings(&sample::judgement()));
    }

    #[test]
    fn the_plate_reads_as_a_plate_alone_does() {
        let text = plate(&sample::judgement());
        assert!(text.starts_with("PLATE\n"), "{text}");
        assert!(text.contains("30 kVA / (√3 × 400 V)"), "{text}");
    }

    #[test]
    fn missing_is_said_and_never_a_nought() {
        let mut judgement = sample::judgement();
        judgement.readings[0].read = String::new();
        let row = readings(&judgement)
            .lines()
            .find(|l| l.trim_start().starts_with("21"))
            .unwrap()
            .to_owned();
        assert!(row.contains("not read"), "{row}");
    }
}
