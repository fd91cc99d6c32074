//! The log of readings: time and number in the margin, then place, reading, prediction, distance, probability, verdict, remark.
//!
//! Points stand in one line in every column. A struck row stays legible with its reason; a floating one has no prediction; what was
//! not read says so. Rows of different setups stand under the words of their setup.

use crate::figure::{Split, Widths, in_column, split};
use crate::signs::verdict;
use crate::terms::term;
use crate::words::{listed, probability};
use judgement::{ReadingSaid, Verdict};
use maud::{Markup, html};

/// What a setup was, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupWords {
    /// 5.
    pub number: u32,
    /// "41.8 V three-phase on X1, sliders ganged at 0.70, no load, N joined".
    pub words: String,
}

/// The table of readings, beginning in the margin: for the part of a spread below margin and leaf. Nothing if there are none;
/// [`readings_summary`] says that.
///
/// Rows are named `reading-24` and carry `data-reading`; the cell of the prediction carries `data-predicted`.
pub fn readings_table(readings: &[ReadingSaid], setups: &[SetupWords]) -> Markup {
    let columns = Columns::of(readings);
    html! {
        @if !readings.is_empty() {
            table class="log" style=(columns.style()) {
                caption class="hidden" { "Readings with their verdicts" }
                thead {
                    tr {
                        th class="m" scope="col" { span class="at" { "time, " } "no." }
                        th scope="col" class="pl" { "from, to" }
                        th scope="col" class="wh" { span class="hidden" { "what" } }
                        th scope="col" { "read" }
                        th scope="col" { "predicted" (term("predicted")) }
                        th scope="col" { "off by" (term("off-by")) }
                        th scope="col" class="pw" { "wrong" (term("wrong")) }
                        th scope="col" { "verdict" (term("verdict")) }
                        th scope="col" class="nt" { span class="hidden" { "remark" } }
                    }
                }
                tbody {
                    @for (index, reading) in readings.iter().enumerate() {
                        @if index == 0 || readings[index - 1].setup != reading.setup { (setup_row(reading.setup, setups)) }
                        (row(reading, &columns))
                    }
                }
            }
        }
    }
}

fn setup_row(number: u32, setups: &[SetupWords]) -> Markup {
    let words = setups
        .iter()
        .find(|s| s.number == number)
        .map(|s| s.words.as_str());
    html! {
        tr class="of-setup" {
            th class="m" scope="row" { span class="hidden" { "setup" } }
            th colspan="8" scope="rowgroup" {
                "Setup " (number) @if let Some(words) = words { ": " (words) }
            }
        }
    }
}

fn row(reading: &ReadingSaid, columns: &Columns) -> Markup {
    let struck = reading.verdict == Verdict::Struck;
    let loud = matches!(reading.verdict, Verdict::Doubtful | Verdict::Contradicts);
    let class = if struck {
        Some("struck-row")
    } else {
        loud.then_some("loud")
    };
    let remark = match (&reading.struck, struck) {
        (Some(reason), true) if !reason.is_empty() => reason,
        _ => &reading.remark,
    };
    html! {
        tr class=[class] id={ "reading-" (reading.number) } data-reading=(reading.number) {
            th class="m" scope="row" { span class="at" { (reading.at) } " " b { (reading.number) } }
            td class="pl" { (reading.place) }
            td class="wh" { (reading.what) }
            td class="rd" { (value_read(reading, columns)) }
            td class="pr" data-predicted { @if !struck { (prediction(reading)) } }
            td class="of" { @if let (Some(off), false) = (&reading.off_by, struck) { (in_column(off, "of-off")) span class="unit" { "u" } } }
            td class="pw" { @if let (Some(wrong), false) = (reading.wrong, struck) { (probability(wrong)) } }
            td class="vd" { (verdict(reading.verdict)) }
            td class="nt" { (remark) }
        }
    }
}

/// The digits as shown: ruled through if struck, dotted twice if queried, "not read" if there are none.
fn value_read(reading: &ReadingSaid, columns: &Columns) -> Markup {
    if reading.read.trim().is_empty() {
        return html! { span class="quiet" { "not read" } };
    }
    let unit = html! { @if !reading.unit.is_empty() { span class="unit" { (reading.unit) } } };
    let shown = match (reading.verdict, split(&reading.read)) {
        (Verdict::Struck, _) => in_column(&reading.read, "of-read struck"),
        (Verdict::Contradicts, Some(figure)) => queried(&figure, columns),
        (Verdict::Contradicts, None) => in_column(&reading.read, "read queried"),
        _ => in_column(&reading.read, "of-read read"),
    };
    html! { (shown) (unit) }
}

/// A figure dotted twice under its digits, not under the room beside them.
fn queried(figure: &Split, columns: &Columns) -> Markup {
    let left = columns
        .read
        .whole
        .saturating_sub(figure.whole.chars().count());
    let right = columns
        .read
        .fraction
        .saturating_sub(figure.fraction.chars().count());
    html! {
        span class="num of-read read queried" style={ "--ql:" (left) "ch;--qr:" (right) "ch" } {
            span { (figure.whole) } span { (figure.fraction) }
        }
    }
}

fn prediction(reading: &ReadingSaid) -> Markup {
    html! {
        @match &reading.predicted {
            Some(predicted) => {
                (in_column(predicted, "of-pred pred"))
                @if let Some(plus_minus) = &reading.plus_minus { span class="pred" { "±\u{a0}" (plus_minus) } }
            },
            None => span class="quiet" { @if reading.verdict == Verdict::Floating { "none" } },
        }
    }
}

struct Columns {
    read: Widths,
    predicted: Widths,
    off: Widths,
}

impl Columns {
    fn of(readings: &[ReadingSaid]) -> Self {
        Self {
            read: Widths::of(readings.iter().map(|r| r.read.as_str())),
            predicted: Widths::of(readings.iter().filter_map(|r| r.predicted.as_deref())),
            off: Widths::of(readings.iter().filter_map(|r| r.off_by.as_deref())),
        }
    }

    fn style(&self) -> String {
        format!(
            "--read-w:{}ch;--read-f:{}ch;--pred-w:{}ch;--pred-f:calc({}ch + 8px);--off-w:{}ch;--off-f:{}ch",
            self.read.whole.max(3),
            self.read.fraction,
            self.predicted.whole.max(3),
            self.predicted.fraction,
            self.off.whole,
            self.off.fraction,
        )
    }
}

/// How the readings stand, in one sentence: how many of each verdict, and which are in question.
pub fn readings_summary(readings: &[ReadingSaid]) -> String {
    if readings.is_empty() {
        return "No reading has been taken yet.".to_owned();
    }
    let of = |verdict: Verdict| -> Vec<u32> {
        readings
            .iter()
            .filter(|r| r.verdict == verdict)
            .map(|r| r.number)
            .collect()
    };
    let mut parts = Vec::new();
    for (verdict, one, more, named) in [
        (Verdict::Contradicts, "contradicts", "contradict", true),
        (Verdict::Doubtful, "is doubtful", "are doubtful", true),
        (Verdict::Floating, "floats", "float", true),
        (Verdict::Agrees, "agrees", "agree", false),
        (Verdict::NotJudged, "is not judged", "are not judged", false),
        (Verdict::Struck, "was struck", "were struck", false),
    ] {
        let numbers = of(verdict);
        let words = if numbers.len() == 1 { one } else { more };
        if named && !numbers.is_empty() && numbers.len() <= 6 {
            let names: Vec<String> = numbers.iter().map(u32::to_string).collect();
            parts.push(format!("{} {words} ({})", numbers.len(), listed(&names)));
        } else if !numbers.is_empty() {
            parts.push(format!("{} {words}", numbers.len()));
        }
    }
    let count = readings.len();
    let noun = if count == 1 { "reading" } else { "readings" };
    format!("Of {count} {noun} {}.", listed(&parts))
}

/// What stands once under every table of readings.
pub fn foot_lines() -> Markup {
    html! {
        p class="foot small" {
            "±" (term("plus-minus")) " is 95 % throughout, u" (term("standard-uncertainty")) " the standard uncertainty of reading and prediction together; predictions leave the reading itself out. "
            i { "Wrong" } (term("wrong")) ": how probably the reading or the drawing is wrong. It alone decides: agrees below 0.1, doubtful to 0.5, contradicts above. "
            "A floating" (term("floating")) " reading proves nothing, not even that a place is dead. Agrees never means safe to touch."
        }
    }
}
