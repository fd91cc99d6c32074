//! Readers of what comes from outside, fed with damaged input: a deterministic loop over a small kept corpus, on stable Rust.
//!
//! The short runs belong to the suite; the long one is a command of its own:
//! `FUZZ_SECONDS=3600 cargo test -p windfall --test fuzz -- --ignored --nocapture`. A finding prints its input, escaped, and its seed.

#![expect(
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on stops where it stands"
)]

mod damage;
mod forms;
mod texts;

use std::time::{Duration, Instant};

/// Executions of each reader in the suite: a second or two.
const SHORT: u64 = 1500;

#[test]
fn damaged_sheets_are_read_or_refused() {
    run(
        "sheet",
        &texts::sheets(),
        texts::sheet,
        1,
        &mut until(SHORT),
    );
}

#[test]
fn damaged_quantities_are_read_or_refused() {
    let many = SHORT * 20;
    run(
        "quantity",
        &texts::quantities(),
        texts::quantity,
        2,
        &mut until(many),
    );
}

#[test]
fn damaged_tables_are_read_or_refused() {
    let find = texts::creamery();
    let target = |text: &str| texts::table(text, &find);
    run("table", &texts::tables(&find), target, 3, &mut until(SHORT));
}

#[test]
fn damaged_forms_are_answered() {
    forms::run(4, &mut until(200));
}

#[test]
#[ignore = "as long as FUZZ_SECONDS says"]
fn long_run() {
    let seconds = std::env::var("FUZZ_SECONDS")
        .ok()
        .and_then(|s| s.parse().ok());
    let share = Duration::from_secs(seconds.unwrap_or(60)) / 4;
    let find = texts::creamery();
    let table = |text: &str| texts::table(text, &find);
    // A seed of its own for every run, said with it.
    let seed = std::env::var("FUZZ_SEED")
        .ok()
        .and_then(|s| s.parse().ok())
        .unwrap_or(1000);
    let timed = || {
        let end = Instant::now() + share;
        move |_: u64| Instant::now() < end
    };
    println!("seed {seed}, {share:?} each");
    run("sheet", &texts::sheets(), texts::sheet, seed, &mut timed());
    run(
        "quantity",
        &texts::quantities(),
        texts::quantity,
        seed,
        &mut timed(),
    );
    run("table", &texts::tables(&find), table, seed, &mut timed());
    forms::run(seed, &mut timed());
}

fn until(executions: u64) -> impl FnMut(u64) -> bool {
    move |done| done < executions
}

/// Feeds damaged texts to a reader, which says whether it took one; fails at the first that brings it down.
fn run(
    what: &str,
    corpus: &[String],
    reader: impl Fn(&str) -> bool,
    seed: u64,
    goes_on: &mut dyn FnMut(u64) -> bool,
) {
    let mut corpus = damage::Corpus::new(corpus.to_vec(), seed);
    let (mut done, mut taken) = (0, 0_u64);
    while goes_on(done) {
        let text = String::from_utf8_lossy(&corpus.damaged()).into_owned();
        let read = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| reader(&text)));
        match read {
            Ok(true) => {
                taken += 1;
                corpus.keep(text);
            }
            Ok(false) => {}
            Err(_) => panic!("{what}, seed {seed}, execution {done}: brought down by {text:?}"),
        }
        done += 1;
    }
    println!("{what}: {done} executions, {taken} taken, the rest refused in words");
}
