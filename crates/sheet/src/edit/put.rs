//! Puts one noun into a sheet somebody wrote, exchanges it or takes it out, by the span of its block; everything else stays letter by letter.
//!
//! Readings are not among these nouns: they are struck, never exchanged.

use super::{breaks_as_in, end_of, end_of_block, is_inline, one_problem, replaced};
use crate::nouns::{block_of, without};
use crate::{Problem, parse, read};
use gear::Find;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The text with a noun's block in the place of the one at `index` of its list, or behind the last one where there is none.
/// `list` is the noun's table as the sheet heads it: `part`, `kit.source`, `plate`. Comments that stood in the old block stay.
/// # Errors
/// The problems of the text as it is, else those it would have; or that the list is written so that no block can be exchanged.
pub fn put(
    text: &str,
    list: &str,
    index: Option<usize>,
    block: &str,
) -> Result<String, Vec<Problem>> {
    let before = read(text)?;
    let (root, ..) = parse(text);
    let there = |index: &usize| element_of(root.get_ref(), list, *index).is_some();
    // `[plate]` need not be there to be exchanged.
    let index = index.filter(|index| list != "plate" || there(index));
    let Some(index) = index else {
        return super::append(text, list, block);
    };
    let span = span_of(text, list, index)?;
    let block = with_comments_of(&text[span.clone()], block);
    let gap = match text[span.end..].chars().next() {
        None | Some('\n' | '\r') => "",
        Some(_) => "\n",
    };
    let after = replaced(text, span, &breaks_as_in(text, &format!("{block}{gap}")));
    let now = read(&after)?;
    alone(&before, &now, list, index, text)?;
    Ok(after)
}

/// The text without the noun at `index` of its list.
/// # Errors
/// The problems of the text as it is, else those it would have: something else still names what was taken out.
pub fn take_out(text: &str, list: &str, index: usize) -> Result<String, Vec<Problem>> {
    let before = read(text)?;
    let span = span_of(text, list, index)?;
    let blank = text[span.end..]
        .strip_prefix("\r\n")
        .map(|_| 2)
        .or(text[span.end..].strip_prefix('\n').map(|_| 1))
        .unwrap_or(0);
    let after = replaced(text, span.start..span.end + blank, "");
    let now = read(&after)?;
    if now == without(&before, list, index) {
        Ok(after)
    } else {
        Err(mixed(text, list))
    }
}

/// Refuses where more than the noun itself has changed: blocks of a list may lie between those of another.
fn alone(
    before: &Find,
    now: &Find,
    list: &str,
    index: usize,
    text: &str,
) -> Result<(), Vec<Problem>> {
    if block_of(now, list, index).is_some()
        && without(before, list, index) == without(now, list, index)
    {
        Ok(())
    } else {
        Err(mixed(text, list))
    }
}

fn mixed(text: &str, list: &str) -> Vec<Problem> {
    one_problem(
        text,
        0,
        list,
        format!("the block of this `{list}` lies apart from what belongs to it"),
        "put its tables right below one another in the sheet, then try again".to_owned(),
    )
}

/// The block of a noun: from its heading to the end of the last thing in it.
fn span_of(text: &str, list: &str, index: usize) -> Result<Range<usize>, Vec<Problem>> {
    let (root, ..) = parse(text);
    let element = element_of(root.get_ref(), list, index);
    let Some(element) = element else {
        return Err(one_problem(
            text,
            0,
            list,
            format!("there is no such `{list}` any more"),
            "look at the find again".to_owned(),
        ));
    };
    let start = element.span().start;
    if is_inline(text, element) || !text[start..].starts_with('[') {
        return Err(one_problem(
            text,
            start,
            list,
            format!("`{list}` is written within a line"),
            format!("head it with `[{list}]` or each of them with `[[{list}]]`, then try again"),
        ));
    }
    Ok(start..end_of_block(text, end_of(element)))
}

fn element_of<'a, 'b>(
    root: &'a DeTable<'b>,
    list: &str,
    index: usize,
) -> Option<&'a Spanned<DeValue<'b>>> {
    let mut keys = list.split('.');
    let mut at = root.get(keys.next()?)?;
    for key in keys {
        at = at.get_ref().as_table()?.get(key)?;
    }
    match at.get_ref() {
        DeValue::Array(elements) => elements.get(index),
        _ => Some(at).filter(|_| index == 0),
    }
}

/// The new block with the comments of the old one: those on lines of their own below the heading, those behind a line that stays as it was.
fn with_comments_of(old: &str, new: &str) -> String {
    let own: Vec<&str> = old
        .lines()
        .filter(|line| line.trim_start().starts_with('#'))
        .collect();
    let mut out = String::new();
    for (n, line) in new.lines().enumerate() {
        let kept = old.lines().find(|was| {
            was.trim_start()
                .strip_prefix(line)
                .is_some_and(|rest| rest.trim_start().starts_with('#'))
        });
        out.push_str(kept.unwrap_or(line));
        out.push('\n');
        if n == 0 {
            own.iter().for_each(|line| {
                out.push_str(line);
                out.push('\n');
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::count;
    use crate::typed::NOUNS;

    const BY_HAND: &str = "# ours\nsheet = 1\n[find]\nname = \"crate find\" # told so\n\n[[part]]\ndesignation = \"F1\" # left\nkind = \"fuse\"\n# brittle\ncurrent = \"10 A\"\n\n# the second\n[[part]]\ndesignation = \"F2\"\nkind = \"fuse\"\n[[note]]\ntext = \"x\"\n";

    #[test]
    fn an_exchanged_block_leaves_the_rest_letter_by_letter() {
        let block = "[[part]]\ndesignation = \"F1\"\nkind = \"fuse\"\ncurrent = \"16 A\"\n";
        let after = put(BY_HAND, "part", Some(0), block).unwrap();
        let expected = BY_HAND
            .replace("10 A", "16 A")
            .replace("kind = \"fuse\"\n# brittle\n", "kind = \"fuse\"\n")
            .replace(
                "[[part]]\ndesignation = \"F1\"",
                "[[part]]\n# brittle\ndesignation = \"F1\"",
            );
        assert_eq!(after, expected);
    }

    #[test]
    fn a_block_taken_out_leaves_the_rest() {
        let after = take_out(BY_HAND, "part", 1).unwrap();
        let gone = "[[part]]\ndesignation = \"F2\"\nkind = \"fuse\"\n";
        assert_eq!(after, BY_HAND.replace(gone, ""));
    }

    #[test]
    fn a_plate_that_is_not_there_is_added() {
        let after = put(BY_HAND, "plate", Some(0), "[plate]\ntext = \"2 kVA\"\n").unwrap();
        assert!(after.starts_with(BY_HAND.trim_end()));
        let again = put(&after, "plate", Some(0), "[plate]\ntext = \"3 kVA\"\n").unwrap();
        assert_eq!(again, after.replace("2 kVA", "3 kVA"));
    }

    #[test]
    fn every_noun_of_a_whole_sheet_can_be_exchanged_for_itself() {
        let whole = include_str!("../../tests/whole.toml");
        let find = read(whole).unwrap();
        for list in NOUNS {
            for index in 0..count(&find, list) {
                let block = block_of(&find, list, index).unwrap();
                let after = put(whole, list, Some(index), &block);
                let after = after.unwrap_or_else(|p| panic!("{list} {index}: {p:?}"));
                assert_eq!(read(&after).unwrap(), find, "{list} {index}");
            }
        }
    }

    #[test]
    fn what_is_still_named_elsewhere_is_not_taken_out() {
        let text = format!("{BY_HAND}\n[[damage]]\npart = \"F1\"\nwhat = \"blown\"\n");
        let problems = take_out(&text, "part", 0).unwrap_err();
        assert!(problems[0].what.contains("F1"), "{problems:?}");
    }

    #[test]
    fn blocks_that_lie_apart_and_lists_in_a_line_are_refused() {
        let apart = "sheet = 1\n[find]\nname = \"x\"\n[[part]]\ndesignation = \"T1\"\nkind = \"transformer\"\n[[note]]\ntext = \"between\"\n[[part.winding]]\nname = \"a\"\npoints = [\"1\", \"2\"]\n";
        let block = "[[part]]\ndesignation = \"T1\"\nkind = \"transformer\"\n";
        assert!(put(apart, "part", Some(0), block).is_err());
        let inline = "sheet = 1\nfind = { name = \"x\" }\n";
        let problem = &put(inline, "find", Some(0), "[find]\nname = \"y\"\n").unwrap_err()[0];
        assert!(problem.what.contains("within a line"), "{problem}");
    }
}
