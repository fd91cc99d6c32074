//! The account a drawing keeps of what stands where, and the finished drawing.

use crate::face;
use crate::plane::{Point, Rect};
use crate::signs;

/// What a recorded box holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BoxKind {
    /// A text.
    Text,
    /// A symbol: winding, fuse, core, terminal, dot, scale.
    Symbol,
    /// A sign: verdict, ring with a number, current arrow.
    Sign,
}

/// A box put down.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// What it holds.
    pub kind: BoxKind,
    /// What it is, in words or the text itself.
    pub what: String,
    /// Where.
    pub at: Rect,
}

/// What a recorded line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// Conductor L1.
    L1,
    /// Conductor L2; cased, so that black is seen in the dark.
    L2,
    /// Conductor L3.
    L3,
    /// Neutral.
    Neutral,
    /// Protective earth, green and yellow.
    Earth,
    /// A lead inside the find.
    Lead,
    /// The short stretch of a lead that belongs to a symbol.
    Symbol,
    /// A dimension line.
    Dimension,
    /// Its extension line, dotted.
    Extension,
    /// A mechanical link, or what is not so; dashed.
    Link,
    /// Grid.
    Hair,
    /// Rules and scales.
    Rule,
    /// A fine line.
    Fine,
}

impl LineKind {
    /// Class name.
    pub fn class(self) -> &'static str {
        match self {
            Self::L1 => "l1",
            Self::L2 => "l2",
            Self::L3 => "l3",
            Self::Neutral => "n",
            Self::Earth => "pe",
            Self::Lead => "lead",
            Self::Symbol => "sym",
            Self::Dimension => "dim",
            Self::Extension => "ext",
            Self::Link => "ghost",
            Self::Hair => "hair",
            Self::Rule => "rule",
            Self::Fine => "fine",
        }
    }

    /// Whether current flows in it: these may not pass through anything.
    pub fn is_wire(self) -> bool {
        matches!(
            self,
            Self::L1 | Self::L2 | Self::L3 | Self::Neutral | Self::Earth | Self::Lead
        )
    }

    /// The line of a phase, 1 to 3.
    pub fn of_phase(phase: u8) -> Self {
        match phase {
            2 => Self::L2,
            3 => Self::L3,
            _ => Self::L1,
        }
    }
}

/// A straight stretch of a line put down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// What line.
    pub kind: LineKind,
    /// One end.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// The conductor it belongs to, where it is a wire.
    pub node: Option<usize>,
}

/// A slider's handle, for a page that lays a control over the drawing. Coordinates of the drawing, px.
#[derive(Debug, Clone, PartialEq)]
pub struct Handle {
    /// The slider's terminal, `T1:4`.
    pub terminal: String,
    /// Where the tip of the handle stands at position 0.
    pub zero: Point,
    /// Where it stands at position 1.
    pub one: Point,
    /// Its position now, 0 to 1.
    pub position: f64,
    /// What handle and number cover now.
    pub covers: Rect,
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The `<svg>` element; styled by the classes of the look, which the page brings.
    pub svg: String,
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
    /// Every box put down.
    pub boxes: Vec<Placed>,
    /// Every stretch of line put down.
    pub segments: Vec<Segment>,
    /// Handles of sliders.
    pub handles: Vec<Handle>,
}

impl Drawing {
    /// The drawing as a file of its own: light colours and the face embedded.
    pub fn standalone(&self) -> String {
        let verdicts = [
            signs::Sign::Agrees,
            signs::Sign::Doubtful,
            signs::Sign::Contradicts,
            signs::Sign::Floating,
        ];
        let style = format!(
            "<style>{}{}</style>\n<defs>{}</defs>\n<rect class=\"ground\" width=\"100%\" height=\"100%\"/>",
            face::css(),
            include_str!("standalone.css"),
            signs::definitions(&verdicts)
        );
        match self.svg.find('>') {
            Some(end) => format!("{}{style}{}", &self.svg[..=end], &self.svg[end + 1..]),
            None => self.svg.clone(),
        }
    }
}
