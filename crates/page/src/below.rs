//! The one place where the page meets the floors below: what it asks of `sheet`, `judgement`, `report` and `drawing`.

use drawing::Drawing;
use gear::{Find, Instrument, KitSource, Reading, Setup};
use judgement::{Behaviour, Judgement, Live, PlateSaid, ReadingSaid, Verdict};

/// Conditions a live answer is for.
#[derive(Debug, Clone, Default)]
pub(crate) struct Conditions {
    pub(crate) slider: Option<f64>,
    pub(crate) supply: Option<f64>,
    pub(crate) load: Option<f64>,
    pub(crate) setup: Option<u32>,
}
#[derive(Debug)]
pub(crate) struct Judge { judgement: Judgement }
impl Judge {
    pub(crate) fn new(find: Find) -> Self {
        Self { judgement: Judgement {
            find: judgement::Head { name: find.name.clone(), number: find.number, summary: summary(&find), trouble: false },
            plate: plate_said(find.plate.text.as_deref().unwrap_or("")), wiring: Default::default(), readings: vec![], learned: vec![], behaviour: None,
            how_it_works: Default::default(), cautions: vec![], unlocks: vec![] } }
    }
    pub(crate) fn judgement(&self) -> &Judgement { &self.judgement }
    pub(crate) fn live(&self, c: &Conditions) -> Live {
        Live { slider: c.slider.unwrap_or(0.5), readings: vec![], values: vec![], sentences: vec![], remarks: vec![], read_outs: vec![] }
    }
}


/// What a form adds to a sheet.
#[derive(Debug, Default)]
pub(crate) struct Added {
    pub(crate) source: Option<KitSource>,
    pub(crate) instrument: Option<Instrument>,
    pub(crate) setup: Option<Setup>,
    pub(crate) reading: Option<Reading>,
}

/// A fault of a sheet.
#[derive(Debug, Clone)]
pub(crate) struct SheetFault { pub(crate) words: String }
impl std::fmt::Display for SheetFault { fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { f.write_str(&self.words) } }

pub(crate) fn read_sheet(_text: &str) -> Result<Find, Vec<SheetFault>> { Ok(Find::default()) }
pub(crate) fn write_sheet(_find: &Find) -> String { "sheet = 1\n".into() }
pub(crate) fn sheet_with(_text: &str, _find: &Find, added: Added) -> Result<String, Vec<SheetFault>> { Ok(format!("{added:?}")) }
pub(crate) fn sheet_marked(_text: &str, _find: &Find) -> String { String::new() }
pub(crate) fn plate_said(_text: &str) -> PlateSaid { PlateSaid::default() }
pub(crate) fn plate_fragment(said: &PlateSaid) -> String { format!("{}", said.deductions.len()) }
pub(crate) fn cautions(_: &Judgement, _: &str) -> String { String::new() }
pub(crate) fn joins(_: &Judgement) -> String { String::new() }
pub(crate) fn readings(_: &Judgement) -> String { String::new() }
pub(crate) fn learned(_: &Judgement) -> String { String::new() }
pub(crate) fn note_body(_: &ReadingSaid) -> String { String::new() }
pub(crate) fn sign(_: Verdict) -> String { String::new() }
pub(crate) fn verdict_word(_: Verdict) -> String { String::new() }
pub(crate) fn setup_words(s: &Setup) -> String { s.number.to_string() }
pub(crate) fn schematic(_: &Find, _: &Judge, _: &Live, _: &Conditions, _: bool, _: u8) -> Option<Drawing> { None }
pub(crate) fn travel_chart(_: &Judgement, _: &Behaviour, _: f64) -> Drawing { Drawing { svg: String::new(), width: 1.0, height: 1.0, boxes: vec![], segments: vec![], handles: vec![] } }
pub(crate) fn summary(find: &Find) -> String { find.plate.text.clone().unwrap_or_default() }
pub(crate) fn style() -> String { String::new() }
pub(crate) fn signs() -> String { String::new() }
pub(crate) fn report(_find: &Find, _judge: &Judge) -> String { String::new() }
/// Phases.
pub(crate) fn phases_on_plate(text: &str) -> Option<u8> {
    let close: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    if close.contains("3~") || close.contains("3AC") || close.contains("3phase") { Some(3) } else if close.contains("1~") { Some(1) } else { None }
}
