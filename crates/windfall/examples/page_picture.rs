//! Takes the README's picture of the page: the creamery find's wiring at a desk, `docs/page.png`.
//!
//! Rerun after a change of the page: `cargo run -p windfall --example page_picture` (Debian's chromium and chromedriver must be installed).

#![expect(
    clippy::expect_used,
    reason = "a picture that cannot be taken stops where it stands"
)]

mod browser;

use browser::site::{self, Site};
use browser::webdriver::{Browser, DESK};
use std::path::Path;

fn main() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery#wiring"));
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/page.png");
    browser.picture(&file, false);
    println!("{} written", file.display());
}
