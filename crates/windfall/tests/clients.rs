//! Many clients write into one find of a book at once, some send twice: nothing is lost and nothing is there twice.
//!
//! 8 clients with 12 readings each in the suite. The whole run, with the time an answer takes, after a release build:
//! `CLIENT_READINGS=500 cargo test --release -p windfall --test clients -- --nocapture`.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test may stop here"
)]

#[path = "browser/site.rs"]
#[expect(
    dead_code,
    reason = "shared with the browser tests, which use the rest"
)]
mod site;

use site::Site;
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::Command;
use std::time::{Duration, Instant};

const CLIENTS: usize = 8;

/// One kept connection to the page.
struct Client {
    stream: BufReader<TcpStream>,
    host: String,
}

impl Client {
    fn new(port: u16) -> Self {
        let stream = TcpStream::connect(("127.0.0.1", port)).expect("the page answers");
        Self {
            stream: BufReader::new(stream),
            host: format!("127.0.0.1:{port}"),
        }
    }

    /// Posts a form: the status, and where it leads.
    fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> (u16, String) {
        let escape = |text: &str| -> String {
            text.bytes()
                .map(|byte| {
                    if byte.is_ascii_alphanumeric() {
                        char::from(byte).to_string()
                    } else {
                        format!("%{byte:02X}")
                    }
                })
                .collect()
        };
        let body: Vec<String> = fields
            .iter()
            .map(|(name, value)| format!("{}={}", escape(name), escape(value)))
            .collect();
        let body = body.join("&");
        let request = format!(
            "POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            body.len(),
            host = self.host
        );
        self.stream.get_mut().write_all(request.as_bytes()).unwrap();
        let mut line = String::new();
        self.stream.read_line(&mut line).unwrap();
        let status = line.split(' ').nth(1).and_then(|s| s.parse().ok());
        let (mut length, mut location) = (0, String::new());
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line).unwrap();
            let Some((name, value)) = line.trim().split_once(": ") else {
                break;
            };
            match name.to_lowercase().as_str() {
                "content-length" => length = value.parse().unwrap(),
                "location" => location = value.to_owned(),
                _ => {}
            }
        }
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body).unwrap();
        (status.expect("a status line"), location)
    }
}

#[test]
fn many_clients_lose_nothing_and_double_nothing() {
    let each: usize = std::env::var("CLIENT_READINGS").map_or(12, |n| n.parse().unwrap());
    let site = Site::of_new_book();
    let port = site.port();
    let start = [
        ("name", "Creamery"),
        ("text", "2 kVA 230 V"),
        ("arrangement", "transformer"),
    ];
    let (status, find) = Client::new(port).post("/start", &start);
    assert_eq!(status, 303, "{find}");
    let first = [
        ("setup", "new"),
        ("feed", "nothing"),
        ("from", "T1:1.1"),
        ("to", "T1:1.2"),
        ("shown", "1.5 Ω"),
    ];
    let (status, to) = Client::new(port).post(&format!("{find}/reading"), &first);
    assert_eq!(status, 303, "{to}");
    let told: Vec<(u32, Duration)> = std::thread::scope(|scope| {
        let find = &find;
        let clients: Vec<_> = (0..CLIENTS)
            .map(|client| scope.spawn(move || write(port, find, client, each)))
            .collect();
        let all = clients
            .into_iter()
            .flat_map(|client| client.join().unwrap());
        all.collect()
    });
    let numbers: BTreeSet<u32> = told.iter().map(|(number, _)| *number).collect();
    assert_eq!(numbers.len(), CLIENTS * each, "a number was given twice");
    let book = site.folder.path().join("book.sqlite");
    let sheet = windfall(&["book", "export", "1", "--book", book.to_str().unwrap()]);
    let stands: BTreeSet<u32> = sheet::read(&sheet)
        .unwrap()
        .readings
        .iter()
        .map(|r| r.number)
        .collect();
    assert_eq!(stands.len(), numbers.len() + 1);
    assert!(stands.is_superset(&numbers));
    windfall(&["book", "verify", "--book", book.to_str().unwrap()]);
    let mut spans: Vec<Duration> = told.into_iter().map(|(_, span)| span).collect();
    spans.sort();
    let at = |share: f64| spans[((spans.len() - 1) as f64 * share) as usize];
    println!(
        "{} readings by {CLIENTS} clients: median {:.1?}, 99th percentile {:.1?}, longest {:.1?}",
        spans.len(),
        at(0.5),
        at(0.99),
        at(1.0)
    );
}

/// Writes readings, every fifth sent twice under its key.
fn write(port: u16, find: &str, client: usize, each: usize) -> Vec<(u32, Duration)> {
    let mut page = Client::new(port);
    let path = format!("{find}/reading");
    let mut told = Vec::new();
    for n in 0..each {
        let shown = format!("{}.{} Ω", 1 + client, n % 10);
        let key = format!("{client}-{n}");
        let form = [
            ("setup", "1"),
            ("from", "T1:1.1"),
            ("to", "T1:1.2"),
            ("measured", "resistance"),
            ("shown", &shown),
            ("key", &key),
        ];
        let begun = Instant::now();
        let (status, to) = page.post(&path, &form);
        let span = begun.elapsed();
        assert_eq!(status, 303, "{shown}");
        let number = |to: &str| {
            to.split(['=', '#'])
                .nth(1)
                .and_then(|n| n.parse().ok())
                .expect("a number")
        };
        let given: u32 = number(&to);
        if n % 5 == 0 {
            let (_, again) = page.post(&path, &form);
            assert_eq!(number(&again), given, "sent twice, written twice");
        }
        told.push((given, span));
    }
    told
}

fn windfall(words: &[&str]) -> String {
    let out = Command::new(env!("CARGO_BIN_EXE_windfall"))
        .args(words)
        .output()
        .expect("the program runs");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    String::from_utf8(out.stdout).unwrap()
}
