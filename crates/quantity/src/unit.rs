//! The units a bench uses, each with its symbol and what it measures.

/// A unit of the SI or one used with it; values are always kept in the unit itself, without prefix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// V
    Volt,
    /// A
    Ampere,
    /// Ω
    Ohm,
    /// S
    Siemens,
    /// W
    Watt,
    /// VA
    VoltAmpere,
    /// var
    Var,
    /// Hz
    Hertz,
    /// H
    Henry,
    /// F
    Farad,
    /// s
    Second,
    /// min
    Minute,
    /// h
    Hour,
    /// °C
    DegreeCelsius,
    /// K
    Kelvin,
    /// T
    Tesla,
    /// m
    Metre,
    /// m² (written mm² or cm²)
    SquareMetre,
    /// kg (the base unit itself)
    Kilogram,
    /// °, of angle
    Degree,
    /// %, kept as a fraction: 5 % is 0.05
    Percent,
    /// none: turns, ratios, positions
    One,
}

impl Unit {
    /// The symbol as the SI brochure prints it; empty for [`Unit::One`].
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Volt => "V",
            Unit::Ampere => "A",
            Unit::Ohm => "Ω",
            Unit::Siemens => "S",
            Unit::Watt => "W",
            Unit::VoltAmpere => "VA",
            Unit::Var => "var",
            Unit::Hertz => "Hz",
            Unit::Henry => "H",
            Unit::Farad => "F",
            Unit::Second => "s",
            Unit::Minute => "min",
            Unit::Hour => "h",
            Unit::DegreeCelsius => "°C",
            Unit::Kelvin => "K",
            Unit::Tesla => "T",
            Unit::Metre => "m",
            Unit::SquareMetre => "m²",
            Unit::Kilogram => "kg",
            Unit::Degree => "°",
            Unit::Percent => "%",
            Unit::One => "",
        }
    }

    /// What the unit measures, for messages: "a voltage", "a current".
    pub fn measures(self) -> &'static str {
        match self {
            Unit::Volt => "a voltage",
            Unit::Ampere => "a current",
            Unit::Ohm => "a resistance",
            Unit::Siemens => "a conductance",
            Unit::Watt => "a power",
            Unit::VoltAmpere => "an apparent power",
            Unit::Var => "a reactive power",
            Unit::Hertz => "a frequency",
            Unit::Henry => "an inductance",
            Unit::Farad => "a capacitance",
            Unit::Second | Unit::Minute | Unit::Hour => "a time",
            Unit::DegreeCelsius => "a temperature",
            Unit::Kelvin => "a temperature difference",
            Unit::Tesla => "a flux density",
            Unit::Metre => "a length",
            Unit::SquareMetre => "an area",
            Unit::Kilogram => "a mass",
            Unit::Degree => "an angle",
            Unit::Percent => "a share",
            Unit::One => "a plain number",
        }
    }
}
