//! What all checks share: the path they stand at, the list they add to, and the checks of one name or one figure.

use super::Fault;
use crate::{Designation, Find, TerminalRef, nearest};
use quantity::{Quantity, Reach, Unit};

/// A place in the find: keys and indices.
#[derive(Debug, Clone, Default)]
pub(super) struct Spot(Vec<String>);

impl Spot {
    /// The list or table of this key at the root of the find.
    pub(super) fn root(key: &str) -> Self {
        Self(vec![key.to_owned()])
    }

    /// One step deeper: a key.
    pub(super) fn key(&self, key: &str) -> Self {
        Self(self.0.iter().cloned().chain([key.to_owned()]).collect())
    }

    /// One step deeper: an index.
    pub(super) fn index(&self, index: usize) -> Self {
        self.key(&index.to_string())
    }
}

/// What a figure must be beside having the right unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    /// Greater than zero.
    Positive,
    /// Zero or greater.
    NotNegative,
    /// Anything.
    Any,
}

/// The find being checked and the faults found so far.
pub(super) struct Check<'a> {
    pub(super) find: &'a Find,
    faults: Vec<Fault>,
}

impl<'a> Check<'a> {
    pub(super) fn new(find: &'a Find) -> Self {
        Self {
            find,
            faults: Vec::new(),
        }
    }

    pub(super) fn into_faults(self) -> Vec<Fault> {
        self.faults
    }

    /// Notes a fault.
    pub(super) fn fault(&mut self, spot: Spot, what: impl Into<String>, remedy: impl Into<String>) {
        self.faults.push(Fault {
            path: spot.0,
            what: what.into(),
            remedy: remedy.into(),
            missing_from: None,
        });
    }

    /// Notes a name that names nothing in `list`, with the nearest that does.
    pub(super) fn unknown(
        &mut self,
        spot: Spot,
        list: &'static str,
        what: String,
        word: &str,
        known: &[&str],
    ) {
        let remedy = match nearest(word, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => "there is none yet; add it first".to_owned(),
            None => format!("known: {}", listed(known)),
        };
        self.faults.push(Fault {
            path: spot.0,
            what,
            remedy,
            missing_from: Some(list),
        });
    }

    /// A part that must exist; whether it does.
    pub(super) fn part(&mut self, spot: Spot, part: &Designation) -> Option<&'a crate::Part> {
        let found = self.find.part(part);
        if found.is_none() {
            let known: Vec<&str> = self
                .find
                .parts
                .iter()
                .map(|p| p.designation.as_str())
                .collect();
            self.unknown(
                spot,
                "part",
                format!("unknown part `{part}`"),
                part.as_str(),
                &known,
            );
        }
        found
    }

    /// A terminal that must exist.
    pub(super) fn terminal(&mut self, spot: Spot, terminal: &TerminalRef) {
        let Some(part) = self.part(spot.clone(), &terminal.part) else {
            return;
        };
        let marks = part.terminals();
        if !marks.contains(&terminal.terminal.as_str()) {
            let what = format!(
                "unknown terminal `{}` of {}",
                terminal.terminal, part.designation
            );
            self.unknown(spot, "part", what, &terminal.terminal, &marks);
        }
    }

    /// Terminals that must exist, each once, at least `least` of them.
    pub(super) fn terminals(
        &mut self,
        spot: &Spot,
        terminals: &[TerminalRef],
        least: usize,
        of: &str,
    ) {
        for (i, terminal) in terminals.iter().enumerate() {
            self.terminal(spot.index(i), terminal);
            if terminals[..i].contains(terminal) {
                self.fault(
                    spot.index(i),
                    format!("{terminal} stands twice in {of}"),
                    "write it once",
                );
            }
        }
        if terminals.len() < least {
            let has = match terminals.len() {
                0 => "no terminal".to_owned(),
                1 => "only one terminal".to_owned(),
                few => format!("only {few} terminals"),
            };
            self.fault(
                spot.clone(),
                format!("{of} has {has}, where at least {least} are wanted"),
                "name every terminal of it, like `[\"T1:1\", \"X1:1\"]`",
            );
        }
    }

    /// A figure's unit and sign; no check where there is none.
    pub(super) fn figure(
        &mut self,
        spot: Spot,
        figure: Option<&Quantity>,
        units: &[Unit],
        sign: Sign,
    ) {
        let Some(figure) = figure else { return };
        if let Some(fault) = unit_fault(figure, units) {
            return self.fault(spot, fault.0, fault.1);
        }
        if figure.reach() == Reach::OverRange {
            return self.fault(
                spot,
                format!("`{figure}` is no figure here"),
                "write a value, or leave it out",
            );
        }
        let Some(value) = figure.value() else { return };
        match sign {
            Sign::Positive if value <= 0.0 => self.fault(
                spot,
                format!("`{figure}` is not above zero"),
                "write a figure above zero, or leave it out",
            ),
            Sign::NotNegative if value < 0.0 => self.fault(
                spot,
                format!("`{figure}` is below zero"),
                "write it without the minus sign",
            ),
            _ => {}
        }
    }

    /// A position along the turns: a plain figure (or per cent) from 0 to 1. Gives its value if it is one.
    pub(super) fn position(&mut self, spot: Spot, figure: &Quantity) -> Option<f64> {
        if let Some(fault) = unit_fault(figure, &[Unit::One, Unit::Percent]) {
            self.fault(
                spot,
                fault.0,
                "write it as a fraction of the turns, from 0 to 1",
            );
            return None;
        }
        match figure.value() {
            Some(value) if (0.0..=1.0).contains(&value) => Some(value),
            _ => {
                self.fault(
                    spot,
                    format!("position `{figure}` is not from 0 to 1"),
                    "write it as a fraction of the turns from the first point, like `0.70`",
                );
                None
            }
        }
    }

    /// Names that must not be taken twice; `what` makes the message of a double.
    pub(super) fn doubles<T: PartialEq>(
        &mut self,
        names: impl IntoIterator<Item = (Spot, T)>,
        what: impl Fn(&T) -> String,
        remedy: &str,
    ) {
        let mut seen = Vec::new();
        for (spot, name) in names {
            if seen.contains(&name) {
                self.fault(spot, what(&name), remedy);
            } else {
                seen.push(name);
            }
        }
    }
}

/// What to say of a figure of the wrong unit.
pub(super) fn unit_fault(figure: &Quantity, units: &[Unit]) -> Option<(String, String)> {
    let wanted = units.first()?;
    if units.contains(&figure.unit()) {
        return None;
    }
    let remedy = match wanted {
        Unit::One => "write a plain figure".to_owned(),
        Unit::SquareMetre => "write it in mm² or cm²".to_owned(),
        unit => format!("write it in {}", unit.symbol()),
    };
    Some((
        format!(
            "`{figure}` is {}, where {} is wanted",
            figure.unit().measures(),
            wanted.measures()
        ),
        remedy,
    ))
}

/// "1, 2, 3", cut short where there are many.
pub(super) fn listed(names: &[&str]) -> String {
    const SHOWN: usize = 12;
    let more = if names.len() > SHOWN { ", ..." } else { "" };
    format!(
        "{}{more}",
        names
            .iter()
            .take(SHOWN)
            .copied()
            .collect::<Vec<_>>()
            .join(", ")
    )
}
