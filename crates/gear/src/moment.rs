//! When something was done, as written in the sheet.

/// A time as written, `2026-10-14 14:05` or `14:05`, with its minutes since midnight of the day 1970-01-01 (or of an undated day).
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    text: String,
    minutes: f64,
    dated: bool,
}

impl Moment {
    /// Reads `YYYY-MM-DD HH:MM[:SS]`, `YYYY-MM-DD` or `HH:MM[:SS]`.
    /// # Errors
    /// What was wrong and what to write.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is no time; write it like `2026-10-14 14:05` or `14:05`");
        let (day, clock) = match text.trim().split_once([' ', 'T']) {
            Some((day, clock)) => (Some(day), Some(clock)),
            None if text.contains(':') => (None, Some(text.trim())),
            None => (Some(text.trim()), None),
        };
        let mut minutes = 0.0;
        if let Some(day) = day {
            let fields: Vec<i64> = day
                .split('-')
                .map(|f| f.parse().map_err(|_| wrong()))
                .collect::<Result<_, _>>()?;
            let [year, month, date] = fields[..] else {
                return Err(wrong());
            };
            if !(1900..=2200).contains(&year)
                || !(1..=12).contains(&month)
                || !(1..=days_in(year, month)).contains(&date)
            {
                return Err(wrong());
            }
            minutes += 1440.0 * days_from_civil(year, month, date) as f64;
        }
        if let Some(clock) = clock {
            let fields: Vec<u32> = clock
                .split(':')
                .map(|f| f.parse().map_err(|_| wrong()))
                .collect::<Result<_, _>>()?;
            let (hour, minute, second) = match fields[..] {
                [h, m] => (h, m, 0),
                [h, m, s] => (h, m, s),
                _ => return Err(wrong()),
            };
            if hour > 23 || minute > 59 || second > 59 {
                return Err(wrong());
            }
            minutes += f64::from(hour) * 60.0 + f64::from(minute) + f64::from(second) / 60.0;
        }
        Ok(Self {
            text: text.to_owned(),
            minutes,
            dated: day.is_some(),
        })
    }

    /// As written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Minutes, comparable between moments of one find that are dated alike.
    pub fn minutes(&self) -> f64 {
        self.minutes
    }

    /// Whether a day was written.
    pub fn is_dated(&self) -> bool {
        self.dated
    }

    /// The clock part as written, `14:05`; empty when only a day was written.
    pub fn clock(&self) -> &str {
        self.text
            .split([' ', 'T'])
            .next_back()
            .filter(|c| c.contains(':'))
            .unwrap_or("")
    }
}

fn days_in(year: i64, month: i64) -> i64 {
    match month {
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days since 1970-01-01 of a Gregorian day (the usual era-of-400-years count).
fn days_from_civil(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let year_of_era = year.rem_euclid(400);
    let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year - 719_468
}
