//! The part of the reading form that makes a setup: what was fed where, the sliders, the load.

use gear::{
    Designation, Feed, Find, KitSource, Moment, Pairing, Setup, SetupLoad, SliderSetting,
    SwitchSetting, TerminalRef,
};
use maud::{Markup, html};
use quantity::{Quantity, Unit};

use crate::frame::{self, Line};
use crate::generic::SOURCE_CLASSES;
use crate::places::{self, Tie};
use crate::submitted::{Errors, Submitted};

/// Value of the feed choice that feeds nothing.
const NOTHING: &str = "nothing";
/// Value of the feed choice that leaves the pair to the two lists beside it.
const OTHER_PAIR: &str = "other";

/// A setup made from a form, with the source it needs added to the kit, if it is not there yet.
pub(crate) struct Made {
    /// The setup.
    pub(crate) setup: Setup,
    /// A source of a class the owner picked.
    pub(crate) source: Option<KitSource>,
}

/// The fields of a new setup.
pub(crate) fn fields(find: &Find, came: &Submitted, errors: &Errors) -> Markup {
    let feed = came.given("feed").map_or_else(
        || {
            places::ties(find)
                .first()
                .map_or(NOTHING.to_owned(), Tie::value)
        },
        str::to_owned,
    );
    let across = came.given("load_across").map_or_else(
        || places::output(find).map_or(String::new(), |t| t.value()),
        str::to_owned,
    );
    html! {
        fieldset.new-setup {
            legend { "The new setup" }
            (frame::choice("add", "feed", "fed on", &feed_options(find, &feed), &feed, errors.of("feed")))
            div.pair { (terminal_choice(find, "feed_from", "from", came, errors)) (terminal_choice(find, "feed_to", "to", came, errors)) }
            (Line { name: "volts", label: "volts", hint: "between lines for three phases; empty if not known", default: "", required: false }.show("add", came, errors))
            @for moves in places::moves(find) {
                (Line { name: &slider_field(&moves.slider), label: &moves.words, hint: "0 to 1, as in 0.70", default: "", required: false }.show("add", came, errors))
            }
            (Line { name: "load", label: "load", hint: "empty for none; 20 Ω, 10 kW or 10 kVA", default: "", required: false }.show("add", came, errors))
            @if !tie_options(find).is_empty() { (frame::choice("add", "load_across", "load on", &tie_options(find), &across, errors.of("load_across"))) }
            (frame::choice("add", "source", "source", &source_options(find), came.get("source"), errors.of("source")))
            (links(came, errors))
            (Line { name: "setup_what", label: "in a few words", hint: "", default: "", required: false }.show("add", came, errors))
        }
    }
}

/// What is clipped together, lifted or switched for this setup alone: seldom wanted, so folded away while nothing stands there.
fn links(came: &Submitted, errors: &Errors) -> Markup {
    let fields = ["joined", "lifted", "open", "closed"];
    let used = fields
        .iter()
        .any(|f| came.given(f).is_some() || errors.of(f).is_some());
    html! {
        details.links open[used] {
            summary { "clips, lifted leads, switches" }
            div.grid {
                (Line { name: "joined", label: "clipped together", hint: "T1:1.1+T1:2.1, T1:1.2+T1:2.2", default: "", required: false }.show("add", came, errors))
                (Line { name: "lifted", label: "lifted out of their joins", hint: "T4:1.1", default: "", required: false }.show("add", came, errors))
                (Line { name: "open", label: "fuses and switches open", hint: "F1", default: "", required: false }.show("add", came, errors))
                (Line { name: "closed", label: "closed again", hint: "", default: "", required: false }.show("add", came, errors))
            }
        }
    }
}

/// A list of all terminals; the first choice is none.
pub(crate) fn terminal_choice(
    find: &Find,
    name: &str,
    label: &str,
    came: &Submitted,
    errors: &Errors,
) -> Markup {
    let wrong = errors.of(name);
    html! {
        div class={ "field f-" (name) } {
            div.asked { label for={ "add-" (name) } { (label) } (crate::asked::mark(name)) }
            select id={ "add-" (name) } name=(name) aria-invalid[wrong.is_some()] aria-describedby={ "add-" (name) "-note" } {
                option value="" selected[came.get(name).is_empty()] { "choose" }
                @for row in places::rows(find) {
                    optgroup label=(row.label) {
                        @for terminal in &row.terminals { option value=(terminal) selected[came.get(name) == terminal] { (terminal) } }
                    }
                }
            }
            p id={ "add-" (name) "-note" } class=(if wrong.is_some() { "wrong" } else { "hint" }) { (wrong.unwrap_or("")) }
        }
    }
}

/// Makes the setup; what is wrong is noted field by field.
pub(crate) fn take(find: &Find, came: &Submitted, now: &str, errors: &mut Errors) -> Made {
    let (feed, source) = take_feed(find, came, errors);
    let setup = Setup {
        number: find
            .setups
            .iter()
            .map(|s| s.number)
            .max()
            .unwrap_or(0)
            .saturating_add(1),
        at: Moment::parse(now).ok(),
        what: came.given("setup_what").map(str::to_owned),
        feeds: feed.into_iter().collect(),
        sliders: take_sliders(find, came, errors),
        switches: take_switches(find, came, errors),
        joined: take_joined(find, came, errors),
        lifted: take_list(find, came.get("lifted"), "lifted", errors),
        loads: take_load(find, came, errors).into_iter().collect(),
        temperature: None,
    };
    Made { setup, source }
}

/// Terminals written one after another, commas between; each must be the find's.
fn take_list(find: &Find, text: &str, field: &str, errors: &mut Errors) -> Vec<TerminalRef> {
    take_names(text, ',', |name| {
        let terminal = errors.keep(field, TerminalRef::parse(name))?;
        if find.has_terminal(&terminal) {
            return Some(terminal);
        }
        errors.add(field, format!("`{terminal}` is no terminal of this find"));
        None
    })
}

fn take_names<T>(text: &str, between: char, take: impl FnMut(&str) -> Option<T>) -> Vec<T> {
    text.split(between)
        .map(str::trim)
        .filter(|name| !name.is_empty())
        .filter_map(take)
        .collect()
}

/// Terminals clipped together: a plus between those of one clip, commas between clips.
fn take_joined(find: &Find, came: &Submitted, errors: &mut Errors) -> Vec<Vec<TerminalRef>> {
    take_names(came.get("joined"), ',', |clip| {
        let terminals = take_list(find, &clip.replace('+', ","), "joined", errors);
        if terminals.len() < 2 {
            errors.add(
                "joined",
                format!("`{clip}` joins nothing; write at least two terminals with + between"),
            );
        }
        Some(terminals)
    })
}

fn take_switches(find: &Find, came: &Submitted, errors: &mut Errors) -> Vec<SwitchSetting> {
    let mut set = Vec::new();
    for (field, closed) in [("open", false), ("closed", true)] {
        set.extend(take_names(came.get(field), ',', |name| {
            let part = errors.keep(field, Designation::parse(name))?;
            if find.part(&part).is_none() {
                errors.add(field, format!("`{part}` is no part of this find"));
                return None;
            }
            Some(SwitchSetting { part, closed })
        }));
    }
    set
}

/// A terminal chosen from a list.
pub(crate) fn take_terminal(
    find: &Find,
    came: &Submitted,
    field: &str,
    errors: &mut Errors,
) -> Option<TerminalRef> {
    let terminal = errors.keep(field, TerminalRef::parse(came.get(field)))?;
    if find.has_terminal(&terminal) {
        return Some(terminal);
    }
    errors.add(field, format!("`{terminal}` is no terminal of this find"));
    None
}

fn take_feed(
    find: &Find,
    came: &Submitted,
    errors: &mut Errors,
) -> (Option<Feed>, Option<KitSource>) {
    let tie = match came.get("feed") {
        "" | NOTHING => return (None, None),
        OTHER_PAIR => {
            let from = came
                .given("feed_from")
                .and_then(|_| take_terminal(find, came, "feed_from", errors));
            let to = came
                .given("feed_to")
                .and_then(|_| take_terminal(find, came, "feed_to", errors));
            match (from, to) {
                (Some(from), Some(to)) if from != to => Tie {
                    to: vec![from, to],
                    neutral: None,
                },
                _ => {
                    errors.add("feed", "choose the two terminals that were fed");
                    return (None, None);
                }
            }
        }
        value => match errors.keep("feed", Tie::read(value, find)) {
            Some(tie) => tie,
            None => return (None, None),
        },
    };
    let volts = came
        .given("volts")
        .and_then(|text| errors.keep("volts", with_unit(text, Unit::Volt)));
    let (source, added) = take_source(find, came, if tie.to.len() == 3 { 3 } else { 1 }, errors);
    let feed = Feed {
        source,
        to: tie.to,
        neutral: tie.neutral,
        earthed: false,
        volts,
        frequency: None,
        angle: None,
        lost: Vec::new(),
    };
    (Some(feed), added)
}

fn take_source(
    find: &Find,
    came: &Submitted,
    phases: u8,
    errors: &mut Errors,
) -> (Option<String>, Option<KitSource>) {
    let Some(chosen) = came.given("source") else {
        return (None, None);
    };
    if let Some(class) = SOURCE_CLASSES.iter().find(|class| class.key == chosen) {
        let source = class.source(phases);
        let known = find.kit.sources.iter().any(|s| s.name == source.name);
        return (Some(source.name.clone()), Some(source).filter(|_| !known));
    }
    if find.kit.sources.iter().any(|s| s.name == chosen) {
        return (Some(chosen.to_owned()), None);
    }
    errors.add("source", format!("`{chosen}` is no source of the kit"));
    (None, None)
}

fn take_sliders(find: &Find, came: &Submitted, errors: &mut Errors) -> Vec<SliderSetting> {
    let mut set = Vec::new();
    for moves in places::moves(find) {
        let field = slider_field(&moves.slider);
        let Some(text) = came.given(&field) else {
            continue;
        };
        let Some(at) = errors.keep(&field, Quantity::parse(text)) else {
            continue;
        };
        match at.value() {
            Some(x)
                if (0.0..=1.0).contains(&x) && matches!(at.unit(), Unit::One | Unit::Percent) =>
            {
                set.push(SliderSetting {
                    slider: moves.slider,
                    at,
                })
            }
            _ => errors.add(
                &field,
                format!(
                    "`{text}` is no position; write a fraction of the turns from 0 to 1, as in 0.70"
                ),
            ),
        }
    }
    set
}

fn take_load(find: &Find, came: &Submitted, errors: &mut Errors) -> Option<SetupLoad> {
    let text = came
        .given("load")
        .filter(|text| !matches!(*text, "none" | "no load" | "0"))?;
    let value = errors.keep("load", Quantity::parse(text))?;
    let (resistance, power) = match value.unit() {
        Unit::Ohm => (Some(value), None),
        Unit::Watt | Unit::VoltAmpere => (None, Some(value)),
        other => {
            errors.add(
                "load",
                format!(
                    "`{text}` is {}; write ohms, watts or volt-amperes, as in 20 Ω or 10 kW",
                    other.measures()
                ),
            );
            return None;
        }
    };
    let Some(across) = came.given("load_across") else {
        errors.add("load_across", "choose where the load was put");
        return None;
    };
    let tie = errors.keep("load_across", Tie::read(across, find))?;
    let pairing = match (tie.to.len(), &tie.neutral) {
        (3, Some(_)) => Pairing::Star,
        (3, None) => Pairing::Delta,
        _ => Pairing::Single,
    };
    let across = tie.to.into_iter().chain(tie.neutral).collect();
    Some(SetupLoad {
        across,
        pairing,
        resistance,
        reactance: None,
        power,
        volts: None,
        power_factor: None,
    })
}

/// A quantity in this unit; figures without a unit are taken in it, and the unit is written behind them.
pub(crate) fn with_unit(text: &str, unit: Unit) -> Result<Quantity, quantity::QuantityError> {
    let as_typed = Quantity::parse(text);
    match as_typed {
        Ok(q) if q.unit() == Unit::One && unit != Unit::One => {
            Quantity::parse_as(&format!("{text} {}", unit.symbol()), unit)
        }
        _ => Quantity::parse_as(text, unit),
    }
}

/// Name of a slider's field.
pub(crate) fn slider_field(slider: &str) -> String {
    format!("slider.{slider}")
}

fn tie_options(find: &Find) -> Vec<(String, String)> {
    places::ties(find)
        .iter()
        .map(|tie| (tie.value(), tie.words()))
        .collect()
}

fn feed_options(find: &Find, chosen: &str) -> Vec<(String, String)> {
    let mut options = tie_options(find);
    // A proposal may feed what is not among the usual ties.
    if !options.iter().any(|(value, _)| value == chosen)
        && let Ok(tie) = Tie::read(chosen, find)
    {
        options.insert(0, (tie.value(), tie.words()));
    }
    options.push((OTHER_PAIR.to_owned(), "another pair".to_owned()));
    options.push((
        NOTHING.to_owned(),
        "nothing: dead, for ohms and continuity".to_owned(),
    ));
    options
}

fn source_options(find: &Find) -> Vec<(String, String)> {
    let mut options = vec![(String::new(), "not said".to_owned())];
    options.extend(
        find.kit
            .sources
            .iter()
            .map(|s| (s.name.clone(), s.name.clone())),
    );
    options.extend(
        SOURCE_CLASSES
            .iter()
            .map(|class| (class.key.to_owned(), class.words.to_owned())),
    );
    options
}
