//! Names of parts and of the points on them where leads land.

/// An IEC 81346-2 designation: letters and a number, `T1`, `X2`, `F1`, `P1`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Designation(String);

impl Designation {
    /// Reads a designation: one or more capital letters, then a number.
    /// # Errors
    /// What was wrong and what to write.
    pub fn parse(text: &str) -> Result<Self, String> {
        let letters = text.chars().take_while(char::is_ascii_uppercase).count();
        let number = &text[letters..];
        if letters == 0 || number.is_empty() || !number.chars().all(|c| c.is_ascii_digit()) {
            return Err(format!(
                "`{text}` is no designation; write a capital letter and a number, like `T1` (transformer), `F1` (fuse) or `X1` (terminals)"
            ));
        }
        Ok(Self(text.to_owned()))
    }

    /// The text, `T1`.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The class letters, `T`.
    pub fn letters(&self) -> &str {
        self.0.trim_end_matches(|c: char| c.is_ascii_digit())
    }

    /// The number behind the letters.
    pub fn number(&self) -> u32 {
        self.0[self.letters().len()..].parse().unwrap_or(u32::MAX)
    }
}

impl std::fmt::Display for Designation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// A terminal of a part, written `T1:4` or `T4:2.1`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TerminalRef {
    /// The part.
    pub part: Designation,
    /// The terminal's mark on it.
    pub terminal: String,
}

impl TerminalRef {
    /// Reads `T1:4`.
    /// # Errors
    /// What was wrong and what to write.
    pub fn parse(text: &str) -> Result<Self, String> {
        let Some((part, terminal)) = text.split_once(':') else {
            return Err(format!(
                "`{text}` is no terminal; write part, colon, terminal, like `T1:4`"
            ));
        };
        if terminal.is_empty() || terminal.chars().any(|c| c.is_whitespace() || c == ':') {
            return Err(format!(
                "`{text}` has no terminal behind the colon; write it like `T1:4`"
            ));
        }
        Ok(Self {
            part: Designation::parse(part)?,
            terminal: terminal.to_owned(),
        })
    }
}

impl std::fmt::Display for TerminalRef {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.part, self.terminal)
    }
}
