//! An entry in a few words, as a history tells it.

use crate::{Noun, What, merge};
use gear::{Find, Place, Reading};
use sheet::Fragment;

impl What {
    /// What was recorded, in a few words, one line: "reading 24: 21.0 V, T4:2.1 to T4:2.2, booster secondary".
    pub fn words(&self) -> String {
        match self {
            Self::Started { sheet } => match sheet::read(sheet) {
                Ok(find) => format!("started: {}{}", find.name, counted(&find)),
                Err(_) => "started from a sheet that cannot be read".to_owned(),
            },
            Self::Put {
                fragment,
                instead_of,
            } => put(fragment, instead_of),
            Self::Removed { noun, reason } => match reason {
                Some(reason) => format!("{noun} taken out: {reason}"),
                None => format!("{noun} taken out"),
            },
            Self::ReadingStruck { number, reason } => format!("reading {number} struck: {reason}"),
            Self::ReadingKept { number, kept: true } => {
                format!("reading {number} looked at again and kept as read")
            }
            Self::ReadingKept { number, .. } => format!("reading {number} no longer kept as read"),
            Self::Struck { entry, reason } => format!("entry {entry} struck: {reason}"),
            Self::Tagged { word } => format!("tagged {word}"),
            Self::Untagged { word } => format!("tag {word} taken off"),
            Self::Photo { caption, of, .. } => photo("photo", caption, of),
            Self::PhotoChanged { caption, of, .. } => photo("photo changed", caption, of),
            Self::Judged { at_entry, .. } => format!("judged as it stood at entry {at_entry}"),
        }
    }

    /// The nouns it speaks of; of the start, the find alone.
    pub fn nouns(&self) -> Vec<Noun> {
        match self {
            Self::Started { .. } => vec![Noun::Find],
            Self::Put {
                fragment,
                instead_of,
            } => {
                let mut out = instead_of.clone();
                if let Ok(fragment) = Fragment::read(fragment) {
                    out.extend(merge::put(&mut Find::default(), &fragment).nouns);
                }
                out
            }
            Self::Removed { noun, .. } => vec![noun.clone()],
            Self::ReadingStruck { number, .. } | Self::ReadingKept { number, .. } => {
                vec![Noun::Reading(*number)]
            }
            Self::Tagged { .. } | Self::Untagged { .. } => vec![Noun::Tags],
            Self::Photo { digest, of, .. } | Self::PhotoChanged { digest, of, .. } => {
                let photo = [Noun::Photo(digest.clone())];
                photo.into_iter().chain(of.iter().cloned()).collect()
            }
            Self::Struck { .. } | Self::Judged { .. } => Vec::new(),
        }
    }
}

fn counted(find: &Find) -> String {
    let counts = [
        (find.parts.len(), "part", "parts"),
        (find.setups.len(), "setup", "setups"),
        (find.readings.len(), "reading", "readings"),
    ];
    let told = counts
        .iter()
        .filter(|(count, ..)| *count > 0)
        .map(|(count, one, many)| format!("{count} {}", if *count == 1 { one } else { many }));
    let told: Vec<String> = told.collect();
    if told.is_empty() {
        String::new()
    } else {
        format!(", with {}", told.join(", "))
    }
}

fn put(text: &str, instead_of: &[Noun]) -> String {
    let Ok(fragment) = Fragment::read(text) else {
        return "something that cannot be read".to_owned();
    };
    let merged = merge::put(&mut Find::default(), &fragment);
    let from = fragment.nouns();
    let told: Vec<String> = merged
        .nouns
        .iter()
        .map(|noun| match noun {
            Noun::Reading(number) => {
                let found = from.readings.iter().find(|r| r.number == *number);
                found.map_or_else(|| noun.to_string(), reading)
            }
            Noun::Setup(number) => {
                let what = from.setup(*number).and_then(|s| s.what.as_deref());
                what.map_or_else(|| noun.to_string(), |what| format!("{noun}: {what}"))
            }
            Noun::Part(name) => {
                let at = from
                    .parts
                    .iter()
                    .position(|p| p.designation.as_str() == name);
                with_values(noun, "part", at, from)
            }
            Noun::Lead(name) => {
                let at = from
                    .leads
                    .iter()
                    .position(|l| l.designation.as_str() == name);
                with_values(noun, "lead", at, from)
            }
            other => one_line(&other.to_string()),
        })
        .collect();
    let instead = match instead_of {
        [] => String::new(),
        gone => {
            let names: Vec<String> = gone.iter().map(ToString::to_string).collect();
            format!(", instead of {}", names.join(", "))
        }
    };
    told.join("; ") + &instead
}

/// "part F1: kind fuse, phase 1, current 50 A": what was written down of it, so that two versions of one thing can be told apart.
fn with_values(noun: &Noun, list: &str, at: Option<usize>, from: &Find) -> String {
    let block = at.and_then(|at| sheet::block_of(from, list, at));
    let fields = block.map_or_else(Vec::new, |block| sheet::typed::typed(list, &block));
    // Its name stands there already; tables inside, windings say, are too long to tell.
    let told = fields
        .iter()
        .filter(|(key, _)| key != "designation" && !key.contains('.'))
        .map(|(key, value)| format!("{key} {value}"));
    let told: Vec<String> = told.collect();
    match told.as_slice() {
        [] => noun.to_string(),
        told => one_line(&format!("{noun}: {}", told.join(", "))),
    }
}

fn reading(reading: &Reading) -> String {
    let shown = match (&reading.shown, reading.beep, reading.kick) {
        (Some(shown), ..) => shown.to_string(),
        (None, Some(true), _) => "beep".to_owned(),
        (None, Some(false), _) => "no beep".to_owned(),
        (None, None, Some(kick)) => format!("kick {}", kick.sign()),
        (None, None, None) => reading.measured.word().to_owned(),
    };
    let place = match &reading.place {
        Place::Between(a, b) => format!("{a} to {b}"),
        Place::Into(a) => format!("into {a}"),
        Place::PowerInto { into, against } => format!("into {into} against {against}"),
        Place::RatioOf(a, b, c, d) => format!("{a} to {b} over {c} to {d}"),
        Place::At(part) => format!("at {part}"),
    };
    let what = reading.what.as_deref().map(|w| format!(", {w}"));
    one_line(&format!(
        "reading {}: {shown}, {place}{}",
        reading.number,
        what.unwrap_or_default()
    ))
}

fn photo(what: &str, caption: &str, of: &[Noun]) -> String {
    let caption = match caption {
        "" => String::new(),
        words => format!(": {words}"),
    };
    format!("{what}{caption}{}", subjects(of))
}

fn subjects(of: &[Noun]) -> String {
    let names: Vec<String> = of.iter().map(ToString::to_string).collect();
    if names.is_empty() {
        String::new()
    } else {
        format!(" ({})", names.join(", "))
    }
}

/// Longest line of one noun.
const LONGEST: usize = 120;

fn one_line(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(LONGEST) {
        Some((at, _)) => format!("{}…", &line[..at]),
        None => line,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::EntryId;

    #[test]
    fn entries_are_told_as_one_would_say_them() {
        let reading = "[[setup]]\nnumber = 5\nwhat = \"low\"\n[[reading]]\nnumber = 24\nsetup = 5\nbetween = [\"T4:2.1\", \"T4:2.2\"]\nshown = \"21.0 V\"\nwhat = \"booster\"\n";
        let renamed = What::Put {
            fragment: "[[note]]\ntext = \"two\\nlines\"\n".into(),
            instead_of: vec![Noun::Note("one".into())],
        };
        let fuse =
            "[[part]]\ndesignation = \"F1\"\nkind = \"fuse\"\nphase = 1\ncurrent = \"50 A\"\n";
        let rows = [
            (What::put(fuse), "part F1: kind fuse, phase 1, current 50 A"),
            (
                What::put(reading),
                "setup 5: low; reading 24: 21.0 V, T4:2.1 to T4:2.2, booster",
            ),
            (
                renamed,
                "the note \"two lines\", instead of the note \"one\"",
            ),
            (
                What::Photo {
                    digest: "5a".repeat(32),
                    caption: String::new(),
                    marks: Vec::new(),
                    of: vec![Noun::Terminal("T1:2.1".into())],
                },
                "photo (terminal T1:2.1)",
            ),
            (
                What::Struck {
                    entry: EntryId(7),
                    reason: "slip".into(),
                },
                "entry 7 struck: slip",
            ),
        ];
        for (what, words) in rows {
            assert_eq!(what.words(), words);
        }
        assert_eq!(
            What::put(reading).nouns(),
            [Noun::Setup(5), Noun::Reading(24)]
        );
    }
}
