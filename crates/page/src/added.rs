//! What a form adds to a sheet's text, block by block; everything written by hand stays as it was.

use gear::{Find, Instrument, Kit, KitSource, Reading, Setup};
use sheet::Problem;

/// What a form adds to a sheet.
#[derive(Debug, Default)]
pub(crate) struct Added {
    /// A source for the kit.
    pub(crate) source: Option<KitSource>,
    /// An instrument.
    pub(crate) instrument: Option<Instrument>,
    /// A setup.
    pub(crate) setup: Option<Setup>,
    /// The reading itself.
    pub(crate) reading: Option<Reading>,
}

/// The sheet's text with these added, each before whatever names it; everything written by hand stays as it was.
/// # Errors
/// The problems the text would have.
pub(crate) fn sheet_with(text: &str, added: Added) -> Result<String, Vec<Problem>> {
    let mut text = text.to_owned();
    if let Some(source) = added.source {
        let find = Find {
            kit: Kit {
                sources: vec![source],
                ..Kit::default()
            },
            ..Find::default()
        };
        text = with_block(&text, &find, "[[kit.source]]");
    }
    if let Some(instrument) = added.instrument {
        text = with_block(
            &text,
            &Find {
                instruments: vec![instrument],
                ..Find::default()
            },
            "[[instrument]]",
        );
    }
    if let Some(setup) = added.setup {
        text = sheet::append_setup(&text, &setup)?;
    }
    match added.reading {
        Some(reading) => sheet::append_reading(&text, &reading),
        None => Ok(text),
    }
}

/// The sheet's text with the parts, gangs and joins of a built find behind it.
/// # Errors
/// The problems the text would have.
pub(crate) fn sheet_with_parts(text: &str, built: Find) -> Result<String, Vec<Problem>> {
    let wiring = Find {
        parts: built.parts,
        gangs: built.gangs,
        joins: built.joins,
        ..Find::default()
    };
    let text = with_block(text, &wiring, "[[part]]");
    sheet::read(&text).map(|_| text)
}

/// The text with the block that begins with `head` in the sheet of `find` behind it.
fn with_block(text: &str, find: &Find, head: &str) -> String {
    let written = sheet::write(find);
    let block = written.find(head).map_or("", |start| &written[start..]);
    format!("{}\n\n{block}", text.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generic::SOURCE_CLASSES;

    const BY_HAND: &str = "# written by hand\nsheet = 1\n[find]\nname = \"crate find\" # ours\n";

    #[test]
    fn what_is_added_can_be_read_and_what_was_there_stays() {
        let p1 = gear::Designation::parse("P1").unwrap();
        let added = Added {
            source: Some(SOURCE_CLASSES[1].source(3)),
            instrument: Some(gear::Instrument {
                class: Some(gear::InstrumentClass::Handheld),
                ..gear::Instrument::new(p1)
            }),
            ..Added::default()
        };
        let text = sheet_with(BY_HAND, added).unwrap();
        assert!(text.starts_with(BY_HAND.trim_end()), "{text}");
        let find = sheet::read(&text).unwrap_or_else(|problems| panic!("{problems:?} in {text}"));
        assert_eq!(
            find.instruments[0].class,
            Some(gear::InstrumentClass::Handheld)
        );
        assert_eq!(find.kit.sources[0].isolated, Some(true));
    }

    #[test]
    fn every_arrangement_can_be_given_to_a_find_that_is_there() {
        for arrangement in wiring::arrangements() {
            let built = (arrangement.build)(&wiring::Options::default());
            let expected = (built.parts.len(), built.joins.len());
            let text = sheet_with_parts(BY_HAND, built)
                .unwrap_or_else(|problems| panic!("{}: {problems:?}", arrangement.key));
            let find = sheet::read(&text).unwrap();
            assert_eq!(
                (find.parts.len(), find.joins.len()),
                expected,
                "{}",
                arrangement.key
            );
        }
    }
}
