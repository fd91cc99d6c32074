//! A plate's verdict as text for people: aligned columns, what does not go together and what endangers first.

use crate::said::{Caution, Deduction, PlateSaid};

/// Columns a terminal surely has.
const WIDTH: usize = 100;
/// Widest column for what a deduction is; longer ones break.
const WHAT_WIDTH: usize = 46;

/// All that is said of a plate, and its cautions, in plain lines of at most a hundred columns.
pub fn text(said: &PlateSaid, cautions: &[Caution]) -> String {
    let mut out = String::new();
    for caution in cautions {
        paragraph(
            &mut out,
            &format!("{}. {}", caution.danger.word(), caution.words),
            "! ",
            "  ",
        );
    }
    gap(&mut out);
    for contradiction in &said.contradictions {
        paragraph(
            &mut out,
            &contradiction.sentence,
            "CONTRADICTS  ",
            "             ",
        );
    }
    gap(&mut out);
    fields(&mut out, said);
    if !said.deductions.is_empty() {
        out.push_str("It implies:\n");
        rows(&mut out, &said.deductions);
        gap(&mut out);
    }
    if !said.unlocks.is_empty() {
        out.push_str("The next figure you can read would unlock:\n");
        for unlock in &said.unlocks {
            paragraph(
                &mut out,
                &format!("{}: {}", unlock.fact, unlock.gives),
                "  ",
                "    ",
            );
        }
    }
    out.trim_end().to_owned() + "\n"
}

fn fields(out: &mut String, said: &PlateSaid) {
    if said.fields.is_empty() && said.not_understood.is_empty() {
        out.push_str("Nothing on this plate could be read.\n");
        return gap(out);
    }
    out.push_str("The plate says:\n");
    let widest = said
        .fields
        .iter()
        .map(|(name, ..)| width(name))
        .max()
        .unwrap_or(0);
    for (name, typed, means) in &said.fields {
        let means = means
            .as_ref()
            .map(|means| format!("   {means}"))
            .unwrap_or_default();
        out.push_str(&format!("  {}  {typed}{means}\n", padded(name, widest)));
    }
    if !said.not_understood.is_empty() {
        paragraph(
            out,
            &said.not_understood.join(" | "),
            "  not understood, kept:  ",
            "    ",
        );
    }
    gap(out);
}

fn rows(out: &mut String, deductions: &[Deduction]) {
    let value = |d: &Deduction| {
        if d.unit.is_empty() {
            d.value.clone()
        } else {
            format!("{} {}", d.value, d.unit)
        }
    };
    let whats = deductions
        .iter()
        .map(|d| width(&d.what))
        .max()
        .unwrap_or(0)
        .min(WHAT_WIDTH);
    let values = deductions
        .iter()
        .map(|d| width(&value(d)))
        .max()
        .unwrap_or(0);
    let indent = 2 + whats + 2 + values + 2;
    for deduction in deductions {
        let source = deduction
            .source
            .as_ref()
            .map(|s| format!(" [{s}]"))
            .unwrap_or_default();
        let whats_lines = broken(&deduction.what, whats);
        let how_lines = broken(
            &format!("{}{source}", deduction.how),
            WIDTH.saturating_sub(indent).max(24),
        );
        for i in 0..whats_lines.len().max(how_lines.len()) {
            let what = whats_lines.get(i).map_or("", String::as_str);
            let value = if i == 0 {
                value(deduction)
            } else {
                String::new()
            };
            let how = how_lines.get(i).map_or("", String::as_str);
            out.push_str(
                format!(
                    "  {}  {}  {how}",
                    padded(what, whats),
                    padded(&value, values)
                )
                .trim_end(),
            );
            out.push('\n');
        }
    }
}

fn paragraph(out: &mut String, words: &str, first: &str, hang: &str) {
    for (i, line) in broken(words, WIDTH - width(first)).into_iter().enumerate() {
        out.push_str(if i == 0 { first } else { hang });
        out.push_str(&line);
        out.push('\n');
    }
}

/// One empty line, never two, never at the top.
fn gap(out: &mut String) {
    if !out.is_empty() && !out.ends_with("\n\n") {
        out.push('\n');
    }
}

fn width(text: &str) -> usize {
    text.chars().count()
}

fn padded(text: &str, to: usize) -> String {
    format!("{text}{}", " ".repeat(to.saturating_sub(width(text))))
}

/// Words broken into lines; a no-break space breaks nothing.
fn broken(words: &str, columns: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words.split(' ').filter(|w| !w.is_empty()) {
        let Some(line) = lines.last_mut() else {
            continue;
        };
        if line.is_empty() {
            line.push_str(word);
        } else if width(line) + 1 + width(word) <= columns {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}
