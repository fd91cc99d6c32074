//! `windfall draw`: a find as SVG.

use crate::arguments::{Draw, Picture};
use crate::failure::{Failure, Outcome};
use crate::given;
use crate::input;
use report::drawings;

pub(crate) fn run(asked: &Draw) -> Result<Outcome, Failure> {
    let given = given::find(&asked.at)?;
    let judge = input::judge(given.find);
    let name = given.name;
    let drawn = match asked.what {
        Picture::Schematic => drawings::schematic(&judge, asked.phase, None),
        Picture::Travel => drawings::travel(&judge),
        Picture::Learned => drawings::learned(&judge),
    };
    let svg = drawn
        .map_err(|why| Failure::input(format!("{name}: {why}")))?
        .standalone();
    match &asked.out {
        Some(path) => input::write(path, &svg)?,
        None => input::print(&svg)?,
    }
    Ok(Outcome::Good)
}
