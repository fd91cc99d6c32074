//! Which wiring, what to repeat, what to read next, and unmarked parts, in plain text.

use super::push_wrapped;
use crate::next::without_class;
use crate::words::probability;
use judgement::{Caution, Judgement};

/// Which wiring, ranked; empty where nothing was ranked.
pub fn which_wiring(judgement: &Judgement) -> String {
    let Some(said) = &judgement.candidates else {
        return String::new();
    };
    let mut out = "WHICH WIRING\n".to_owned();
    push_wrapped(&mut out, "", &said.summary);
    if said.ranked.len() > 1 {
        for candidate in &said.ranked {
            let lead = format!(
                "{:>6}  ",
                probability(candidate.probability).replace('\u{a0}', " ")
            );
            push_wrapped(&mut out, &lead, &candidate.words);
            if let Some(against) = &candidate.against {
                push_wrapped(&mut out, "        against it: ", against);
            }
            if let (Some(look), true) = (&candidate.look_at, candidate.probability >= 0.05) {
                push_wrapped(&mut out, "        to know: ", look);
            }
        }
    }
    out
}

/// Which reading to repeat first; empty where none is worth it.
pub fn repeat_first(judgement: &Judgement) -> String {
    let mut out = String::new();
    if let Some(repeat) = &judgement.repeat_first {
        let line = format!("Repeat reading {} first. {}", repeat.number, repeat.why);
        push_wrapped(&mut out, "", &line);
    }
    out
}

/// The next reading; empty where there is nothing to say of it.
pub fn next_reading(judgement: &Judgement) -> String {
    let Some(said) = &judgement.next else {
        return String::new();
    };
    let mut out = format!("NEXT READING: {}\n", said.question);
    push_wrapped(&mut out, "", &said.summary);
    for (number, proposal) in said.proposals.iter().enumerate() {
        let with = if proposal.instrument.is_empty() {
            String::new()
        } else {
            format!(", with {}", proposal.instrument)
        };
        let setup = if proposal.new_setup {
            "a new setup".to_owned()
        } else {
            format!("setup {}", proposal.setup)
        };
        let line = format!(
            "{}, {}{with}; {setup}: {}.",
            proposal.place, proposal.measured, proposal.setup_words
        );
        out.push('\n');
        push_wrapped(&mut out, &format!("{:>2}. ", number + 1), &line);
        let class = format!(
            "{}: {}",
            proposal.class,
            without_class(proposal.class, &proposal.class_why)
        );
        push_wrapped(&mut out, "    ", &class);
        push_wrapped(&mut out, "    ", &proposal.why);
        if number == 0 {
            push_step_cautions(&mut out, proposal.cautions.iter());
        }
        for one in &proposal.expected {
            push_wrapped(
                &mut out,
                "    expected: ",
                &format!("{} if {}", one.value, one.words),
            );
        }
    }
    out
}

/// Unmarked parts, sorted as far as their readings go; empty where there are none.
pub fn tracing(judgement: &Judgement) -> String {
    let mut out = String::new();
    for part in &judgement.tracing {
        out.push_str(&format!("TRACING {}\n", part.part));
        push_wrapped(&mut out, "", &part.summary);
        for (name, row) in part.windings.iter().chain(&part.phases) {
            push_wrapped(&mut out, &format!("  {name:<11} "), row);
        }
        if !part.unplaced.is_empty() {
            push_wrapped(&mut out, "  not placed yet: ", &part.unplaced.join(", "));
        }
        for words in part.contradictions.iter().chain(&part.remarks) {
            push_wrapped(&mut out, "- ", words);
        }
        if let Some(test) = &part.next {
            push_wrapped(&mut out, "Next test: ", &format!("{}.", test.what));
            let setup = if test.set_up.is_some() {
                "a new setup"
            } else {
                "setup"
            };
            let number = test.setup;
            push_wrapped(
                &mut out,
                "    ",
                &format!("{setup} {number}: {}.", test.setup_words),
            );
            let why = without_class(test.class, &test.class_why);
            push_wrapped(&mut out, "    ", &format!("{}: {why}", test.class));
            push_wrapped(&mut out, "    ", &test.why);
            for caution in &test.cautions {
                push_wrapped(&mut out, "  ! ", caution);
            }
        }
    }
    out
}

fn push_step_cautions<'a>(out: &mut String, cautions: impl Iterator<Item = &'a Caution>) {
    for caution in cautions {
        let said = format!("{}. {}", caution.danger.word(), caution.words);
        push_wrapped(out, "  ! ", &said);
    }
}
