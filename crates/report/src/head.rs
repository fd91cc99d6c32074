//! The running head: the find, and its sections in the order of the work.

use judgement::Head;
use maud::{Markup, html};

/// A section of a find's page. Only what there is to see has one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Section {
    /// What the plate says and implies.
    Plate,
    /// What joins what, and how it works.
    Wiring,
    /// Readings with their verdicts, and what they taught.
    Readings,
    /// Quantities along the travel.
    Behaviour,
    /// What this is, when and from what it was made.
    Record,
}

impl Section {
    /// All, in the order of the work.
    pub const ALL: [Self; 5] = [
        Self::Plate,
        Self::Wiring,
        Self::Readings,
        Self::Behaviour,
        Self::Record,
    ];

    /// The word in the running head; cautions name their section by it.
    pub fn title(self) -> &'static str {
        match self {
            Self::Plate => "Plate",
            Self::Wiring => "Wiring",
            Self::Readings => "Readings",
            Self::Behaviour => "Behaviour",
            Self::Record => "Record",
        }
    }

    /// Name of its place on a page.
    pub fn id(self) -> &'static str {
        match self {
            Self::Plate => "plate",
            Self::Wiring => "wiring",
            Self::Readings => "readings",
            Self::Behaviour => "behaviour",
            Self::Record => "record",
        }
    }
}

/// The running head. `to` says where each section lies (`#plate`, `/find/12/plate`); `present` is the one being looked at; `book`
/// is where the word Windfall leads, if anywhere.
pub fn running_head(
    find: &Head,
    book: Option<&str>,
    present: Option<Section>,
    to: impl Fn(Section) -> String,
) -> Markup {
    html! {
        header class="head" {
            @match book {
                Some(place) => a class="book" href=(place) { "Windfall" },
                None => span class="book" { "Windfall" },
            }
            div class="find" { (find.name) " " span { (number_and_summary(find)) } }
            nav aria-label="The find, in the order of the work" {
                @for section in Section::ALL {
                    a href=(to(section)) aria-current=[(present == Some(section)).then_some("page")] { (section.title()) }
                }
            }
        }
    }
}

/// "find 12, 30 kVA, 400 V ± 20 %".
pub(crate) fn number_and_summary(find: &Head) -> String {
    let number = find.number.map(|n| format!("find {n}"));
    let summary = Some(find.summary.clone()).filter(|s| !s.is_empty());
    [number, summary]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}
