//! How long the start page, a page of its list, a tag, a search and the plate's answer take over a great book, asked over HTTP.
//!
//! Rerun: `cargo run --release -p book --example speed fill great.sqlite` makes the book (1,000 finds, 100,000 readings), then
//! `cargo run --release -p windfall --example list_latency great.sqlite`. Aim: each within 50 ms.

#![expect(
    clippy::expect_used,
    reason = "a measurement that cannot go on stops where it stands"
)]

mod browser;

use browser::site;
use browser::webdriver::http;
use browser::{say_load, shares};
use std::time::Instant;

/// How often each address is asked.
const TIMES: usize = 200;

fn main() {
    say_load();
    let book = std::env::args_os().nth(1).expect("the path of a book");
    let options = page::Options {
        book: Some(book.into()),
        folder: ".".into(),
        sheet: None,
        port: 0,
        open: false,
    };
    let start = Instant::now();
    let server = page::Server::bind(&options).expect("the page is served");
    println!("begun in {:.1} ms", ms(start));
    let url = server.url();
    let port = url.trim_end_matches('/').rsplit(':').next();
    let port = port.and_then(|p| p.parse().ok()).expect("a port");
    std::thread::spawn(move || server.run());
    for path in [
        "/",
        "/?page=50",
        "/?tag=shed",
        "/search?words=find+777",
        "/search?words=booster+second",
        "/plate?text=30+kVA+400+V",
        "/plate?parts&text=30+kVA+400+V",
    ] {
        let (status, first) = http(port, "GET", path, &[], "");
        assert_eq!(status, 200, "{path}");
        let ask = |_| {
            let start = Instant::now();
            http(port, "GET", path, &[], "");
            ms(start)
        };
        let [median, high, longest] = shares((0..TIMES).map(ask).collect());
        println!(
            "{path}: {} kB, median {median:.1} ms, 95th percentile {high:.1} ms, longest {longest:.1} ms",
            first.len() / 1000
        );
    }
}

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1000.0
}
