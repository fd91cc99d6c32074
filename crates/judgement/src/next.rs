//! The next reading, in words.

use crate::candidates::expectation;
use crate::said::{NextSaid, ProposalSaid};
use crate::setups::setup_words;
use ask::{Answer, Next, Proposal};
use evidence::model::Candidates;
use quantity::Decimal;

/// What to read next, said.
pub(crate) fn said(next: &Next, candidates: &Candidates, decimal: Decimal) -> NextSaid {
    let (summary, proposals) = match &next.answer {
        Answer::Proposals(proposals) => (
            format!("This reading tells most about {}.", next.question),
            proposals
                .iter()
                .map(|p| proposal(p, candidates, decimal))
                .collect(),
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

fn proposal(proposal: &Proposal, candidates: &Candidates, decimal: Decimal) -> ProposalSaid {
    let expected = proposal.expected.iter().map(|(candidate, value)| {
        let value = match value {
            Some((value, u)) => expectation(proposal.measured, *value, *u, decimal),
            None => "nothing that proves anything".to_owned(),
        };
        (words(candidates, *candidate), value)
    });
    let setup = &proposal.setup;
    let fed = setup.feeds.first().filter(|_| proposal.new_setup);
    let fed = fed.map(|feed| {
        let to = feed.to.iter().map(ToString::to_string).collect();
        let volts = feed.volts.as_ref().map_or("", |v| v.text());
        (
            to,
            volts.to_owned(),
            feed.source.clone().unwrap_or_default(),
        )
    });
    ProposalSaid {
        fed,
        links: proposal.new_setup
            && !(setup.joined.is_empty() && setup.lifted.is_empty() && setup.switches.is_empty()),
        setup: proposal.setup.number,
        new_setup: proposal.new_setup,
        setup_words: setup_words(&proposal.setup),
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
        why: sentence(&proposal.why),
        expected: expected.collect(),
    }
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
