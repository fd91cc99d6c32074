//! Joins made from what was found: readings that beeped, or two terminals chosen on the drawing.
//!
//! A beep is no join by itself: it is a resistance below the tester's threshold, and a low winding beeps too. So nothing is joined
//! unasked, and ends of one winding are offered unticked.

use gear::{Find, Join, JoinState, Place, TerminalRef};
use maud::{Markup, html};

use super::Noun;
use crate::find_page::View;
use crate::opened::Opened;
use crate::places;
use crate::submitted::Submitted;

/// A reading that beeped between terminals no found or seen join holds together.
struct Beep {
    reading: u32,
    from: TerminalRef,
    to: TerminalRef,
    /// The winding both belong to, which beeps by itself where it is low.
    winding: Option<String>,
}

fn beeps(find: &Find) -> Vec<Beep> {
    let known = |a: &TerminalRef, b: &TerminalRef| {
        (find.joins.iter().filter(|j| j.state != JoinState::Assumed))
            .any(|j| j.terminals.contains(a) && j.terminals.contains(b))
    };
    let readings = find.readings.iter();
    readings
        .filter(|r| r.beep == Some(true) && r.struck.is_none())
        .filter_map(|r| match &r.place {
            Place::Between(a, b) if !known(a, b) => Some(Beep {
                reading: r.number,
                from: a.clone(),
                to: b.clone(),
                winding: winding_of(find, a, b),
            }),
            _ => None,
        })
        .collect()
}

fn winding_of(find: &Find, a: &TerminalRef, b: &TerminalRef) -> Option<String> {
    let part = find.parts.iter().find(|p| p.designation == a.part)?;
    let wound = part.kind.wound().filter(|_| a.part == b.part)?;
    let has = |winding: &gear::Winding, mark: &str| {
        winding.points.iter().any(|p| p.terminal == mark)
            || winding.sliders.iter().any(|s| s.terminal == mark)
    };
    let both = |w: &&gear::Winding| has(w, &a.terminal) && has(w, &b.terminal);
    wound.windings.iter().find(both).map(|w| w.name.clone())
}

/// The continuity log: which readings beeped, to be made joins.
pub(crate) fn from_beeps(view: &View) -> Markup {
    let beeps = beeps(view.find);
    html! {
        @if !beeps.is_empty() {
            form.beeps method="post" action={ "/find/" (view.slug) "/joins" } {
                fieldset {
                    legend { "These readings beeped" }
                    @for beep in &beeps {
                        label.tick {
                            input type="checkbox" name="reading" value=(beep.reading) checked[beep.winding.is_none()];
                            span {
                                "reading " (beep.reading) ": " (beep.from) " to " (beep.to)
                                @if let Some(winding) = &beep.winding { span.small { ", both on the winding " (winding) ", which may beep by itself" } }
                            }
                        }
                    }
                }
                p.hint { "A beep is a resistance below the tester's threshold, not yet a join: a low winding beeps too. Look before you tick." }
                p.acts { button { "Make them joins, found" } }
            }
        }
        (two_terminals(view))
    }
}

/// Two terminals, chosen here or touched on the drawing.
fn two_terminals(view: &View) -> Markup {
    let rows = places::rows(view.find);
    let Some(noun) = Noun::of("join").filter(|_| !rows.is_empty()) else {
        return html! {};
    };
    html! {
        form #join-two.strike method="get" action=(noun.address(view.slug, None)) {
            @for (name, label) in [("a", "join"), ("b", "with")] {
                label for={ "join-" (name) } { (label) }
                select id={ "join-" (name) } name=(name) {
                    @for row in &rows { optgroup label=(row.label) { @for terminal in &row.terminals { option value=(terminal) { (terminal) } } } }
                }
            }
            button { "Join these two" }
            span.hint.with-script { "two terminals touched on the drawing stand here too" }
        }
    }
}

/// The sheet with the ticked readings' places as joins, found.
/// # Errors
/// What speaks against it, in words.
pub(crate) fn take_beeps(opened: &Opened, came: &Submitted) -> Result<String, String> {
    let find = opened
        .find
        .as_ref()
        .map_err(|_| "the sheet has faults; mend it first".to_owned())?;
    let ticked = |number: u32| {
        (came.0.iter()).any(|(field, value)| field == "reading" && *value == number.to_string())
    };
    let chosen: Vec<Beep> = beeps(find)
        .into_iter()
        .filter(|b| ticked(b.reading))
        .collect();
    if chosen.is_empty() {
        return Err("tick the readings whose places are to be joined".to_owned());
    }
    let mut text = opened.text().to_owned();
    for beep in chosen {
        text = with_join(&text, beep)?;
    }
    Ok(text)
}

fn with_join(text: &str, beep: Beep) -> Result<String, String> {
    let words = |problems: Vec<sheet::Problem>| {
        let all: Vec<String> = problems
            .iter()
            .map(|p| format!("{}; {}", p.what, p.remedy))
            .collect();
        all.join(". ")
    };
    let find = sheet::read(text).map_err(words)?;
    let note = format!("reading {} beeped", beep.reading);
    // The same pair, assumed until now, is found now.
    let same = |j: &Join| {
        j.terminals.len() == 2 && j.terminals.contains(&beep.from) && j.terminals.contains(&beep.to)
    };
    let index = find.joins.iter().position(same);
    let join = Join {
        terminals: vec![beep.from.clone(), beep.to.clone()],
        state: JoinState::Found,
        note: Some(note),
    };
    sheet::put(text, "join", index, &sheet::fragment::of_join(&join)).map_err(words)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: &str = "sheet = 1\n[find]\nname = \"x\"\n[[part]]\ndesignation = \"X1\"\nkind = \"terminals\"\nterminals = [\"1\", \"2\", \"3\"]\n[[part]]\ndesignation = \"T1\"\nkind = \"transformer\"\n[[part.winding]]\nname = \"a\"\npoints = [\"1\", \"2\"]\n[[setup]]\nnumber = 1\n[[reading]]\nnumber = 1\nsetup = 1\nbetween = [\"X1:1\", \"T1:1\"]\nbeep = true\n[[reading]]\nnumber = 2\nsetup = 1\nbetween = [\"T1:1\", \"T1:2\"]\nbeep = true\n[[reading]]\nnumber = 3\nsetup = 1\nbetween = [\"X1:2\", \"T1:2\"]\nbeep = false\n[[join]]\nterminals = [\"T1:1\", \"X1:1\"]\n";

    #[test]
    fn only_what_beeped_is_offered_and_a_winding_is_told() {
        let find = sheet::read(SHEET).unwrap();
        let told: Vec<_> = beeps(&find)
            .into_iter()
            .map(|b| (b.reading, b.winding))
            .collect();
        assert_eq!(told, [(1, None), (2, Some("a".to_owned()))]);
    }

    #[test]
    fn an_assumed_join_is_found_and_not_made_twice() {
        let opened = Opened::new(SHEET.to_owned());
        let came = Submitted(vec![("reading".to_owned(), "1".to_owned())]);
        let find = sheet::read(&take_beeps(&opened, &came).unwrap()).unwrap();
        assert_eq!(find.joins.len(), 1);
        assert_eq!(find.joins[0].state, JoinState::Found);
        assert!(take_beeps(&opened, &Submitted::default()).is_err());
    }
}
