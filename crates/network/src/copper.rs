//! Copper against temperature, and round wire by its gauge number.
//!
//! The temperature at which copper's resistance, drawn on as a straight line, would be nought is 234.5 °C below zero in one family of
//! standards and 235 in another; 0.2 % of a rise lies between them, so both have a name here and every function is told which.

/// °C below zero at which copper's resistance would be nought: IEC 60335-1, IEC 61558-1.
pub const COPPER_234_5: f64 = 234.5;
/// The same in IEC 60076-1 and IEC 60034-1.
pub const COPPER_235: f64 = 235.0;
/// Resistivity of annealed copper at 20 °C, ohm metres: 1/58 Ω mm²/m, IEC 60028.
pub const RESISTIVITY_20: f64 = 1e-6 / 58.0;
/// Density of annealed copper at 20 °C, kilograms a cubic metre: IEC 60028.
pub const DENSITY: f64 = 8890.0;

/// Resistance at `to` °C of copper that has `ohms` at `from` °C; `zero` is [`COPPER_234_5`] or [`COPPER_235`].
pub fn resistance_at(ohms: f64, from: f64, to: f64, zero: f64) -> f64 {
    ohms * (zero + to) / (zero + from)
}

/// Resistance at `to` °C of a metal that has `ohms` at `from` °C and the coefficient `at_zero` a kelvin counted at 0 °C.
pub fn resistance_by_coefficient(ohms: f64, from: f64, to: f64, at_zero: f64) -> f64 {
    ohms * (1.0 + at_zero * to) / (1.0 + at_zero * from)
}

/// Temperature, °C, of copper that had `cold` ohms at `from` °C and now has `hot`: the resistance method.
pub fn temperature_of(cold: f64, from: f64, hot: f64, zero: f64) -> f64 {
    hot / cold * (zero + from) - zero
}

/// Rise over the surroundings by resistance, kelvin: `cold` ohms at `from` °C, `hot` ohms with the surroundings at `around` °C.
/// Source: IEC 61558-1 and IEC 60335-1, `ΔT = (R2 - R1)/R1 (k + t1) - (t2 - t1)`.
pub fn rise_by_resistance(cold: f64, from: f64, hot: f64, around: f64, zero: f64) -> f64 {
    temperature_of(cold, from, hot, zero) - around
}

/// Diameter in metres of a bare round wire by its American gauge number (ASTM B258); 0 is 1/0, -1 is 2/0, -3 is 4/0.
pub fn gauge_diameter(number: i32) -> f64 {
    1.27e-4 * 92_f64.powf(f64::from(36 - number) / 39.0)
}

/// Cross-section of a round wire of this diameter, square metres.
pub fn round_area(diameter: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

/// Ohms a metre of annealed copper of this cross-section (square metres) at 20 °C.
pub fn ohms_per_metre(area: f64) -> f64 {
    RESISTIVITY_20 / area
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64, tolerance: f64) {
        assert!(
            (got - want).abs() <= tolerance,
            "{got} for {want} ± {tolerance}"
        );
    }

    /// CHECKS D1: IEC 60028:1925; 0.003929 a kelvin at 20 °C follows from 234.5.
    #[test]
    fn val_d1_annealed_copper() {
        near(RESISTIVITY_20, 0.017_241e-6, 0.5e-12);
        near(
            resistance_at(1.0, 20.0, 21.0, COPPER_234_5) - 1.0,
            0.003_929,
            0.5e-6,
        );
    }

    /// CHECKS D2: derived from `R2 = R1 (234.5 + T2)/(234.5 + T1)`.
    #[test]
    fn val_d2_resistance_against_temperature() {
        for (to, want) in [(75.0, 1.2161), (100.0, 1.3143), (40.0, 1.0786)] {
            near(resistance_at(1.0, 20.0, to, COPPER_234_5), want, 0.5e-4);
        }
    }

    /// CHECKS D4: ASTM B258.
    #[test]
    fn val_d4_gauge_numbers() {
        let square = |n| round_area(gauge_diameter(n)) * 1e6;
        // to half a unit of the last digit printed, which is coarser than the 1e-4 of the full table
        near(gauge_diameter(10) * 1e3, 2.588, 0.0005);
        near(square(10), 5.261, 0.0005);
        near(gauge_diameter(18) * 1e3, 1.024, 0.0005);
        near(square(18), 0.8230, 0.00005);
        near(gauge_diameter(24) * 1e3, 0.5106, 0.00005);
        near(gauge_diameter(-3) * 1e3, 11.684, 0.0005);
        near(
            ohms_per_metre(round_area(gauge_diameter(18))) * 1e3,
            20.95,
            0.005,
        );
        near(
            ohms_per_metre(round_area(gauge_diameter(24))) * 1e3,
            84.2,
            0.05,
        );
    }

    /// CHECKS D6: Kulshreshtha, *Basic Electrical Engineering*, Example 2.17.
    #[test]
    fn val_d6_a_cold_line() {
        near(
            resistance_by_coefficient(126.0, 20.0, -35.0, 0.004_26),
            98.80,
            0.005,
        );
    }

    /// CHECKS E4: IEC 61558-1; the constant makes 0.1 K.
    #[test]
    fn val_e4_rise_by_resistance() {
        near(
            rise_by_resistance(8.52, 22.0, 10.61, 24.0, COPPER_234_5),
            60.9,
            0.05,
        );
        near(
            rise_by_resistance(8.52, 22.0, 10.61, 24.0, COPPER_235),
            61.04,
            0.01,
        );
    }
}
