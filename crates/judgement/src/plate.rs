//! Reads a rating plate and says what it implies, what on it does not go together, and what it warns of.
//!
//! [`read`] makes a plate of a typed line or lines; [`judge`] says all that follows from a plate; [`cautions`] what it warns of;
//! [`text()`] puts both into lines for people. No figure is invented: what is guessed says so and why, and every deduction carries
//! both ends of what the plate's rounding and illegible digits allow. What needs parts or readings is not here.

mod cautions;
mod contradictions;
mod facts;
mod figure;
mod frequency;
mod labels;
mod rated;
mod reader;
mod stabilizer;
mod starting;
#[cfg(test)]
mod tests;
mod text;
mod transformer;
mod unlocks;

use crate::said::PlateSaid;
use facts::Facts;
use gear::Plate;
use quantity::{Quantity, Reach};

pub use cautions::cautions;
pub use starting::started;
pub use text::text;

/// Makes a plate of the text typed off it: one line or many, illegible digits as `?`. Words that are not understood stay in
/// the plate's text, and [`judge`] names them.
pub fn read(text: &str) -> Plate {
    let scanned = reader::scan(text);
    Plate {
        text: Some(text.to_owned()),
        fields: scanned.fields,
        phases: scanned.phases,
        marks: scanned.marks,
    }
}

/// Everything a plate says and implies. `arrangement` is the key of a named arrangement (`stabilizer-centre-tap`) where the
/// owner knows it; without one the kind of gear is guessed from the plate, and the guess stands among the fields.
///
/// Rated figures are taken as written; `low` and `high` of each deduction are what half a unit of each last digit and every
/// illegible digit allow. Losses are not counted.
pub fn judge(plate: &Plate, arrangement: Option<&str>) -> PlateSaid {
    let facts = Facts::of(plate, arrangement);
    let mut deductions = Vec::new();
    let rated = rated::reckon(&facts, &mut deductions);
    contradictions::narrowed(&facts, &mut deductions);
    contradictions::explained(&facts, &rated, &mut deductions);
    stabilizer::reckon(&facts, &rated, &mut deductions);
    transformer::reckon(&facts, &rated, &mut deductions);
    frequency::reckon(&facts, &mut deductions);
    PlateSaid {
        fields: fields(&facts),
        contradictions: contradictions::find(&facts, &rated),
        unlocks: unlocks::find(&facts, &rated),
        not_understood: facts.scanned.not_understood,
        deductions,
    }
}

/// The plate with the fields that its own text gives beside those given one by one.
pub fn completed(plate: &Plate) -> Plate {
    let scanned = facts::merged(plate);
    Plate {
        text: plate.text.clone(),
        fields: scanned.fields,
        phases: scanned.phases,
        marks: scanned.marks,
    }
}

/// The plate in a few words, `30 kVA, 400 V ±20 %`; empty when it gives neither power nor voltage.
pub fn summary(plate: &Plate) -> String {
    let facts = Facts::of(plate, None);
    let power = facts
        .power
        .as_ref()
        .or(facts.active.as_ref())
        .map(figure::Figure::words);
    let range = facts
        .correction
        .as_ref()
        .map(|(.., text)| format!(" {text}"))
        .unwrap_or_default();
    let volts = match (&facts.primary, &facts.volts) {
        (Some(primary), Some(volts)) if primary != volts => {
            Some(format!("{} to {}", primary.words(), volts.words()))
        }
        (_, Some(volts)) => Some(format!("{}{range}", volts.words())),
        _ => None,
    };
    [power, volts]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

/// Fields as read, with what an illegible figure means.
fn fields(facts: &Facts) -> Vec<(String, String, Option<String>)> {
    let mut rows: Vec<(String, String, Option<String>)> = Vec::new();
    if let (Some(phases), None) = (facts.phases, &facts.phases_guess) {
        rows.push(("phases".into(), phases.to_string(), None));
    }
    let mut figures: Vec<_> = facts.scanned.fields.iter().collect();
    figures.sort_by_key(|(field, _)| *field);
    rows.extend(figures.into_iter().map(|(field, quantity)| {
        (
            field.word().to_owned(),
            quantity.text().trim().to_owned(),
            means(quantity),
        )
    }));
    rows.extend(
        facts
            .scanned
            .marks
            .iter()
            .map(|mark| ("mark".to_owned(), mark.clone(), None)),
    );
    if !facts.gear_why.is_empty() {
        let kind = match facts.gear {
            facts::Gear::Stabilizer(_) => "stabilizer",
            facts::Gear::Transformer => "transformer",
            facts::Gear::Variable => "variable autotransformer",
            facts::Gear::Unknown => "not known",
        };
        rows.push(("kind".into(), kind.into(), Some(facts.gear_why.clone())));
    }
    rows
}

/// What a figure with illegible digits may be.
fn means(quantity: &Quantity) -> Option<String> {
    match quantity.reach() {
        Reach::Illegible { low, high } => {
            let ends =
                figure::Figure::between(low, (low + high) / 2.0, high, true, quantity.unit());
            Some(ends.words().replace('\u{a0}', " "))
        }
        _ => None,
    }
}
