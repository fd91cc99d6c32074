//! Where things can be put on a find: its terminals by part, and the pairs and rows a source or a load is likely to be put on.

use gear::{Find, Part, PartKind, TerminalRef};

/// Terminals of one part, for a list to choose from.
pub(crate) struct Row {
    /// "T1, autotransformer of L1".
    pub(crate) label: String,
    /// `T1:1` ...
    pub(crate) terminals: Vec<String>,
}

/// Every terminal, part by part: terminal rows first, since most readings start there.
pub(crate) fn rows(find: &Find) -> Vec<Row> {
    let mut parts: Vec<&Part> = find.parts.iter().collect();
    parts.sort_by_key(|p| !matches!(p.kind, PartKind::Terminals(_)));
    parts
        .iter()
        .map(|part| Row {
            label: format!(
                "{}, {}",
                part.designation,
                part.name.as_deref().unwrap_or(part.kind.word())
            ),
            terminals: part
                .terminals()
                .iter()
                .map(|mark| part.terminal(mark).to_string())
                .collect(),
        })
        .collect()
}

/// Terminals a source or a load goes on: two, or three with a neutral perhaps.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tie {
    /// Two, or L1, L2, L3.
    pub(crate) to: Vec<TerminalRef>,
    /// The star point, if it is brought there.
    pub(crate) neutral: Option<TerminalRef>,
}

impl Tie {
    /// As a form's value: `X1:1+X1:2+X1:3/X1:N`.
    pub(crate) fn value(&self) -> String {
        let to: Vec<String> = self.to.iter().map(ToString::to_string).collect();
        match &self.neutral {
            Some(neutral) => format!("{}/{neutral}", to.join("+")),
            None => to.join("+"),
        }
    }

    /// Reads a form's value; every terminal must be the find's.
    pub(crate) fn read(text: &str, find: &Find) -> Result<Self, String> {
        let terminal = |text: &str| {
            let terminal = TerminalRef::parse(text)?;
            if find.has_terminal(&terminal) {
                Ok(terminal)
            } else {
                Err(format!("`{terminal}` is no terminal of this find"))
            }
        };
        let (to, neutral) = text
            .split_once('/')
            .map_or((text, None), |(to, neutral)| (to, Some(neutral)));
        let to = to.split('+').map(terminal).collect::<Result<Vec<_>, _>>()?;
        match to.len() {
            2 | 3 => Ok(Self {
                to,
                neutral: neutral.map(terminal).transpose()?,
            }),
            _ => Err("choose two terminals, or three phases".to_owned()),
        }
    }

    /// In words: "X1:1, X1:2, X1:3 and X1:N, three-phase".
    pub(crate) fn words(&self) -> String {
        let to: Vec<String> = self.to.iter().map(ToString::to_string).collect();
        match (to.len(), &self.neutral) {
            (3, Some(neutral)) => format!("{} with {neutral}, three-phase", to.join(", ")),
            (3, None) => format!("{}, three-phase", to.join(", ")),
            _ => to.join(" to "),
        }
    }
}

/// The likely ones, likeliest first: terminal rows whole, then phase by phase, then every winding end to end.
pub(crate) fn ties(find: &Find) -> Vec<Tie> {
    let mut ties = Vec::new();
    let rows = || {
        find.parts
            .iter()
            .filter(|p| matches!(p.kind, PartKind::Terminals(_)))
    };
    rows().for_each(|row| ties.extend(whole(row)));
    rows().for_each(|row| ties.extend(one_by_one(row)));
    for part in &find.parts {
        for winding in part.kind.wound().iter().flat_map(|wound| &wound.windings) {
            if let [first, .., last] = winding.points.as_slice() {
                ties.push(Tie {
                    to: vec![
                        part.terminal(&first.terminal),
                        part.terminal(&last.terminal),
                    ],
                    neutral: None,
                });
            }
        }
    }
    ties
}

fn whole(row: &Part) -> Option<Tie> {
    let has = |mark: &&str| row.terminals().contains(mark);
    let phases = [["1", "2", "3"], ["L1", "L2", "L3"], ["U", "V", "W"]]
        .into_iter()
        .find(|marks| marks.iter().all(&has))?;
    Some(Tie {
        to: phases.iter().map(|m| row.terminal(m)).collect(),
        neutral: Some("N").filter(has).map(|m| row.terminal(m)),
    })
}

/// Each terminal of a row against its N; without one, the first against the second.
fn one_by_one(row: &Part) -> Vec<Tie> {
    let marks = row.terminals();
    let pair = |a: &str, b: &str| Tie {
        to: vec![row.terminal(a), row.terminal(b)],
        neutral: None,
    };
    if marks.contains(&"N") {
        marks
            .iter()
            .filter(|m| !matches!(**m, "N" | "PE"))
            .map(|m| pair(m, "N"))
            .collect()
    } else {
        match marks.as_slice() {
            [a, b, ..] => vec![pair(a, b)],
            _ => Vec::new(),
        }
    }
}

/// Where a load is likeliest: the last terminal row's whole or first pair, if there is more than one row.
pub(crate) fn output(find: &Find) -> Option<Tie> {
    let rows: Vec<&Part> = find
        .parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::Terminals(_)))
        .collect();
    match rows.as_slice() {
        [_, .., last] => whole(last).or_else(|| one_by_one(last).into_iter().next()),
        _ => None,
    }
}

/// A slider, or the sliders that move together, by the word a setup calls them.
pub(crate) struct Moves {
    /// Gang name or part designation.
    pub(crate) slider: String,
    /// "sliders of T1, T2, T3".
    pub(crate) words: String,
}

/// The sliders of a find, each gang once.
pub(crate) fn moves(find: &Find) -> Vec<Moves> {
    let mut moves: Vec<Moves> = Vec::new();
    for part in &find.parts {
        let has_slider = part
            .kind
            .wound()
            .is_some_and(|wound| wound.windings.iter().any(|w| !w.sliders.is_empty()));
        if !has_slider {
            continue;
        }
        let (slider, words) = match find.gang_of(&part.designation) {
            Some(gang) => {
                let parts: Vec<&str> = gang.parts.iter().map(gear::Designation::as_str).collect();
                (
                    gang.name.clone(),
                    format!("sliders of {}, ganged", parts.join(", ")),
                )
            }
            None => (
                part.designation.to_string(),
                format!("slider of {}", part.designation),
            ),
        };
        if !moves.iter().any(|m| m.slider == slider) {
            moves.push(Moves { slider, words });
        }
    }
    moves
}

#[cfg(test)]
mod tests {
    use super::*;

    fn built(arrangement: &str, phases: &str) -> Find {
        let arrangement = wiring::arrangement(arrangement).unwrap();
        (arrangement.build)(&wiring::Options {
            chosen: vec![("phases".to_owned(), phases.to_owned())],
            ..wiring::Options::default()
        })
    }

    #[test]
    fn a_three_phase_find_is_fed_on_its_input_row_first() {
        let find = built("stabilizer-centre-tap", "3");
        assert_eq!(ties(&find)[0].value(), "X1:1+X1:2+X1:3/X1:N");
        assert_eq!(
            output(&find).map(|t| t.value()).as_deref(),
            Some("X2:1+X2:2+X2:3/X2:N")
        );
    }

    #[test]
    fn what_is_offered_can_be_read_back() {
        for arrangement in wiring::arrangements() {
            let find = (arrangement.build)(&wiring::Options::default());
            for tie in ties(&find) {
                assert_eq!(
                    Tie::read(&tie.value(), &find).as_ref(),
                    Ok(&tie),
                    "{}",
                    arrangement.key
                );
            }
        }
    }

    #[test]
    fn a_gang_is_one_slider() {
        assert_eq!(moves(&built("stabilizer-centre-tap", "3")).len(), 1);
    }
}
