//! One row into one reading, each field in the form it has in a sheet; what is wrong is told with its column.

use super::Column;
use crate::build::told_by;
use gear::{Designation, Kick, Measured, Moment, Place, Reading, TerminalRef, nearest};
use quantity::Quantity;

/// What is wrong with a field: its column, how many letters into it, what and what to do.
pub(super) struct Wrong {
    pub(super) column: Column,
    pub(super) letters: usize,
    pub(super) what: String,
    pub(super) remedy: String,
}

/// A row: its fields by column, the guard taken off; what is empty is not there.
pub(super) struct Row<'a> {
    pub(super) fields: Vec<(Column, &'a str)>,
    pub(super) wrong: Vec<Wrong>,
}

impl Row<'_> {
    /// The reading, as far as the fields give one. `free` is the number where none is written; `direct` says whether a setup is fed
    /// with direct current.
    pub(super) fn reading(&mut self, free: u32, direct: impl Fn(u32) -> bool) -> Option<Reading> {
        let number = match self.trimmed(Column::Number) {
            Some(_) => self.whole(Column::Number),
            None => Some(free),
        };
        let setup = self.setup();
        let place = self.place();
        let at = self.parsed(Column::At, Moment::parse);
        let together = self.whole(Column::Together);
        let instrument = self.parsed(Column::With, |t| Designation::parse(t.trim()));
        let shown = self.shown();
        let beep = self.flag(Column::Beep);
        let kept = self.flag(Column::Kept).unwrap_or(false);
        let kick = self.kick();
        let measured = self.measured(shown.as_ref(), beep, kick, setup.is_some_and(direct));
        let text = |column| self.field(column).map(str::to_owned);
        Some(Reading {
            at,
            together,
            instrument,
            shown,
            beep,
            kick,
            kept,
            what: text(Column::What),
            struck: text(Column::Struck),
            note: text(Column::Note),
            ..Reading::new(number?, setup?, measured?, place?)
        })
    }

    fn field(&self, column: Column) -> Option<&str> {
        self.fields
            .iter()
            .find(|(c, _)| *c == column)
            .map(|(_, text)| *text)
    }

    /// A field in which blanks mean nothing.
    fn trimmed(&self, column: Column) -> Option<&str> {
        self.field(column).map(str::trim).filter(|t| !t.is_empty())
    }

    fn wrong(&mut self, column: Column, what: impl Into<String>, remedy: impl Into<String>) {
        self.wrong.push(Wrong {
            column,
            letters: 0,
            what: what.into(),
            remedy: remedy.into(),
        });
    }

    /// A value whose own reader says what is wrong and what to write in one sentence.
    fn parsed<T>(&mut self, column: Column, read: impl Fn(&str) -> Result<T, String>) -> Option<T> {
        self.trimmed(column)?;
        match read(self.field(column)?) {
            Ok(value) => Some(value),
            Err(sentence) => {
                let (what, remedy) = sentence
                    .split_once("; ")
                    .unwrap_or((&sentence, "correct it"));
                self.wrong(column, what, remedy);
                None
            }
        }
    }

    fn whole(&mut self, column: Column) -> Option<u32> {
        self.parsed(column, |text| {
            text.trim().parse().map_err(|_| {
                format!("`{text}` is no number counted from 0; write plain figures, like `24`")
            })
        })
    }

    fn setup(&mut self) -> Option<u32> {
        if self.trimmed(Column::Setup).is_none() {
            self.wrong(
                Column::Setup,
                "the reading has no setup",
                "write the number of the setup it was taken in",
            );
        }
        self.whole(Column::Setup)
    }

    fn flag(&mut self, column: Column) -> Option<bool> {
        self.parsed(column, |text| match text.trim().to_lowercase().as_str() {
            "yes" => Ok(true),
            "no" => Ok(false),
            _ => Err(format!("`{text}` is neither yes nor no; write one of them")),
        })
    }

    fn kick(&mut self) -> Option<Kick> {
        self.parsed(Column::Kick, |text| {
            match text.trim().to_lowercase().as_str() {
                "up" => Ok(Kick::Up),
                "down" => Ok(Kick::Down),
                _ => Err(format!(
                    "`{text}` is no way a meter goes; write `up` or `down`"
                )),
            }
        })
    }

    fn shown(&mut self) -> Option<Quantity> {
        self.trimmed(Column::Shown)?;
        let text = self.field(Column::Shown)?;
        match Quantity::parse(text) {
            Ok(shown) => Some(shown),
            Err(error) => {
                let letters = text
                    .get(..error.at)
                    .map_or(0, |before| before.chars().count());
                self.wrong.push(Wrong {
                    column: Column::Shown,
                    letters,
                    what: error.what,
                    remedy: error.remedy,
                });
                None
            }
        }
    }

    /// What was measured: the word, else what a beep, a kick or the unit tells.
    fn measured(
        &mut self,
        shown: Option<&Quantity>,
        beep: Option<bool>,
        kick: Option<Kick>,
        direct: bool,
    ) -> Option<Measured> {
        if self.trimmed(Column::Measured).is_some() {
            return self.parsed(Column::Measured, |text| measured(text.trim()));
        }
        match (shown, beep, kick) {
            (_, Some(_), _) => Some(Measured::Continuity),
            (_, _, Some(_)) => Some(Measured::Kick),
            (Some(shown), ..) => {
                let told = told_by(shown, direct);
                if told.is_none() {
                    let what = format!("`{shown}` does not tell what was measured");
                    self.wrong(Column::Measured, what, "write it, like `AC voltage`");
                }
                told
            }
            (None, None, None) => {
                // A value that cannot be read is told already.
                if self.trimmed(Column::Shown).is_none() {
                    self.wrong(
                        Column::Shown,
                        "the reading shows nothing",
                        "write what the instrument showed, with its unit, like `23.8 V`",
                    );
                }
                None
            }
        }
    }

    fn terminal(&mut self, column: Column) -> Option<TerminalRef> {
        self.parsed(column, |text| TerminalRef::parse(text.trim()))
    }

    fn pair(&mut self, column: Column) -> Option<(TerminalRef, TerminalRef)> {
        self.parsed(column, |text| {
            let marks: Vec<&str> = text.split_whitespace().filter(|w| *w != "to").collect();
            let [a, b] = marks[..] else {
                return Err(format!(
                    "`{text}` is no pair of terminals; write it like `T4:1.1 to T4:1.2`"
                ));
            };
            Ok((TerminalRef::parse(a)?, TerminalRef::parse(b)?))
        })
    }

    /// Exactly one place.
    fn place(&mut self) -> Option<Place> {
        use Column::{Against, From, Into, Over, Part, To, Under};
        let given: Vec<Column> = [From, To, Into, Against, Over, Under, Part]
            .into_iter()
            .filter(|c| self.trimmed(*c).is_some())
            .collect();
        match given[..] {
            [From, To] => {
                let (a, b) = (self.terminal(From), self.terminal(To));
                Some(Place::Between(a?, b?))
            }
            [Into] => self.terminal(Into).map(Place::Into),
            [Into, Against] => {
                let (into, against) = (self.terminal(Into), self.terminal(Against));
                Some(Place::PowerInto {
                    into: into?,
                    against: against?,
                })
            }
            [Over, Under] => {
                let (over, under) = (self.pair(Over), self.pair(Under));
                let ((a, b), (c, d)) = (over?, under?);
                Some(Place::RatioOf(a, b, c, d))
            }
            [Part] => self
                .parsed(Part, |text| Designation::parse(text.trim()))
                .map(Place::At),
            [] => {
                self.wrong(
                    From,
                    "the reading has no place",
                    "write `from` and `to` (voltage, resistance), `into` (current) or `part` (temperature)",
                );
                None
            }
            [one] => {
                let other = match one {
                    From => To,
                    To => From,
                    Against => Into,
                    Over => Under,
                    _ => Over,
                };
                self.wrong(
                    other,
                    format!("`{}` without `{}`", one.name(), other.name()),
                    "write both",
                );
                None
            }
            [first, .., last] => {
                let what = format!(
                    "the reading has more than one place: `{}` and `{}`",
                    first.name(),
                    last.name()
                );
                self.wrong(last, what, "keep one");
                None
            }
        }
    }
}

fn measured(word: &str) -> Result<Measured, String> {
    let known = || Measured::ALL.into_iter().map(Measured::word);
    let lower = word.to_lowercase();
    if let Some(found) = Measured::ALL
        .into_iter()
        .find(|m| m.word().to_lowercase() == lower)
    {
        return Ok(found);
    }
    Err(match nearest(word, known()) {
        Some(near) => format!("`{word}` is nothing measured; did you mean `{near}`?"),
        None => format!(
            "`{word}` is nothing measured; write one of: {}",
            known().collect::<Vec<_>>().join(", ")
        ),
    })
}
