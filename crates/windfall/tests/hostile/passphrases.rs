//! Guessing.

use crate::door::{self, Site};

/// Guesses and looks on: none gets in, the wait grows, and the machine's own door and whoever is in already notice nothing.
fn guess(times: u32) {
    let site = Site::open_to_lan(&[], &["--no-tls"]);
    let lan = site.lan();
    let right = format!("passphrase={}", door::PASSPHRASE);
    let inside = lan.send("POST", "/login", &[&lan.origin()], &right);
    let cookie = inside
        .header("set-cookie")
        .unwrap()
        .split(';')
        .next()
        .unwrap();
    let cookie = format!("Cookie: {cookie}");
    let mut waits = 0;
    let mut longest = 0_u64;
    for n in 0..times {
        let form = format!("passphrase=guess-number-{n}");
        let answer = lan.send("POST", "/login", &[&lan.origin()], &form);
        assert!(answer.header("set-cookie").is_none(), "guess {n}");
        match answer.status {
            403 => {}
            429 => {
                waits += 1;
                let after = answer.header("retry-after").unwrap().parse().unwrap();
                longest = longest.max(after);
            }
            other => panic!("guess {n}: {other}"),
        }
        if n % 50 == 0 {
            assert_eq!(site.own().get("/").status, 200);
            assert_eq!(lan.send("GET", "/", &[&cookie], "").status, 200);
        }
    }
    // However fast they come, few are looked at: three for nothing, then after 1, 2, 4 ... seconds.
    assert!(waits > times / 2, "{waits} of {times} were made to wait");
    assert!(longest >= 1);
    assert_eq!(site.own().get("/").status, 200);
}

#[test]
fn two_hundred_guesses_get_nobody_in_and_lock_nobody_out() {
    guess(200);
}

#[test]
#[ignore = "ten thousand guesses: a minute or so; cargo test -p windfall --test hostile -- --ignored"]
fn ten_thousand_guesses_get_nobody_in_and_lock_nobody_out() {
    guess(10_000);
}

#[test]
fn without_a_passphrase_nothing_is_opened() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join(format!("hostile-bare-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let serve = |passphrase: Option<&str>| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_windfall"));
        command
            .args([
                "serve",
                "--no-open",
                "--port",
                "0",
                "--lan",
                "--lan-address",
                "127.0.0.2",
                "--folder",
            ])
            .arg(&folder)
            .env_remove("WINDFALL_PASSPHRASE")
            .stdin(std::process::Stdio::null());
        if let Some(words) = passphrase {
            command.env("WINDFALL_PASSPHRASE", words);
        }
        command.output().unwrap()
    };
    let said = |output: std::process::Output| {
        assert_eq!(output.status.code(), Some(2));
        String::from_utf8(output.stderr).unwrap()
    };
    assert!(said(serve(None)).contains("no passphrase is set"));
    assert!(said(serve(Some("short"))).contains("at least 10 letters"));
    let _ = std::fs::remove_dir_all(&folder);
}
