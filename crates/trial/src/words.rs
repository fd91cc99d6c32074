//! The words behind a trial's name on the command line: `--finds 600 --seed 1`.

use std::collections::BTreeMap;

/// Words and their values, each taken once by the trial that knows it.
#[derive(Debug, Clone, Default)]
pub struct Words(BTreeMap<String, String>);

impl Words {
    /// Reads `--word value` pairs.
    /// # Errors
    /// A word without a value, or one that does not begin with two dashes.
    pub fn read(mut words: impl Iterator<Item = String>) -> Result<Self, String> {
        let mut read = BTreeMap::new();
        while let Some(word) = words.next() {
            let Some(name) = word.strip_prefix("--") else {
                return Err(format!("`{word}` is not understood; words begin with --"));
            };
            let value = words
                .next()
                .ok_or_else(|| format!("--{name} wants a value"))?;
            read.insert(name.to_owned(), value);
        }
        Ok(Self(read))
    }

    /// Takes a word's value as text.
    pub fn text(&mut self, name: &str) -> Option<String> {
        self.0.remove(name)
    }

    /// Takes a word's value as a whole number, or the default.
    /// # Errors
    /// A value that is none.
    pub fn number(&mut self, name: &str, default: usize) -> Result<usize, String> {
        match self.text(name) {
            Some(value) => whole(name, &value),
            None => Ok(default),
        }
    }

    /// Takes a word's value as whole numbers with commas between, or the default.
    /// # Errors
    /// A value that is none.
    pub fn numbers(&mut self, name: &str, default: &[usize]) -> Result<Vec<usize>, String> {
        match self.text(name) {
            Some(value) => value.split(',').map(|v| whole(name, v)).collect(),
            None => Ok(default.to_vec()),
        }
    }

    /// That every word was taken.
    /// # Errors
    /// A word nobody knows.
    pub fn done(self) -> Result<(), String> {
        match self.0.into_keys().next() {
            Some(word) => Err(format!("this trial does not know --{word}")),
            None => Ok(()),
        }
    }
}

fn whole(name: &str, value: &str) -> Result<usize, String> {
    value
        .trim()
        .parse()
        .map_err(|_| format!("--{name} {value}: not a whole number"))
}
