//! Who has come in: random words given out as cookies, each good for a while. Kept in memory only: ending the program logs everybody out.
//!
//! A word is always made here, at login. One that came from outside and was not given out is never taken up, so nobody can be made to
//! use a session somebody else knows.

use std::time::{Duration, Instant};

use super::chance;

/// A session's whole life; a bench that is used daily asks once a week.
pub(crate) const LIFE: Duration = Duration::from_secs(7 * 24 * 3600);
/// Devices at once; the oldest must log in again.
const MOST: usize = 64;
/// Bytes of a word: 256 bits cannot be guessed.
const BYTES: usize = 32;

/// The sessions that are open.
#[derive(Debug, Default)]
pub(crate) struct Sessions(Vec<(String, Instant)>);

impl Sessions {
    /// Opens a session and gives its word.
    /// # Errors
    /// In words, when the system gives no chance.
    pub(crate) fn open(&mut self, now: Instant) -> Result<String, String> {
        let word: String = chance::<BYTES>()?
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        self.0.retain(|(_, opened)| now < *opened + LIFE);
        if self.0.len() >= MOST {
            self.0.remove(0);
        }
        self.0.push((word.clone(), now));
        Ok(word)
    }

    /// Whether a word is that of an open session.
    pub(crate) fn knows(&self, word: &str, now: Instant) -> bool {
        self.0
            .iter()
            .any(|(known, opened)| same(known, word) && now < *opened + LIFE)
    }

    /// Closes a session.
    pub(crate) fn close(&mut self, word: &str) {
        self.0.retain(|(known, _)| !same(known, word));
    }
}

/// Compares without ending at the first difference.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |d, (a, b)| d | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_session_ends_and_an_invented_one_never_begins() {
        let start = Instant::now();
        let mut sessions = Sessions::default();
        let word = sessions.open(start).unwrap();
        assert_eq!(word.len(), 64);
        assert_ne!(word, sessions.open(start).unwrap());
        assert!(sessions.knows(&word, start));
        assert!(!sessions.knows(&"0".repeat(64), start));
        assert!(!sessions.knows("", start));
        assert!(!sessions.knows(&word, start + LIFE));
        sessions.close(&word);
        assert!(!sessions.knows(&word, start));
    }

    #[test]
    fn the_oldest_makes_room() {
        let start = Instant::now();
        let mut sessions = Sessions::default();
        let first = sessions.open(start).unwrap();
        for _ in 0..MOST {
            sessions.open(start).unwrap();
        }
        assert!(!sessions.knows(&first, start));
        assert_eq!(sessions.0.len(), MOST);
    }
}
