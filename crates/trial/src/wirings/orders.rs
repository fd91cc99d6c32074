//! Poses the readings taken of a find under every wiring, and chooses the next place.

use super::circuits::{PLACES, WIRINGS, Wiring, p, supposed};
use super::draw::Find;
use crate::instruments::{INSTRUMENTS, V};
use ask::information::{Expectation, components, expected};
use evidence::{Observation, OtherPlace, Problem, Ranked, Rival, Shown, SlipKind, rank, rank_from};
use network::NetworkError;

/// Places in the order a careful person takes them, by index.
pub const CAREFUL: [usize; 24] = [
    5, 10, 11, 1, 2, 12, 13, 4, 0, 14, 15, 6, 16, 7, 8, 9, 3, 17, 18, 19, 20, 21, 22, 23,
];
/// Places where nothing is tied to nought by a plain wire.
pub const HARD: [usize; 17] = [0, 1, 2, 4, 5, 6, 7, 8, 9, 12, 13, 18, 19, 20, 21, 22, 23];
/// Floor of a reading's standard uncertainty, volts.
const FLOOR: f64 = 0.01;
/// Slider positions a search begins from, in z: each slider at four, far and near, below and above the tap, in eight of the sixteen pairs.
const STARTS: [(f64, f64); 8] = [
    (-1.6, -1.6),
    (-1.6, 0.6),
    (-0.6, -0.6),
    (-0.6, 1.6),
    (0.6, -1.6),
    (0.6, 0.6),
    (1.6, -0.6),
    (1.6, 1.6),
];
/// A wiring is decided for when it stands above this at two readings running.
pub const DECIDED: f64 = 0.95;
/// Below this many nats no reading is worth taking: what is left cannot be told apart at these places.
const WORTHLESS: f64 = 0.02;

/// Standard uncertainty of volts shown, the gain folded in.
pub fn sigma(volts: f64) -> f64 {
    INSTRUMENTS[V].whole_sigma(volts).hypot(FLOOR)
}

/// Every wiring as a rival without readings.
pub fn rivals(wirings: &[Wiring]) -> Vec<Rival> {
    let starts: Vec<Vec<(usize, f64)>> = STARTS
        .iter()
        .map(|&(a, b)| vec![(p::SLIDER_A, a), (p::SLIDER_B, b)])
        .collect();
    let rival = |(index, wiring): (usize, &Wiring)| Rival {
        problem: Problem {
            parameters: supposed(index),
            stations: wiring.stations.to_vec(),
            starts: starts.clone(),
            ..Problem::default()
        },
        log_prior: 0.0,
    };
    wirings.iter().enumerate().map(rival).collect()
}

/// Adds a reading to every rival.
pub fn add(rivals: &mut [Rival], wirings: &[Wiring], place: usize, shown: f64) {
    for (rival, wiring) in rivals.iter_mut().zip(wirings) {
        rival
            .problem
            .observations
            .push(observation(wiring, place, shown));
    }
}

fn observation(wiring: &Wiring, place: usize, shown: f64) -> Observation {
    let it = &INSTRUMENTS[V];
    let others =
        (0..PLACES.len()).filter(|&other| other != place && PLACES[other].0 == PLACES[place].0);
    Observation {
        number: u32::try_from(place + 1).unwrap_or(0),
        station: usize::from(PLACES[place].0),
        question: wiring.questions[place].clone(),
        shown: Shown::Value {
            value: shown,
            sigma: sigma(shown),
        },
        slips: vec![
            SlipKind::TenTimes,
            SlipKind::Tenth,
            SlipKind::LineForPhase,
            SlipKind::PhaseForLine,
            SlipKind::WrongTerminal,
            SlipKind::Gross,
        ],
        other_places: others
            .map(|other| OtherPlace {
                kind: SlipKind::WrongTerminal,
                place: format!("{} to {}", PLACES[other].1, PLACES[other].2),
                question: wiring.questions[other].clone(),
            })
            .collect(),
        step: it.step(shown),
        ranges: it.ranges(),
        gain: None,
        shared_gain: None,
        offset: None,
        drift: None,
        kept: false,
    }
}

/// How asking ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// One wiring stood above the line at two readings running: which, after how many readings.
    Decided(usize, usize),
    /// No place is worth a reading any more, after so many: what stands first.
    Undecidable(usize, usize),
    /// Every place was read.
    Exhausted(usize),
}

/// Asks a find, place by place, each the one with the most expected information.
/// # Errors
/// The network's own.
pub fn ask(
    find: &Find,
    wirings: &[Wiring],
    places: &[usize],
) -> Result<(End, Option<usize>), NetworkError> {
    let mut rivals = rivals(wirings);
    let mut ranked = rank(&mut rivals);
    let mut taken: Vec<usize> = vec![];
    let (mut stood, mut first_above) = (None, None);
    loop {
        let left: Vec<usize> = places
            .iter()
            .copied()
            .filter(|place| !taken.contains(place))
            .collect();
        let Some((place, worth)) = next(&mut rivals, wirings, &ranked, &left)? else {
            return Ok((End::Exhausted(top(&ranked).0), first_above));
        };
        if worth < WORTHLESS && !taken.is_empty() && stood.is_none() {
            return Ok((End::Undecidable(top(&ranked).0, taken.len()), first_above));
        }
        add(&mut rivals, wirings, place, find.shown(place, &taken));
        taken.push(place);
        ranked = rank_from(&mut rivals, &ranked);
        let (first, probability) = top(&ranked);
        if probability > DECIDED {
            first_above.get_or_insert(taken.len());
            if stood == Some(first) {
                return Ok((End::Decided(first, taken.len()), first_above));
            }
            stood = Some(first);
        } else {
            stood = None;
        }
    }
}

/// The place with the most expected information, and how much; none where none is left.
fn next(
    rivals: &mut [Rival],
    wirings: &[Wiring],
    ranked: &[Ranked],
    left: &[usize],
) -> Result<Option<(usize, f64)>, NetworkError> {
    let weights: Vec<f64> = ranked.iter().map(|ranked| ranked.probability).collect();
    let mut expectations = vec![vec![Expectation::default(); rivals.len()]; left.len()];
    for (index, ((rival, wiring), ranked)) in rivals.iter_mut().zip(wirings).zip(ranked).enumerate()
    {
        if ranked.probability < 1e-4 {
            continue;
        }
        for station in 0..2 {
            let here: Vec<usize> = (0..left.len())
                .filter(|&k| usize::from(PLACES[left[k]].0) == station)
                .collect();
            let questions: Vec<_> = here
                .iter()
                .map(|&k| wiring.questions[left[k]].clone())
                .collect();
            let told = components(
                &mut rival.problem,
                &ranked.posterior,
                station,
                &questions,
                &|_, volts| sigma(volts),
            )?;
            for (&k, told) in here.iter().zip(told) {
                expectations[k][index] = told;
            }
        }
    }
    let worth = left
        .iter()
        .zip(&expectations)
        .map(|(&place, told)| (place, expected(&weights, told)));
    Ok(worth.max_by(|one, other| one.1.total_cmp(&other.1)))
}

/// The most probable wiring and its probability.
pub fn top(ranked: &[Ranked]) -> (usize, f64) {
    let numbered = ranked.iter().map(|ranked| ranked.probability).enumerate();
    numbered.fold((0, 0.0), |best, it| if it.1 > best.1 { it } else { best })
}

/// Name of a wiring.
pub fn name(wiring: usize) -> &'static str {
    WIRINGS[wiring].0
}
