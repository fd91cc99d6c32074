//! How long a reading takes from its entry to verdict, ranking and next reading on the screen.
//!
//! Rerun: `cargo run --release -p windfall --example entry_latency` (Debian's chromium and chromedriver must be installed). Serves the
//! creamery find, thirty-two readings, on this machine; types ten further ones into headless Chromium, one after another, and begins anew
//! from the sheet as it was, ten times. Prints the median and the 95th percentile from submit to the frame that shows them all. Aim: 95 in
//! 100 within 50 ms.

#![expect(
    clippy::expect_used,
    reason = "a measurement that cannot go on stops where it stands"
)]

mod browser;

use browser::site::{self, Site};
use browser::webdriver::{Browser, DESK};
use browser::{say_load, shares, spans};

/// Begins anew from the sheet so often.
const ROUNDS: usize = 10;

/// Enters readings of setup 4 in turn; each waits for the page to say that it is recorded, then for the frame that shows it, and leaves the
/// charts a second to follow, as a hand does that types the next one.
const ENTER: &str = r#"
const READINGS = [['X1:1', 'X1:N', '24.11 V'], ['X2:1', 'X2:N', '26.25 V'], ['T1:2', 'T1:3', '13.08 V'], ['T4:1.1', 'T4:1.2', '5.27 V'],
  ['T1:4', 'T1:3', '18.36 V'], ['T1:1', 'T1:4', '7.87 V'], ['X2:2', 'X2:N', '26.33 V'], ['X2:3', 'X2:N', '26.20 V'],
  ['T5:1.1', 'T5:1.2', '5.25 V'], ['T4:2.1', 'T4:2.2', '21.1 V']];
const spans = [], pause = (ms) => new Promise(r => setTimeout(r, ms));
const painted = () => new Promise(r => requestAnimationFrame(() => { const c = new MessageChannel(); c.port1.onmessage = r; c.port2.postMessage(0); }));
(async () => {
  for (const [from, to, shown] of READINGS) {
    const form = document.querySelector('form#add');
    for (const [name, value] of Object.entries({ setup: '4', from, to, shown, instrument: 'P1' })) form.elements[name].value = value;
    const start = performance.now(), recorded = new Promise(r => document.addEventListener('recorded', r, { once: true }));
    form.requestSubmit();
    await recorded; await painted();
    spans.push(performance.now() - start);
    await pause(1000);
  }
  done(spans);
})();
"#;

fn main() {
    say_load();
    let mut all = Vec::new();
    for _ in 0..ROUNDS {
        let site = Site::with(&["creamery.toml"]);
        let browser = Browser::start(DESK);
        browser.open(&site.at("/find/creamery"));
        all.extend(spans(&browser.run_until_done(ENTER)));
    }
    println!("readings entered: {}", all.len());
    for (words, span) in ["median", "95th percentile", "longest"]
        .into_iter()
        .zip(shares(all))
    {
        println!("{words}: {span:.1} ms");
    }
}
