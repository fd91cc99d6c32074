//! Where a slider stood in a setup: its own terminal's word first, then its part's, then its gang's.

use gear::{Designation, Find, Setup};
use quantity::Quantity;

/// The setting that holds for the slider with terminal `slider` of `part` in this setup; `None` when nothing is recorded.
/// The most particular wins: terminal (`T1:4`), part (`T1`), gang (`chain`).
pub fn slider_setting<'a>(
    find: &Find,
    setup: &'a Setup,
    part: &Designation,
    slider: &str,
) -> Option<&'a Quantity> {
    let terminal = format!("{part}:{slider}");
    let named = |name: &str| {
        setup
            .sliders
            .iter()
            .find(|s| s.slider == name)
            .map(|s| &s.at)
    };
    named(&terminal)
        .or_else(|| named(part.as_str()))
        .or_else(|| {
            find.gangs
                .iter()
                .filter(|g| g.parts.contains(part))
                .find_map(|g| named(&g.name))
        })
}
