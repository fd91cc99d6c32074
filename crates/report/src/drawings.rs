//! The drawings of a judged find: its phases with the readings of the drawn setup on them, and its travel charts.

use crate::behaviour::travel_drawing;
use crate::document::{Drawings, Schematic};
use crate::readings::SetupWords;
use drawing::{Annotation, Doubt, Drawing, Mark, bars};
use judgement::{Judge, Live, ReadingSaid, Verdict};

/// Width of a travel chart that stands alone, px.
const CHART_WIDTH: f64 = 848.0;

/// One phase with the readings of the drawn setup; with `live`, its slider position and predictions in place of the setup's own.
/// # Errors
/// Why there is no drawing, in words with the remedy.
pub fn schematic(judge: &Judge, phase: u8, live: Option<&Live>) -> Result<Drawing, String> {
    let moved = live.and_then(|l| judge.drawn_setup_at(l.slider));
    let setup = moved.as_ref().or_else(|| judge.drawn_setup());
    let notes = annotations(judge, phase, live);
    let doubt = doubted(judge);
    drawing::schematic_doubted(judge.find(), setup, phase, &notes, doubt.as_ref())
        .map_err(|e| e.to_string())
}

/// The find as it would stand under the candidate in this place of the ranking, with the readings where they were taken.
/// # Errors
/// Why there is no drawing, in words.
pub fn schematic_as(judge: &Judge, place: usize, phase: u8) -> Result<Drawing, String> {
    let find = judge
        .candidate(place)
        .ok_or("there is no such candidate any more")?;
    let setup = judge
        .drawn_setup()
        .and_then(|drawn| find.setups.iter().find(|s| s.number == drawn.number));
    let notes = annotations(judge, phase, None);
    drawing::schematic(find, setup, phase, &notes).map_err(|e| e.to_string())
}

/// What another wiring, likelier than not, would join otherwise.
fn doubted(judge: &Judge) -> Option<Doubt> {
    let (terminals, words) = judge.doubted()?;
    Some(Doubt { terminals, words })
}

/// The travel charts at the plate's conditions.
/// # Errors
/// Why there are none.
pub fn travel(judge: &Judge) -> Result<Drawing, String> {
    let behaviour = judge
        .judgement()
        .behaviour
        .as_ref()
        .ok_or("there is no slider, or no network yet; add parts, joins and a slider")?;
    Ok(travel_drawing(behaviour, &read_outs(judge), CHART_WIDTH))
}

/// What the readings taught, as one picture.
/// # Errors
/// Why there is none.
pub fn learned(judge: &Judge) -> Result<Drawing, String> {
    let learned = &judge.judgement().learned;
    if learned.is_empty() {
        return Err(
            "the readings taught nothing yet; add readings of a find with parts and joins"
                .to_owned(),
        );
    }
    let rows: Vec<bars::Row> = learned.iter().map(crate::learned::bar_row).collect();
    Ok(bars::table(
        "What the readings taught: before and after",
        &rows,
    ))
}

/// Everything a report shows beside the judgement.
pub fn all(judge: &Judge) -> Drawings {
    let setup = judge.drawn_setup();
    let words = setup.map_or_else(String::new, |s| {
        format!("Setup {}: {}", s.number, judgement::setup_words(s))
    });
    let phases = phases(judge);
    let several = phases.len() > 1;
    let doubt = doubted(judge);
    let mut shown: Vec<u32> = Vec::new();
    let mut schematics = Vec::new();
    for phase in phases {
        // A reading between phases stands on the first of them: once in a document, with its name.
        let mut notes = annotations(judge, phase, None);
        notes.retain(|n| !shown.contains(&n.number));
        shown.extend(notes.iter().map(|n| n.number));
        let Ok(drawn) =
            drawing::schematic_doubted(judge.find(), setup, phase, &notes, doubt.as_ref())
        else {
            continue;
        };
        let title = if several {
            format!("One phase, L{phase}")
        } else {
            "Schematic".to_owned()
        };
        schematics.push(Schematic {
            title,
            setup: words.clone(),
            svg: drawn.svg,
        });
    }
    let setups = judge
        .find()
        .setups
        .iter()
        .map(|s| SetupWords {
            number: s.number,
            words: judgement::setup_words(s),
        })
        .collect();
    Drawings {
        schematics,
        setups,
        read_outs: read_outs(judge),
    }
}

/// The drawings as files that stand alone: name and text.
pub fn files(judge: &Judge) -> Vec<(String, String)> {
    let phases = phases(judge);
    let several = phases.len() > 1;
    let mut files: Vec<(String, String)> = phases
        .into_iter()
        .filter_map(|phase| {
            let name = if several {
                format!("schematic-L{phase}.svg")
            } else {
                "schematic.svg".to_owned()
            };
            Some((name, schematic(judge, phase, None).ok()?.standalone()))
        })
        .collect();
    files.extend(
        learned(judge)
            .ok()
            .map(|drawn| ("learned.svg".to_owned(), drawn.standalone())),
    );
    files.extend(
        travel(judge)
            .ok()
            .map(|drawn| ("travel.svg".to_owned(), drawn.standalone())),
    );
    files
}

/// Phases to be drawn: each that has parts of its own, else the one there is.
pub fn phases(judge: &Judge) -> Vec<u8> {
    let parts = &judge.find().parts;
    let mut phases: Vec<u8> = parts.iter().filter_map(|p| p.phase).collect();
    phases.sort_unstable();
    phases.dedup();
    if phases.is_empty() && !parts.is_empty() {
        vec![1]
    } else {
        phases
    }
}

fn read_outs(judge: &Judge) -> Vec<(usize, usize, String)> {
    judge
        .rated_conditions()
        .and_then(|c| judge.live(c))
        .map(|l| l.read_outs)
        .unwrap_or_default()
}

/// The readings of the drawn setup that stand on a phase's drawing.
pub fn annotations(judge: &Judge, phase: u8, live: Option<&Live>) -> Vec<Annotation> {
    let setup = judge.drawn_setup().map(|s| s.number);
    let find = judge.find();
    let said = judge
        .judgement()
        .readings
        .iter()
        .filter(|r| Some(r.setup) == setup && (r.phase == phase || r.phase == 0));
    said.filter_map(|said| {
        let reading = find.readings.iter().find(|r| r.number == said.number)?;
        let predicted = match live {
            Some(live) => live
                .readings
                .iter()
                .find(|(n, _)| *n == said.number)
                .and_then(|(_, text)| text.clone()),
            None => prediction(said),
        };
        Some(Annotation {
            number: said.number,
            place: reading.place.clone(),
            read: format!("{}\u{a0}{}", said.read, said.unit)
                .trim_end()
                .to_owned(),
            verdict: mark(said.verdict),
            predicted,
            queried: matches!(said.verdict, Verdict::Doubtful | Verdict::Contradicts),
            remark: (said.verdict == Verdict::Floating)
                .then(|| said.argument.clone())
                .flatten(),
        })
    })
    .collect()
}

fn prediction(said: &ReadingSaid) -> Option<String> {
    let value = said.predicted.as_ref()?;
    Some(
        said.plus_minus
            .as_ref()
            .map_or_else(|| value.clone(), |pm| format!("{value} ± {pm}")),
    )
}

fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Agrees => Mark::Agrees,
        Verdict::Doubtful => Mark::Doubtful,
        Verdict::Contradicts => Mark::Contradicts,
        Verdict::Floating => Mark::Floating,
        Verdict::NotJudged => Mark::NotJudged,
        Verdict::Struck => Mark::Struck,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_join_that_is_likely_otherwise_is_drawn_with_gaps_and_says_so() {
        let right = std::fs::read_to_string(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../../examples/creamery.toml"
        ))
        .unwrap();
        let wrong = right
            .replace(r#"["T2:4", "T5:1.2"]"#, r#"["T2:4", "T5:1.1"]"#)
            .replace(r#"["T2:2", "T5:1.1"]"#, r#"["T2:2", "T5:1.2"]"#);
        let judge = Judge::new(sheet::read(&wrong).unwrap());
        let doubt = doubted(&judge).unwrap();
        let drawn = |phase| schematic(&judge, phase, None).unwrap().svg;
        let words = "dashed, probably not as drawn: T5";
        assert!(drawn(2).contains(words), "{doubt:?}");
        assert!(drawn(2).matches("class=\"gap\"").count() >= 2);
        assert!(!drawn(1).contains("class=\"gap\""), "only T5's phase");
        let judge = Judge::new(sheet::read(&right).unwrap());
        assert_eq!(doubted(&judge), None);
    }

    #[test]
    fn no_name_stands_twice_in_a_report() {
        let text = std::fs::read_to_string(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../../examples/creamery.toml"
        ))
        .unwrap();
        let judge = Judge::new(sheet::read(&text).unwrap());
        let html = crate::document(judge.judgement(), &all(&judge), crate::sample::MADE);
        let mut names: Vec<&str> = html
            .split(" id=\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count, "{names:?}");
    }
}
