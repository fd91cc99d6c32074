//! Figures in columns: split at the decimal sign, so that the points of a column stand in one line.

use maud::{Markup, html};

/// A figure split before its decimal sign: "24.14" is "24" and ".14"; point or comma, as the book is set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Split {
    /// What stands left of the line of points.
    pub(crate) whole: String,
    /// Decimal sign and what follows; empty if there is none.
    pub(crate) fraction: String,
}

/// Splits a figure; nothing for what is no single figure ("23.7 to 23.9", "open"), which stands in a column as it is.
pub(crate) fn split(text: &str) -> Option<Split> {
    let text = minus(text.trim());
    let digits = text.trim_start_matches(|c: char| "+\u{2212}<>≥≤≈ \u{a0}".contains(c));
    let plain = !digits.is_empty()
        && digits
            .chars()
            .all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    if !plain || digits.matches(['.', ',']).count() > 1 {
        return None;
    }
    let at = text.find(['.', ',']).unwrap_or(text.len());
    Some(Split {
        whole: text[..at].to_owned(),
        fraction: text[at..].to_owned(),
    })
}

/// A hyphen before a figure is a minus.
pub(crate) fn minus(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(rest) => format!("\u{2212}{rest}"),
        None => text.to_owned(),
    }
}

/// How many characters the figures of a column have on both sides of the line of points.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Widths {
    /// Left of it.
    pub(crate) whole: usize,
    /// Right of it, the sign included.
    pub(crate) fraction: usize,
}

impl Widths {
    /// Of the figures of a column.
    pub(crate) fn of<'a>(figures: impl Iterator<Item = &'a str>) -> Self {
        figures
            .filter_map(split)
            .fold(Self::default(), |most, s| Self {
                whole: most.whole.max(s.whole.chars().count()),
                fraction: most.fraction.max(s.fraction.chars().count()),
            })
    }
}

/// A figure in its column; `class` says which column's widths it takes and how it is set.
pub(crate) fn in_column(text: &str, class: &str) -> Markup {
    match split(text) {
        Some(figure) => html! {
            span class={ "num " (class) } { span { (figure.whole) } span { (figure.fraction) } }
        },
        None => html! { span class={ "nowrap " (class) } { (minus(text)) } },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_split_at_point_or_comma() {
        let parts = |text: &str| split(text).map(|s| (s.whole, s.fraction));
        let pair = |a: &str, b: &str| Some((a.to_owned(), b.to_owned()));
        assert_eq!(parts("24.14"), pair("24", ".14"));
        assert_eq!(parts("23,8"), pair("23", ",8"));
        assert_eq!(parts("-0.5"), pair("\u{2212}0", ".5"));
        assert_eq!(parts("+69"), pair("+69", ""));
        assert_eq!(parts("> 2"), pair("> 2", ""));
        assert_eq!(parts("23.7 to 23.9"), None);
        assert_eq!(parts("beep"), None);
        assert_eq!(parts(""), None);
    }

    #[test]
    fn a_column_is_as_wide_as_its_widest_figures() {
        let widths = Widths::of(["0.041", "24.16", "230", "beep"].into_iter());
        assert_eq!(
            widths,
            Widths {
                whole: 3,
                fraction: 4
            }
        );
    }
}
