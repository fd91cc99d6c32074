//! Changes a sheet somebody wrote, and leaves comments, order and spelling of everything else alone.
//!
//! Works on the text by the spans of the tree: a block or a line goes in, a value is exchanged, nothing is written anew.

mod put;

pub use put::{put, take_out};

use crate::problem::{Found, Problem, located};
use crate::write::{reading_block, setup_block, text_value};
use crate::{parse, read};
use gear::{Reading, Setup};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The text with a reading added behind the last one.
/// # Errors
/// The problems of the text as it is; or, when it has none, those of the text with the reading in it (an unknown terminal, a number taken):
/// their lines are of that longer text.
pub fn append_reading(text: &str, reading: &Reading) -> Result<String, Vec<Problem>> {
    append(text, "reading", &reading_block(reading))
}

/// The text with readings added behind the last one, all or none.
/// # Errors
/// As [`append_reading`].
pub fn append_readings(text: &str, readings: &[Reading]) -> Result<String, Vec<Problem>> {
    if readings.is_empty() {
        return read(text).map(|_| text.to_owned());
    }
    let blocks: Vec<String> = readings.iter().map(reading_block).collect();
    append(text, "reading", &blocks.join("\n"))
}

/// The text with a setup added behind the last one.
/// # Errors
/// As [`append_reading`].
pub fn append_setup(text: &str, setup: &Setup) -> Result<String, Vec<Problem>> {
    append(text, "setup", &setup_block(setup))
}

/// The text with a reading struck, or its reason changed if it was struck before. What was shown stays.
/// # Errors
/// The problems of the text, or that it has no such reading.
pub fn set_struck(text: &str, number: u32, reason: &str) -> Result<String, Vec<Problem>> {
    set(text, number, "struck", Some(text_value(reason)))
}

/// The text with a reading marked as looked at again and kept as read, or that mark taken back.
/// # Errors
/// The problems of the text, or that it has no such reading.
pub fn set_kept(text: &str, number: u32, kept: bool) -> Result<String, Vec<Problem>> {
    set(text, number, "kept", kept.then(|| "true".to_owned()))
}

/// Adds a block behind the last element of a list, or at the end.
fn append(text: &str, list: &str, block: &str) -> Result<String, Vec<Problem>> {
    read(text)?;
    let (root, ..) = parse(text);
    let last = match root.get_ref().get(list) {
        None => None,
        Some(value) => match value.get_ref() {
            DeValue::Array(elements) if text[value.span()].starts_with("[[") => elements.last(),
            _ => {
                let what = format!("`{list}` is written as one list in brackets");
                return Err(one_problem(
                    text,
                    value.span().start,
                    list,
                    what,
                    format!("head each element with `[[{list}]]`, then add"),
                ));
            }
        },
    };
    let at = last.map_or(text.len(), |element| end_of_block(text, end_of(element)));
    let (before, after) = text.split_at(at);
    let gap = if before.is_empty() || before.ends_with("\n\n") || before.ends_with("\n\r\n") {
        ""
    } else if before.ends_with('\n') {
        "\n"
    } else {
        "\n\n"
    };
    let rest = if after.is_empty() || after.starts_with('\n') || after.starts_with("\r\n") {
        ""
    } else {
        "\n"
    };
    let longer = format!(
        "{before}{}{after}",
        breaks_as_in(text, &format!("{gap}{block}{rest}"))
    );
    read(&longer).map(|_| longer)
}

/// Sets or takes away one key of a reading.
fn set(text: &str, number: u32, key: &str, value: Option<String>) -> Result<String, Vec<Problem>> {
    let find = read(text)?;
    let (root, ..) = parse(text);
    let list = root
        .get_ref()
        .get("reading")
        .and_then(|v| v.get_ref().as_array());
    // A sheet without problems has as many tables as its find has readings.
    let index = find.readings.iter().position(|r| r.number == number);
    let Some((element, tree)) = index
        .and_then(|i| list?.get(i))
        .and_then(|e| Some((e, e.get_ref().as_table()?)))
    else {
        let numbers: Vec<String> = find.readings.iter().map(|r| r.number.to_string()).collect();
        let remedy = if numbers.is_empty() {
            "there is none yet".into()
        } else {
            format!("known: {}", numbers.join(", "))
        };
        return Err(one_problem(
            text,
            0,
            "reading",
            format!("unknown reading {number}"),
            remedy,
        ));
    };
    let changed = match (tree.get_key_value(key), value) {
        (Some((_, old)), Some(new)) => replaced(text, old.span(), &new),
        (Some((name, old)), None) if !is_inline(text, element) => replaced(
            text,
            whole_lines(text, name.span().start..old.span().end),
            "",
        ),
        (Some((_, old)), None) => replaced(text, old.span(), "false"),
        (None, None) => return Ok(text.to_owned()),
        (None, Some(new)) if is_inline(text, element) => {
            let end = tree
                .iter()
                .map(|(_, v)| v.span().end)
                .max()
                .unwrap_or(element.span().start);
            replaced(text, end..end, &format!(", {key} = {new}"))
        }
        (None, Some(new)) => {
            let end = end_of_line(text, end_of(element));
            let start = if text[..end].ends_with('\n') {
                ""
            } else {
                "\n"
            };
            replaced(
                text,
                end..end,
                &breaks_as_in(text, &format!("{start}{key} = {new}\n")),
            )
        }
    };
    read(&changed).map(|_| changed)
}

fn is_inline(text: &str, element: &Spanned<DeValue<'_>>) -> bool {
    text[element.span()].starts_with('{')
}

fn replaced(text: &str, span: Range<usize>, by: &str) -> String {
    format!("{}{by}{}", &text[..span.start], &text[span.end..])
}

fn whole_lines(text: &str, span: Range<usize>) -> Range<usize> {
    text[..span.start].rfind('\n').map_or(0, |n| n + 1)..end_of_line(text, span.end)
}

/// The block's line breaks as the text has them; not inside text over several lines, where they are the owner's words.
fn breaks_as_in(text: &str, block: &str) -> String {
    if text.contains("\r\n") && !block.contains("\"\"\"") {
        block.replace('\n', "\r\n")
    } else {
        block.to_owned()
    }
}

/// The last byte of an element and all that stands in it.
fn end_of(element: &Spanned<DeValue<'_>>) -> usize {
    let inner = match element.get_ref() {
        DeValue::Table(tree) => ends(tree),
        DeValue::Array(list) => list.iter().map(end_of).max().unwrap_or(0),
        _ => 0,
    };
    element.span().end.max(inner)
}

fn ends(tree: &DeTable<'_>) -> usize {
    tree.iter()
        .map(|(_, value)| end_of(value))
        .max()
        .unwrap_or(0)
}

/// Behind the line break of the line this byte stands in.
fn end_of_line(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |n| at + n + 1)
}

/// Behind the block that ends in this byte's line: comments right below belong to it, unless they stand right above something else.
fn end_of_block(text: &str, at: usize) -> usize {
    let end = end_of_line(text, at);
    let mut below = end;
    while text[below..]
        .trim_start_matches([' ', '\t'])
        .starts_with('#')
    {
        below = end_of_line(text, below);
    }
    let alone = text[below..]
        .lines()
        .next()
        .is_none_or(|line| line.trim().is_empty());
    if alone { below } else { end }
}

fn one_problem(text: &str, at: usize, path: &str, what: String, remedy: String) -> Vec<Problem> {
    located(
        text,
        vec![Found {
            at,
            path: path.to_owned(),
            what,
            remedy,
        }],
    )
}
