//! Where the meter goes, as a small drawing: across a winding, across two terminals, or in one lead. No figure stands in it.

use gear::{Find, Measured, Part, TerminalRef, Winding};
use maud::{Markup, PreEscaped, html};

use super::spots::Spot;

/// The winding both terminals of a place are on, with its part.
pub(super) fn winding_of<'a>(find: &'a Find, spot: &Spot) -> Option<(&'a Part, &'a Winding)> {
    let a = TerminalRef::parse(&spot.from).ok()?;
    let b = TerminalRef::parse(spot.to.as_deref()?).ok()?;
    let part = find.part(&a.part).filter(|_| a.part == b.part)?;
    let has = |winding: &&Winding, terminal: &TerminalRef| {
        let ends = winding.points.iter().map(|p| part.terminal(&p.terminal));
        let sliders = winding.sliders.iter().map(|s| part.terminal(&s.terminal));
        ends.chain(sliders).any(|t| t == *terminal)
    };
    let winding = part
        .kind
        .wound()?
        .windings
        .iter()
        .find(|w| has(w, &a) && has(w, &b))?;
    Some((part, winding))
}

/// The drawing of a place.
pub(super) fn meter(find: &Find, spot: &Spot, instrument: &str) -> Markup {
    let letter = match spot.measured {
        Measured::AcVoltage | Measured::DcVoltage => "V",
        Measured::AcCurrent | Measured::DcCurrent => "A",
        _ => "Ω",
    };
    let what = format!("{letter} {}", spot.place());
    let Some(to) = &spot.to else {
        return in_line(&spot.from, letter, instrument, &what);
    };
    let body = match winding_of(find, spot) {
        Some(_) => {
            r#"<path class="sym" d="M84 52H104a12 12 0 0 0 24 0a12 12 0 0 0 24 0a12 12 0 0 0 24 0a12 12 0 0 0 24 0a12 12 0 0 0 24 0H244"/>"#
        }
        None => r#"<path class="ext" d="M84 52H244"/>"#,
    };
    html! {
        svg.meter viewBox="0 0 328 76" width="328" height="76" role="img" aria-label=(what) {
            (PreEscaped(body))
            (PreEscaped(r#"<path class="sym" d="M84 47V19H149M179 19H244V47"/><path class="dot" d="M84 47.5l-4.5 -11h9z"/><path class="dot" d="M244 47.5l-4.5 -11h9z"/><circle class="term" cx="84" cy="52" r="4.5"/><circle class="term" cx="244" cy="52" r="4.5"/><circle class="meter-ring" cx="164" cy="19" r="15"/>"#))
            text.t-meter.mid x="164" y="25" { (letter) }
            text.t-term x="186" y="14" { (instrument) }
            text.t-term.mid x="84" y="73" { (spot.from) }
            text.t-term.mid x="244" y="73" { (to) }
        }
    }
}

fn in_line(into: &str, letter: &str, instrument: &str, what: &str) -> Markup {
    html! {
        svg.meter viewBox="0 0 328 76" width="328" height="76" role="img" aria-label=(what) {
            (PreEscaped(r#"<path class="sym" d="M30 34H149M179 34H239"/><path class="dot" d="M214 34l-11 -4.5v9z"/><circle class="term" cx="244" cy="34" r="4.5"/><circle class="meter-ring" cx="164" cy="34" r="15"/>"#))
            text.t-meter.mid x="164" y="40" { (letter) }
            text.t-term x="186" y="24" { (instrument) }
            text.t-term x="30" y="24" { "from the source" }
            text.t-term.mid x="244" y="60" { (into) }
        }
    }
}
