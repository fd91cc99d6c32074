//! The guard against fields a spreadsheet program would run as a formula, and its undoing.
//!
//! Common practice: a field whose first letter that is no blank is `=`, `+`, `-`, `@` (or one of their full-width forms), or that begins with
//! a tab or a line break, gets an apostrophe in front; such programs then take it as text. So that nothing is lost, the apostrophe is also
//! put before a text that would look guarded by itself, and stands alone for a text that is there but empty; only such an apostrophe is
//! taken off again. An apostrophe somebody typed before a letter or a figure stays.

const GUARD: char = '\'';

/// A text that is there, as a field.
pub(super) fn guarded(text: &str) -> String {
    if text.is_empty() || runs(text) || looks_guarded(text) {
        format!("{GUARD}{text}")
    } else {
        text.to_owned()
    }
}

/// The text of a field; nothing for an empty field.
pub(super) fn unguarded(field: &str) -> Option<&str> {
    if field.is_empty() {
        None
    } else if looks_guarded(field) {
        Some(&field[GUARD.len_utf8()..])
    } else {
        Some(field)
    }
}

/// Whether a spreadsheet program may take this for something to run.
fn runs(text: &str) -> bool {
    text.starts_with(['\t', '\r', '\n'])
        || text
            .trim_start()
            .starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠'])
}

fn looks_guarded(text: &str) -> bool {
    text.strip_prefix(GUARD)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(GUARD) || runs(rest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_could_run_is_guarded_and_what_people_type_is_not() {
        for (text, field) in [
            ("=1+1", "'=1+1"),
            (" =1+1", "' =1+1"),
            ("-21.0 mV", "'-21.0 mV"),
            ("@a", "'@a"),
            ("\tx", "'\tx"),
            ("＝1", "'＝1"),
            ("'=1", "''=1"),
            ("'", "''"),
            ("", "'"),
            ("'t sat loose", "'t sat loose"),
            ("23,8 V", "23,8 V"),
            ("> 2 GΩ", "> 2 GΩ"),
        ] {
            assert_eq!(guarded(text), field);
            assert_eq!(unguarded(field), Some(text));
        }
        assert_eq!(unguarded(""), None);
    }

    proptest! {
        #[test]
        fn no_text_is_lost(text in "['=+@ a\t\n-]{0,6}", any in any::<String>()) {
            for text in [text, any] {
                let field = guarded(&text);
                prop_assert!(!runs(&field));
                prop_assert_eq!(unguarded(&field), Some(text.as_str()));
            }
        }
    }
}
