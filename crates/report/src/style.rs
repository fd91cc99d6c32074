//! The stylesheet, and the proof that its colours can be read.

/// The stylesheet every page and report brings: tokens, shapes, light and dark, narrow, forced colours, print.
///
/// Follows the reader's own setting; `data-theme="light"` or `"dark"` on the root element chooses. The face of the drawings is not in
/// it: `drawing::face::css()` gives that.
pub fn style() -> &'static str {
    include_str!("windfall.css")
}

#[cfg(test)]
mod tests {
    use super::style;

    const DARK_BY_SETTING: &str = ":root:not([data-theme=\"light\"]) {";
    const DARK_BY_CHOICE: &str = ":root[data-theme=\"dark\"] {";

    fn block(opening: &str) -> &'static str {
        let from = style().find(opening).unwrap() + opening.len();
        &style()[from..from + style()[from..].find('}').unwrap()]
    }

    fn token(block: &str, name: &str) -> String {
        let key = format!("--{name}:");
        let from = block
            .find(&key)
            .unwrap_or_else(|| panic!("no token {name}"))
            + key.len();
        block[from..].split(';').next().unwrap().trim().to_owned()
    }

    /// Relative luminance: WCAG 2.2 (W3C, 2023), definition "relative luminance".
    fn luminance(colour: &str) -> f64 {
        let channel = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.040_45 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    /// Contrast ratio: WCAG 2.2, definition "contrast ratio".
    fn contrast(one: &str, other: &str) -> f64 {
        let (a, b) = (luminance(one) + 0.05, luminance(other) + 0.05);
        a.max(b) / a.min(b)
    }

    fn assert_ratios(block: &str, ratios: &[(&str, &str, f64)]) {
        for (one, other, printed) in ratios {
            let reckoned = contrast(&token(block, one), &token(block, other));
            assert!(
                (reckoned - printed).abs() <= 0.05 + 1e-9,
                "{one} on {other}: {reckoned:.2}, designed {printed}"
            );
        }
    }

    #[test]
    fn light_colours_have_the_contrast_they_were_designed_for() {
        assert_ratios(
            block(":root {"),
            &[
                ("rule", "paper", 3.4),
                ("rule", "wash", 3.1),
                ("ink", "paper", 16.1),
                ("ink", "wash", 14.7),
                ("ink-2", "paper", 8.8),
                ("ink-2", "wash", 8.0),
                ("ink-3", "paper", 5.9),
                ("ink-3", "wash", 5.3),
                ("on-press", "press", 16.1),
                ("danger", "paper", 7.3),
                ("on-danger", "danger", 7.8),
                ("caution", "paper", 1.6),
                ("on-caution", "caution", 9.9),
                ("normal", "paper", 6.3),
                ("on-normal", "normal", 6.7),
                ("must", "paper", 6.6),
                ("on-must", "must", 7.1),
                ("l1", "paper", 6.8),
                ("l2", "paper", 18.3),
                ("l3", "paper", 3.8),
                ("n", "paper", 5.3),
                ("pe", "paper", 4.1),
            ],
        );
    }

    #[test]
    fn dark_colours_have_the_contrast_they_were_designed_for() {
        assert_ratios(
            block(DARK_BY_SETTING),
            &[
                ("rule", "paper", 4.4),
                ("rule", "wash", 3.7),
                ("ink", "paper", 15.8),
                ("ink", "wash", 13.3),
                ("ink-2", "paper", 10.8),
                ("ink-2", "wash", 9.1),
                ("ink-3", "paper", 7.3),
                ("ink-3", "wash", 6.1),
                ("on-press", "press", 10.4),
                ("danger", "paper", 5.0),
                ("on-danger", "danger", 5.4),
                ("caution", "paper", 10.6),
                ("on-caution", "caution", 11.5),
                ("normal", "paper", 5.9),
                ("on-normal", "normal", 6.4),
                ("must", "paper", 7.3),
                ("on-must", "must", 8.0),
                ("l1", "paper", 6.1),
                ("casing", "paper", 13.1),
                ("l3", "paper", 6.8),
                ("n", "paper", 7.7),
                ("pe", "paper", 6.8),
            ],
        );
    }

    #[test]
    fn dark_by_setting_and_dark_by_choice_are_one() {
        let lines = |opening: &str| -> Vec<String> {
            let all = block(opening)
                .lines()
                .map(|l| l.split_whitespace().collect::<Vec<_>>().join(" "));
            all.filter(|l| l.contains("--")).collect()
        };
        assert_eq!(lines(DARK_BY_SETTING), lines(DARK_BY_CHOICE));
    }

    #[test]
    fn nothing_is_fetched() {
        assert!(
            !style().contains("@import") && !style().contains("url(") && !style().contains("http")
        );
    }

    #[test]
    fn braces_close() {
        assert_eq!(style().matches('{').count(), style().matches('}').count());
    }
}
