//! The usual cautions, each for the section with the step it belongs to, and only those this find and its setups call for.
//!
//! Plain words, at most [`LONGEST`] letters (three lines on the page), deferring to local codes and licensed practice. They warn;
//! they are no permission: whether a setup is dead, low or live under every wiring not yet excluded is reckoned elsewhere.

use crate::said::{Caution, Danger};
use gear::{Feed, Find, PartKind, Plate, PlateField, Setup};

mod about;
mod step;

use about::{list, live_setups, most_volts, names, year_on};
pub use step::of_step;

/// Longest caution, letters: three lines on the page.
pub const LONGEST: usize = 260;
/// RMS volts that may be touched while on: 25 V AC (IEC 60364-4-41, basic protection left out in dry places; from memory).
pub(crate) const TOUCH_VOLTS: f64 = 25.0;
/// RMS volts up to which clipping on while dead is enough: 50 V AC (IEC 60364-4-41, extra-low voltage; from memory).
pub(crate) const CLIPPED_VOLTS: f64 = 50.0;
/// Volts of direct current that may be touched (same source).
pub(crate) const TOUCH_VOLTS_DIRECT: f64 = 60.0;
/// Volts of direct current up to which clipping on while dead is enough (same source).
pub(crate) const CLIPPED_VOLTS_DIRECT: f64 = 120.0;
/// Above this nothing here is meant to go.
const MOST_VOLTS: f64 = 1000.0;
/// Gear before this year may hold PCB, asbestos or selenium (common practice: PCB ended in most countries by the mid-eighties).
const OLD_YEAR: u32 = 1985;
/// One person's lift, kilograms (common practice).
const HEAVY_KILOGRAMS: f64 = 25.0;
/// Gear of this power is heavier than that even where no mass is written (common practice: some 5 to 10 kg a kVA).
const HEAVY_POWER: f64 = 5000.0;

/// Every caution of a find, in the order of sections Plate, Wiring, Readings, Behaviour; the gravest of a section first.
pub fn cautions(find: &Find) -> Vec<Caution> {
    let mut said = Vec::new();
    plate(find, &mut said);
    if !find.parts.is_empty() {
        wiring(find, &mut said);
        readings(find, &mut said);
        behaviour(find, &mut said);
    }
    said
}

/// "C1 and C2": the capacitors of a find; empty where it has none.
pub(crate) fn capacitors(find: &Find) -> String {
    list(&names(find, |k| matches!(k, PartKind::Capacitor { .. })))
}

fn say(said: &mut Vec<Caution>, section: &'static str, danger: Danger, words: String) {
    said.push(Caution {
        section,
        danger,
        words,
    });
}

fn plate(find: &Find, said: &mut Vec<Caution>) {
    let section = "Plate";
    let words = plate_words(&find.plate, find);
    if old(&words) {
        let what = "Gear of this age may hold PCB in oil and capacitors, asbestos in pads and brake linings, selenium in rectifiers. Do not drill, burn, break or drain it before you know; local rules say who may.";
        say(said, section, Danger::OldMaterials, what.to_owned());
    }
    if let Some(how) = heavy(find) {
        say(
            said,
            section,
            Danger::Heavy,
            format!(
                "{how}: more than one person lifts. Use a trolley or a hoist, block it against tipping, and keep hands from under it."
            ),
        );
    }
}

fn plate_words(plate: &Plate, find: &Find) -> String {
    let notes = find.notes.iter().map(|n| n.text.as_str());
    let words = plate
        .text
        .iter()
        .map(String::as_str)
        .chain(plate.marks.iter().map(String::as_str))
        .chain(notes);
    words.collect::<Vec<_>>().join("\n").to_lowercase()
}

/// Oil, PCB or selenium named, or a year of the old days.
fn old(words: &str) -> bool {
    let named = ["oil", "pcb", "askarel", "selenium", "asbestos"];
    let is_word = |w: &str| named.contains(&w.trim_matches(|c: char| !c.is_alphanumeric()));
    words.split_whitespace().any(is_word) || year_on(words).is_some_and(|y| y < OLD_YEAR)
}

fn heavy(find: &Find) -> Option<String> {
    let field = |wanted: PlateField| {
        find.plate
            .fields
            .iter()
            .find(|(f, _)| *f == wanted)
            .map(|(_, q)| q)
    };
    if let Some(mass) = field(PlateField::Mass) {
        return mass
            .value()
            .filter(|m| *m >= HEAVY_KILOGRAMS)
            .map(|_| mass.text().to_owned());
    }
    let part = find.parts.iter().find_map(|p| {
        let mass = p.kind.wound()?.core.mass.as_ref()?;
        mass.value()
            .filter(|m| *m >= HEAVY_KILOGRAMS)
            .map(|_| format!("{} of {}", mass.text(), p.designation))
    });
    let power = field(PlateField::Power);
    let by_power = || {
        power
            .filter(|q| q.value().is_some_and(|v| v >= HEAVY_POWER))
            .map(|q| format!("{} of copper and iron", q.text()))
    };
    part.or_else(by_power)
}

fn wiring(find: &Find, said: &mut Vec<Caution>) {
    let section = "Wiring";
    let prove = "Before hands go in: plug out and in sight, guard against switching on, prove dead with a two-pole tester (IEC 61243-3) that is itself proved before and after, in the order of EN 50110-1. Local codes go first; live work is for those licensed.";
    say(said, section, Danger::Mains, prove.to_owned());
    let stages = wiring::stages(find);
    if let Some(stage) = stages.first() {
        let words = format!(
            "The loop from {}'s slider to {}'s primary holds no fuse, switch or plug, ever. Opened while the line is loaded, the booster makes dangerous volts across the gap.",
            stage.autotransformer, stage.booster
        );
        say(said, section, Danger::OpenPrimary, words);
    }
    let autos = names(find, |k| matches!(k, PartKind::VariableAutotransformer(_)));
    if !autos.is_empty() {
        let one = autos.len() == 1;
        let words = format!(
            "{} {} autotransformer{}: output and supply are one conductor. On the mains every terminal is at mains volts at every setting, and a reversed plug puts the line where neutral was.",
            list(&autos),
            if one { "is an" } else { "are" },
            if one { "" } else { "s" }
        );
        say(said, section, Danger::NotIsolated, words);
    }
    if about::has_neutral(find) && !about::fed_with_neutral(find) {
        say(said, section, Danger::Neutral, neutral());
    }
}

fn neutral() -> String {
    "The neutral is parted last and joined first. With it lost under volts, three phases share the line voltage by their loads: one sinks, another can rise towards the full line voltage.".to_owned()
}

/// "Setup 2 is", "Setups 2, 3 and 4 are".
fn which_are(setups: &[String]) -> String {
    let (noun, verb) = if setups.len() == 1 {
        ("Setup", "is")
    } else {
        ("Setups", "are")
    };
    format!("{noun} {} {verb}", list(setups))
}

fn readings(find: &Find, said: &mut Vec<Caution>) {
    let section = "Readings";
    let (live, clipped) = live_setups(find);
    if !live.is_empty() {
        let words = format!(
            "{} fed from a source not known to be isolated, or with more than {CLIPPED_VOLTS} V AC. Clip on while dead, stand clear, switch on, read, switch off, prove dead. Local codes and licensed practice go first.",
            which_are(&live)
        );
        say(said, section, Danger::Mains, words);
    } else if !clipped.is_empty() {
        let words = format!(
            "{} above what may be touched ({TOUCH_VOLTS} V AC, {TOUCH_VOLTS_DIRECT} V DC). Clip everything on while dead and touch nothing while it is on; a winding of more turns gives more than what is fed.",
            which_are(&clipped)
        );
        say(said, section, Danger::Mains, words);
    }
    high_voltage(find, section, said);
    let capacitors = names(find, |k| matches!(k, PartKind::Capacitor { .. }));
    if !capacitors.is_empty() {
        let words = format!(
            "{} may hold a charge long after the plug is out. Discharge through a resistor, measure, wait, and measure again before touching and before ohms.",
            list(&capacitors)
        );
        say(said, section, Danger::StoredCharge, words);
    }
    if direct_current(find) {
        let words = "Direct current through a winding, an ohmmeter's too, kicks when it stops: hundreds of volts, times the ratio elsewhere. Clip on while dead, wait until the value settles, touch nothing, turn the supply down before taking off.";
        say(said, section, Danger::DirectCurrent, words.to_owned());
    }
    if about::fed_with_neutral(find) {
        say(said, section, Danger::Neutral, neutral());
    }
    meters(find, section, said);
    back_feed(find, section, said);
    if !find.instruments.is_empty() && about::floated(find) {
        let words = "An instrument with an earthed lead ties a floated find to earth where it is clipped, and shorts what is not at earth there. Use battery-fed meters of a fitting category.";
        say(said, section, Danger::EarthedInstrument, words.to_owned());
    }
}

/// Meters put beyond what is printed on them; what is alike is said once, with its readings.
fn meters(find: &Find, section: &'static str, said: &mut Vec<Caution>) {
    let mut alike: Vec<(String, String, Vec<String>)> = Vec::new();
    for beyond in gear::beyond(find) {
        let number = beyond.reading.to_string();
        match alike.iter_mut().find(|(what, ..)| *what == beyond.what) {
            Some((_, _, numbers)) => numbers.push(number),
            None => alike.push((beyond.what, beyond.remedy, vec![number])),
        }
    }
    for (what, remedy, numbers) in alike {
        let noun = if numbers.len() == 1 {
            "reading"
        } else {
            "readings"
        };
        let words = format!("{what} ({noun} {}): {remedy}.", list(&numbers));
        let words = if words.chars().count() > LONGEST {
            format!(
                "A meter was used beyond what is printed on it ({noun} {}): {remedy}.",
                numbers[0]
            )
        } else {
            words
        };
        say(said, section, Danger::Meter, words);
    }
}

/// Ohms, continuity and direct current are recorded, or the next thing to measure: every wound part is asked for its ohms.
fn direct_current(find: &Find) -> bool {
    find.parts.iter().any(|p| p.kind.wound().is_some())
}

/// What could pass 1000 V: volts fed times the greatest ratio still possible on the part they reach.
fn high_voltage(find: &Find, section: &'static str, said: &mut Vec<Caution>) {
    for setup in &find.setups {
        let Some(fed) = setup
            .feeds
            .iter()
            .filter_map(|f| f.volts.as_ref().and_then(most_volts))
            .max_by(f64::total_cmp)
        else {
            continue;
        };
        for part in &find.parts {
            let Some(wound) = part.kind.wound().filter(|w| w.windings.len() > 1) else {
                continue;
            };
            if !about::reached(find, setup, part) {
                continue;
            }
            let (ratio, known) = about::greatest_ratio(wound);
            if fed * ratio <= MOST_VOLTS {
                continue;
            }
            let why = if known {
                "By the volts written on it".to_owned()
            } else {
                format!("Until its ratios are known (up to {ratio:.0} to 1 is possible)")
            };
            let words = format!(
                "{why}, {} fed as in setup {} could make more than 1000 V on another winding. Feed the winding of highest resistance first, with a volt or two, and measure before turning up.",
                part.designation, setup.number
            );
            say(said, section, Danger::HighVoltage, words);
            return;
        }
    }
}

/// A setup that feeds the find elsewhere than at its input.
fn back_feed(find: &Find, section: &'static str, said: &mut Vec<Caution>) {
    let Some(input) = find
        .parts
        .iter()
        .find(|p| matches!(p.kind, PartKind::Terminals(_)))
    else {
        return;
    };
    let conductors = wiring::Conductors::of(find, None);
    let on_input = |f: &Feed| {
        f.to.iter().any(|t| {
            let group = conductors.find(t).and_then(|c| conductors.groups.get(c));
            group.is_some_and(|g| {
                g.iter()
                    .any(|t| t.part == input.designation && t.terminal != "N" && t.terminal != "PE")
            })
        })
    };
    let backwards: Vec<String> = find
        .setups
        .iter()
        .filter(|s: &&Setup| s.feeds.iter().any(|f| !on_input(f)))
        .map(|s| s.number.to_string())
        .collect();
    if !backwards.is_empty() {
        let words = format!(
            "Setup {} feeds the find elsewhere than at {}: through the windings {} and any plug on it come alive too. Take the plug off or cover its pins.",
            list(&backwards),
            input.designation,
            input.designation
        );
        say(said, section, Danger::BackFeed, words);
    }
}

fn behaviour(find: &Find, said: &mut Vec<Caution>) {
    let section = "Behaviour";
    let wound = find.parts.iter().any(|p| p.kind.wound().is_some());
    let strip = |k: &PartKind| matches!(k, PartKind::Terminals(_));
    // Where nothing says how it is fed there is no behaviour to show.
    let fed = find.setups.iter().any(|s| !s.feeds.is_empty())
        || find.parts.iter().any(|p| strip(&p.kind));
    if !wound || !fed {
        return;
    }
    let words = "These figures hold at the volts given, mains if you ask for mains; they are reckoned, and no leave to switch on. Wake it step by step on a limited, isolated supply; local codes and licensed practice go first.";
    say(said, section, Danger::Mains, words.to_owned());
    if let Some(gang) = find
        .gangs
        .first()
        .filter(|_| !wiring::stages(find).is_empty())
    {
        let words = format!(
            "A motor that moves the {} can start by itself when volts come or a sensing lead is loose. Keep fingers, sleeves and tools out of {} and gears.",
            gang.name, gang.name
        );
        say(said, section, Danger::UnexpectedStart, words);
    }
}

#[cfg(test)]
mod tests;
