//! Draws a find of one wiring: its truth, its meter, and what is shown at every place when it is read.
//!
//! What chance does to each place is drawn once, so that the same find read in another order shows the same where the world stands still.
//! In a strange world what is shown depends on when it is read: the supply drifts, the slider is not put back.

use super::circuits::{PLACES, Strange, Wiring, World, p, parameters};
use crate::chance::Chance;
use crate::instruments::{Gains, INSTRUMENTS, SCATTER, V};
use network::{Answer, NetworkError};

/// Probability that a reading slips.
const SLIPS: f64 = 0.02;
/// Highest a ghost reading at a floating place shows.
const GHOST: f64 = 60.0;
/// Shares of the slips drawn: ten times, a tenth, √3 times, 1/√3, a wrong pair.
const SLIP_SHARES: [f64; 5] = [0.25, 0.25, 0.12, 0.12, 0.26];
/// The strange world: no core is straight, and something undrawn hangs on the output.
const STRANGE: Strange = Strange {
    exponent: 0.8,
    undrawn: 2000.0,
};
/// Third harmonic of the supply; an average-responding voltmeter is off by a third of it.
const THIRD_HARMONIC: f64 = 0.03;
/// Standard deviation of the supply's drift, and minutes over which it forgets; one minute between readings.
const DRIFT: (f64, f64) = (0.01, 32.0);
/// Standard deviation of a slider put back.
const SLIDER_OFF: f64 = 0.01;
/// Readings of a find at most.
const MOST: usize = PLACES.len();

/// What chance does at one place.
#[derive(Debug, Clone, Copy)]
struct Luck {
    slip: Option<usize>,
    /// The pair the leads are really on, should they slip there.
    pair: usize,
    ghost: f64,
    normal: f64,
    digits: f64,
}

/// A find.
#[derive(Debug, Clone)]
pub struct Find {
    /// Index of its wiring.
    pub wiring: usize,
    /// True z.
    pub z: Vec<f64>,
    /// True volts of every place; none where it floats. With the slider where it stands first, and where it stands when put back.
    truth: [Vec<Option<f64>>; 2],
    luck: Vec<Luck>,
    /// Gain of each range of the voltmeter.
    gains: Vec<f64>,
    /// Of the k-th reading taken: the supply's factor.
    drift: Vec<f64>,
    /// What an average-responding meter makes of every voltage.
    waveform: f64,
    strange: bool,
}

/// Draws a find.
/// # Errors
/// The network's own.
pub fn draw(wiring: usize, seed: u64, strange: bool) -> Result<Find, NetworkError> {
    let mut chance = Chance::new(seed);
    let parameters = parameters(wiring);
    let z: Vec<f64> = parameters.iter().map(|_| chance.normal()).collect();
    let values: Vec<f64> = parameters
        .iter()
        .zip(&z)
        .map(|(parameter, &z)| parameter.value(z))
        .collect();
    let world = if strange {
        World::Strange(STRANGE)
    } else {
        World::Drawn
    };
    let mut built = Wiring::new(wiring, world)?;
    let mut moved = values.clone();
    if strange {
        moved[p::SLIDER_A] =
            (moved[p::SLIDER_A] + SLIDER_OFF * chance.normal()).clamp(0.001, 0.999);
    }
    let truth = [truths(&mut built, &values)?, truths(&mut built, &moved)?];
    let drawn = Gains::draw(&mut chance);
    let worse = if strange {
        chance.uniform(1.0, 2.0)
    } else {
        1.0
    };
    let gains = INSTRUMENTS[V]
        .full_scales
        .iter()
        .map(|&full| worse * drawn.of(V, full))
        .collect();
    let luck = (0..MOST)
        .map(|_| Luck {
            slip: chance.happens(SLIPS).then(|| chance.among(&SLIP_SHARES)),
            pair: chance.below(MOST),
            ghost: chance.uniform(0.0, GHOST),
            normal: chance.normal(),
            digits: chance.uniform(-1.0, 1.0),
        })
        .collect();
    let (sd, minutes) = DRIFT;
    let keeps = (-1.0 / minutes).exp();
    let mut walk = sd * chance.normal();
    let drift = (0..MOST)
        .map(|_| {
            let now = if strange { 1.0 + walk } else { 1.0 };
            walk = walk * keeps + sd * (1.0 - keeps * keeps).sqrt() * chance.normal();
            now
        })
        .collect();
    let waveform = match (strange, chance.happens(0.5)) {
        (false, _) => 1.0,
        (true, true) => 1.0 + THIRD_HARMONIC / 3.0,
        (true, false) => 1.0 - THIRD_HARMONIC / 3.0,
    };
    Ok(Find {
        wiring,
        z,
        truth,
        luck,
        gains,
        drift,
        waveform,
        strange,
    })
}

/// True volts of every place.
fn truths(built: &mut Wiring, values: &[f64]) -> Result<Vec<Option<f64>>, NetworkError> {
    let mut found = vec![];
    for (index, station) in built.stations.iter_mut().enumerate() {
        let bound: Vec<f64> = station
            .bindings
            .iter()
            .map(|binding| binding.value(values))
            .collect();
        let answers = station.solver.answer(&bound, &built.questions)?;
        let here = PLACES
            .iter()
            .zip(answers)
            .filter(|((at_b, ..), _)| usize::from(*at_b) == index);
        found.extend(here.map(|(_, answer)| match answer {
            Answer::Value { value, .. } => Some(value),
            Answer::Floating | Answer::Open => None,
        }));
    }
    Ok(found)
}

impl Find {
    /// What is shown at `place` when it is read after the places in `before`.
    pub fn shown(&self, place: usize, before: &[usize]) -> f64 {
        let put_back = before.iter().any(|&place| PLACES[place].0);
        let truth = &self.truth[usize::from(self.strange && put_back)];
        let factor = self.drift[before.len()] * self.waveform;
        let luck = self.luck[place];
        let volts = |place: usize| truth[place].map(|volts| volts * factor);
        let Some(meant) = volts(place) else {
            return self.display(
                luck.ghost,
                Luck {
                    normal: 0.0,
                    digits: 0.0,
                    ..luck
                },
            );
        };
        match luck.slip {
            None => self.display(meant, luck),
            Some(0) => 10.0 * self.display(meant, luck),
            Some(1) => self.display(meant, luck) / 10.0,
            Some(2) => self.display(meant * 3f64.sqrt(), luck),
            Some(3) => self.display(meant / 3f64.sqrt(), luck),
            Some(_) => self.display(volts(luck.pair).unwrap_or(luck.ghost), luck),
        }
    }

    /// Whether this place floats in truth.
    pub fn floats(&self, place: usize) -> bool {
        self.truth[0][place].is_none()
    }

    /// Whether the reading at this place is a slip.
    pub fn slipped(&self, place: usize) -> bool {
        self.luck[place].slip.is_some() && !self.floats(place)
    }

    fn display(&self, volts: f64, luck: Luck) -> f64 {
        let it = &INSTRUMENTS[V];
        let step = it.step(volts);
        let read = volts * (1.0 + self.gains[it.range(volts)] + SCATTER * luck.normal)
            + it.digits * step * luck.digits;
        ((read / step).round() * step).max(0.0)
    }
}
