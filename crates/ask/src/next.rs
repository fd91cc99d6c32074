//! The next reading for a find: which question, which setups, which places, and the best of them.

use crate::information::{Expectation, expected};
use crate::meters::{Meter, meter};
use crate::quantities::{Vague, told, vague};
use crate::setups::{Standing, setups};
use crate::weigh::{Look, Possible, expectations, moments};
use crate::{Answer, LEAST_INFORMATION, MOST_PROPOSALS, Next, Proposal, places};
use evidence::Judged;
use evidence::model::{Candidates, Nominal};
use gear::{Find, Measured, Place, Setup, Steadiness};
use hazard::Class;

/// A wiring is settled when it stands above this twice running.
const SETTLED: f64 = 0.95;
/// Candidates less probable than this are not told apart from the rest.
const LEAST_CANDIDATE: f64 = 0.005;
/// Candidates asked for their expectations at most.
const MOST_CANDIDATES: usize = 6;
/// Readings looked at closely, at most so many of one setup and so many setups.
const LOOKED_AT: usize = 40;
const MOST_OF_ONE_SETUP: usize = 4;
const MOST_SETUPS: usize = 2;
/// What it costs to set up anew, and to go back to another setup, nats. Our choice: a few minutes against a reading's worth.
const REBUILD: f64 = 0.05;
const RETURN: f64 = 0.02;
/// Proposals of one setup: more say the same again.
const SHOWN_OF_ONE_SETUP: usize = 3;
/// What it costs to open a lead for a meter in line.
const IN_LINE: f64 = 0.05;
/// How the mains move (as the evidence takes it): a fast part, its correlation, a walk, as shares and minutes.
const FAST: f64 = 0.004;
const FAST_MINUTES: f64 = 6.0;
const WALK: f64 = 0.001;
/// Above this share of the variance of what is expected the drift since the source was read last decides: read it again first.
const DRIFT_DOMINATES: f64 = 0.5;

/// One reading weighed.
struct Weighed {
    standing: usize,
    reading: Possible,
    information: f64,
    score: f64,
    expected: Vec<(usize, Option<(f64, f64)>)>,
    drift: f64,
}

/// What to read next. `stood_before` is the `what` of the candidate that stood above 0.95 one reading earlier, if one did.
///
/// The question is which wiring the find has; once that is settled (one candidate above 0.95 twice running, or a single one), the vaguest
/// quantity that limits hang on and a reading within reach teaches. Only dead and low setups are proposed.
pub fn next(
    find: &Find,
    nominal: Nominal,
    candidates: &mut Candidates,
    judged: &Judged,
    stood_before: Option<&str>,
) -> Next {
    let wiring = |answer| Next {
        question: "which wiring".to_owned(),
        answer,
    };
    let Some(best) = candidates.list.first() else {
        return wiring(Answer::NothingToAsk {
            why: "there is no wiring to ask about yet; record how its terminals are joined"
                .to_owned(),
        });
    };
    if find.parts.iter().all(|p| p.kind.wound().is_none()) {
        return wiring(Answer::NothingToAsk {
            why: "no wound part is recorded yet; list parts and their terminals first".to_owned(),
        });
    }
    let probability = best.ranked.probability;
    let twice = probability > SETTLED && stood_before == Some(best.variant.what.as_str());
    let standings = setups(find, candidates);
    if candidates.list.len() == 1 || twice {
        return quantity(find, nominal, candidates, judged, &standings);
    }
    let weighed = wirings(find, nominal, candidates, &standings, Class::Low);
    let best = weighed.iter().map(|w| w.information).fold(0.0, f64::max);
    if best >= LEAST_INFORMATION {
        return wiring(Answer::Proposals(proposals(
            find,
            &standings,
            weighed,
            "which wiring",
        )));
    }
    if probability > SETTLED {
        return quantity(find, nominal, candidates, judged, &standings);
    }
    wiring(undecidable(find, nominal, candidates, &standings))
}

/// Every reading of setups of at most this class, weighed for which wiring: all by a quick look, the best by a close one.
fn wirings(
    find: &Find,
    nominal: Nominal,
    candidates: &mut Candidates,
    standings: &[Standing],
    most: Class,
) -> Vec<Weighed> {
    let chosen: Vec<usize> = (0..candidates.list.len())
        .filter(|i| candidates.list[*i].ranked.probability >= LEAST_CANDIDATE)
        .take(MOST_CANDIDATES)
        .collect();
    let mut asking = Asking {
        find,
        nominal,
        candidates,
        chosen,
    };
    let mut quick = Vec::new();
    for (index, standing) in standings.iter().enumerate() {
        if standing.exposure.class <= most {
            let readings = readings(find, &standing.setup);
            quick.extend(asking.weighed((index, standing), readings, Look::Quick));
        }
    }
    quick.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut best: Vec<(usize, Vec<Possible>)> = Vec::new();
    for weighed in quick.into_iter().take(LOOKED_AT) {
        match best.iter().position(|(s, _)| *s == weighed.standing) {
            Some(at) if best[at].1.len() < MOST_OF_ONE_SETUP => best[at].1.push(weighed.reading),
            None if best.len() < MOST_SETUPS => {
                best.push((weighed.standing, vec![weighed.reading]));
            }
            _ => {}
        }
    }
    let mut close = Vec::new();
    for (index, readings) in best {
        close.extend(asking.weighed((index, &standings[index]), readings, Look::Close));
    }
    close
}

/// The candidates asked.
struct Asking<'a> {
    find: &'a Find,
    nominal: Nominal,
    candidates: &'a mut Candidates,
    chosen: Vec<usize>,
}

impl Asking<'_> {
    fn weighed(
        &mut self,
        (index, standing): (usize, &Standing),
        readings: Vec<Possible>,
        look: Look,
    ) -> Vec<Weighed> {
        let drift = drift(self.find, standing);
        let list = &mut self.candidates.list;
        let weights: Vec<f64> = self
            .chosen
            .iter()
            .map(|i| list[*i].ranked.probability)
            .collect();
        let told: Vec<Vec<Expectation>> = self
            .chosen
            .iter()
            .map(|i| {
                let (setup, new) = (&standing.setup, standing.new);
                let how = (drift, look);
                expectations(&mut list[*i], self.nominal, setup, new, &readings, how)
            })
            .collect();
        let mut weighed = Vec::new();
        for (number, reading) in readings.into_iter().enumerate() {
            let each: Vec<Expectation> = told.iter().map(|t| t[number].clone()).collect();
            if each.iter().filter(|e| !e.components.is_empty()).count() < 2 {
                continue;
            }
            let information = expected(&weights, &each);
            let expected = self
                .chosen
                .iter()
                .copied()
                .zip(each.iter().map(moments))
                .collect();
            weighed.push(Weighed {
                standing: index,
                score: information - cost(self.find, standing, &reading.meter),
                reading,
                information,
                expected,
                drift,
            });
        }
        weighed
    }
}

/// The vaguest quantity a reading within reach teaches; settled if none is left.
fn quantity(
    find: &Find,
    nominal: Nominal,
    candidates: &mut Candidates,
    judged: &Judged,
    standings: &[Standing],
) -> Next {
    let candidate = &mut candidates.list[0];
    let settled = Answer::Settled {
        candidate: 0,
        probability: candidate.ranked.probability,
    };
    if judged.posterior.modes.is_empty() || candidate.ranked.posterior.modes.is_empty() {
        return Next {
            question: "which wiring".to_owned(),
            answer: settled,
        };
    }
    let quantities = vague(candidate);
    let mut all: Vec<(Weighed, Vec<f64>)> = Vec::new();
    for (index, standing) in standings.iter().enumerate() {
        if standing.exposure.class == Class::Live || quantities.is_empty() {
            continue;
        }
        let readings = readings(find, &standing.setup);
        let drift = drift(find, standing);
        let told = told(candidate, nominal, standing, &readings, &quantities, drift);
        let rows = told.information.into_iter().zip(told.expected);
        for (reading, (information, expected)) in readings.into_iter().zip(rows) {
            // A beep teaches no quantity.
            if expected.is_none() || reading.meter.measured == Measured::Continuity {
                continue;
            }
            let weighed = Weighed {
                standing: index,
                score: -cost(find, standing, &reading.meter),
                reading,
                information: 0.0,
                expected: vec![(0, expected)],
                drift,
            };
            all.push((weighed, information));
        }
    }
    for (number, Vague { name, .. }) in quantities.iter().enumerate() {
        let most = all.iter().map(|(_, i)| i[number]).fold(0.0, f64::max);
        if most < LEAST_INFORMATION {
            continue;
        }
        let weighed = all
            .into_iter()
            .map(|(w, i)| Weighed {
                information: i[number],
                score: w.score + i[number],
                ..w
            })
            .collect();
        let question = format!("the {name}");
        let answer = Answer::Proposals(proposals(find, standings, weighed, &question));
        return Next { question, answer };
    }
    Next {
        question: "which wiring".to_owned(),
        answer: settled,
    }
}

/// Everything that can be read in a setup with the find's instruments.
fn readings(find: &Find, setup: &Setup) -> Vec<Possible> {
    let mut list = Vec::new();
    let ohms = meter(find, Measured::Resistance).is_some();
    for &measured in places::kinds(setup) {
        // Where ohms can be read a beep tells nothing more.
        let Some(meter) =
            meter(find, measured).filter(|_| measured != Measured::Continuity || !ohms)
        else {
            continue;
        };
        let places = match measured {
            Measured::AcCurrent => places::currents(find, setup, meter.clamp),
            Measured::Power => places::powers(setup),
            _ => places::pairs(find, setup),
        };
        list.extend(places.into_iter().map(|place| Possible {
            place,
            meter: meter.clone(),
        }));
    }
    list
}

fn cost(find: &Find, standing: &Standing, meter: &Meter) -> f64 {
    let last = find.readings.last().map(|r| r.setup);
    let setup = if standing.new {
        REBUILD
    } else if last == Some(standing.setup.number) {
        0.0
    } else {
        RETURN
    };
    let in_line = meter.measured == Measured::AcCurrent && !meter.clamp;
    setup + if in_line { IN_LINE } else { 0.0 }
}

/// The best readings as proposals, best first; the source first where its drift dominates.
fn proposals(
    find: &Find,
    standings: &[Standing],
    mut weighed: Vec<Weighed>,
    question: &str,
) -> Vec<Proposal> {
    weighed.retain(|w| {
        w.information >= LEAST_INFORMATION && standings[w.standing].exposure.class != Class::Live
    });
    weighed.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut list = Vec::new();
    if let Some(best) = weighed.first() {
        list.extend(source_first(find, &standings[best.standing], best));
    }
    let mut of_setup = vec![0usize; standings.len()];
    for weighed in weighed {
        let standing = &standings[weighed.standing];
        of_setup[weighed.standing] += 1;
        if of_setup[weighed.standing] > SHOWN_OF_ONE_SETUP {
            continue;
        }
        list.push(Proposal {
            setup: standing.setup.clone(),
            new_setup: standing.new,
            why: why(standing, &weighed, question),
            place: weighed.reading.place,
            measured: weighed.reading.meter.measured,
            instrument: weighed.reading.meter.instrument,
            exposure: standing.exposure.clone(),
            information: weighed.information,
            expected: weighed.expected,
        });
    }
    list.truncate(MOST_PROPOSALS);
    list
}

fn why(standing: &Standing, weighed: &Weighed, question: &str) -> String {
    let share = |value: f64| (value * 100.0).round() / 100.0;
    let mut apart: Vec<String> = weighed
        .expected
        .iter()
        .filter_map(|(_, e)| *e)
        .map(|(value, _)| {
            let unit = weighed.reading.meter.measured.unit();
            unit.map_or_else(|| share(value).to_string(), |u| quantity::show(value, u, 3))
        })
        .collect();
    apart.dedup();
    let expects = if apart.len() > 1 {
        format!("the candidates expect {}", apart.join(", "))
    } else {
        "it narrows the answer most".to_owned()
    };
    let again = if standing.new && !standing.setup.feeds.is_empty() {
        "; read the source in the same minute"
    } else {
        ""
    };
    format!(
        "tells {} nat about {question}: {expects}{again}",
        share(weighed.information)
    )
}

/// Reading the source again, where its drift since it was read last makes most of the doubt.
fn source_first(find: &Find, standing: &Standing, best: &Weighed) -> Option<Proposal> {
    let place = places::supply(&standing.setup)?;
    if place == best.reading.place || best.drift <= 0.0 {
        return None;
    }
    let (value, sigma) = best.expected.iter().find_map(|(_, e)| *e)?;
    if (best.drift * value / sigma).powi(2) < DRIFT_DOMINATES {
        return None;
    }
    let meter = meter(find, Measured::AcVoltage)?;
    Some(Proposal {
        setup: standing.setup.clone(),
        new_setup: standing.new,
        place,
        measured: Measured::AcVoltage,
        instrument: meter.instrument,
        exposure: standing.exposure.clone(),
        information: best.information,
        expected: Vec::new(),
        why: "read the source again first: what it may have drifted since makes most of the doubt"
            .to_owned(),
    })
}

/// How far a setup's source may have moved since it was read last, as a share: by the time of the last reading of all. 0 where it is
/// regulated, dead, new, or the times are not known.
fn drift(find: &Find, standing: &Standing) -> f64 {
    let setup = &standing.setup;
    let source = setup
        .feeds
        .first()
        .and_then(|f| f.source.as_ref())
        .and_then(|name| find.kit.sources.iter().find(|s| s.name == *name));
    let regulated = source.is_some_and(|s| s.steadiness == Steadiness::Regulated);
    if standing.new || setup.feeds.is_empty() || regulated {
        return 0.0;
    }
    let minutes = |r: &gear::Reading| r.at.as_ref().map(gear::Moment::minutes);
    let now = find.readings.iter().rev().find_map(minutes);
    let supplied = |r: &&gear::Reading| {
        r.setup == setup.number && r.measured == Measured::AcVoltage && is_supply(setup, &r.place)
    };
    let then = find
        .readings
        .iter()
        .rev()
        .filter(supplied)
        .find_map(minutes);
    match (now, then) {
        (Some(now), Some(then)) => {
            let apart = (now - then).abs();
            let fast = 2.0 * FAST * FAST * (1.0 - (-apart / FAST_MINUTES).exp());
            (fast + WALK * WALK * apart).sqrt()
        }
        _ => 0.0,
    }
}

fn is_supply(setup: &Setup, place: &Place) -> bool {
    let fed = |t: &gear::TerminalRef| {
        let mut feeds = setup.feeds.iter();
        feeds.any(|f| f.to.contains(t) || f.neutral.as_ref() == Some(t))
    };
    matches!(place, Place::Between(a, b) if fed(a) && fed(b))
}

/// Which candidates cannot be told apart, and what would.
fn undecidable(
    find: &Find,
    nominal: Nominal,
    candidates: &mut Candidates,
    standings: &[Standing],
) -> Answer {
    let between: Vec<usize> = (0..candidates.list.len())
        .filter(|i| candidates.list[*i].ranked.probability >= LEAST_CANDIDATE)
        .take(MOST_CANDIDATES)
        .collect();
    let names: Vec<String> = between
        .iter()
        .map(|i| format!("\"{}\"", candidates.list[*i].variant.what))
        .collect();
    let live: Vec<Standing> = standings
        .iter()
        .filter(|s| s.exposure.class == Class::Live)
        .cloned()
        .collect();
    let weighed = wirings(find, nominal, candidates, &live, Class::Live);
    let would = weighed
        .iter()
        .filter(|w| w.information >= LEAST_INFORMATION)
        .max_by(|a, b| a.information.total_cmp(&b.information));
    let isolated = find
        .kit
        .sources
        .iter()
        .any(|s| s.isolated == Some(true) && !s.direct);
    let would = match would {
        Some(w) => format!(
            "{} {} in setup {} would, but that setup is live: it is not proposed",
            w.reading.meter.measured.word(),
            w.reading.place,
            live[w.standing].setup.number
        ),
        None if !isolated => {
            "an isolated source of a few volts in the kit would open more setups".to_owned()
        }
        None if find.instruments.is_empty() || meter(find, Measured::AcCurrent).is_none() => {
            "a clamp meter, or a meter with finer ranges, might".to_owned()
        }
        None => "looking at the leads themselves would".to_owned(),
    };
    Answer::Undecidable {
        between,
        why: format!(
            "nothing within reach that is dead or low tells {} apart; {would}",
            names.join(" and ")
        ),
    }
}
