//! The embedded face of drawings and charts: its files, its style rule, and the width of a text in it.
//!
//! A text's width is the plain sum of the advances of its characters: the face was made without kerning or other layout
//! features for that reason (`face/README.md`). Everything that places text reckons with [`width`], so that overlaps can be
//! ruled out before a drawing is seen.

mod advances;

use advances::{ADVANCES, EM, HEIGHTS};
use base64::Engine as _;

/// Weight of the face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Weight {
    /// 400.
    Regular,
    /// 600 and 700; one file serves both.
    Bold,
}

/// Advance taken for a character the face has not: it will come from another face, and no usual one is wider than its em.
const FOREIGN_ADVANCE: f64 = 1.0;

static REGULAR: &[u8] = include_bytes!("../face/regular.woff2");
static BOLD: &[u8] = include_bytes!("../face/bold.woff2");

/// The WOFF2 file of a weight.
pub fn woff2(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => REGULAR,
        Weight::Bold => BOLD,
    }
}

/// Width in px of a text set at `size` px.
pub fn width(text: &str, size: f64, weight: Weight) -> f64 {
    text.chars().map(|c| advance(c, weight)).sum::<f64>() * size
}

/// Height in px above the base line that no letter exceeds, accents included.
pub fn ascent(size: f64) -> f64 {
    HEIGHTS[0] / EM * size
}

/// Depth in px below the base line that no letter exceeds.
pub fn descent(size: f64) -> f64 {
    HEIGHTS[1] / EM * size
}

/// Height in px of capitals and figures.
pub fn cap_height(size: f64) -> f64 {
    HEIGHTS[2] / EM * size
}

/// Height in px of small letters without ascender.
pub fn x_height(size: f64) -> f64 {
    HEIGHTS[3] / EM * size
}

/// The `@font-face` rules that define "Drawn", with the files in them, for a style sheet or a `<style>` element.
pub fn css() -> String {
    let rule = |weights: &str, file: &[u8]| {
        let data = base64::engine::general_purpose::STANDARD.encode(file);
        format!(
            "@font-face{{font-family:\"Drawn\";font-weight:{weights};src:url(data:font/woff2;base64,{data}) format(\"woff2\")}}\n"
        )
    };
    rule("400 500", REGULAR) + &rule("600 700", BOLD)
}

fn advance(character: char, weight: Weight) -> f64 {
    match ADVANCES.binary_search_by_key(&u32::from(character), |row| row.0) {
        Ok(at) => {
            let (_, regular, bold) = ADVANCES[at];
            f64::from(if weight == Weight::Bold {
                bold
            } else {
                regular
            }) / EM
        }
        Err(_) => FOREIGN_ADVANCE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_tabular_and_signs_are_there() {
        for weight in [Weight::Regular, Weight::Bold] {
            let nought = width("0", 16.0, weight);
            for figure in "123456789".chars() {
                assert!(
                    (width(&figure.to_string(), 16.0, weight) - nought).abs() < 1e-9,
                    "{figure} is not as wide as 0"
                );
            }
        }
        for sign in "ΩΩµμ±−×√²³°Δ∆Φφ≤≥→·–—’“”…\u{a0}\u{2009}\u{202f}äöüßłő".chars()
        {
            assert!(
                ADVANCES
                    .binary_search_by_key(&u32::from(sign), |row| row.0)
                    .is_ok(),
                "the face has no {sign:?}"
            );
        }
    }

    #[test]
    fn characters_stand_in_order_for_the_search() {
        assert!(ADVANCES.windows(2).all(|pair| pair[0].0 < pair[1].0));
    }

    #[test]
    fn files_are_small_and_woff2() {
        for weight in [Weight::Regular, Weight::Bold] {
            assert_eq!(&woff2(weight)[..4], b"wOF2");
            assert!(
                woff2(weight).len() < 40_000,
                "the file is embedded in every page"
            );
        }
        assert_eq!(css().matches("@font-face").count(), 2);
    }

    #[test]
    fn a_foreign_character_is_reckoned_wide() {
        assert!((width("電", 12.0, Weight::Regular) - 12.0).abs() < 1e-9);
    }
}
