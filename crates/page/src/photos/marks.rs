//! Marks on a photo: where they are, typed in per cent, and how they are drawn over it.
//!
//! A mark is a point with its number, or an arrow from its number to what it points at. Places are shares of width and height in the book
//! and per cent in a form, since nobody counts pixels.

use book::Mark;
use maud::{Markup, html};

/// What a place is typed as.
pub(super) const HINT: &str = "per cent from the left, then from the top, as in 42 31";

/// A place as it is typed: `42 31`.
pub(super) fn typed(at: [f64; 2]) -> String {
    let per_cent = |share: f64| (share * 1000.0).round() / 10.0;
    format!("{} {}", per_cent(at[0]), per_cent(at[1]))
}

/// Reads a place. One that was there before keeps what it had beyond the figures shown.
/// # Errors
/// In words, where it is none.
pub(super) fn read(text: &str, before: &[Mark]) -> Result<[f64; 2], String> {
    let mut known = before.iter().flat_map(|m| [Some(m.at), m.to]).flatten();
    if let Some(known) = known.find(|at| typed(*at) == text) {
        return Ok(known);
    }
    let share = |word: &str| -> Option<f64> {
        let number: f64 = word.trim_end_matches('%').replace(',', ".").parse().ok()?;
        (0.0..=100.0).contains(&number).then_some(number / 100.0)
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    let place = match words[..] {
        [x, y] => share(x).zip(share(y)),
        _ => None,
    };
    place.map(|(x, y)| [x, y]).ok_or_else(|| {
        format!("`{text}` is no place on the picture: two numbers from 0 to 100, {HINT}")
    })
}

/// The marks drawn over a picture of this size.
pub(super) fn over(marks: &[Mark], size: (u32, u32)) -> Markup {
    let (width, height) = (f64::from(size.0), f64::from(size.1));
    let within = |at: [f64; 2]| at.map(|share| share.clamp(0.0, 1.0));
    let per_cent = |[x, y]: [f64; 2]| format!("left:{:.2}%;top:{:.2}%", 100.0 * x, 100.0 * y);
    html! {
        svg.lines viewBox="0 0 1 1" preserveAspectRatio="none" aria-hidden="true" {
            @for mark in marks {
                @if let Some(to) = mark.to.map(within) {
                    @let from = within(mark.at);
                    @let way = format!("M{:.4} {:.4}L{:.4} {:.4}", from[0], from[1], to[0], to[1]);
                    path.halo d=(way) {}
                    path d=(way) {}
                }
            }
        }
        @for (n, mark) in marks.iter().enumerate() {
            @let from = within(mark.at);
            @if let Some(to) = mark.to.map(within) {
                @let turn = ((to[1] - from[1]) * height).atan2((to[0] - from[0]) * width).to_degrees();
                span.tip style={ (per_cent(to)) ";rotate:" (format!("{turn:.1}")) "deg" } {}
            }
            span.ring style=(per_cent(from)) { (n + 1) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_read_as_it_is_typed() {
        for (text, place) in [
            ("42 31", [0.42, 0.31]),
            ("42,5  31%", [0.425, 0.31]),
            ("0 100", [0.0, 1.0]),
        ] {
            assert_eq!(read(text, &[]), Ok(place));
            assert_eq!(read(&typed(place), &[]), Ok(place));
        }
        for text in [
            "", "42", "42 31 7", "-1 5", "5 101", "NaN 5", "a b", "inf 1",
        ] {
            assert!(read(text, &[]).is_err(), "{text}");
        }
    }

    #[test]
    fn what_was_finer_than_it_is_shown_stays_so() {
        let mark = Mark {
            at: [0.123_456, 0.5],
            to: None,
            words: String::new(),
            of: None,
        };
        assert_eq!(read("12.3 50", std::slice::from_ref(&mark)), Ok(mark.at));
        assert_eq!(read("12.4 50", &[mark]), Ok([0.124, 0.5]));
    }
}
