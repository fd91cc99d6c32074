//! What a photo may be of: the find itself and every noun of it a camera can be held at, each with its word in a form.

use book::{Noun, PhotoOf};
use gear::Find;
use maud::{Markup, html};

use crate::places;

/// Something a photo may be of.
pub(crate) struct Subject {
    /// The list it stands in.
    group: &'static str,
    /// The noun.
    pub(crate) noun: Noun,
    /// How the list calls it.
    label: String,
}

/// Everything of a find a photo may be of, in the order of the lists.
pub(crate) fn all(find: &Find) -> Vec<Subject> {
    let mut list = vec![
        subject("The find", Noun::Find, "the whole find".to_owned()),
        subject("The find", Noun::Plate, "the plate".to_owned()),
    ];
    for part in &find.parts {
        let name = part.name.as_deref().unwrap_or(part.kind.word());
        let noun = Noun::Part(part.designation.to_string());
        list.push(subject(
            "Parts",
            noun,
            format!("part {}, {name}", part.designation),
        ));
    }
    for lead in &find.leads {
        let noun = Noun::Lead(lead.designation.to_string());
        let colour =
            (lead.colour.as_ref()).map_or_else(String::new, |colour| format!(", {colour}"));
        list.push(subject(
            "Leads",
            noun,
            format!("lead {}{colour}", lead.designation),
        ));
    }
    for damage in &find.damage {
        let noun = Noun::Damage {
            part: damage.part.to_string(),
            what: damage.what.clone(),
        };
        let label = noun.to_string();
        list.push(subject("Damage", noun, label));
    }
    for setup in &find.setups {
        let words = judgement::setup_words(setup);
        let noun = Noun::Setup(setup.number);
        list.push(subject(
            "Setups",
            noun,
            format!("setup {}, {words}", setup.number),
        ));
    }
    for reading in &find.readings {
        let noun = Noun::Reading(reading.number);
        list.push(subject(
            "Readings",
            noun,
            format!("reading {}, {}", reading.number, reading.place),
        ));
    }
    let terminals = places::rows(find).into_iter().flat_map(|r| r.terminals);
    list.extend(terminals.map(|t| {
        let label = format!("terminal {t}");
        subject("Terminals", Noun::Terminal(t), label)
    }));
    list
}

fn subject(group: &'static str, noun: Noun, label: String) -> Subject {
    Subject { group, noun, label }
}

/// The word a form has for a noun.
pub(crate) fn word(noun: &Noun) -> String {
    noun.to_string()
}

/// The noun behind a form's word: one of the find's, or one the photo was said to be of before.
/// # Errors
/// In words, where there is none such.
pub(crate) fn read(word: &str, find: &Find, before: Option<&PhotoOf>) -> Result<Noun, String> {
    let of_find = all(find).into_iter().map(|subject| subject.noun);
    let known = before.into_iter().flat_map(PhotoOf::nouns).cloned();
    let mut nouns = of_find.chain(known);
    nouns
        .find(|noun| noun.to_string() == word)
        .ok_or_else(|| format!("this find has no `{word}`; choose from the list"))
}

/// The list to choose from, one of it chosen; what is no longer there stays in it as long as it is chosen.
pub(crate) fn options(subjects: &[Subject], chosen: &str) -> Markup {
    let known = subjects.iter().any(|s| word(&s.noun) == chosen);
    html! {
        option value="" { "not said" }
        @if !known && !chosen.is_empty() { option value=(chosen) selected { (chosen) ", no longer there" } }
        @for group in subjects.chunk_by(|a, b| a.group == b.group) {
            optgroup label=[group.first().map(|s| s.group)] {
                @for one in group { @let value = word(&one.noun); option value=(value) selected[value == chosen] { (one.label) } }
            }
        }
    }
}

/// What a photo is of, in words: "part T1, lead W3"; empty where nobody said.
pub(crate) fn words(photo: &PhotoOf) -> String {
    let names: Vec<String> = photo.of.iter().map(ToString::to_string).collect();
    names.join(", ")
}

/// The word of the section a noun belongs to.
pub(crate) fn section(noun: &Noun) -> &'static str {
    match noun {
        Noun::Find | Noun::Plate => "plate",
        Noun::Part(_)
        | Noun::Gang(_)
        | Noun::Terminal(_)
        | Noun::Lead(_)
        | Noun::Join(_)
        | Noun::Damage { .. } => "wiring",
        Noun::Source(_)
        | Noun::Limiter(_)
        | Noun::Load(_)
        | Noun::Protection(_)
        | Noun::Instrument(_)
        | Noun::Setup(_)
        | Noun::Reading(_) => "readings",
        Noun::Note(_) | Noun::Photo(_) | Noun::Tags => "record",
    }
}
