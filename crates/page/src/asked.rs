//! Which word of the trade stands behind a field: its `?` beside the label says what it means. One list for the forms of desk and bench.

use maud::{Markup, html};

/// Names of fields, the last piece of them, with the term behind each.
const TERMS: [(&str, &str); 32] = [
    ("accuracy", "accuracy"),
    ("arrangement", "arrangement"),
    ("burden", "burden"),
    ("category", "measurement-category"),
    ("class", "instrument"),
    ("current", "magnetising-current"),
    ("designation", "designation"),
    ("dot", "dot"),
    ("feed", "source"),
    ("from", "terminal"),
    ("fuse", "fuse"),
    ("instrument", "instrument"),
    ("isolated", "isolation"),
    ("joined", "join"),
    ("knee", "knee"),
    ("leakage", "leakage"),
    ("lifted", "join"),
    ("neutral", "neutral-lost"),
    ("parts", "ganged"),
    ("phase", "phase"),
    ("points", "tap"),
    ("polarity", "polarity"),
    ("response", "true-rms"),
    ("setup", "setup"),
    ("shown", "reading"),
    ("slider", "slider"),
    ("sliders", "slider"),
    ("source", "source"),
    ("state", "state"),
    ("terminals", "terminal"),
    ("track", "track"),
    ("travel", "track"),
];
/// Where a name means something else: the whole name, and no term behind it.
const OTHERWISE: [&str; 2] = ["current", "range.class"];

/// The `?` of a field, where a term stands behind it.
pub(crate) fn mark(field: &str) -> Markup {
    html! { @if let Some(term) = term_of(field) { (report::term(term)) } }
}

fn term_of(field: &str) -> Option<&'static str> {
    if OTHERWISE.contains(&field) {
        return None;
    }
    if field.starts_with("slider.") {
        return Some("slider");
    }
    let last = field.rsplit('.').next()?;
    let found = TERMS.iter().find(|(name, _)| *name == last)?;
    Some(found.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_term_behind_a_field_is_one_there_is() {
        for (field, term) in TERMS {
            let known = report::terms().iter().any(|t| t.key == term);
            assert!(known, "{field}: no term `{term}`");
            assert!(OTHERWISE.contains(&field) || mark(field).0.contains(&format!("term-{term}")));
        }
    }

    #[test]
    fn a_fuses_own_current_is_no_magnetising_current() {
        assert_eq!(term_of("current"), None);
        assert_eq!(term_of("core.current"), Some("magnetising-current"));
        assert_eq!(term_of("winding.0.dot"), Some("dot"));
        assert_eq!(term_of("slider.chain"), Some("slider"));
        assert_eq!(term_of("note"), None);
    }
}
