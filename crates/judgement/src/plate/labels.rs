//! The words plates put before their figures, and the marks that are no figures.

use gear::PlateField;

/// Which side of the gear a figure belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Side {
    #[default]
    Unsaid,
    Input,
    Output,
}

/// What a label says of the figure behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Label {
    /// A side, until the line ends or another side is named.
    Side(Side),
    /// The field of the next figure.
    Field(PlateField),
    /// How closely the output is held: the next share is no correction range.
    Accuracy,
    /// The rest of the line is a mark: a type, a serial number.
    RestOfLine,
    /// Says nothing the unit does not say.
    Nothing,
}

/// Labels in any case, longest match first.
const LABELS: &[(&str, Label)] = &[
    ("input", Label::Side(Side::Input)),
    ("in", Label::Side(Side::Input)),
    ("primary", Label::Side(Side::Input)),
    ("prim", Label::Side(Side::Input)),
    ("pri", Label::Side(Side::Input)),
    ("supply", Label::Side(Side::Input)),
    ("mains", Label::Side(Side::Input)),
    ("hv", Label::Side(Side::Input)),
    ("u1", Label::Side(Side::Input)),
    ("i1", Label::Side(Side::Input)),
    ("output", Label::Side(Side::Output)),
    ("out", Label::Side(Side::Output)),
    ("secondary", Label::Side(Side::Output)),
    ("sec", Label::Side(Side::Output)),
    ("load", Label::Side(Side::Output)),
    ("lv", Label::Side(Side::Output)),
    ("u2", Label::Side(Side::Output)),
    ("i2", Label::Side(Side::Output)),
    ("cos φ", Label::Field(PlateField::PowerFactor)),
    ("cosφ", Label::Field(PlateField::PowerFactor)),
    ("cos ϕ", Label::Field(PlateField::PowerFactor)),
    ("cosϕ", Label::Field(PlateField::PowerFactor)),
    ("cos phi", Label::Field(PlateField::PowerFactor)),
    ("cosphi", Label::Field(PlateField::PowerFactor)),
    ("cos", Label::Field(PlateField::PowerFactor)),
    ("power factor", Label::Field(PlateField::PowerFactor)),
    ("pf", Label::Field(PlateField::PowerFactor)),
    ("p.f.", Label::Field(PlateField::PowerFactor)),
    (
        "short-circuit impedance",
        Label::Field(PlateField::Impedance),
    ),
    ("impedance", Label::Field(PlateField::Impedance)),
    ("imp", Label::Field(PlateField::Impedance)),
    ("uk", Label::Field(PlateField::Impedance)),
    ("u_k", Label::Field(PlateField::Impedance)),
    ("uₖ", Label::Field(PlateField::Impedance)),
    ("ucc", Label::Field(PlateField::Impedance)),
    ("ek", Label::Field(PlateField::Impedance)),
    ("z", Label::Field(PlateField::Impedance)),
    ("no-load current", Label::Field(PlateField::NoLoadCurrent)),
    ("no load current", Label::Field(PlateField::NoLoadCurrent)),
    ("i0", Label::Field(PlateField::NoLoadCurrent)),
    ("io", Label::Field(PlateField::NoLoadCurrent)),
    ("i₀", Label::Field(PlateField::NoLoadCurrent)),
    ("no-load loss", Label::Field(PlateField::NoLoadLoss)),
    ("no load loss", Label::Field(PlateField::NoLoadLoss)),
    ("iron loss", Label::Field(PlateField::NoLoadLoss)),
    ("core loss", Label::Field(PlateField::NoLoadLoss)),
    ("p0", Label::Field(PlateField::NoLoadLoss)),
    ("po", Label::Field(PlateField::NoLoadLoss)),
    ("p₀", Label::Field(PlateField::NoLoadLoss)),
    ("pfe", Label::Field(PlateField::NoLoadLoss)),
    ("load loss", Label::Field(PlateField::LoadLoss)),
    ("copper loss", Label::Field(PlateField::LoadLoss)),
    ("pk", Label::Field(PlateField::LoadLoss)),
    ("pcu", Label::Field(PlateField::LoadLoss)),
    ("ambient", Label::Field(PlateField::Ambient)),
    ("amb", Label::Field(PlateField::Ambient)),
    ("tamb", Label::Field(PlateField::Ambient)),
    ("ta", Label::Field(PlateField::Ambient)),
    ("range", Label::Field(PlateField::Correction)),
    ("correction", Label::Field(PlateField::Correction)),
    ("regulation", Label::Field(PlateField::Correction)),
    ("accuracy", Label::Accuracy),
    ("stability", Label::Accuracy),
    ("type", Label::RestOfLine),
    ("no", Label::RestOfLine),
    ("no.", Label::RestOfLine),
    ("nr", Label::RestOfLine),
    ("nr.", Label::RestOfLine),
    ("serial", Label::RestOfLine),
    ("ser", Label::RestOfLine),
    ("year", Label::RestOfLine),
    ("made", Label::RestOfLine),
    ("model", Label::RestOfLine),
    ("connection", Label::RestOfLine),
    ("cooling", Label::RestOfLine),
    ("mass", Label::Nothing),
    ("weight", Label::Nothing),
    ("rated", Label::Nothing),
    ("nominal", Label::Nothing),
    ("power", Label::Nothing),
    ("rating", Label::Nothing),
    ("voltage", Label::Nothing),
    ("volts", Label::Nothing),
    ("current", Label::Nothing),
    ("amps", Label::Nothing),
    ("frequency", Label::Nothing),
    ("freq", Label::Nothing),
    ("freq.", Label::Nothing),
    ("sn", Label::Nothing),
    ("sr", Label::Nothing),
    ("un", Label::Nothing),
    ("ur", Label::Nothing),
    ("in.", Label::Side(Side::Input)),
    ("out.", Label::Side(Side::Output)),
    ("ir", Label::Nothing),
    ("fn", Label::Nothing),
    ("s", Label::Nothing),
    ("u", Label::Nothing),
    ("i", Label::Nothing),
    ("f", Label::Nothing),
    ("p", Label::Nothing),
    ("kg", Label::Nothing),
    ("ac", Label::Nothing),
    ("a.c.", Label::Nothing),
    ("rms", Label::Nothing),
    ("~", Label::Nothing),
    ("∼", Label::Nothing),
    ("-", Label::Nothing),
    ("–", Label::Nothing),
    ("/", Label::Nothing),
];

/// The label a text starts with, and its length in bytes.
pub(super) fn label(text: &str) -> Option<(Label, usize)> {
    let found = LABELS
        .iter()
        .filter(|(word, _)| starts_with_word(text, word));
    found
        .max_by_key(|(word, _)| word.len())
        .map(|(word, label)| (*label, word.len()))
}

/// Phrases for a number of phases, in any case; `3 x` and `3~` are read by `phases` itself.
const PHASE_WORDS: &[(&str, u8)] = &[
    ("three-phase", 3),
    ("three phase", 3),
    ("single-phase", 1),
    ("single phase", 1),
    ("one phase", 1),
    ("one-phase", 1),
];

/// Signs behind the figure 1 or 3 that make it a number of phases.
const PHASE_SIGNS: &[&str] = &[
    "n~", "/n~", "/n", "+n", "~", "∼", "phases", "phase", "ph.", "ph", "-phase", "-ph", "x", "×",
    "n",
];

/// The number of phases a text starts with, and its length in bytes: `3~`, `3 ph`, `3N~`, `1-phase`, the `3 x` of `3 x 400 V`.
pub(super) fn phases(text: &str) -> Option<(u8, usize)> {
    if let Some((word, count)) = PHASE_WORDS
        .iter()
        .find(|(word, _)| starts_with_word(text, word))
    {
        return Some((*count, word.len()));
    }
    let count = match text.as_bytes().first()? {
        b'1' => 1,
        b'3' => 3,
        _ => return None,
    };
    let behind = text[1..].trim_start_matches([' ', '\u{a0}']);
    let skipped = text.len() - behind.len();
    PHASE_SIGNS.iter().find_map(|sign| {
        let head = behind.get(..sign.len())?;
        let next = behind[sign.len()..].chars().next();
        let ends = match *sign {
            "~" | "∼" | "n~" | "/n~" => true,
            "x" | "×" => next.is_none_or(|c| c.is_ascii_digit() || c.is_whitespace()),
            _ => next.is_none_or(|c| !c.is_alphanumeric()),
        };
        (head.eq_ignore_ascii_case(sign) && ends).then_some((count, skipped + sign.len()))
    })
}

/// Standards' initials.
const STANDARDS: [&str; 8] = ["IEC", "EN", "ISO", "DIN", "VDE", "BS", "NF", "IS"];

/// A mark a text starts with, in the words it is kept in, and its length in bytes.
pub(super) fn mark(text: &str) -> Option<(String, usize)> {
    vector_group(text)
        .or_else(|| protection(text))
        .or_else(|| class(text))
        .or_else(|| standard(text))
}

/// `Dyn11`, `YNd5`, `Yy0`: a vector group of IEC 60076-1, which only three-phase gear has.
fn vector_group(text: &str) -> Option<(String, usize)> {
    let word = first_word(text);
    is_vector_group(word).then(|| (word.to_owned(), word.len()))
}

/// Whether a word is a vector group.
pub(super) fn is_vector_group(word: &str) -> bool {
    let rest = word.trim_end_matches(|c: char| c.is_ascii_digit());
    let clock: Option<u8> = word[rest.len()..].parse().ok();
    let mut letters = rest.chars();
    let high = letters.next().is_some_and(|c| "YDZ".contains(c));
    let mut low = letters.as_str();
    low = low.strip_prefix('N').unwrap_or(low);
    let low = matches!(low, "y" | "yn" | "d" | "z" | "zn");
    high && low && clock.is_some_and(|hour| hour <= 11)
}

/// `IP20`, `IP 54` (IEC 60529).
fn protection(text: &str) -> Option<(String, usize)> {
    let behind = text.strip_prefix("IP")?.trim_start();
    let code: String = behind
        .chars()
        .take_while(|c| c.is_ascii_alphanumeric())
        .collect();
    let length = text.len() - behind.len() + code.len();
    (code.len() >= 2 && code.starts_with(|c: char| c.is_ascii_digit() || c == 'X'))
        .then(|| (format!("IP{code}"), length))
}

/// `class B`, `cl. F`, `Class 155`: insulation class (IEC 60085) or protection class.
fn class(text: &str) -> Option<(String, usize)> {
    let word = ["insulation class", "ins. class", "class", "cl."]
        .into_iter()
        .find(|word| starts_with_word(text, word))?;
    let behind = text[word.len()..].trim_start_matches([' ', ':', '\u{a0}']);
    let letters = first_word(behind);
    let known = letters.len() <= 3
        && !letters.is_empty()
        && letters.chars().all(|c| c.is_ascii_alphanumeric());
    known.then(|| {
        (
            format!("class {letters}"),
            text.len() - behind.len() + letters.len(),
        )
    })
}

/// `IEC 60076-1`, `VDE 0550`.
fn standard(text: &str) -> Option<(String, usize)> {
    let initials = STANDARDS
        .into_iter()
        .find(|initials| text.starts_with(*initials))?;
    let behind = text[initials.len()..].trim_start_matches([' ', '\u{a0}']);
    let number: String = behind
        .chars()
        .take_while(|c| c.is_ascii_digit() || "-:/".contains(*c))
        .collect();
    let length = text.len() - behind.len() + number.len();
    number
        .starts_with(|c: char| c.is_ascii_digit())
        .then(|| (text[..length].to_owned(), length))
}

/// Letters up to a space or a sign that parts words.
pub(super) fn first_word(text: &str) -> &str {
    let end = text
        .find(|c: char| c.is_whitespace() || ",;|()".contains(c))
        .unwrap_or(text.len());
    &text[..end]
}

/// Whether a text starts with a word, in any case, and the word ends there.
fn starts_with_word(text: &str, word: &str) -> bool {
    let Some(head) = text.get(..word.len()) else {
        return false;
    };
    let next = text[word.len()..].chars().next();
    let ends = next.is_none_or(|c| !c.is_alphanumeric()) || !word.ends_with(char::is_alphanumeric);
    ends && head.to_lowercase() == word
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phases_are_told_from_volts() {
        for (text, count, length) in [
            ("3~ 50 Hz", 3, 2),
            ("3 ph", 3, 4),
            ("1~", 1, 2),
            ("3x230 V", 3, 2),
            ("3 x 400 V", 3, 3),
            ("3N~50 Hz", 3, 3),
            ("Three-Phase", 3, 11),
        ] {
            assert_eq!(phases(text), Some((count, length)), "{text}");
        }
        for text in ["30 kVA", "380 V", "3 kVA", "1 A", "3 A", "12~"] {
            assert_eq!(phases(text), None, "{text}");
        }
    }

    #[test]
    fn marks_are_told_from_words() {
        assert_eq!(mark("Dyn11 50 Hz"), Some(("Dyn11".into(), 5)));
        assert_eq!(mark("IP 20"), Some(("IP20".into(), 5)));
        assert_eq!(mark("Class B,"), Some(("class B".into(), 7)));
        assert_eq!(mark("IEC 60076-1 x"), Some(("IEC 60076-1".into(), 11)));
        for text in ["Dynamo", "IPA", "classic", "ENTRY", "Yes", "Dd12"] {
            assert_eq!(mark(text), None, "{text}");
        }
    }

    #[test]
    fn no_label_stands_twice() {
        let mut words: Vec<_> = LABELS.iter().map(|(word, _)| *word).collect();
        words.sort_unstable();
        let count = words.len();
        words.dedup();
        assert_eq!(words.len(), count);
    }
}
