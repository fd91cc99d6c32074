//! Killed while two threads write: every acknowledged entry is there, none stands twice, and the book verifies.
//!
//! 20 kills in the suite; `BOOK_KILLS=200 cargo test -p book --test killed` for more.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

mod common;

use book::{Book, EntryId, FindId, New, What};
use common::{Folder, at, reading, started};
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::time::Duration;

const BOOK: &str = "BOOK_TO_WRITE";

/// Not a test: what the killed process does. It writes until it is killed, and says each number that was acknowledged.
#[test]
#[ignore = "runs as the process that is killed"]
fn child() {
    let path = std::env::var(BOOK).unwrap();
    let book = Book::open(path).unwrap();
    let find = FindId(1);
    let first = 1 + book.find(find).unwrap().find.readings.len() as u32;
    std::thread::scope(|scope| {
        for thread in 0..2 {
            let book = &book;
            scope.spawn(move || {
                for n in 0.. {
                    let number = first + 2 * n + thread;
                    let key = Some(format!("k{number}"));
                    let new = New {
                        key,
                        ..New::of(find, at(1), What::put(reading(number)))
                    };
                    let entry = book.append(new).unwrap();
                    let mut out = std::io::stdout().lock();
                    writeln!(out, "\nacknowledged {} {number}", entry.id).unwrap();
                    out.flush().unwrap();
                }
            });
        }
    });
}

#[test]
fn every_acknowledged_entry_outlives_the_kill() {
    let kills: u64 = std::env::var("BOOK_KILLS").map_or(20, |n| n.parse().unwrap());
    let folder = Folder::new();
    let mut dice = fastrand::Rng::with_seed(7);
    let mut acknowledged = 0;
    for group in 0..kills.div_ceil(10) {
        let path = folder.file(&format!("{group}.sqlite"));
        started(&Book::create(&path).unwrap());
        let mut promised: BTreeSet<(u64, u32)> = BTreeSet::new();
        for _ in 0..10.min(kills - 10 * group) {
            promised.extend(killed(&path, dice.u64(0..40)));
            let book = Book::open(&path).unwrap();
            let entries = book.entries(FindId(1), EntryId(1)).unwrap();
            let numbers: Vec<u32> = book
                .find(FindId(1))
                .unwrap()
                .find
                .readings
                .iter()
                .map(|r| r.number)
                .collect();
            let there: BTreeSet<(u64, u32)> = entries
                .iter()
                .map(|e| e.id.0)
                .zip(numbers.iter().copied())
                .collect();
            assert!(
                promised.is_subset(&there),
                "lost: {:?}",
                promised.difference(&there)
            );
            assert_eq!(
                numbers.iter().collect::<BTreeSet<_>>().len(),
                entries.len(),
                "doubled"
            );
            assert_eq!(book.verify().unwrap().faults, Vec::<String>::new());
        }
        acknowledged += promised.len();
    }
    println!("{kills} kills, {acknowledged} entries acknowledged, all there");
    assert!(acknowledged as u64 >= kills);
}

/// Starts a process that writes, kills it a while after its first word, and gives what it had acknowledged.
fn killed(path: &std::path::Path, after: u64) -> Vec<(u64, u32)> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["child", "--exact", "--ignored", "--nocapture"])
        .env(BOOK, path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut told = Vec::new();
    let mut hear = |line: &str| {
        let words: Vec<&str> = line.split(' ').collect();
        if let ["acknowledged", id, number] = words[..]
            && let (Ok(id), Ok(number)) = (id.parse(), number.parse())
        {
            told.push((id, number));
            return true;
        }
        false
    };
    while !hear(&lines.next().unwrap().unwrap()) {}
    let killer = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(after));
        // SIGKILL: nothing is put away.
        child.kill().unwrap();
        child.wait().unwrap();
    });
    // A last line cut off by the kill may lack its end: then its number is no promise.
    let all: Vec<String> = lines.map_while(Result::ok).collect();
    killer.join().unwrap();
    for line in &all[..all.len().saturating_sub(1)] {
        hear(line);
    }
    told
}
