//! The kit: what the owner can feed, limit, load and protect with. Instruments stand apart in [`crate::Instrument`].

use quantity::Quantity;

/// What stands on the owner's bench.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kit {
    /// Sources.
    pub sources: Vec<KitSource>,
    /// Limiters: lamps, resistors, chokes to put in series.
    pub limiters: Vec<KitItem>,
    /// Loads.
    pub loads: Vec<KitItem>,
    /// Protective devices: fuses, breakers.
    pub protection: Vec<KitItem>,
}

/// A source to feed a find from.
#[derive(Debug, Clone, PartialEq)]
pub struct KitSource {
    /// Its name, unique in the kit: "bench supply".
    pub name: String,
    /// Volts it gives, line to line for three phases; a span where it can be set.
    pub volts: Option<Quantity>,
    /// Most amperes.
    pub amperes: Option<Quantity>,
    /// 1 or 3.
    pub phases: u8,
    /// Whether a legible mark says it is isolated from the mains; `None` is unknown and counts as not.
    pub isolated: Option<bool>,
    /// How steady it is.
    pub steadiness: Steadiness,
    /// Its impedance, ohms a phase.
    pub impedance: Option<Quantity>,
    /// Direct current, not alternating.
    pub direct: bool,
}

/// How steady a source's volts are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Steadiness {
    /// The mains, or a variable autotransformer or transformer on it: moves as the mains moves.
    #[default]
    Mains,
    /// A regulated source: 0.05 %.
    Regulated,
}

/// Anything else in the kit.
#[derive(Debug, Clone, PartialEq)]
pub struct KitItem {
    /// Its name: "lamp 100 W", "16 A breaker C".
    pub name: String,
    /// Its values as written.
    pub values: Vec<Quantity>,
}
