//! Tables for a terminal: columns aligned left, right, or at the decimal sign; columns of words wrap.

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

/// No column of words becomes narrower than this to make a table fit.
const NARROWEST: usize = 12;

/// Between two columns.
const GAP: usize = 2;

/// Sets `rows` under `heads`, no line longer than `width` where breaking words apart suffices.
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
    narrow(&mut widths, aligns, width);
    let mut out = String::new();
    if heads.iter().any(|h| !h.is_empty()) {
        let row: Vec<String> = heads.iter().map(|h| (*h).to_owned()).collect();
        push_row(&mut out, &row, &widths, aligns);
        out.push_str(&"-".repeat(whole(&widths).min(width)));
        out.push('\n');
    }
    for row in &cells {
        push_row(&mut out, row, &widths, aligns);
    }
    out
}

fn whole(widths: &[usize]) -> usize {
    widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1)
}

/// Takes from the widest column of words, again and again, until the table fits or no column can give more.
fn narrow(widths: &mut [usize], aligns: &[Align], width: usize) {
    while whole(widths) > width {
        let of_words = (0..widths.len()).filter(|c| aligns[*c] == Align::Left);
        match of_words.max_by_key(|c| widths[*c]) {
            Some(widest) if widths[widest] > NARROWEST => widths[widest] -= 1,
            _ => return,
        }
    }
}

fn push_row(out: &mut String, row: &[String], widths: &[usize], aligns: &[Align]) {
    let set = |(column, cell): (usize, &String)| match aligns[column] {
        Align::Left => wrap(cell, widths[column]),
        _ => vec![cell.clone()],
    };
    let cells: Vec<Vec<String>> = row.iter().enumerate().map(set).collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    for index in 0..height {
        let mut line = String::new();
        for (column, pieces) in cells.iter().enumerate() {
            let piece = pieces.get(index).map_or("", String::as_str);
            let fill = " ".repeat(widths[column].saturating_sub(count(piece)) + GAP);
            if aligns[column] == Align::Right {
                line.push_str(&fill[GAP..]);
                line.push_str(piece);
                line.push_str(&fill[..GAP]);
            } else {
                line.push_str(piece);
                line.push_str(&fill);
            }
        }
        out.push_str(line.trim_end());
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
    fn points_stand_in_one_line_and_words_wrap() {
        let rows = [
            ["24", "24.16 ± 0.16", "agrees with all the others by far"],
            ["7", "0.041 ± 0.012", "short"],
            ["30", "none", ""],
            ["31", "185 to 277", "a span"],
        ]
        .map(|row| row.map(str::to_owned).to_vec());
        let aligns = [Align::Right, Align::Point, Align::Left];
        let text = table(&["no.", "predicted", "remark"], &aligns, &rows, 40);
        let expected = "\
no.  predicted        remark
----------------------------------------
 24   24.16  ± 0.16   agrees with all
                      the others by far
  7    0.041 ± 0.012  short
 30  none
 31  185 to 277       a span
";
        assert_eq!(text, expected);
    }

    #[test]
    fn wrapping_breaks_between_words_only() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("unbreakable", 4), ["unbreakable"]);
        assert_eq!(wrap("", 4), [""]);
    }
}
