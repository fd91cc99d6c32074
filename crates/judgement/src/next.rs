//! The next reading, in words.

use crate::candidates::expectation;
use crate::cautions;
use crate::said::{Caution, Danger, ExpectedSaid, FedSaid, NewSetup, NextSaid, ProposalSaid};
use crate::setups::setup_words;
use ask::{Answer, Next, Proposal};
use evidence::model::Candidates;
use gear::{Find, Measured, Setup, TerminalRef};
use hazard::Class;
use quantity::Decimal;

/// The question about the wiring, as it is asked.
const WHICH_WIRING: &str = "which wiring";

/// What the words of a proposal hang on.
struct Asked<'a> {
    find: &'a Find,
    question: &'a str,
    candidates: &'a Candidates,
    decimal: Decimal,
}

/// What to read next, said.
pub(crate) fn said(
    find: &Find,
    next: &Next,
    candidates: &Candidates,
    decimal: Decimal,
) -> NextSaid {
    let asked = Asked {
        find,
        question: &next.question,
        candidates,
        decimal,
    };
    let (summary, proposals) = match &next.answer {
        Answer::Proposals(proposals) => (
            format!("This reading tells most about {}.", next.question),
            proposals.iter().map(|p| proposal(&asked, p)).collect(),
        ),
        Answer::Settled {
            candidate,
            probability,
        } => (
            format!(
                "Settled: {} ({}). Nothing within reach would tell more that limits hang on.",
                words(candidates, *candidate),
                if *probability > 0.99 {
                    "> 0.99".to_owned()
                } else {
                    format!("{probability:.2}")
                }
            ),
            Vec::new(),
        ),
        Answer::Undecidable { between, why } => {
            let all: Vec<String> = between.iter().map(|c| words(candidates, *c)).collect();
            (
                format!(
                    "These cannot be told apart with what you can reach: {}. {}",
                    all.join("; "),
                    sentence(why)
                ),
                Vec::new(),
            )
        }
        Answer::NothingToAsk { why } => (sentence(why), Vec::new()),
    };
    NextSaid {
        question: next.question.clone(),
        summary,
        proposals,
    }
}

fn words(candidates: &Candidates, index: usize) -> String {
    candidates
        .list
        .get(index)
        .map_or_else(String::new, |c| c.variant.what.clone())
}

fn proposal(asked: &Asked, proposal: &Proposal) -> ProposalSaid {
    let expected = proposal.expected.iter().filter_map(|(candidate, value)| {
        let named = asked.candidates.list.get(*candidate)?;
        Some(ExpectedSaid {
            words: named.variant.what.clone(),
            probability: named.ranked.probability,
            value: match value {
                Some((value, u)) => expectation(proposal.measured, *value, *u, asked.decimal),
                None => "nothing that proves anything".to_owned(),
            },
        })
    });
    ProposalSaid {
        setup: proposal.setup.number,
        new_setup: proposal.new_setup,
        setup_words: setup_words(&proposal.setup),
        set_up: proposal.new_setup.then(|| set_up(&proposal.setup)),
        place: proposal.place.to_string(),
        terminals: proposal
            .place
            .terminals()
            .iter()
            .map(ToString::to_string)
            .collect(),
        measured: proposal.measured.word().to_owned(),
        instrument: proposal
            .instrument
            .as_ref()
            .map_or_else(String::new, ToString::to_string),
        class: proposal.exposure.class.word(),
        class_why: sentence(&proposal.exposure.why),
        why: why(asked, proposal),
        information: proposal.information,
        expected: expected.collect(),
        cautions: at_the_step(asked.find, proposal),
    }
}

/// What it tells in plain words, then what the reason says beyond that.
fn why(asked: &Asked, proposal: &Proposal) -> String {
    let Some((_, beyond)) = proposal
        .why
        .split_once(": ")
        .filter(|(head, _)| head.starts_with("tells "))
    else {
        return sentence(&proposal.why);
    };
    let told = if asked.question == WHICH_WIRING {
        let open = entropy(asked.candidates);
        let share = if open > 0.0 {
            (100.0 * proposal.information / open).min(100.0)
        } else {
            0.0
        };
        format!("tells about {share:.0} % of what is open about the wiring")
    } else {
        let left = 100.0 * (-proposal.information).exp();
        format!(
            "leaves about {left:.0} % of the doubt about {}",
            asked.question
        )
    };
    sentence(&format!("{told}: {beyond}"))
}

/// What is open about the wiring, nats.
fn entropy(candidates: &Candidates) -> f64 {
    let all = candidates.list.iter().map(|c| c.ranked.probability);
    all.filter(|p| *p > 0.0).map(|p| -p * p.ln()).sum()
}

/// A setup piece by piece.
pub(crate) fn set_up(setup: &Setup) -> NewSetup {
    let names = |terminals: &[TerminalRef]| -> Vec<String> {
        terminals.iter().map(ToString::to_string).collect()
    };
    let switches = |closed: bool| {
        let wanted = setup.switches.iter().filter(|s| s.closed == closed);
        wanted.map(|s| s.part.to_string()).collect()
    };
    NewSetup {
        fed: setup.feeds.first().map(|feed| FedSaid {
            to: names(&feed.to),
            neutral: feed.neutral.as_ref().map(ToString::to_string),
            volts: feed
                .volts
                .as_ref()
                .map_or_else(String::new, |v| v.text().to_owned()),
            source: feed.source.clone().unwrap_or_default(),
        }),
        sliders: setup
            .sliders
            .iter()
            .map(|s| (s.slider.clone(), s.at.text().to_owned()))
            .collect(),
        joined: setup.joined.iter().map(|j| names(j)).collect(),
        lifted: names(&setup.lifted),
        open: switches(false),
        closed: switches(true),
    }
}

/// The cautions that belong to taking one reading; the gravest first.
fn at_the_step(find: &Find, proposal: &Proposal) -> Vec<Caution> {
    let mut said = Vec::new();
    let mut say = |danger: Danger, words: String| {
        said.push(Caution {
            section: "Readings",
            danger,
            words,
        });
    };
    let capacitors = cautions::capacitors(find);
    if !capacitors.is_empty() {
        say(
            Danger::StoredCharge,
            format!(
                "Discharge {capacitors} through a resistor, measure, wait, and measure again before a clip goes on."
            ),
        );
    }
    let source = proposal
        .setup
        .feeds
        .iter()
        .find_map(|f| f.source.as_deref());
    if proposal.exposure.class == Class::Dead {
        say(
            Danger::Mains,
            "Dead: plug in sight, guarded against switching on, proved dead with a two-pole tester that is itself proved before and after. Local codes and licensed practice come first.".to_owned(),
        );
    } else {
        let from = source.unwrap_or("a source marked as isolated");
        say(
            Danger::Mains,
            format!(
                "Low, fed from {from} and nothing else: clip everything on while dead, start at nought and turn up, touch nothing while it is on, switch off before a clip is moved. Local codes and licensed practice come first."
            ),
        );
    }
    let ohms = matches!(
        proposal.measured,
        Measured::Resistance | Measured::DcVoltage | Measured::DcCurrent
    );
    if ohms {
        say(
            Danger::DirectCurrent,
            "Direct current through a winding, an ohmmeter's too, kicks when it stops: wait until the value settles, hold the clips by their insulation.".to_owned(),
        );
    }
    said
}

/// A clause as a sentence: a capital first, a full stop last.
pub(crate) fn sentence(clause: &str) -> String {
    let mut letters = clause.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let stop = if clause.ends_with(['.', '?']) {
        ""
    } else {
        "."
    };
    format!("{}{}{stop}", first.to_uppercase(), letters.as_str())
}
