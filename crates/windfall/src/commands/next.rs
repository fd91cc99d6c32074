//! `windfall next`: which wiring the readings leave, and the reading to take next.

use crate::arguments::Sheet;
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use serde_json::json;

pub(crate) fn run(asked: &Sheet) -> Result<Outcome, Failure> {
    let judge = input::judge(given::find(&asked.at)?.find);
    let said = judge.promptly();
    if asked.json {
        input::print_json(&json!({
            "candidates": said.candidates,
            "repeat_first": said.repeat_first,
            "next": said.next,
        }))?;
    } else {
        let parts = [
            report::text::which_wiring(said),
            report::text::repeat_first(said),
            report::text::next_reading(said),
        ];
        let parts: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        let text = if parts.is_empty() {
            "There is nothing to ask yet: no reading that a network answers. Record joins, a setup and a reading first.\n".to_owned()
        } else {
            parts.join("\n")
        };
        input::print(&text)?;
    }
    Ok(Outcome::of(said.find.trouble))
}
