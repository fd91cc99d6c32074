//! The one form that adds a reading, and the marks an owner may put on one: struck with a reason, kept as read.
//!
//! Nothing is written that was not typed: a figure gets at most the unit of its place behind it.

use gear::{
    Designation, Find, Instrument, InstrumentClass, Measured, Moment, Place, Reading, Setup,
};
use maud::{Markup, html};
use quantity::{Quantity, Reach, Unit};

use crate::added::Added;
use crate::frame::{self, Line};
use crate::opened::Opened;
use crate::setup_form;
use crate::submitted::{Errors, Submitted};

/// Value of the setup choice that makes a new one.
const NEW_SETUP: &str = "new";
/// Longer texts are no remark.
const LONGEST_TEXT: usize = 2000;

/// The form, filled with what came.
pub(crate) fn show(slug: &str, find: &Find, came: &Submitted, errors: &Errors) -> Markup {
    let setup = came.given("setup").map_or_else(
        || {
            find.setups
                .last()
                .map_or(NEW_SETUP.to_owned(), |s| s.number.to_string())
        },
        str::to_owned,
    );
    let instrument = came
        .given("instrument")
        .map_or_else(|| usual_instrument(find), str::to_owned);
    html! {
        form #add.add method="post" action={ "/find/" (slug) "/reading" } novalidate {
            h2 { "Add a reading" }
            @if !errors.is_empty() {
                p.wrong.summary role="alert" { "Not recorded yet: " @for (n, (_, message)) in errors.all().enumerate() { @if n > 0 { "; " } (message) } "." }
            }
            div.grid {
                div.whole { (frame::choice("add", "setup", "setup", &setup_options(find), &setup, errors.of("setup"))) }
                (setup_form::fields(find, came, errors))
                (setup_form::terminal_choice(find, "from", "from", came, errors))
                (setup_form::terminal_choice(find, "to", "to", came, errors))
                (Line { name: "shown", label: "read", hint: "digits as shown: 23,8 V, 0.11 A, 1.52 Ω, OL, beep, no beep", default: "", required: true }.show("add", came, errors))
                (frame::choice("add", "instrument", "with", &instrument_options(find), &instrument, errors.of("instrument")))
            }
            p.hint { "Volts, ohms and continuity between two terminals; for amperes, from where the current flows into the find, and no second terminal." span.with-script { " Or choose the two terminals on the drawing." } }
            details {
                summary { "time, words, what was measured" }
                div.grid {
                    (Line { name: "at", label: "at", hint: "empty for now; 14:05 or 2026-10-14 14:05", default: "", required: false }.show("add", came, errors))
                    (Line { name: "what", label: "the place in words", hint: "booster secondary", default: "", required: false }.show("add", came, errors))
                    (frame::choice("add", "measured", "measured", &measured_options(), came.get("measured"), errors.of("measured")))
                    (Line { name: "note", label: "remark", hint: "", default: "", required: false }.show("add", came, errors))
                }
            }
            p.acts { button.inked type="submit" { "Record the reading" } }
        }
    }
}

/// Takes a filled form: the reading with what it needs beside it, or what is wrong with which field.
pub(crate) fn take(opened: &Opened, came: &Submitted) -> Result<Added, Errors> {
    let mut errors = Errors::default();
    let Ok(find) = &opened.find else {
        errors.add("setup", "the sheet has faults; mend it first");
        return Err(errors);
    };
    let now = crate::clock::now();
    let mut added = Added::default();
    let setup = take_setup(find, came, &now, &mut added, &mut errors);
    let instrument = take_instrument(find, came, &mut added, &mut errors);
    let reading = take_reading(find, came, &now, setup.as_ref(), instrument, &mut errors);
    let (Some(reading), true) = (reading, errors.is_empty()) else {
        return Err(errors);
    };
    added.reading = Some(reading);
    Ok(added)
}

/// The sheet's text with a reading struck for the reason that came.
/// # Errors
/// What is missing, in words.
pub(crate) fn strike(opened: &Opened, came: &Submitted) -> Result<String, String> {
    let reason = came
        .given("reason")
        .ok_or("say why it is struck: whoever reads it later wants to know")?;
    if reason.len() > LONGEST_TEXT {
        return Err(format!("a reason is at most {LONGEST_TEXT} letters"));
    }
    sheet::set_struck(opened.text(), number(came)?, reason).map_err(in_words)
}

/// The sheet's text with a reading kept as read.
/// # Errors
/// What is wrong, in words.
pub(crate) fn keep(opened: &Opened, came: &Submitted) -> Result<String, String> {
    sheet::set_kept(opened.text(), number(came)?, true).map_err(in_words)
}

fn number(came: &Submitted) -> Result<u32, String> {
    came.get("number")
        .parse()
        .map_err(|_| format!("`{}` is no reading's number", came.get("number")))
}

fn in_words(problems: Vec<sheet::Problem>) -> String {
    problems
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("; ")
}

fn take_setup(
    find: &Find,
    came: &Submitted,
    now: &str,
    added: &mut Added,
    errors: &mut Errors,
) -> Option<Setup> {
    match came.get("setup") {
        NEW_SETUP | "" => {
            let made = setup_form::take(find, came, now, errors);
            added.source = made.source;
            added.setup = Some(made.setup.clone());
            Some(made.setup)
        }
        number => {
            let setup = find.setups.iter().find(|s| s.number.to_string() == number);
            if setup.is_none() {
                errors.add("setup", format!("there is no setup {number}"));
            }
            setup.cloned()
        }
    }
}

fn take_instrument(
    find: &Find,
    came: &Submitted,
    added: &mut Added,
    errors: &mut Errors,
) -> Option<Designation> {
    let chosen = came.given("instrument")?;
    if let Some(known) = find
        .instruments
        .iter()
        .find(|i| i.designation.as_str() == chosen)
    {
        return Some(known.designation.clone());
    }
    let mut classes = InstrumentClass::ALL.into_iter();
    let Some(class) = classes.find(|class| class_key(*class) == chosen) else {
        errors.add(
            "instrument",
            format!("`{chosen}` is no instrument of this find"),
        );
        return None;
    };
    // The class picked again is the meter made from it the first time, not another one.
    if let Some(known) = find.instruments.iter().find(|i| is_plain(i, class)) {
        return Some(known.designation.clone());
    }
    let next = find
        .instruments
        .iter()
        .map(|i| i.designation.number())
        .chain([0])
        .filter(|n| *n < u32::MAX)
        .max()
        .unwrap_or(0)
        + 1;
    let designation = errors.keep("instrument", Designation::parse(&format!("P{next}")))?;
    added.instrument = Some(Instrument {
        class: Some(class),
        ..Instrument::new(designation.clone())
    });
    Some(designation)
}

/// The instrument behind a form's value: a designation, or the class a meter was made from.
pub(crate) fn known_instrument(find: &Find, value: &str) -> Option<Designation> {
    let by_class = |i: &&Instrument| {
        let class = InstrumentClass::ALL
            .into_iter()
            .find(|c| class_key(*c) == value);
        class.is_some_and(|class| is_plain(i, class))
    };
    let mut all = find.instruments.iter();
    let known = all.find(|i| i.designation.as_str() == value || by_class(i));
    known.map(|i| i.designation.clone())
}

/// Value of a class in the choice of instruments.
fn class_key(class: InstrumentClass) -> String {
    format!("class:{}", class.word())
}

/// Whether a meter is one of a class and no more is said of it.
fn is_plain(instrument: &Instrument, class: InstrumentClass) -> bool {
    instrument.class == Some(class) && instrument.name.is_none()
}

fn take_reading(
    find: &Find,
    came: &Submitted,
    now: &str,
    setup: Option<&Setup>,
    instrument: Option<Designation>,
    errors: &mut Errors,
) -> Option<Reading> {
    let from = came
        .given("from")
        .and_then(|_| setup_form::take_terminal(find, came, "from", errors));
    let to = came
        .given("to")
        .and_then(|_| setup_form::take_terminal(find, came, "to", errors));
    if came.given("from").is_none() {
        errors.add("from", "choose where it was read");
    }
    if from.is_some() && from == to {
        errors.add("to", "choose two different terminals");
    }
    let at = errors.keep("at", Moment::parse(came.given("at").unwrap_or(now)));
    let short = |field: &str, errors: &mut Errors| {
        if came.get(field).len() > LONGEST_TEXT {
            errors.add(field, format!("at most {LONGEST_TEXT} letters"));
        }
        came.given(field).map(str::to_owned)
    };
    let (what, note) = (short("what", errors), short("note", errors));
    let direct = setup.is_some_and(|s| is_direct(find, s, came));
    let (shown, beep, measured) = take_shown(came, to.is_some(), direct, errors)?;
    let place = match (measured, from?, to) {
        (Measured::AcCurrent | Measured::DcCurrent, from, None) => Place::Into(from),
        (Measured::AcCurrent | Measured::DcCurrent, ..) => {
            errors.add(
                "to",
                "a current flows into one terminal; leave the second at `choose`",
            );
            return None;
        }
        (Measured::Temperature, from, _) => Place::At(from.part),
        (Measured::Power, into, Some(against)) => Place::PowerInto { into, against },
        (_, from, Some(to)) => Place::Between(from, to),
        (_, _, None) => {
            if errors.of("to").is_none() {
                errors.add(
                    "to",
                    format!(
                        "choose the second terminal: {} is read between two",
                        measured.word()
                    ),
                );
            }
            return None;
        }
    };
    let number = find
        .readings
        .iter()
        .map(|r| r.number)
        .max()
        .unwrap_or(0)
        .saturating_add(1);
    Some(Reading {
        number,
        setup: setup?.number,
        at,
        instrument,
        measured,
        place,
        shown,
        beep,
        together: None,
        kick: None,
        what,
        struck: None,
        kept: false,
        note,
    })
}

/// What was typed as read: a value with its kind, or a beep.
fn take_shown(
    came: &Submitted,
    between: bool,
    direct: bool,
    errors: &mut Errors,
) -> Option<(Option<Quantity>, Option<bool>, Measured)> {
    let text = came.get("shown");
    match text.to_lowercase().as_str() {
        "" => {
            errors.add(
                "shown",
                "type what the instrument showed; nothing is recorded that was not read",
            );
            return None;
        }
        "beep" => return Some((None, Some(true), Measured::Continuity)),
        "no beep" => return Some((None, Some(false), Measured::Continuity)),
        _ => {}
    }
    let chosen = Measured::ALL
        .into_iter()
        .find(|m| m.word() == came.get("measured"));
    let usual = match (chosen.and_then(Measured::unit), between) {
        (Some(unit), _) => unit,
        (None, true) => Unit::Volt,
        (None, false) => Unit::Ampere,
    };
    let value = errors.keep("shown", value_typed(text, usual, chosen.is_some()))?;
    let measured = match (chosen, value.unit()) {
        (Some(measured), _) => measured,
        (None, Unit::Volt) if direct => Measured::DcVoltage,
        (None, Unit::Volt) => Measured::AcVoltage,
        (None, Unit::Ampere) if direct => Measured::DcCurrent,
        (None, Unit::Ampere) => Measured::AcCurrent,
        (None, Unit::Ohm) => Measured::Resistance,
        (None, Unit::Watt) => Measured::Power,
        (None, Unit::Hertz) => Measured::Frequency,
        (None, Unit::DegreeCelsius) => Measured::Temperature,
        (None, other) => {
            errors.add(
                "shown",
                format!(
                    "`{text}` is {}; a reading is in V, A, Ω, W, Hz or °C",
                    other.measures()
                ),
            );
            return None;
        }
    };
    if measured.unit().is_some_and(|unit| unit != value.unit()) {
        errors.add(
            "shown",
            format!(
                "`{text}` is {}, where {} was to be read",
                value.unit().measures(),
                measured.word()
            ),
        );
        return None;
    }
    Some((Some(value), None, measured))
}

/// A value with its unit, or in the usual unit of its place when none was typed.
fn value_typed(text: &str, usual: Unit, chosen: bool) -> Result<Quantity, quantity::QuantityError> {
    match Quantity::parse(text) {
        // Over-range with nothing said of what was measured is an ohmmeter on an open path.
        Ok(q) if q.unit() == Unit::One && matches!(q.reach(), Reach::OverRange) => {
            Quantity::parse_as(text, if chosen { usual } else { Unit::Ohm })
        }
        Ok(q) if q.unit() == Unit::One => setup_form::with_unit(text, usual),
        other => other,
    }
}

/// Whether the setup is fed with direct current, by its source's class or the kit.
fn is_direct(find: &Find, setup: &Setup, came: &Submitted) -> bool {
    let by_kit = |name: &str| find.kit.sources.iter().any(|s| s.name == name && s.direct);
    setup
        .feeds
        .iter()
        .filter_map(|f| f.source.as_deref())
        .any(by_kit)
        || (came.get("setup") == NEW_SETUP && came.get("source") == "class:direct")
}

/// The instrument of the last reading, else the find's first, else the commonest class.
pub(crate) fn usual_instrument(find: &Find) -> String {
    let last = find
        .readings
        .iter()
        .rev()
        .find_map(|r| r.instrument.as_ref());
    last.or(find.instruments.first().map(|i| &i.designation))
        .map_or_else(|| class_key(InstrumentClass::ALL[0]), ToString::to_string)
}

/// The instruments of a find, then the classes none of them is.
pub(crate) fn instrument_options(find: &Find) -> Vec<(String, String)> {
    let words = |i: &Instrument| {
        let class = i.class.map(InstrumentClass::word);
        let name = i.name.as_deref().or(class).unwrap_or("instrument");
        format!("{}, {name}", i.designation)
    };
    let mut options: Vec<_> = find
        .instruments
        .iter()
        .map(|i| (i.designation.to_string(), words(i)))
        .collect();
    let is_new = |class: InstrumentClass| !find.instruments.iter().any(|i| is_plain(i, class));
    options.extend(
        InstrumentClass::ALL
            .into_iter()
            .filter(|class| is_new(*class))
            .map(|class| (class_key(class), class.word().to_owned())),
    );
    options.push((String::new(), "not said".to_owned()));
    options
}

/// The setups that were made, the latest first.
pub(crate) fn made_setups(find: &Find) -> Vec<(String, String)> {
    find.setups
        .iter()
        .rev()
        .map(|s| {
            (
                s.number.to_string(),
                format!("setup {}: {}", s.number, judgement::setup_words(s)),
            )
        })
        .collect()
}

fn setup_options(find: &Find) -> Vec<(String, String)> {
    let mut options = made_setups(find);
    options.push((NEW_SETUP.to_owned(), "a new setup".to_owned()));
    options
}

fn measured_options() -> Vec<(String, String)> {
    let by_unit = (String::new(), "by its unit".to_owned());
    let offered = Measured::ALL
        .into_iter()
        .filter(|m| !matches!(m, Measured::Continuity | Measured::Ratio));
    std::iter::once(by_unit)
        .chain(offered.map(|m| (m.word().to_owned(), m.word().to_owned())))
        .collect()
}

#[cfg(test)]
mod tests;
