//! How long a dragged slider takes to be seen: from the input event to the frame that shows the values the server reckoned for it.
//!
//! Rerun: `cargo run --release -p windfall --example page_latency` (Debian's chromium and chromedriver must be installed). Serves the
//! creamery find on this machine, moves the handle in headless Chromium through its whole travel, once every 80 ms as a slow hand
//! does and then as fast as frames come, and prints the median and the 95th percentile. Aim: 95 in 100 within 50 ms.

#![expect(
    clippy::expect_used,
    reason = "a measurement that cannot go on stops where it stands"
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
use webdriver::{Browser, DESK};

/// How busy the machine is, where the system says: a figure taken while others build says little.
fn load() -> String {
    std::fs::read_to_string("/proc/loadavg").map_or_else(
        |_| "unknown".to_owned(),
        |t| t.split(' ').next().unwrap_or_default().to_owned(),
    )
}

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
    println!("load of the machine over the last minute: {}", load());
    let site = Site::with(&["creamery.toml"]);
    let browser = Browser::start(DESK);
    browser.open(&site.at("/find/creamery"));
    for (words, pause) in [
        ("a slow hand, one move every 80 ms", "80"),
        ("one move after another", "0"),
    ] {
        let spans = browser.run_until_done(&SLOW.replace("PAUSE", pause));
        let mut spans: Vec<f64> = spans
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(serde_json::Value::as_f64)
            .collect();
        spans.sort_by(f64::total_cmp);
        let at = |share: f64| {
            spans
                .get((share * (spans.len().saturating_sub(1)) as f64).round() as usize)
                .copied()
                .unwrap_or(f64::NAN)
        };
        println!(
            "{words}: {} moves, median {:.1} ms, 95th percentile {:.1} ms, longest {:.1} ms",
            spans.len(),
            at(0.5),
            at(0.95),
            at(1.0)
        );
    }
    let load = browser.run_until_done("const start = performance.now(); fetch('/find/creamery/travel?slider=0.5&supply=400&load=30000').then(r => r.text()).then(() => done(performance.now() - start));");
    println!(
        "travel charts at another supply and load: {:.1} ms",
        load.as_f64().unwrap_or(f64::NAN)
    );
}
