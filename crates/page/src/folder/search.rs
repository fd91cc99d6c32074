//! Words in a folder of sheets: names, origins and plates, looked through one after the other. A book has an index of every word instead.

use book::{FindId, Hit, Noun, Piece};
use gear::Find;

/// Where a find holds all of the words, or their beginnings; capitals do not count.
pub(super) fn hits(slug: &str, find: &Find, words: &str) -> Vec<Hit> {
    let asked: Vec<String> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    if asked.is_empty() {
        return Vec::new();
    }
    let of_find = [Some(&find.name), find.origin.as_ref()];
    let of_plate = find.plate.text.iter().chain(&find.plate.marks);
    let texts = [
        (Noun::Find, joined(of_find.into_iter().flatten())),
        (Noun::Plate, joined(of_plate)),
    ];
    let hit = |(noun, text): (Noun, String)| {
        let (snippet, found) = marked(&text, &asked);
        found.then(|| Hit {
            find: FindId(0),
            slug: slug.to_owned(),
            name: find.name.clone(),
            noun,
            snippet,
        })
    };
    texts.into_iter().filter_map(hit).collect()
}

fn joined<'a>(texts: impl Iterator<Item = &'a String>) -> String {
    texts.map(String::as_str).collect::<Vec<_>>().join(" · ")
}

/// The text in pieces, the words that were asked for marked, and whether all of them are there.
fn marked(text: &str, asked: &[String]) -> (Vec<Piece>, bool) {
    let mut there = vec![false; asked.len()];
    let mut pieces: Vec<Piece> = Vec::new();
    for word in text.split_inclusive(|c: char| !c.is_alphanumeric()) {
        let low = word.to_lowercase();
        let mut found = false;
        for (asked, there) in asked.iter().zip(&mut there) {
            if low.starts_with(asked) {
                (found, *there) = (true, true);
            }
        }
        let (word, sign) = match word.char_indices().last() {
            Some((at, last)) if !last.is_alphanumeric() => word.split_at(at),
            _ => (word, ""),
        };
        for (text, found) in [(word, found), (sign, false)] {
            match pieces.last_mut() {
                Some(last) if last.found == found => last.text.push_str(text),
                _ if text.is_empty() => {}
                _ => pieces.push(Piece {
                    text: text.to_owned(),
                    found,
                }),
            }
        }
    }
    (pieces, there.iter().all(|t| *t))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_words_or_their_beginnings_must_be_there() {
        let find = Find {
            name: "Stabilizer from the creamery".into(),
            plate: gear::Plate {
                text: Some("30 kVA 400 V".into()),
                ..gear::Plate::default()
            },
            ..Find::default()
        };
        let nouns = |words: &str| -> Vec<Noun> {
            let hits = hits("x", &find, words);
            hits.into_iter().map(|h| h.noun).collect()
        };
        assert_eq!(nouns("CREAM stab"), [Noun::Find]);
        assert_eq!(nouns("30 kva"), [Noun::Plate]);
        for none in ["creamery mill", "eamery", "", "\"*("] {
            assert_eq!(nouns(none), [], "{none}");
        }
        let hit = &hits("x", &find, "cream")[0];
        let found: Vec<&str> = (hit.snippet.iter().filter(|p| p.found))
            .map(|p| p.text.as_str())
            .collect();
        assert_eq!(found, ["creamery"]);
        let text: String = hit.snippet.iter().map(|p| p.text.as_str()).collect();
        assert_eq!(text, find.name, "nothing of it is lost");
    }
}
