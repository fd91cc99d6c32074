//! Damage to a text: bits, bytes, spans, pieces of others, and the values that readers stumble over.

use fastrand::Rng;

/// Inputs kept beside the corpus because they were taken.
const KEPT: usize = 64;
/// Longer inputs are cut: length is tested elsewhere.
const LONGEST: usize = 64 << 10;

/// What readers stumble over.
const WORDS: [&str; 40] = [
    "0",
    "-0",
    "-1",
    "1e308",
    "1e-308",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "9999999999999999999999",
    "0x7fffffff",
    "65536",
    "255",
    "256",
    "\u{0}",
    "\u{feff}",
    "\u{202e}",
    "\u{a0}",
    "\u{301}",
    "é",
    "变",
    "±",
    "Ω",
    "µ",
    "²",
    "\"",
    "'''",
    "\"\"\"",
    "\\u0000",
    "\r\n",
    "\r",
    "\n\n",
    ",,,,",
    ";",
    "=",
    "[[",
    "]]",
    "[[reading]]\n",
    "{",
    "}",
];

/// Texts to damage.
pub(crate) struct Corpus {
    texts: Vec<String>,
    first: usize,
    chance: Rng,
}

impl Corpus {
    pub(crate) fn new(texts: Vec<String>, seed: u64) -> Self {
        let first = texts.len();
        Self {
            texts,
            first,
            chance: Rng::with_seed(seed),
        }
    }

    /// Keeps an input that was taken, to be damaged further.
    pub(crate) fn keep(&mut self, text: String) {
        if self.texts.len() < self.first + KEPT {
            self.texts.push(text);
        } else {
            let place = self.first + self.chance.usize(..KEPT);
            self.texts[place] = text;
        }
    }

    /// One of the texts, damaged one to eight times.
    pub(crate) fn damaged(&mut self) -> Vec<u8> {
        let pick = self.chance.usize(..self.texts.len());
        let mut bytes = self.texts[pick].clone().into_bytes();
        for _ in 0..self.chance.usize(1..=8) {
            self.damage(&mut bytes);
        }
        bytes.truncate(LONGEST);
        bytes
    }

    fn damage(&mut self, bytes: &mut Vec<u8>) {
        let chance = &mut self.chance;
        let place = chance.usize(..=bytes.len());
        let span = place..(place + chance.usize(..40)).min(bytes.len());
        match chance.u8(..8) {
            0 => {
                if let Some(byte) = bytes.get_mut(place) {
                    *byte ^= 1 << chance.u8(..8);
                }
            }
            1 => bytes.insert(place, chance.u8(..)),
            2 => drop(bytes.drain(span)),
            3 => {
                let copy = bytes[span].to_vec();
                let to = chance.usize(..=bytes.len());
                drop(bytes.splice(to..to, copy));
            }
            4 | 5 => {
                let word = WORDS[chance.usize(..WORDS.len())];
                drop(bytes.splice(span, word.bytes()));
            }
            6 => {
                let other = self.texts[chance.usize(..self.texts.len())].as_bytes();
                let from = chance.usize(..=other.len());
                let to = (from + chance.usize(..200)).min(other.len());
                drop(bytes.splice(place..place, other[from..to].iter().copied()));
            }
            _ => Self::figure(chance, bytes, place),
        }
    }

    /// The next figure from here becomes another.
    fn figure(chance: &mut Rng, bytes: &mut [u8], place: usize) {
        let next = bytes.iter_mut().skip(place).find(|b| b.is_ascii_digit());
        if let Some(byte) = next {
            *byte = b'0' + chance.u8(..10);
        }
    }
}
