//! Where the fields of a row stand in the text: the library that reads the rows tells where a row begins, a fault wants the field.

/// Byte of the start of each field of the row that begins at `start`, and the byte of a quote that was never closed.
pub(super) fn fields(text: &str, start: usize, separator: char) -> (Vec<usize>, Option<usize>) {
    // Empty lines before a row belong to none.
    let blank = text[start..].len() - text[start..].trim_start_matches(['\r', '\n']).len();
    let mut at = start + blank;
    let mut starts = vec![at];
    loop {
        let rest = &text[at..];
        if rest.starts_with('"') {
            let Some(end) = end_of_quoted(rest) else {
                return (starts, Some(at));
            };
            at += end;
        }
        let Some(end) = text[at..].find([separator, '\r', '\n']) else {
            return (starts, None);
        };
        at += end;
        if !text[at..].starts_with(separator) {
            return (starts, None);
        }
        at += separator.len_utf8();
        starts.push(at);
    }
}

/// Behind the closing quote of a text that begins with a quote; two in a row are one that is meant.
fn end_of_quoted(text: &str) -> Option<usize> {
    let mut at = 1;
    loop {
        at += text[at..].find('"')? + 1;
        if !text[at..].starts_with('"') {
            return Some(at);
        }
        at += 1;
    }
}

/// Line and column, from 1, of a byte.
pub(super) fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let start = before.rfind('\n').map_or(0, |n| n + 1);
    (
        before.matches('\n').count() + 1,
        before[start..].chars().count() + 1,
    )
}
