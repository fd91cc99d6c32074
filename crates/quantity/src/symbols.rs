//! Which letters mean which unit: the SI symbols, the spellings plates use, and what to suggest for the rest.
//!
//! Case decides only where it must: `m` is milli and `M` mega, `s` seconds and `S` siemens, `h` hours and `H` henries.
//! Everything a rating plate writes otherwise (`KVA`, `Kva`, `hz`, `v`, `KW`, `kVAr`, `OHM`) goes through [`LENIENT`] and
//! [`LENIENT_WHOLE`], and through nothing else.

use crate::Unit;

/// A unit and the power of ten that brings a figure to it: `kV` is (Volt, 3), `%` is (Percent, −2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Scaled {
    pub(crate) unit: Unit,
    pub(crate) exponent: i32,
}

/// Prefixes and their powers of ten. U+00B5 and U+03BC look alike and both stand for micro, as does `u`.
const PREFIXES: [(char, i32); 9] = [
    ('p', -12),
    ('n', -9),
    ('\u{b5}', -6),
    ('\u{3bc}', -6),
    ('u', -6),
    ('m', -3),
    ('k', 3),
    ('M', 6),
    ('G', 9),
];

/// Symbols that take a prefix.
const PREFIXED: [(&str, Unit, i32); 17] = [
    ("VA", Unit::VoltAmpere, 0),
    ("var", Unit::Var, 0),
    ("Hz", Unit::Hertz, 0),
    ("V", Unit::Volt, 0),
    ("A", Unit::Ampere, 0),
    ("\u{3a9}", Unit::Ohm, 0),  // the letter omega
    ("\u{2126}", Unit::Ohm, 0), // the ohm sign
    ("ohm", Unit::Ohm, 0),
    ("Ohm", Unit::Ohm, 0),
    ("S", Unit::Siemens, 0),
    ("W", Unit::Watt, 0),
    ("H", Unit::Henry, 0),
    ("F", Unit::Farad, 0),
    ("s", Unit::Second, 0),
    ("K", Unit::Kelvin, 0),
    ("T", Unit::Tesla, 0),
    ("m", Unit::Metre, 0),
];

/// Symbols that stand as they are.
const WHOLE: [(&str, Unit, i32); 21] = [
    ("%", Unit::Percent, -2),
    ("°", Unit::Degree, 0),
    ("°C", Unit::DegreeCelsius, 0),
    ("℃", Unit::DegreeCelsius, 0),
    ("min", Unit::Minute, 0),
    ("h", Unit::Hour, 0),
    ("kg", Unit::Kilogram, 0),
    ("g", Unit::Kilogram, -3),
    ("mg", Unit::Kilogram, -6),
    ("cm", Unit::Metre, -2),
    ("m²", Unit::SquareMetre, 0),
    ("cm²", Unit::SquareMetre, -4),
    ("mm²", Unit::SquareMetre, -6),
    ("m2", Unit::SquareMetre, 0),
    ("cm2", Unit::SquareMetre, -4),
    ("mm2", Unit::SquareMetre, -6),
    ("m^2", Unit::SquareMetre, 0),
    ("cm^2", Unit::SquareMetre, -4),
    ("mm^2", Unit::SquareMetre, -6),
    ("R", Unit::Ohm, 0), // IEC 60062: `470R`
    ("℧", Unit::Siemens, 0),
];

/// Spellings taken in any case, behind a prefix or none; `K` counts as kilo before them. A figure in farads needs its prefix
/// here (`uf`), because a bare `f` is nobody's unit.
const LENIENT: [(&str, Unit); 9] = [
    ("va", Unit::VoltAmpere),
    ("var", Unit::Var),
    ("hz", Unit::Hertz),
    ("v", Unit::Volt),
    ("a", Unit::Ampere),
    ("w", Unit::Watt),
    ("ohm", Unit::Ohm),
    ("ohms", Unit::Ohm),
    ("f", Unit::Farad),
];

/// Whole spellings taken in any case. `mfd` is how old capacitors write microfarads (common practice).
const LENIENT_WHOLE: [(&str, Unit, i32); 10] = [
    ("kg", Unit::Kilogram, 0),
    ("kgs", Unit::Kilogram, 0),
    ("min", Unit::Minute, 0),
    ("sec", Unit::Second, 0),
    ("hr", Unit::Hour, 0),
    ("°c", Unit::DegreeCelsius, 0),
    ("degc", Unit::DegreeCelsius, 0),
    ("c/s", Unit::Hertz, 0),
    ("cps", Unit::Hertz, 0),
    ("mfd", Unit::Farad, -6),
];

/// Words people write for a symbol; refused, with the symbol as the remedy.
const WORDS: [(&str, &str); 22] = [
    ("volt", "V"),
    ("amp", "A"),
    ("ampere", "A"),
    ("watt", "W"),
    ("hertz", "Hz"),
    ("cycle", "Hz"),
    ("henry", "H"),
    ("henrie", "H"),
    ("farad", "F"),
    ("mho", "S"),
    ("siemen", "S"),
    ("degree", "°"),
    ("deg", "°"),
    ("celsiu", "°C"),
    ("c", "°C"),
    ("kelvin", "K"),
    ("tesla", "T"),
    ("metre", "m"),
    ("meter", "m"),
    ("second", "s"),
    ("minute", "min"),
    ("hour", "h"),
];

/// What a unit's letters mean; nothing when they mean nothing.
pub(crate) fn read(letters: &str) -> Option<Scaled> {
    if letters == "MF" || letters == "GF" {
        return None; // a million farads: an old capacitor's MF is microfarads, and only its owner can say so
    }
    exact(letters).or_else(|| lenient(letters))
}

fn exact(letters: &str) -> Option<Scaled> {
    if let Some((_, unit, exponent)) = WHOLE.iter().find(|(symbol, ..)| *symbol == letters) {
        return Some(Scaled {
            unit: *unit,
            exponent: *exponent,
        });
    }
    let prefixed = |rest: &str, power: i32| {
        PREFIXED
            .iter()
            .find(|(symbol, ..)| *symbol == rest)
            .map(|(_, unit, exponent)| Scaled {
                unit: *unit,
                exponent: exponent + power,
            })
    };
    prefixed(letters, 0).or_else(|| {
        let (letter, rest) = first(letters)?;
        prefixed(rest, prefix(letter)?)
    })
}

fn lenient(letters: &str) -> Option<Scaled> {
    let lower = letters.to_lowercase();
    if let Some((_, unit, exponent)) = LENIENT_WHOLE.iter().find(|(symbol, ..)| *symbol == lower) {
        return Some(Scaled {
            unit: *unit,
            exponent: *exponent,
        });
    }
    let spelled = |rest: &str, exponent: i32| {
        let rest = rest.to_lowercase();
        LENIENT
            .iter()
            .find(|(symbol, _)| *symbol == rest)
            .map(|(_, unit)| Scaled {
                unit: *unit,
                exponent,
            })
    };
    if let Some((letter, rest)) = first(letters) {
        let power = if letter == 'K' {
            Some(3)
        } else {
            prefix(letter)
        };
        if let Some(found) =
            power.and_then(|power| spelled(rest, power).or_else(|| exact_unprefixed(rest, power)))
        {
            return Some(found);
        }
    }
    spelled(letters, 0).filter(|found| found.unit != Unit::Farad)
}

/// `KΩ`, `KH`: an exact symbol behind the capital K.
fn exact_unprefixed(rest: &str, power: i32) -> Option<Scaled> {
    PREFIXED
        .iter()
        .find(|(symbol, ..)| *symbol == rest)
        .map(|(_, unit, exponent)| Scaled {
            unit: *unit,
            exponent: exponent + power,
        })
}

/// The power of ten of a prefix letter.
pub(crate) fn prefix(letter: char) -> Option<i32> {
    PREFIXES
        .iter()
        .find(|(known, _)| *known == letter)
        .map(|(_, power)| *power)
}

fn first(letters: &str) -> Option<(char, &str)> {
    let letter = letters.chars().next()?;
    let rest = &letters[letter.len_utf8()..];
    (!rest.is_empty()).then_some((letter, rest))
}

/// What to write instead of letters that are no unit.
pub(crate) fn remedy(letters: &str) -> String {
    if letters == "MF" || letters == "GF" {
        return "old capacitors write `MF` for microfarads; write `µF` if that is meant".into();
    }
    let lower = letters.to_lowercase();
    let word = lower.trim_end_matches('s');
    let kilo = word.strip_prefix("kilo").map(|w| ("k", w));
    let milli = word.strip_prefix("milli").map(|w| ("m", w));
    let micro = word.strip_prefix("micro").map(|w| ("µ", w));
    let mega = word.strip_prefix("mega").map(|w| ("M", w));
    let (prefix, bare) = kilo.or(milli).or(micro).or(mega).unwrap_or(("", word));
    if prefix == "k" && bare.starts_with("gram") {
        return "did you mean `kg`?".into();
    }
    if let Some((_, symbol)) = WORDS.iter().find(|(known, _)| *known == bare) {
        return format!("did you mean `{prefix}{symbol}`?");
    }
    if matches!(letters, "k" | "M" | "G" | "K") {
        return format!("a prefix alone has no unit; write `{letters}Ω`, `{letters}V` ...");
    }
    match nearest(letters) {
        Some(symbol) => format!("did you mean `{symbol}`?"),
        None => "use one of V A Ω S W VA var Hz H F s min h °C K T m mm² cm² kg ° %, with p n µ m k M G before it".into(),
    }
}

/// A known symbol one letter away, the shortest first; only for two letters or more, where a slip is recognisable.
fn nearest(letters: &str) -> Option<String> {
    let written: Vec<char> = letters.chars().collect();
    if !(2..=6).contains(&written.len()) {
        return None;
    }
    let bare = PREFIXED.iter().map(|(symbol, ..)| (*symbol).to_owned());
    let with = ["k", "m", "M", "µ"].iter().flat_map(|p| {
        PREFIXED
            .iter()
            .map(move |(symbol, ..)| format!("{p}{symbol}"))
    });
    let whole = WHOLE.iter().map(|(symbol, ..)| (*symbol).to_owned());
    bare.chain(whole)
        .chain(with)
        .filter(|s| s.chars().count() >= 2)
        .find(|s| one_apart(&written, &s.chars().collect::<Vec<_>>()))
}

/// Whether two words differ by one letter put in, left out or exchanged.
fn one_apart(a: &[char], b: &[char]) -> bool {
    let same_front = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let same_back = a
        .iter()
        .rev()
        .zip(b.iter().rev())
        .take_while(|(x, y)| x == y)
        .count();
    match a.len().abs_diff(b.len()) {
        0 => same_front + same_back + 1 >= a.len(),
        1 => same_front + same_back >= a.len().min(b.len()),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_hold_no_symbol_twice() {
        let mut all: Vec<&str> = PREFIXED
            .iter()
            .map(|(s, ..)| *s)
            .chain(WHOLE.iter().map(|(s, ..)| *s))
            .collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn case_matters_only_where_it_must() {
        let of = |letters| read(letters).map(|s| (s.unit, s.exponent));
        assert_eq!(of("mV"), Some((Unit::Volt, -3)));
        assert_eq!(of("MV"), Some((Unit::Volt, 6)));
        assert_eq!(of("s"), Some((Unit::Second, 0)));
        assert_eq!(of("S"), Some((Unit::Siemens, 0)));
        assert_eq!(of("h"), Some((Unit::Hour, 0)));
        assert_eq!(of("H"), Some((Unit::Henry, 0)));
        for plate in ["kVA", "KVA", "Kva", "kva", "kVa", "KVa"] {
            assert_eq!(of(plate), Some((Unit::VoltAmpere, 3)), "{plate}");
        }
        for plate in ["kvar", "kVAr", "KVAR", "kVAR"] {
            assert_eq!(of(plate), Some((Unit::Var, 3)), "{plate}");
        }
        assert_eq!(of("v"), Some((Unit::Volt, 0)));
        assert_eq!(of("hz"), Some((Unit::Hertz, 0)));
        assert_eq!(of("HZ"), Some((Unit::Hertz, 0)));
        assert_eq!(of("KW"), Some((Unit::Watt, 3)));
        assert_eq!(of("uf"), Some((Unit::Farad, -6)));
        assert_eq!(of("mfd"), Some((Unit::Farad, -6)));
        assert_eq!(of("f"), None);
        assert_eq!(of("MF"), None);
    }

    #[test]
    fn suggests_the_symbol() {
        assert_eq!(remedy("Volt"), "did you mean `V`?");
        assert_eq!(remedy("kilovolts"), "did you mean `kV`?");
        assert_eq!(remedy("amps"), "did you mean `A`?");
        assert_eq!(remedy("Celsius"), "did you mean `°C`?");
        assert_eq!(remedy("kVB"), "did you mean `kVA`?");
        assert!(remedy("furlongs").starts_with("use one of V A"));
    }
}
