//! What stands before the act: the class in a word with the order of the step, the limit to stop at, and the leads back in V.

use gear::{Designation, Find, InstrumentClass, Measured};
use judgement::Exposed;
use maud::{Markup, html};

use super::spots::Spot;

/// What anybody switches off at without a meter (common practice).
const BY_HAND: &str = "at hum, smell or smoke";

/// The class and the order of the step, then the limit to stop at.
pub(super) fn before(
    find: &Find,
    exposed: &Exposed,
    spot: &Spot,
    with: Option<&Designation>,
) -> Markup {
    html! {
        p.order { b.class { (exposed.class.to_uppercase()) } (report::term(exposed.class)) " " (order(exposed, spot.measured)) }
        p.stop { svg.sign aria-hidden="true" { use href="#stop" {} } span { (stop(exposed)) " " (report::term("stop-limit")) (fuse(find, spot, with)) } }
    }
}

fn order(exposed: &Exposed, measured: Measured) -> String {
    let most = exposed.most.as_ref();
    match (exposed.class, exposed.hands_off) {
        ("dead", _) if is_ohms(measured) => {
            "Nothing is fed. Plug in sight, proved dead with a two-pole tester: clip on, touch nothing, read when it has settled.".to_owned()
        }
        ("dead", _) => {
            "Nothing is fed. Plug in sight, proved dead with a two-pole tester: clip on, read.".to_owned()
        }
        ("low", false) => match most {
            Some(most) => format!("{} can stand here: clip on, switch on, read, switch off.", capital(most)),
            None => "Clip on, switch on, read, switch off.".to_owned(),
        },
        ("low", true) => match most {
            Some(most) => format!(
                "{} can stand here: clip on dead, step back, switch on, read, switch off.",
                capital(most)
            ),
            None => "Clip on dead, step back, switch on, read, switch off.".to_owned(),
        },
        _ => match most {
            Some(most) => format!(
                "{} can stand here, and nothing here clears it: no live step is proposed. If you read: clip on dead, step back, switch on, read, switch off.",
                capital(most)
            ),
            None => "Nothing bounds what can stand here: no live step is proposed. If you read: clip on dead, step back, switch on, read, switch off.".to_owned(),
        },
    }
}

fn stop(exposed: &Exposed) -> String {
    match (exposed.class, &exposed.stop_above) {
        ("dead", _) => "If the tester shows anything at all, stop: it is not dead.".to_owned(),
        (_, Some(volts)) => format!("Off at once above {volts} anywhere, or {BY_HAND}."),
        (_, None) => format!("No stop limit is known for this step. Off at once {BY_HAND}."),
    }
}

/// Of amperes: what the meter's own fuse bears, where it is recorded.
fn fuse(find: &Find, spot: &Spot, with: Option<&Designation>) -> String {
    if !matches!(spot.measured, Measured::AcCurrent | Measured::DcCurrent) {
        return String::new();
    }
    let meter = with.and_then(|with| find.instruments.iter().find(|i| i.designation == *with));
    match meter.and_then(|m| Some((m, m.fuse.as_ref()?))) {
        Some((meter, fuse)) => format!(" Fuse of {}: {}.", meter.designation, fuse.text()),
        None => String::new(),
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}", first.to_uppercase(), letters.as_str())
    })
}

/// Number of the reading that left this meter's leads in its ampere sockets, if volts are next: across two terminals they are a short
/// circuit there. Struck readings count, the leads were moved all the same. Ohms in between move no lead for certain.
pub(super) fn left_in_amperes(
    find: &Find,
    with: Option<&Designation>,
    next: Measured,
) -> Option<u32> {
    if !is_volts(next) || is_clamp(find, with) {
        return None;
    }
    let of_this = find
        .readings
        .iter()
        .filter(|r| r.instrument.as_ref() == with);
    let last = of_this
        .filter(|r| is_volts(r.measured) || is_amperes(r.measured))
        .max_by_key(|r| r.number)?;
    is_amperes(last.measured).then_some(last.number)
}

/// What the meter measures with a current of its own: a winding kicks when it stops.
fn is_ohms(measured: Measured) -> bool {
    matches!(
        measured,
        Measured::Resistance | Measured::Continuity | Measured::Insulation
    )
}

fn is_volts(measured: Measured) -> bool {
    matches!(measured, Measured::AcVoltage | Measured::DcVoltage)
}

fn is_amperes(measured: Measured) -> bool {
    matches!(measured, Measured::AcCurrent | Measured::DcCurrent)
}

/// A clamp has no ampere sockets.
fn is_clamp(find: &Find, with: Option<&Designation>) -> bool {
    let meter = with.and_then(|with| find.instruments.iter().find(|i| i.designation == *with));
    meter.is_some_and(|m| {
        let amperes = m.ranges.iter().filter(|r| is_amperes(r.measures));
        let mut amperes = amperes.peekable();
        let by_class = matches!(
            m.class,
            Some(InstrumentClass::Clamp | InstrumentClass::ClampTrueRms)
        );
        match amperes.peek() {
            Some(_) => amperes.all(|r| r.clamp),
            None => by_class,
        }
    })
}

/// What must be done first. It stands hidden where it is not due, for a page that goes on without its connection.
pub(super) fn leads_back(
    due: Option<u32>,
    with: Option<&Designation>,
    done: bool,
    refused: bool,
) -> Markup {
    let meter = with.map_or_else(|| "The meter".to_owned(), ToString::to_string);
    html! {
        div #leads.must hidden[due.is_none()] {
            label {
                svg.sign aria-hidden="true" { use href="#must" {} }
                span { b { "Leads back in V." } " " (meter) " read amperes last"
                    @if let Some(number) = due { " (" (number) "): they would short two terminals." } }
                input type="checkbox" name="leads_back" value="yes" checked[done] required[due.is_some()] aria-invalid[refused];
            }
            @if refused { p.wrong role="alert" { "Not recorded yet: put the leads back in V, then tick this." } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gear::{Place, Reading, TerminalRef};

    fn reading(number: u32, measured: Measured, with: &str) -> Reading {
        let terminal = |t: &str| TerminalRef::parse(t).unwrap();
        let place = if is_amperes(measured) {
            Place::Into(terminal("X1:1"))
        } else {
            Place::Between(terminal("X1:1"), terminal("X1:2"))
        };
        Reading {
            instrument: Designation::parse(with).ok(),
            ..Reading::new(number, 1, measured, place)
        }
    }

    #[test]
    fn leads_stay_in_amperes_until_volts_were_read_with_that_meter() {
        let p1 = Designation::parse("P1").ok();
        let mut find = Find {
            readings: vec![
                reading(1, Measured::AcVoltage, "P1"),
                reading(2, Measured::AcCurrent, "P1"),
                reading(3, Measured::AcVoltage, "P2"),
                reading(4, Measured::Resistance, "P1"),
            ],
            ..Find::default()
        };
        let due = |find: &Find, next| left_in_amperes(find, p1.as_ref(), next);
        assert_eq!(
            due(&find, Measured::AcVoltage),
            Some(2),
            "neither another meter nor ohms move them"
        );
        assert_eq!(due(&find, Measured::DcVoltage), Some(2));
        assert_eq!(due(&find, Measured::AcCurrent), None);
        find.readings[1].struck = Some("wrong range".to_owned());
        assert_eq!(
            due(&find, Measured::AcVoltage),
            Some(2),
            "a struck reading moved them too"
        );
        find.readings.push(reading(5, Measured::AcVoltage, "P1"));
        assert_eq!(due(&find, Measured::AcVoltage), None);
    }

    #[test]
    fn a_clamp_has_no_leads_to_put_back() {
        let p1 = Designation::parse("P1").unwrap();
        let find = Find {
            instruments: vec![gear::Instrument {
                class: Some(InstrumentClass::Clamp),
                ..gear::Instrument::new(p1.clone())
            }],
            readings: vec![reading(1, Measured::AcCurrent, "P1")],
            ..Find::default()
        };
        assert_eq!(left_in_amperes(&find, Some(&p1), Measured::AcVoltage), None);
    }

    #[test]
    fn no_limit_is_ever_made_up() {
        let live = Exposed {
            class: "live",
            why: String::new(),
            most: None,
            hands_off: true,
            stop_above: None,
        };
        assert!(stop(&live).starts_with("No stop limit is known"));
        assert!(order(&live, Measured::AcVoltage).contains("no live step is proposed"));
        let low = Exposed {
            class: "low",
            most: Some("at most 45.5 V".to_owned()),
            stop_above: Some("50.0 V".to_owned()),
            ..live
        };
        assert_eq!(
            order(&low, Measured::AcVoltage),
            "At most 45.5 V can stand here: clip on dead, step back, switch on, read, switch off."
        );
        assert_eq!(
            stop(&low),
            "Off at once above 50.0 V anywhere, or at hum, smell or smoke."
        );
    }
}
