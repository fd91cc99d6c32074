//! The page in a real browser, and its forms with a client that knows no script.
//!
//! Pictures of every kind of page are left in `out/`; they are for looking at, nothing compares them.

#![expect(
    clippy::expect_used,
    reason = "a test that cannot go on stops where it stands"
)]

mod audit;
mod bench;
mod desk;
mod finds;
mod first_find;
mod forms;
mod help;
mod nothing;
mod photos;
#[path = "../pictures/mod.rs"]
mod pictures;
mod seen;
mod site;
mod together;
mod walk;
mod webdriver;
mod weighed;

use std::path::PathBuf;

/// Where pictures are left.
pub(crate) fn picture_file(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../out")
        .join(format!("{name}.png"))
}
