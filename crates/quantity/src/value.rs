//! Plain values with their unit in the type, for public borders: volts are not amperes.

macro_rules! values {
    ($($(#[$doc:meta])* $name:ident, $unit:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);
        impl $name {
            /// The unit of this type.
            pub const UNIT: crate::Unit = crate::Unit::$unit;
        }
    )*};
}

values! {
    /// RMS volts.
    Volts, Volt;
    /// RMS amperes.
    Amperes, Ampere;
    /// Ohms.
    Ohms, Ohm;
    /// Siemens.
    Siemens, Siemens;
    /// Watts.
    Watts, Watt;
    /// Volt-amperes.
    VoltAmperes, VoltAmpere;
    /// Hertz.
    Hertz, Hertz;
    /// Henries.
    Henries, Henry;
    /// Farads.
    Farads, Farad;
    /// Kelvins of temperature difference.
    Kelvin, Kelvin;
    /// Minutes of time.
    Minutes, Minute;
    /// A plain ratio.
    Ratio, One;
}
