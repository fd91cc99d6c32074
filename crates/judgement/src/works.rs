//! How it works, in plain sentences with this find's figures.
//!
//! Reads what the network found ([`Working`]) and what the joins say; reckons nothing that a solution does not hold but the
//! textbook formula it is compared with. Pure and cheap: it is asked again at every move of a slider. One module a kind of gear;
//! `seen` holds what all of them ask of a solution.

use gear::{Find, PartKind};
use network::{Model, Solution};

mod known;
mod seen;
mod stabilizer;
mod transformer;
mod variable;

use seen::Seen;

/// Most sentences that are said at once.
const MOST: usize = 10;

/// A solved find: the model, the values it was solved for, and what came out.
#[derive(Debug, Clone, Copy)]
pub struct Working<'a> {
    /// The find in its setup as a circuit.
    pub model: &'a Model,
    /// The values of the circuit, in the order of [`Model::meanings`].
    pub values: &'a [f64],
    /// The solution for them.
    pub solution: &'a Solution,
}

/// How a find works, at most ten sentences. Without a solution: what can be told from the joins and the plates of the parts.
/// Empty for a find without parts.
pub fn sentences(find: &Find, working: Option<Working<'_>>) -> Vec<String> {
    let stages = wiring::stages(find);
    let Some(working) = working else {
        return known::sentences(find, &stages);
    };
    let seen = Seen::new(find, working);
    let mut said = if stages.is_empty() {
        lone(&seen)
    } else {
        stabilizer::sentences(&seen, &stages)
    };
    if said.is_empty() {
        said = known::sentences(find, &stages);
    }
    let knee = seen.beyond_knee();
    said.truncate(MOST - usize::from(knee.is_some()));
    said.extend(knee);
    said
}

/// A find that is no stabilizer: its variable autotransformer, else its transformer.
fn lone(seen: &Seen<'_>) -> Vec<String> {
    let first = |wanted: fn(&PartKind) -> bool| seen.find.parts.iter().find(|p| wanted(&p.kind));
    if let Some(part) = first(|k| matches!(k, PartKind::VariableAutotransformer(_))) {
        return variable::sentences(seen, part);
    }
    first(|k| matches!(k, PartKind::Transformer(_)))
        .map_or_else(Vec::new, |part| transformer::sentences(seen, part))
}

#[cfg(test)]
mod tests;
