//! What the open-circuit and the short-circuit test of a transformer say: its equivalent circuit, regulation and efficiency.
//!
//! Volts, amperes and watts are RMS readings of one side; ohms are seen from the side they were read on. Phasors: a lagging load has a
//! positive `sine`. Source of the relations: any electrical-machines textbook, e.g. Fitzgerald, Kingsley, Umans, *Electric Machinery*,
//! 6th ed., sections 2.4 and 2.5.

use num_complex::Complex64;

/// The shunt branch of a transformer, from the open-circuit test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shunt {
    /// Siemens of the core loss.
    pub conductance: f64,
    /// Siemens of the magnetising current.
    pub susceptance: f64,
}

/// The series branch of a transformer, from the short-circuit test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Series {
    /// Ohms.
    pub resistance: f64,
    /// Ohms.
    pub reactance: f64,
}

/// Why three readings are no test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TestError {
    /// A reading is not above nought.
    NotPositive,
    /// More watts than volts times amperes: power factor above 1.
    WattsExceedVoltAmperes {
        /// `P / (V I)`.
        power_factor: f64,
    },
}

/// Power factor of three readings.
/// # Errors
/// [`TestError`].
pub fn power_factor(volts: f64, amperes: f64, watts: f64) -> Result<f64, TestError> {
    let above = |x: f64| x > 0.0 && x.is_finite();
    if !(above(volts) && above(amperes) && above(watts)) {
        return Err(TestError::NotPositive);
    }
    let power_factor = watts / (volts * amperes);
    if power_factor > 1.0 {
        Err(TestError::WattsExceedVoltAmperes { power_factor })
    } else {
        Ok(power_factor)
    }
}

impl Shunt {
    /// From the open-circuit test: `g = P/V²`, `b = √((I/V)² - g²)`.
    /// # Errors
    /// [`TestError`].
    pub fn from_open_circuit(volts: f64, amperes: f64, watts: f64) -> Result<Self, TestError> {
        let pf = power_factor(volts, amperes, watts)?;
        let admittance = amperes / volts;
        Ok(Self {
            conductance: admittance * pf,
            susceptance: admittance * (1.0 - pf * pf).sqrt(),
        })
    }

    /// Ohms that stand for the core loss.
    pub fn loss_ohms(&self) -> f64 {
        1.0 / self.conductance
    }

    /// Magnetising reactance, ohms.
    pub fn magnetising_ohms(&self) -> f64 {
        1.0 / self.susceptance
    }
}

impl Series {
    /// From the short-circuit test: `R = P/I²`, `X = √((V/I)² - R²)`.
    /// # Errors
    /// [`TestError`].
    pub fn from_short_circuit(volts: f64, amperes: f64, watts: f64) -> Result<Self, TestError> {
        let pf = power_factor(volts, amperes, watts)?;
        let impedance = volts / amperes;
        Ok(Self {
            resistance: impedance * pf,
            reactance: impedance * (1.0 - pf * pf).sqrt(),
        })
    }

    /// Magnitude, ohms.
    pub fn impedance(&self) -> f64 {
        self.resistance.hypot(self.reactance)
    }

    /// The same seen from the other side; `ratio`: volts of this side to volts of the other.
    pub fn referred(&self, ratio: f64) -> Self {
        Self {
            resistance: self.resistance / (ratio * ratio),
            reactance: self.reactance / (ratio * ratio),
        }
    }

    /// Exact regulation, a fraction of the load's `volts`: `|V + I (R + jX)|/V - 1`, the load drawing `amperes` at this power factor.
    pub fn regulation(&self, volts: f64, amperes: f64, power_factor: f64, lagging: bool) -> f64 {
        let sine = (1.0 - power_factor * power_factor).sqrt();
        let current = amperes * Complex64::new(power_factor, if lagging { -sine } else { sine });
        (volts + current * Complex64::new(self.resistance, self.reactance)).norm() / volts - 1.0
    }

    /// The textbooks' approximation of [`Series::regulation`]: `I (R cos φ ± X sin φ)/V`.
    pub fn regulation_approximate(
        &self,
        volts: f64,
        amperes: f64,
        power_factor: f64,
        lagging: bool,
    ) -> f64 {
        let sine = (1.0 - power_factor * power_factor).sqrt();
        let across = if lagging {
            self.reactance * sine
        } else {
            -self.reactance * sine
        };
        amperes * (self.resistance * power_factor + across) / volts
    }
}

/// Efficiency at `load` (a share of rated VA): `output / (output + core loss + load² copper loss)`, the copper loss in watts at rated load.
pub fn efficiency(
    volt_amperes: f64,
    power_factor: f64,
    load: f64,
    core_loss: f64,
    copper_loss: f64,
) -> f64 {
    let output = load * volt_amperes * power_factor;
    output / (output + core_loss + load * load * copper_loss)
}

/// The load, as a share of rated VA, at which efficiency is highest: copper loss equals core loss.
pub fn best_load(core_loss: f64, copper_loss: f64) -> f64 {
    (core_loss / copper_loss).sqrt()
}

/// Hysteresis and eddy loss at `frequency` from the core loss at two frequencies and one flux: `P/f = h + e f`. Watts.
pub fn separate_losses(first: (f64, f64), second: (f64, f64), frequency: f64) -> (f64, f64) {
    let (f1, p1) = first;
    let (f2, p2) = second;
    let eddy = (p2 / f2 - p1 / f1) / (f2 - f1);
    let hysteresis = p1 / f1 - eddy * f1;
    (hysteresis * frequency, eddy * frequency * frequency)
}

/// Core loss moved from one voltage and frequency to another, watts: hysteresis goes as `f (V/f)^steinmetz`, eddy loss as `V²`.
/// `steinmetz` is about 1.6 for the steels of the textbooks; `from` and `to` are (volts, hertz).
pub fn moved_core_loss(
    hysteresis: f64,
    eddy: f64,
    from: (f64, f64),
    to: (f64, f64),
    steinmetz: f64,
) -> f64 {
    let flux = (to.0 / to.1) / (from.0 / from.1);
    hysteresis * (to.1 / from.1) * flux.powf(steinmetz) + eddy * (to.0 / from.0).powi(2)
}
