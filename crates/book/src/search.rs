//! Search: words over finds, plates, parts, leads, notes, readings' words, captions and tags.

use crate::rows::counted;
use crate::{Book, BookError, FindId, Noun};
use rusqlite::params;
use serde::Serialize;

/// Most hits given.
const MOST: u32 = 100;

/// Signs around what was found, while it is in the store's hands; nobody types them.
const OPEN: char = '\u{2}';
const CLOSE: char = '\u{3}';

/// Something found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Hit {
    /// The find.
    pub find: FindId,
    /// Its word in addresses.
    pub slug: String,
    /// Its name.
    pub name: String,
    /// What in it.
    pub noun: Noun,
    /// The words around, piece by piece.
    pub snippet: Vec<Piece>,
}

/// A piece of a snippet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Piece {
    /// The words.
    pub text: String,
    /// Whether they are what was looked for.
    pub found: bool,
}

impl Book {
    /// What holds all of the words, or their beginnings, best first, at most 100. Capitals and accents do not count.
    /// # Errors
    /// What the store says. Words of signs alone find nothing.
    pub fn search(&self, words: &str) -> Result<Vec<Hit>, BookError> {
        let Some(asked) = asked(words) else {
            return Ok(Vec::new());
        };
        let reader = self.reader();
        let search = || -> rusqlite::Result<Vec<Hit>> {
            let mut statement = reader.prepare_cached(
                "SELECT t.find, f.slug, f.name, t.noun, snippet(words, 0, char(2), char(3), '…', 16)
                 FROM words JOIN texts t ON t.id = words.rowid JOIN finds f ON f.id = t.find
                 WHERE words MATCH ?1 ORDER BY words.rank LIMIT ?2",
            )?;
            let rows = statement.query_map(params![asked, MOST], |row| {
                Ok((
                    FindId(counted(row.get(0)?)),
                    row.get(1)?,
                    row.get(2)?,
                    row.get::<_, String>(3)?,
                    row.get::<_, String>(4)?,
                ))
            })?;
            let mut hits = Vec::new();
            for row in rows {
                let (find, slug, name, noun, snippet) = row?;
                // A noun of a later version is told as the find it is in.
                let noun = serde_json::from_str(&noun).unwrap_or(Noun::Find);
                hits.push(Hit {
                    find,
                    slug,
                    name,
                    noun,
                    snippet: pieces(&snippet),
                });
            }
            Ok(hits)
        };
        search().map_err(|e| self.store(&e))
    }
}

/// The words as the store asks for them: each in quotes, so that no sign in them means anything, each as a beginning.
fn asked(words: &str) -> Option<String> {
    let words: Vec<String> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(|w| format!("\"{w}\"*"))
        .collect();
    (!words.is_empty()).then(|| words.join(" "))
}

fn pieces(snippet: &str) -> Vec<Piece> {
    let mut out = Vec::new();
    for (i, piece) in snippet.split(OPEN).enumerate() {
        let (found, rest) = match piece.split_once(CLOSE) {
            Some((found, rest)) if i > 0 => (found, rest),
            _ => ("", piece),
        };
        for (text, found) in [(found, true), (rest, false)] {
            if !text.is_empty() {
                out.push(Piece {
                    text: text.to_owned(),
                    found,
                });
            }
        }
    }
    out
}
