//! The statement of the problem: parameters with priors, stations, observations.

use network::{Question, Solver};

/// A parameter with its prior: `z ~ N(0, 1)` and the value from `z` by the transform.
#[derive(Debug, Clone)]
pub struct Parameter {
    /// Name for people: "ratio of T4", "slider in setup 5".
    pub name: String,
    /// Unit of the value.
    pub unit: quantity::Unit,
    /// How the value follows from z.
    pub transform: Transform,
    /// Centre: the value at z = 0 (for `Logit` the value too, not its logit).
    pub centre: f64,
    /// Width in the transform's space.
    pub width: f64,
    /// What the prior rests on, in words: "plate 230 V", "usual for this size".
    pub basis: String,
    /// Auxiliary (a meter's gain, a drift): not listed among what was learned of the find.
    pub auxiliary: bool,
}

impl Parameter {
    /// The value at `z`.
    pub fn value(&self, z: f64) -> f64 {
        let moved = self.width * z;
        match self.transform {
            Transform::Ln => self.centre * moved.exp(),
            Transform::Logit => self.centre / (self.centre + (1.0 - self.centre) * (-moved).exp()),
            Transform::Linear => self.centre + moved,
        }
    }

    /// The z of a value; `None` where no z gives it.
    pub fn z_of(&self, value: f64) -> Option<f64> {
        let logit = |share: f64| (share / (1.0 - share)).ln();
        let moved = match self.transform {
            Transform::Ln => (value / self.centre).ln(),
            Transform::Logit => logit(value) - logit(self.centre),
            Transform::Linear => value - self.centre,
        };
        Some(moved / self.width).filter(|z| z.is_finite())
    }

    /// Derivative of the value to `z`.
    pub fn slope(&self, z: f64) -> f64 {
        match self.transform {
            Transform::Ln => self.width * self.value(z),
            Transform::Logit => {
                let value = self.value(z);
                self.width * value * (1.0 - value)
            }
            Transform::Linear => self.width,
        }
    }
}

/// How a value follows from `z`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Transform {
    /// `centre * exp(width z)`.
    Ln,
    /// `1 / (1 + exp(-(logit(centre) + width z)))`.
    Logit,
    /// `centre + width z`.
    Linear,
}

/// How one value of a circuit follows from the parameters' values.
#[derive(Debug, Clone)]
pub enum Binding {
    /// Always this.
    Fixed(f64),
    /// `coefficient * Π value_i ^ power`.
    Product {
        /// Coefficient.
        coefficient: f64,
        /// Parameter and power.
        powers: Vec<(usize, f64)>,
    },
    /// `constant + Σ factor * value_i`, held within `low..high`.
    Sum {
        /// Constant.
        constant: f64,
        /// Parameter and factor.
        terms: Vec<(usize, f64)>,
        /// Least.
        low: f64,
        /// Greatest.
        high: f64,
    },
}

impl Binding {
    /// The value, from the parameters' values.
    pub fn value(&self, parameters: &[f64]) -> f64 {
        match self {
            Binding::Fixed(value) => *value,
            Binding::Product {
                coefficient,
                powers,
            } => powers
                .iter()
                .fold(*coefficient, |product, &(parameter, power)| {
                    product * raised(parameters[parameter], power)
                }),
            Binding::Sum {
                constant,
                terms,
                low,
                high,
            } => terms
                .iter()
                .fold(*constant, |sum, &(parameter, factor)| {
                    sum + factor * parameters[parameter]
                })
                .max(*low)
                .min(*high),
        }
    }

    /// Tells each parameter with the derivative of the value to that parameter's value. A sum held at its bound has none.
    pub fn slopes(&self, parameters: &[f64], mut tell: impl FnMut(usize, f64)) {
        match self {
            Binding::Fixed(_) => {}
            Binding::Product {
                coefficient,
                powers,
            } => {
                for (place, &(parameter, power)) in powers.iter().enumerate() {
                    let mut slope =
                        coefficient * power * raised(parameters[parameter], power - 1.0);
                    for (other, &(factor, its_power)) in powers.iter().enumerate() {
                        if other != place {
                            slope *= raised(parameters[factor], its_power);
                        }
                    }
                    tell(parameter, slope);
                }
            }
            Binding::Sum {
                constant,
                terms,
                low,
                high,
            } => {
                let sum = terms.iter().fold(*constant, |sum, &(parameter, factor)| {
                    sum + factor * parameters[parameter]
                });
                if sum > *low && sum < *high {
                    terms
                        .iter()
                        .for_each(|&(parameter, factor)| tell(parameter, factor));
                }
            }
        }
    }

    /// The parameters it follows.
    pub fn parameters(&self) -> impl Iterator<Item = usize> {
        let followed: &[(usize, f64)] = match self {
            Binding::Fixed(_) => &[],
            Binding::Product { powers, .. } => powers,
            Binding::Sum { terms, .. } => terms,
        };
        followed.iter().map(|&(parameter, _)| parameter)
    }
}

/// `base ^ power`; the powers of every day without a logarithm.
fn raised(base: f64, power: f64) -> f64 {
    if power == 1.0 {
        base
    } else if power == 0.0 {
        1.0
    } else if power == -1.0 {
        1.0 / base
    } else if power == -2.0 {
        1.0 / (base * base)
    } else {
        base.powf(power)
    }
}

/// One setup's equations with how their values follow from the parameters.
#[derive(Debug, Clone)]
pub struct Station {
    /// The solver.
    pub solver: Solver,
    /// One binding a value of its circuit.
    pub bindings: Vec<Binding>,
}

/// One reading as the fit sees it.
#[derive(Debug, Clone)]
pub struct Observation {
    /// The reading's number.
    pub number: u32,
    /// Index of the station.
    pub station: usize,
    /// What was asked there.
    pub question: Question,
    /// What was shown.
    pub shown: Shown,
    /// Parameter that is the gain error g of the meter on this range: the shown value is `(1 + g) h`.
    pub gain: Option<usize>,
    /// Parameter that is a further gain error w, shared with readings on other ranges and of other meters: what an average-responding
    /// meter makes of the wave. The shown value is then `(1 + g) (1 + w) h`. `None`: no such error.
    pub shared_gain: Option<usize>,
    /// Parameter that is added to the network's answer before any gain, in its unit: ohms of the test leads, the error of an analogue
    /// scale, which is the same all along it. `None`: no such error.
    pub offset: Option<usize>,
    /// Index into [`Problem::drift`] and the power with which the answer follows the supply (1 volts and amperes, 2 watts, 0 ohms).
    pub drift: Option<(usize, f64)>,
    /// Which slips apply: [`SlipKind::befalling`], or those a model of the find knows can befall it.
    pub slips: Vec<SlipKind>,
    /// Other places the leads may have been on.
    pub other_places: Vec<OtherPlace>,
    /// Worth of one step of the display, same unit as the value.
    pub step: f64,
    /// The ranges of the instrument, rising; with them a slip's density knows how fine the true reading would have been shown.
    /// Empty: a decade's slip is taken to be shown as finely, in digits, as the true reading.
    pub ranges: Vec<DisplayRange>,
    /// The owner looked again and keeps it: slips are a tenth as likely.
    pub kept: bool,
}

/// One range of an instrument, as a display.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DisplayRange {
    /// Greatest value it shows.
    pub full_scale: f64,
    /// One step.
    pub step: f64,
    /// Standard uncertainty of its digits: digits times step over √3.
    pub digits: f64,
}

/// Another place of the same setup the leads may have been on.
#[derive(Debug, Clone)]
pub struct OtherPlace {
    /// `OtherHalf` or `WrongTerminal`.
    pub kind: SlipKind,
    /// In words: "T1:2 to T1:3".
    pub place: String,
    /// The question there.
    pub question: Question,
}

/// What was shown, with the standard uncertainty of digits and scatter (not of the gain), fixed once from the display.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// A value.
    Value {
        /// Value.
        value: f64,
        /// Standard uncertainty.
        sigma: f64,
    },
    /// At least this (a bound, over-range, no beep).
    AtLeast {
        /// Limit.
        limit: f64,
        /// Softness of the limit, standard uncertainty.
        sigma: f64,
    },
    /// At most this (a beep).
    AtMost {
        /// Limit.
        limit: f64,
        /// Softness of the limit.
        sigma: f64,
    },
}

/// A recognisable slip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SlipKind {
    /// Decimal point: ten times too much.
    TenTimes,
    /// Decimal point: a tenth.
    Tenth,
    /// Prefix: a thousand times too much.
    ThousandTimes,
    /// Prefix: a thousandth.
    Thousandth,
    /// Line for phase: √3 too much.
    LineForPhase,
    /// Phase for line: √3 too little.
    PhaseForLine,
    /// The other half of a winding.
    OtherHalf,
    /// A neighbouring terminal.
    WrongTerminal,
    /// Leads not zeroed: 0.15 to 0.6 Ω too much.
    LeadsNotZeroed,
    /// A dead contact, or AC on a DC range: next to nothing shown.
    DeadContact,
    /// A range a hundred times too coarse.
    CoarseRange,
    /// Something else.
    Gross,
    /// The peak of the wave for its RMS value: √2 too much.
    PeakForRms,
    /// RMS for peak: √2 too little.
    RmsForPeak,
    /// An average-responding meter taken for a true-RMS one, on a peaky current: some 15 % low.
    AverageResponding,
    /// The clamp around both conductors: next to nothing.
    ClampBoth,
    /// Two turns through the clamp: double.
    TwoTurns,
    /// Halved for two turns where there was one.
    HalvedTurns,
    /// A lead did not touch: ghost volts.
    GhostVolts,
    /// Left on DC where AC was to be read: next to nothing.
    LeftOnDc,
    /// Direct current not yet settled: ohms and volts read high, amperes low.
    NotSettled,
}

/// Prior probability that a reading is a slip, where nobody said otherwise. Common practice; the judgement hardly feels it between
/// a quarter and five times of this.
pub const SLIP_PROBABILITY: f64 = 0.02;

/// Parameters, stations, observations.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Parameters.
    pub parameters: Vec<Parameter>,
    /// Stations.
    pub stations: Vec<Station>,
    /// Observations.
    pub observations: Vec<Observation>,
    /// Covariance (of ln volts) of the supply's drift between distinct moments; `drift[i][j]`. Empty: no drift.
    pub drift: Vec<Vec<f64>>,
    /// Prior probability that a reading is a slip; [`SLIP_PROBABILITY`] unless said. At 0 no reading is ever taken for a slip.
    pub slip_probability: f64,
    /// Starting points in z beside the origin (mirror modes: slider above and below its tap); each a list of (parameter, z).
    pub starts: Vec<Vec<(usize, f64)>>,
}

impl Default for Problem {
    fn default() -> Self {
        Self {
            parameters: vec![],
            stations: vec![],
            observations: vec![],
            drift: vec![],
            slip_probability: SLIP_PROBABILITY,
            starts: vec![],
        }
    }
}
