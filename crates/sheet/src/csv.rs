//! Readings as rows: out for a spreadsheet program, and in from one.
//!
//! The form is RFC 4180 (Y. Shafranovich, "Common Format and MIME Type for Comma-Separated Values (CSV) Files", 2005): a head line with the
//! names of the columns, one line a reading, CR LF behind each, double quotes around a field that holds a separator, a quote or a line break,
//! doubled inside. The names and what stands under them are our own: `docs/csv.md`. Coming in, a semicolon or a tab may separate as well;
//! the head line tells.
//!
//! Every value goes out as it was written and comes in so: `23,8 V` stays `23,8 V`. What a spreadsheet program would take for a formula is
//! guarded by an apostrophe, and the guard taken off on the way in (`guard`).

mod guard;
mod place;
mod row;
mod take;

pub use take::{RowProblem, read};

use gear::{Kick, Place, Reading};

/// A column: its name in the head line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Column {
    Number,
    Setup,
    At,
    Together,
    With,
    Measured,
    From,
    To,
    Into,
    Against,
    Over,
    Under,
    Part,
    Shown,
    Beep,
    Kick,
    Struck,
    Kept,
    What,
    Note,
}

impl Column {
    /// All, in the order they are written.
    pub(crate) const ALL: [Self; 20] = [
        Self::Number,
        Self::Setup,
        Self::At,
        Self::Together,
        Self::With,
        Self::Measured,
        Self::From,
        Self::To,
        Self::Into,
        Self::Against,
        Self::Over,
        Self::Under,
        Self::Part,
        Self::Shown,
        Self::Beep,
        Self::Kick,
        Self::Struck,
        Self::Kept,
        Self::What,
        Self::Note,
    ];

    /// Its name.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Number => "number",
            Self::Setup => "setup",
            Self::At => "at",
            Self::Together => "together",
            Self::With => "with",
            Self::Measured => "measured",
            Self::From => "from",
            Self::To => "to",
            Self::Into => "into",
            Self::Against => "against",
            Self::Over => "over",
            Self::Under => "under",
            Self::Part => "part",
            Self::Shown => "shown",
            Self::Beep => "beep",
            Self::Kick => "kick",
            Self::Struck => "struck",
            Self::Kept => "kept",
            Self::What => "what",
            Self::Note => "note",
        }
    }
}

/// The readings as text, commas between the fields. Every column is there, used or not, so that the head line is always the same.
pub fn write(readings: &[Reading]) -> String {
    let head = Column::ALL.map(|c| c.name().to_owned());
    let rows = readings.iter().map(|r| Column::ALL.map(|c| field(r, c)));
    let mut writer = ::csv::WriterBuilder::new()
        .terminator(::csv::Terminator::CRLF)
        .from_writer(Vec::new());
    for row in std::iter::once(head).chain(rows) {
        // Into memory, rows of one length: there is nothing that could fail.
        let _ = writer.write_record(&row);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

fn field(reading: &Reading, column: Column) -> String {
    let yes = |flag: bool| if flag { "yes" } else { "no" }.to_owned();
    let pair = |a, b| format!("{a} to {b}");
    let place = |column| match (&reading.place, column) {
        (Place::Between(a, _), Column::From) => a.to_string(),
        (Place::Between(_, b), Column::To) => b.to_string(),
        (Place::Into(a) | Place::PowerInto { into: a, .. }, Column::Into) => a.to_string(),
        (Place::PowerInto { against, .. }, Column::Against) => against.to_string(),
        (Place::RatioOf(a, b, ..), Column::Over) => pair(a, b),
        (Place::RatioOf(.., c, d), Column::Under) => pair(c, d),
        (Place::At(part), Column::Part) => part.to_string(),
        _ => String::new(),
    };
    // What is told, even if it is an empty text; nothing for what is not told.
    let told = |value: Option<String>| value.map_or_else(String::new, |v| guard::guarded(&v));
    match column {
        Column::Number => reading.number.to_string(),
        Column::Setup => reading.setup.to_string(),
        Column::At => told(reading.at.as_ref().map(|m| m.text().to_owned())),
        Column::Together => told(reading.together.map(|n| n.to_string())),
        Column::With => told(reading.instrument.as_ref().map(ToString::to_string)),
        Column::Measured => reading.measured.word().to_owned(),
        Column::Shown => told(reading.shown.as_ref().map(|q| q.text().to_owned())),
        Column::Beep => told(reading.beep.map(yes)),
        Column::Kick => told(reading.kick.map(|k| kick_word(k).to_owned())),
        Column::Struck => told(reading.struck.clone()),
        Column::Kept => told(reading.kept.then(|| yes(true))),
        Column::What => told(reading.what.clone()),
        Column::Note => told(reading.note.clone()),
        _ => match place(column) {
            nothing if nothing.is_empty() => nothing,
            terminals => guard::guarded(&terminals),
        },
    }
}

/// A kick's direction in a word: a bare sign is what a spreadsheet program takes for a formula.
pub(crate) fn kick_word(kick: Kick) -> &'static str {
    match kick {
        Kick::Up => "up",
        Kick::Down => "down",
    }
}
