//! The measurement category printed on a meter: what it may be put on, and up to which volts.

/// A measurement category with its volts, as printed: `CAT III 600 V`.
///
/// IEC 61010-2-030 (from memory): category II is for circuits plugged into outlets, III for the fixed installation of a building, IV for
/// its origin. The volts are those to earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Category {
    /// 1 to 4; 1 is not used any more and stands on old meters.
    pub level: u8,
    /// RMS volts to earth.
    pub volts: f64,
}

impl Category {
    /// Every category in a text as printed on a meter, in its order: `CAT III 600 V`, `CAT II 1000 V / CAT III 600 V`, `cat iii 600V`.
    /// What is not one is passed over; a text without any gives none.
    pub fn all_in(text: &str) -> Vec<Self> {
        let upper = text.to_uppercase();
        let mut found = Vec::new();
        for piece in upper.split("CAT").skip(1) {
            let piece = piece.trim_start_matches(|c: char| c == '.' || c.is_whitespace());
            let numeral: String = piece
                .chars()
                .take_while(|c| "IV1234".contains(*c))
                .collect();
            let level = match numeral.as_str() {
                "I" | "1" => 1,
                "II" | "2" => 2,
                "III" | "3" => 3,
                "IV" | "4" => 4,
                _ => continue,
            };
            let rest = piece[numeral.len()..].trim_start_matches(|c: char| !c.is_ascii_digit());
            let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
            let behind = rest[digits.len()..].trim_start();
            if let Ok(volts) = digits.parse::<f64>()
                && behind.starts_with('V')
            {
                found.push(Self { level, volts });
            }
        }
        found
    }

    /// The level as it is printed.
    pub fn numeral(self) -> &'static str {
        match self.level {
            1 => "I",
            2 => "II",
            3 => "III",
            _ => "IV",
        }
    }
}
