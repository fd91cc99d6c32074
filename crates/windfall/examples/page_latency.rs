//! How long a dragged slider takes to be seen: from the input event to the frame that shows the values the server reckoned for it.
//!
//! Rerun: `cargo run --release -p windfall --example page_latency` (Debian's chromium and chromedriver must be installed). Serves the
//! creamery find on this machine, moves the handle in headless Chromium through its whole travel, once every 80 ms as a slow hand
//! does and then as fast as frames come, and prints the median and the 95th percentile. Aim: 95 in 100 within 50 ms.

#![expect(
    clippy::expect_used,
    reason = "a measurement that cannot go on stops where it stands"
)]

mod browser;

use browser::site::{self, Site};
use browser::webdriver::{Browser, DESK};
use browser::{say_load, shares, spans};

/// Moves the handle, waits until the page says that the values follow, then for the frame that shows them: the task after the next
/// animation frame runs when that frame has been handed to the screen.
const SLOW: &str = r#"
const handle = document.querySelector('.slidebox input'), spans = [];
const painted = () => new Promise(r => requestAnimationFrame(() => { const c = new MessageChannel(); c.port1.onmessage = r; c.port2.postMessage(0); }));
const followed = () => new Promise(r => document.addEventListener('followed', r, {once: true}));
(async () => {
  for (let n = 0; n < 220; n++) {
    handle.value = String((n % 100) / 100);
    const start = performance.now(), seen = followed();
    handle.dispatchEvent(new Event('input', {bubbles: true}));
    await seen; await painted();
    if (n >= 20) spans.push(performance.now() - start);
    await new Promise(r => setTimeout(r, PAUSE));
  }
  done(spans);
})();
"#;

fn main() {
    say_load();
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    for (words, pause) in [
        ("a slow hand, one move every 80 ms", "80"),
        ("one move after another", "0"),
    ] {
        let moves = spans(&browser.run_until_done(&SLOW.replace("PAUSE", pause)));
        let count = moves.len();
        let [median, high, longest] = shares(moves);
        println!(
            "{words}: {count} moves, median {median:.1} ms, 95th percentile {high:.1} ms, longest {longest:.1} ms"
        );
    }
    let load = browser.run_until_done("const start = performance.now(); fetch('/find/creamery/travel?slider=0.5&supply=400&load=30000').then(r => r.text()).then(() => done(performance.now() - start));");
    println!(
        "travel charts at another supply and load: {:.1} ms",
        load.as_f64().unwrap_or(f64::NAN)
    );
}
