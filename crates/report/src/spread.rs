//! A section laid out as a spread of the book: margin, leaf, what runs below both, facing column.

use crate::head::Section;
use maud::{Markup, html};

/// The parts of a spread.
#[derive(Debug, Clone)]
pub struct Spread {
    /// The section, if the spread begins one; gives it its name to lead to.
    pub section: Option<Section>,
    /// The title, read out as the name of the spread: "Readings".
    pub title: String,
    /// In the margin: dates, counts.
    pub margin: Markup,
    /// On the leaf.
    pub leaf: Markup,
    /// Below margin and leaf, over the width of both: a table that begins in the margin.
    pub below: Option<Markup>,
    /// In the facing column; without it the leaf has the whole width.
    pub facing: Option<Markup>,
}

impl Spread {
    /// The spread as a `<section>`.
    pub fn markup(&self) -> Markup {
        let class = if self.facing.is_some() {
            "spread"
        } else {
            "spread alone"
        };
        html! {
            section class=(class) id=[self.section.map(Section::id)] aria-label=(self.title) {
                div class="margin" { (self.margin) }
                div class="leaf" { (self.leaf) }
                @if let Some(below) = &self.below { div class="below" { (below) } }
                @if let Some(facing) = &self.facing { div class="facing" { (facing) } }
            }
        }
    }
}
