//! The way in: the head line, the rows, and whether the readings fit the find. Everything wrong is told at once, and then nothing is taken.

use super::row::{Row, Wrong};
use super::{Column, guard, place};
use gear::{Fault, Find, Reading, nearest};

/// One thing wrong with rows of readings: where, what, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowProblem {
    /// Line of the text, from 1.
    pub line: usize,
    /// Column in letters, from 1.
    pub column: usize,
    /// The field, by its name in the head line; empty for the row or the text as a whole.
    pub field: String,
    /// What is wrong, lower case, no full stop.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

impl std::fmt::Display for RowProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "line {}, column {}", self.line, self.column)?;
        if !self.field.is_empty() {
            write!(f, ", field `{}`", self.field)?;
        }
        write!(f, ": {}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for RowProblem {}

/// Separators, the likeliest first.
const SEPARATORS: [char; 3] = [',', ';', '\t'];

/// What a spreadsheet program may put before the text.
const BYTE_ORDER_MARK: char = '\u{feff}';

/// The readings of a text, to be added to a find that has no faults. An empty `number` gets the next free one. An empty `measured` is told
/// by the unit, as in a sheet.
/// # Errors
/// Everything wrong, in the order of the text: with the form, with single fields, and with what the find does not know (a terminal, a
/// setup, a number that is taken).
pub fn read(text: &str, find: &Find) -> Result<Vec<Reading>, Vec<RowProblem>> {
    let marked = text.len();
    let text = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
    let shift = usize::from(text.len() != marked);
    let mut rows = Rows::begin(text).map_err(|one| vec![one.shifted(shift)])?;
    rows.take(find);
    let mut problems = std::mem::take(&mut rows.problems);
    problems.extend(rows.misfits(find));
    problems.sort_by_key(|p| (p.line, p.column));
    problems.dedup();
    if problems.is_empty() {
        Ok(rows
            .readings
            .into_iter()
            .map(|(reading, _)| reading)
            .collect())
    } else {
        Err(problems.into_iter().map(|p| p.shifted(shift)).collect())
    }
}

impl RowProblem {
    /// On the first line a byte order mark counts as a letter in the file that was given.
    fn shifted(mut self, letters: usize) -> Self {
        if self.line == 1 {
            self.column += letters;
        }
        self
    }
}

struct Rows<'a> {
    text: &'a str,
    separator: char,
    /// What stands in each place of a row.
    columns: Vec<Column>,
    /// Readings, each with the byte its row begins at.
    readings: Vec<(Reading, usize)>,
    problems: Vec<RowProblem>,
}

impl<'a> Rows<'a> {
    /// Reads the head line.
    fn begin(text: &'a str) -> Result<Self, RowProblem> {
        let known = |separator: &char| {
            let names = records(text, *separator).next().map(|(_, names)| names);
            names.map_or(0, |names| {
                names.iter().filter(|n| column(n).is_some()).count()
            })
        };
        // The first of the greatest: max_by_key would take the last.
        let most = SEPARATORS.iter().map(known).max().unwrap_or(0);
        let separator = SEPARATORS.into_iter().find(|s| known(s) == most);
        let (Some(separator), true) = (separator, most > 0) else {
            return Err(RowProblem {
                line: 1,
                column: 1,
                field: String::new(),
                what: "the first line names no column".to_owned(),
                remedy: format!(
                    "begin with a head line, like `setup,from,to,shown`; columns are: {}",
                    Column::ALL.map(Column::name).join(", ")
                ),
            });
        };
        let mut rows = Self {
            text,
            separator,
            columns: Vec::new(),
            readings: Vec::new(),
            problems: Vec::new(),
        };
        rows.head();
        Ok(rows)
    }

    fn head(&mut self) {
        let Some((start, names)) = records(self.text, self.separator).next() else {
            return;
        };
        for (index, name) in names.iter().enumerate() {
            match column(name) {
                Some(known) if self.columns.contains(&known) => {
                    let what = format!("the column `{}` stands twice", known.name());
                    self.problem(start, index, 0, name.trim(), what, "keep one of them");
                }
                Some(known) => self.columns.push(known),
                None => {
                    let all = Column::ALL.map(Column::name);
                    let remedy = match nearest(name.trim(), all) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("take it out; columns are: {}", all.join(", ")),
                    };
                    let what = format!("unknown column `{}`", name.trim());
                    self.problem(start, index, 0, "", what, remedy);
                }
            }
        }
        if self.problems.is_empty() && !self.columns.contains(&Column::Setup) {
            self.problem(
                start,
                0,
                0,
                "setup",
                "there is no column `setup`",
                "add it: the number of the setup each reading was taken in",
            );
        }
    }

    /// Reads the rows; not those under a head line that is wrong, where everything would be.
    fn take(&mut self, find: &Find) {
        if !self.problems.is_empty() {
            return;
        }
        let mut free = find.readings.iter().map(|r| r.number).max().unwrap_or(0);
        for (start, values) in records(self.text, self.separator).skip(1) {
            if let (_, Some(open)) = place::fields(self.text, start, self.separator) {
                let (line, column) = place::line_and_column(self.text, open);
                self.problems.push(RowProblem {
                    line,
                    column,
                    field: String::new(),
                    what: "a quote that is not closed".to_owned(),
                    remedy: "close it; a quote that is meant is written twice".to_owned(),
                });
                return;
            }
            if values.len() != self.columns.len() {
                let what = format!(
                    "{} fields, where the head line has {}",
                    values.len(),
                    self.columns.len()
                );
                self.problem(
                    start,
                    0,
                    0,
                    "",
                    what,
                    "see whether a separator is missing, or one stands in a text without quotes",
                );
                continue;
            }
            if values.iter().all(|v| v.trim().is_empty()) {
                continue;
            }
            let fields = self.columns.iter().zip(&values);
            let mut row = Row {
                fields: fields
                    .filter_map(|(column, value)| guard::unguarded(value).map(|v| (*column, v)))
                    .collect(),
                wrong: Vec::new(),
            };
            let reading = row.reading(free.saturating_add(1), |setup| is_direct(find, setup));
            for wrong in row.wrong {
                self.wrong(start, wrong);
            }
            if let Some(reading) = reading {
                free = free.max(reading.number);
                self.readings.push((reading, start));
            }
        }
    }

    fn wrong(&mut self, start: usize, wrong: Wrong) {
        let index = self.columns.iter().position(|c| *c == wrong.column);
        self.problem(
            start,
            index.unwrap_or(0),
            wrong.letters,
            wrong.column.name(),
            wrong.what,
            wrong.remedy,
        );
    }

    /// A problem of the field in this place of the row.
    fn problem(
        &mut self,
        start: usize,
        index: usize,
        letters: usize,
        field: &str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let (starts, _) = place::fields(self.text, start, self.separator);
        let at = starts.get(index).or(starts.first()).copied();
        let (line, column) = place::line_and_column(self.text, at.unwrap_or(start));
        self.problems.push(RowProblem {
            line,
            column: column + letters,
            field: field.to_owned(),
            what: what.into(),
            remedy: remedy.into(),
        });
    }

    /// What the find with these readings would find fault with.
    fn misfits(&mut self, find: &Find) -> Vec<RowProblem> {
        let known = find.readings.len();
        let mut longer = find.clone();
        longer
            .readings
            .extend(self.readings.iter().map(|(reading, _)| reading.clone()));
        // A number another row should have given is no fault of this one.
        let whole = self.problems.is_empty();
        for fault in longer.faults() {
            let index = fault.path.get(1).and_then(|i| i.parse::<usize>().ok());
            let row = index.and_then(|i| i.checked_sub(known));
            let (Some("reading"), Some(row)) = (fault.path.first().map(String::as_str), row) else {
                continue;
            };
            if !whole && fault.missing_from == Some("reading") {
                continue;
            }
            let Some((_, start)) = self.readings.get(row) else {
                continue;
            };
            let column = column_of(&fault);
            let place = column.and_then(|c| self.columns.iter().position(|known| *known == c));
            let remedy = in_columns(&fault.remedy);
            let name = column.map_or("", Column::name);
            self.problem(*start, place.unwrap_or(0), 0, name, fault.what, remedy);
        }
        std::mem::take(&mut self.problems)
    }
}

/// The rows with the byte each begins at; the head line is the first.
fn records(text: &str, separator: char) -> impl Iterator<Item = (usize, Vec<String>)> + '_ {
    let reader = ::csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(u8::try_from(separator).unwrap_or(b','))
        .from_reader(text.as_bytes());
    // The text is in memory and is UTF-8, so a row can always be read.
    reader.into_records().filter_map(Result::ok).map(|record| {
        let start = record.position().map_or(0, |p| p.byte() as usize);
        (start, record.iter().map(str::to_owned).collect())
    })
}

fn column(name: &str) -> Option<Column> {
    let name = name.trim().to_lowercase();
    Column::ALL.into_iter().find(|c| c.name() == name)
}

/// Whether the setup is fed with direct current, so that a bare V or A is one of direct current.
fn is_direct(find: &Find, setup: u32) -> bool {
    let feeds = find.setup(setup).map_or(&[][..], |s| s.feeds.as_slice());
    feeds.iter().any(|feed| {
        let mut sources = find.kit.sources.iter();
        sources.any(|s| s.direct && Some(&s.name) == feed.source.as_ref())
    })
}

fn column_of(fault: &Fault) -> Option<Column> {
    let key = fault.path.get(2)?.as_str();
    let second = fault.path.get(3).is_some_and(|i| i == "1");
    if key == "between" {
        return Some(if second { Column::To } else { Column::From });
    }
    Column::ALL.into_iter().find(|c| c.name() == key)
}

/// A remedy told for a sheet, in the names of the columns.
fn in_columns(remedy: &str) -> String {
    const WORDS: [(&str, &str); 8] = [
        ("`between = [\"T1:1\", \"T1:3\"]`", "`from` and `to`"),
        ("`into = \"X1:1\"`", "`into`"),
        ("`against = \"X1:N\"`", "`against`"),
        ("`over = [...]`", "`over`"),
        ("`under = [...]`", "`under`"),
        ("`part = \"T1\"`", "`part`"),
        (
            "`beep = true` or `beep = false`",
            "`yes` or `no` under `beep`",
        ),
        (
            "`kick = \"+\"` or `kick = \"-\"`",
            "`up` or `down` under `kick`",
        ),
    ];
    WORDS.iter().fold(remedy.to_owned(), |text, (sheet, here)| {
        text.replace(sheet, here)
    })
}
