//! The wall clock, read in one place: the time a reading is taken when the owner does not say otherwise.

/// Now, local time, as a sheet writes it: `2026-10-14 14:05`.
pub(crate) fn now() -> String {
    jiff::Zoned::now().strftime("%Y-%m-%d %H:%M").to_string()
}

/// Now, as the book keeps it.
pub(crate) fn moment() -> book::Moment {
    let now = jiff::Zoned::now();
    let text = now.strftime("%Y-%m-%d %H:%M:%S").to_string();
    book::Moment::new(text, now.timestamp().as_millisecond())
}

#[cfg(test)]
mod tests {
    #[test]
    fn now_is_a_moment_of_the_sheet() {
        assert!(
            gear::Moment::parse(&super::now()).is_ok_and(|m| m.is_dated() && !m.clock().is_empty())
        );
    }
}
