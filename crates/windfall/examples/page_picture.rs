//! Takes the README's picture of the page: the creamery find's wiring at a desk, `docs/page.png`.
//!
//! Rerun after a change of the page: `cargo run -p windfall --example page_picture` (Debian's chromium and chromedriver must be installed).

#![expect(
    clippy::expect_used,
    reason = "a picture that cannot be taken stops where it stands"
)]

#[path = "../tests/browser/site.rs"]
#[expect(
    dead_code,
    reason = "shared with the browser tests, which use the rest"
)]
mod site;
#[path = "../tests/browser/webdriver.rs"]
#[expect(
    dead_code,
    reason = "shared with the browser tests, which use the rest"
)]
mod webdriver;

use site::Site;
use std::path::Path;
use webdriver::{Browser, DESK};

fn main() {
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery#wiring"));
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/page.png");
    browser.picture(&file, false);
    println!("{} written", file.display());
}
