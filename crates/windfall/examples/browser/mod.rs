//! What the examples that drive a browser share: the page served, the browser, and what is said of spans of time.

#[path = "../../tests/browser/site.rs"]
#[expect(
    dead_code,
    reason = "shared with the browser tests, which use the rest"
)]
pub(crate) mod site;
#[path = "../../tests/browser/webdriver.rs"]
#[expect(
    dead_code,
    reason = "shared with the browser tests, which use the rest"
)]
pub(crate) mod webdriver;

/// Says how busy the machine is, where the system knows: a figure taken while others build says little.
#[allow(dead_code, reason = "a picture measures nothing")]
pub(crate) fn say_load() {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!(
        "load of the machine over the last minute: {}",
        load.split(' ').next().unwrap_or("unknown")
    );
}

/// Milliseconds that a script handed back.
#[allow(dead_code, reason = "a picture measures nothing")]
pub(crate) fn spans(told: &serde_json::Value) -> Vec<f64> {
    let all = told.as_array().into_iter().flatten();
    all.filter_map(serde_json::Value::as_f64).collect()
}

/// Median, 95th percentile and longest of some spans.
#[allow(dead_code, reason = "a picture measures nothing")]
pub(crate) fn shares(mut spans: Vec<f64>) -> [f64; 3] {
    spans.sort_by(f64::total_cmp);
    let last = spans.len().saturating_sub(1) as f64;
    [0.5, 0.95, 1.0].map(|share| {
        let at = (share * last).round() as usize;
        spans.get(at).copied().unwrap_or(f64::NAN)
    })
}
