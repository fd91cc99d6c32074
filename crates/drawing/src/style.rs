//! How text is set in drawings: the few styles of the look, each with class, size and weight.

use crate::face::{self, Weight};

/// How a text is set: class, size and weight go together, as in the look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TextStyle {
    /// Designations and line letters, 16 bold.
    Name,
    /// Values read, 16 bold.
    Read,
    /// Predictions, 12.
    Predicted,
    /// Terminal marks, rated values, scale figures, 12.
    Terminal,
    /// The number in a ring, 12 bold.
    Ring,
    /// Remarks, 14 italic in the voice that argues. Its face is the reader's own; reckoned with the regular widths of ours, which are wider.
    Said,
    /// Plain, 13.
    Plain,
}

impl TextStyle {
    /// Class name; empty for plain.
    pub fn class(self) -> &'static str {
        match self {
            Self::Name => "t-name",
            Self::Read => "t-read",
            Self::Predicted => "t-pred",
            Self::Terminal => "t-term",
            Self::Ring => "t-ring",
            Self::Said => "t-said",
            Self::Plain => "",
        }
    }

    /// Size, px.
    pub fn size(self) -> f64 {
        match self {
            Self::Name | Self::Read => 16.0,
            Self::Predicted | Self::Terminal | Self::Ring => 12.0,
            Self::Said => 14.0,
            Self::Plain => 13.0,
        }
    }

    /// Weight.
    pub fn weight(self) -> Weight {
        match self {
            Self::Name | Self::Read | Self::Ring => Weight::Bold,
            _ => Weight::Regular,
        }
    }

    /// Width of a text in it, px.
    pub fn width(self, text: &str) -> f64 {
        face::width(text, self.size(), self.weight())
    }

    /// Height of capitals, px.
    pub fn cap_height(self) -> f64 {
        face::cap_height(self.size())
    }
}

/// Which point of a text stands at its coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}
