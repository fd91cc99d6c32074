//! A peak as a straight-line model of everything about it: what the evidence would be, and what each reading and other place would
//! show, were other readings held to be misread. Costs a small factorisation a set and asks the network nothing.
//!
//! All in the space of the readings (see `linear`): with `G = JJ'` of all readings, misread or not, and `d = r - Jz`, the best fit
//! to the readings R has `y = (I + G_RR)⁻¹ d_R`, costs `½ d_R'y` and leaves every residual at `d - G_R y`.

use crate::Shown;
use crate::fitting::{Peak, log_norm};
use crate::leave_out::{Leaving, LeftOut};
use crate::normal::{Cholesky, dot};
use crate::posed::{Felt, Posed};
use crate::slips::Expected;

/// A prediction this share of itself off the straight one was asked of the network itself, and stands.
const BENT: f64 = 1e-3;
/// A step longer than this in any z begins at the peak instead: further a straight line is no guide.
const LONG_STEP: f64 = 1.5;

/// One other place, as the readings see it.
struct Place {
    felt: Felt,
    /// `Js` over all readings.
    along: Vec<f64>,
    /// `s's`.
    own: f64,
    /// `s'z`.
    at: f64,
}

/// The model.
pub(crate) struct View {
    /// Of each reading at the peak: standardised slopes over its slopes; 0 where there is no prediction.
    factor: Vec<f64>,
    /// `J` of all readings.
    rows: Vec<Vec<f64>>,
    /// `JJ'`.
    gram: Vec<Vec<f64>>,
    /// `r - Jz`.
    offset: Vec<f64>,
    log_norm: Vec<f64>,
    /// Where it was looked from.
    z: Vec<f64>,
    /// Readings whose prediction without themselves is no straight line's.
    bent: Vec<bool>,
    /// What the readings show without themselves at the peak itself.
    pub(crate) left: Vec<LeftOut>,
    places: Vec<Vec<Place>>,
}

/// What a view says of a set.
pub(crate) struct Foreseen {
    /// Logarithm of the evidence of the readings not misread.
    pub(crate) log_evidence: f64,
    /// Of every reading: its prediction without itself.
    pub(crate) left: Vec<LeftOut>,
}

impl View {
    /// Looks about from a peak. Other places are felt for the readings that are `suspect` by their own prediction, and for the misread.
    pub(crate) fn new(
        posed: &mut Posed,
        peak: &Peak,
        misread: &[bool],
        suspect: impl Fn(&Posed, usize, Expected) -> bool,
    ) -> Option<Self> {
        let count = misread.len();
        let leaving = Leaving::new(peak, count)?;
        posed.feel_at_peak(&peak.z).ok()?;
        let here: Vec<Expected> = (0..count)
            .map(|reading| leaving.here(posed, reading))
            .collect();
        let asked: Vec<bool> = (0..count)
            .map(|reading| misread[reading] || suspect(posed, reading, here[reading]))
            .collect();
        posed
            .feel_others_of(&peak.z, |reading| asked[reading])
            .ok()?;
        let mut view = Self::of_readings(posed, peak, count);
        for (reading, here) in here.into_iter().enumerate() {
            let nothing =
                || vec![Expected::Open; posed.problem.observations[reading].other_places.len()];
            let (there, places) = if asked[reading] {
                (
                    leaving.there(posed, reading),
                    view.places_of(posed, peak, reading),
                )
            } else {
                (nothing(), vec![])
            };
            view.left.push(LeftOut { here, there });
            view.places.push(places);
        }
        let straight = view.foresee(posed, misread)?;
        for (reading, straight) in straight.left.iter().enumerate() {
            let bent = match (straight.here, view.left[reading].here) {
                (Expected::Value { value: one, .. }, Expected::Value { value: other, .. }) => {
                    (one - other).abs() > BENT * other.abs()
                }
                _ => false,
            };
            view.bent[reading] = bent;
        }
        Some(view)
    }

    fn of_readings(posed: &Posed, peak: &Peak, count: usize) -> Self {
        let mut view = Self {
            factor: vec![0.0; count],
            rows: vec![vec![]; count],
            gram: vec![vec![0.0; count]; count],
            offset: vec![0.0; count],
            log_norm: (0..count).map(|reading| log_norm(posed, reading)).collect(),
            z: peak.z.clone(),
            bent: vec![false; count],
            left: vec![],
            places: vec![],
        };
        for reading in 0..count {
            let Some((mut residual, factor)) = posed.residual(reading, 1.0) else {
                continue;
            };
            if posed.leaned().any(|leaned| leaned == reading) {
                residual = 0.0;
            }
            let slopes = posed.here.slopes(reading);
            view.rows[reading] = slopes.iter().map(|slope| slope * factor).collect();
            view.factor[reading] = factor;
            view.offset[reading] = residual - dot(&view.rows[reading], &peak.z);
            for other in 0..=reading {
                if !view.rows[other].is_empty() {
                    let product = dot(&view.rows[reading], &view.rows[other]);
                    view.gram[reading][other] = product;
                    view.gram[other][reading] = product;
                }
            }
        }
        view
    }

    fn places_of(&self, posed: &Posed, peak: &Peak, reading: usize) -> Vec<Place> {
        let from = posed.others_from[reading];
        let count = posed.problem.observations[reading].other_places.len();
        (from..from + count)
            .map(|place| {
                let slopes = posed.there.slopes(place);
                Place {
                    felt: posed.there.felt[place],
                    along: self
                        .rows
                        .iter()
                        .map(|row| {
                            if row.is_empty() {
                                0.0
                            } else {
                                dot(row, slopes)
                            }
                        })
                        .collect(),
                    own: dot(slopes, slopes),
                    at: dot(slopes, &peak.z),
                }
            })
            .collect()
    }

    fn fit(&self, misread: &[bool]) -> Option<Fit> {
        let kept: Vec<usize> = (0..misread.len())
            .filter(|&reading| !misread[reading] && !self.rows[reading].is_empty())
            .collect();
        let count = kept.len();
        let mut lower = vec![0.0; count * count];
        for (row, &reading) in kept.iter().enumerate() {
            for (column, &other) in kept[..=row].iter().enumerate() {
                lower[row * count + column] = self.gram[reading][other];
            }
            lower[row * count + row] += 1.0;
        }
        let factor = Cholesky::of(lower, count)?;
        let mut weights: Vec<f64> = kept.iter().map(|&reading| self.offset[reading]).collect();
        factor.solve(&mut weights);
        Some(Fit {
            kept,
            factor,
            weights,
        })
    }

    /// Where to begin a refit of this set: the best place on straight lines, or the peak itself where that is far.
    pub(crate) fn place(&self, misread: &[bool]) -> Vec<f64> {
        self.straight(misread).unwrap_or_else(|| self.z.clone())
    }

    /// Whether straight lines lead so far from the peak that they are no guide.
    pub(crate) fn leads_far(&self, misread: &[bool]) -> bool {
        self.straight(misread).is_none()
    }

    /// The best place on straight lines, unless it is far.
    fn straight(&self, misread: &[bool]) -> Option<Vec<f64>> {
        let fit = self.fit(misread)?;
        let mut z = vec![0.0; self.z.len()];
        for (&reading, weight) in fit.kept.iter().zip(&fit.weights) {
            for (z, slope) in z.iter_mut().zip(&self.rows[reading]) {
                *z -= slope * weight;
            }
        }
        let is_near = |(z, peak): (&f64, &f64)| (z - peak).abs() < LONG_STEP;
        z.iter().zip(&self.z).all(is_near).then_some(z)
    }

    /// What is to be expected were this set misread.
    pub(crate) fn foresee(&self, posed: &Posed, misread: &[bool]) -> Option<Foreseen> {
        let fit = self.fit(misread)?;
        let inverse = fit.factor.inverse();
        let cost: f64 = 0.5
            * fit
                .kept
                .iter()
                .zip(&fit.weights)
                .map(|(&reading, weight)| self.offset[reading] * weight)
                .sum::<f64>();
        let norm: f64 = (0..misread.len())
            .filter(|&reading| !misread[reading])
            .map(|reading| self.log_norm[reading])
            .sum();
        let left = (0..misread.len())
            .map(|reading| {
                let row = fit.kept.iter().position(|&kept| kept == reading);
                LeftOut {
                    here: self.here(posed, reading, row, &fit, &inverse),
                    there: self.there(reading, row, &fit, &inverse),
                }
            })
            .collect();
        Some(Foreseen {
            log_evidence: norm - cost - 0.5 * fit.factor.log_determinant(),
            left,
        })
    }

    fn here(
        &self,
        posed: &Posed,
        reading: usize,
        row: Option<usize>,
        fit: &Fit,
        inverse: &[Vec<f64>],
    ) -> Expected {
        let before = self.left[reading].here;
        if self.bent[reading] || !matches!(before, Expected::Value { .. }) {
            return before;
        }
        let (Shown::Value { value: shown, .. }, factor) = (
            posed.problem.observations[reading].shown,
            self.factor[reading],
        ) else {
            return before;
        };
        let (residual, variance) = match row {
            Some(row) => {
                let rest = inverse[row][row].max(1e-9);
                (fit.weights[row] / rest, 1.0 / rest - 1.0)
            }
            None => {
                let along = fit.pick(&self.gram[reading]);
                let mut half = along.clone();
                fit.factor.forward(&mut half);
                (
                    self.offset[reading] - dot(&along, &fit.weights),
                    self.gram[reading][reading] - dot(&half, &half),
                )
            }
        };
        Expected::Value {
            value: shown + residual / factor,
            variance: variance.max(0.0) / (factor * factor),
        }
    }

    fn there(
        &self,
        reading: usize,
        row: Option<usize>,
        fit: &Fit,
        inverse: &[Vec<f64>],
    ) -> Vec<Expected> {
        let places = &self.places[reading];
        if places.is_empty() {
            return self.left[reading].there.clone();
        }
        places
            .iter()
            .map(|place| match place.felt {
                Felt::Floating => Expected::Floating,
                Felt::Open => Expected::Open,
                Felt::Value(value) => {
                    let along = fit.pick(&place.along);
                    let mut half = along.clone();
                    fit.factor.forward(&mut half);
                    let mut value = value - place.at - dot(&along, &fit.weights);
                    let mut variance = place.own - dot(&half, &half);
                    if let Some(row) = row {
                        let rest = inverse[row][row].max(1e-9);
                        let weight = dot(&inverse[row], &along);
                        value += weight * fit.weights[row] / rest;
                        variance += weight * weight / rest;
                    }
                    Expected::Value {
                        value,
                        variance: variance.max(0.0),
                    }
                }
            })
            .collect()
    }
}

/// The best fit to some of the readings.
struct Fit {
    kept: Vec<usize>,
    factor: Cholesky,
    /// `y`: also the residuals left.
    weights: Vec<f64>,
}

impl Fit {
    fn pick(&self, of_all: &[f64]) -> Vec<f64> {
        self.kept.iter().map(|&reading| of_all[reading]).collect()
    }
}
