//! Tables for a terminal: columns aligned left, right, or at the decimal sign; the last column wraps.

use crate::figure::{Split, split};

/// How a column is aligned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    /// Flush left.
    Left,
    /// Flush right.
    Right,
    /// Points in one line; what is no figure stands flush left.
    Point,
}

/// Between two columns.
const GAP: usize = 2;

/// Sets `rows` under `heads`, no line longer than `width` where the last column alone can give way.
pub(super) fn table(
    heads: &[&str],
    aligns: &[Align],
    rows: &[Vec<String>],
    width: usize,
) -> String {
    let points: Vec<(usize, usize)> = (0..aligns.len()).map(|c| point_widths(rows, c)).collect();
    let set = |column: usize, text: &str| match aligns[column] {
        Align::Point => at_point(text, points[column]),
        _ => text.to_owned(),
    };
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            row.iter()
                .enumerate()
                .map(|(c, text)| set(c, text))
                .collect()
        })
        .collect();
    let mut widths: Vec<usize> = heads.iter().map(|h| count(h)).collect();
    for row in &cells {
        for (column, cell) in row.iter().enumerate() {
            widths[column] = widths[column].max(count(cell));
        }
    }
    let before_last: usize = widths.iter().rev().skip(1).map(|w| w + GAP).sum();
    let last = widths.len().saturating_sub(1);
    let room = width.saturating_sub(before_last).max(16);
    let mut out = String::new();
    if heads.iter().any(|h| !h.is_empty()) {
        let row: Vec<String> = heads.iter().map(|h| (*h).to_owned()).collect();
        push_row(&mut out, &row, &widths, aligns, room);
        let whole = before_last + widths.get(last).copied().unwrap_or(0).min(room);
        out.push_str(&"-".repeat(whole.min(width)));
        out.push('\n');
    }
    for row in &cells {
        push_row(&mut out, row, &widths, aligns, room);
    }
    out
}

fn push_row(out: &mut String, row: &[String], widths: &[usize], aligns: &[Align], room: usize) {
    let last = row.len().saturating_sub(1);
    let mut line = String::new();
    for (column, cell) in row.iter().enumerate().take(last) {
        let fill = " ".repeat(widths[column].saturating_sub(count(cell)));
        if aligns[column] == Align::Right {
            line.push_str(&fill);
            line.push_str(cell);
        } else {
            line.push_str(cell);
            line.push_str(&fill);
        }
        line.push_str(&" ".repeat(GAP));
    }
    let indent = " ".repeat(count(&line));
    let wrapped = wrap(row.get(last).map_or("", String::as_str), room);
    for (index, piece) in wrapped.iter().enumerate() {
        let whole = if index == 0 {
            format!("{line}{piece}")
        } else {
            format!("{indent}{piece}")
        };
        out.push_str(whole.trim_end());
        out.push('\n');
    }
}

fn point_widths(rows: &[Vec<String>], column: usize) -> (usize, usize) {
    let figures = rows
        .iter()
        .filter_map(|row| row.get(column))
        .filter_map(|text| split(first_word(text).0));
    figures.fold((0, 0), |most, s| {
        (most.0.max(count(&s.whole)), most.1.max(count(&s.fraction)))
    })
}

/// A figure and what follows it ("24.16", "± 0.16"): the figure is set at its point, a ± begins in one line too.
fn at_point(text: &str, (whole, fraction): (usize, usize)) -> String {
    let (figure, rest) = first_word(text);
    match split(figure) {
        Some(Split {
            whole: before,
            fraction: after,
        }) if rest.is_empty() || rest.starts_with(" ±") => format!(
            "{}{before}{after}{}{rest}",
            " ".repeat(whole.saturating_sub(count(&before))),
            " ".repeat(fraction.saturating_sub(count(&after))),
        ),
        Some(figure) => {
            let fill = whole.saturating_sub(count(&figure.whole));
            format!("{}{text}", " ".repeat(fill))
        }
        None => text.to_owned(),
    }
}

/// Splits after the figure; a bound sign belongs to it.
fn first_word(text: &str) -> (&str, &str) {
    let skipped = text.trim_start_matches(|c: char| "<>≥≤≈ \u{a0}".contains(c));
    let offset = text.len() - skipped.len();
    let end = skipped.find(' ').map_or(text.len(), |at| offset + at);
    text.split_at(end)
}

/// Characters, which is columns for every script the program writes.
pub(super) fn count(text: &str) -> usize {
    text.chars().count()
}

/// Breaks a text into lines of at most `width` characters, between words; a longer word stands alone.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split([' ', '\n', '\t']).filter(|w| !w.is_empty()) {
        let full = lines
            .last()
            .is_some_and(|line| !line.is_empty() && count(line) + 1 + count(word) > width);
        if full {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_stand_in_one_line_and_the_last_column_wraps() {
        let rows = [
            ["24", "24.16 ± 0.16", "agrees with all the others by far"],
            ["7", "0.041 ± 0.012", "short"],
            ["30", "none", ""],
        ]
        .map(|row| row.map(str::to_owned).to_vec());
        let text = table(
            &["no.", "predicted", "remark"],
            &[Align::Right, Align::Point, Align::Left],
            &rows,
            36,
        );
        let expected = "\
no.  predicted      remark
------------------------------------
 24  24.16  ± 0.16  agrees with all
                    the others by
                    far
  7   0.041 ± 0.012  short
";
        // The head and the two rows: what matters is that the points stand in one line.
        let column = |line: &str| line.find('.').unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            column(lines[2]),
            column(lines.iter().find(|l| l.contains("0.041")).unwrap()),
            "{text}\n{expected}"
        );
        assert!(lines.iter().all(|l| count(l) <= 36), "{text}");
        assert!(text.contains("agrees with") && text.contains("none"));
    }

    #[test]
    fn wrapping_breaks_between_words_only() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("unbreakable", 4), ["unbreakable"]);
        assert_eq!(wrap("", 4), [""]);
    }
}
