//! The real binary: readings out of a sheet and into it as rows, completions, the manual page.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot run the binary fails"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn windfall(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windfall"))
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).unwrap()
}

fn err(output: &Output) -> &str {
    std::str::from_utf8(&output.stderr).unwrap()
}

/// A folder of its own, with a worked sheet in it and the same without its readings.
fn fresh(name: &str) -> (PathBuf, String, String) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("readings-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/creamery.toml");
    let text = std::fs::read_to_string(example).unwrap();
    let bare = text.split("[[reading]]").next().unwrap().to_owned();
    std::fs::write(folder.join("whole.toml"), &text).unwrap();
    std::fs::write(folder.join("bare.toml"), &bare).unwrap();
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (whole, bare) = (path("whole.toml"), path("bare.toml"));
    (folder, whole, bare)
}

#[test]
fn readings_go_out_and_come_in_again_the_same() {
    let (folder, whole, bare) = fresh("round");
    let rows = windfall(&["readings", &whole, "--csv"]);
    assert!(rows.status.success(), "{}", err(&rows));
    assert!(out(&rows).contains("\r\n24,"), "{}", out(&rows));
    let file = folder.join("rows.csv");
    std::fs::write(&file, &rows.stdout).unwrap();
    let added = windfall(&["readings", &bare, "--add", file.to_str().unwrap()]);
    assert!(added.status.success(), "{}", err(&added));
    assert!(
        out(&added).starts_with("32 readings added to "),
        "{}",
        out(&added)
    );
    let [before, after] = [&whole, &bare].map(|p| windfall(&["readings", p, "--json"]));
    assert_eq!(out(&before), out(&after));
    let recorded: serde_json::Value = serde_json::from_slice(&after.stdout).unwrap();
    assert_eq!(recorded.as_array().unwrap().len(), 32);
    // Nothing but the sheets and the rows is left behind.
    assert_eq!(std::fs::read_dir(folder).unwrap().count(), 3);
}

#[test]
fn a_wrong_row_leaves_the_sheet_as_it_was() {
    let (folder, whole, _) = fresh("wrong");
    let before = std::fs::read_to_string(&whole).unwrap();
    let file = folder.join("rows.csv");
    std::fs::write(
        &file,
        "setup;from;to;shown\n1;X1:1;X1:N;230 V\n1;X1:1;X9:N;230 V\n1;X1:1;X1:N;23.0.1 V\n",
    )
    .unwrap();
    let refused = windfall(&["readings", &whole, "--add", file.to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    let told: Vec<&str> = err(&refused).lines().collect();
    assert_eq!(told.len(), 2, "{}", err(&refused));
    assert!(
        told[0].contains("rows.csv: line 3, column 8, field `to`: "),
        "{}",
        told[0]
    );
    assert!(told[1].contains("rows.csv: line 4, column "), "{}", told[1]);
    assert_eq!(std::fs::read_to_string(&whole).unwrap(), before);
}

/// The shell itself reads what completes it; `bash -n` reads without running.
#[test]
fn completions_are_in_the_shells_own_words() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let given = windfall(&["completions", shell]);
        assert!(given.status.success(), "{shell}: {}", err(&given));
        for word in ["windfall", "readings", "predict"] {
            assert!(out(&given).contains(word), "{shell}: {word}");
        }
    }
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("windfall.bash");
    std::fs::write(&file, windfall(&["completions", "bash"]).stdout).unwrap();
    let read = Command::new("bash").arg("-n").arg(&file).output().unwrap();
    assert!(read.status.success(), "{}", err(&read));
    assert_eq!(
        windfall(&["completions", "no-such-shell"]).status.code(),
        Some(2)
    );
}

#[test]
fn the_manual_page_has_every_command_with_its_options() {
    let page = windfall(&["manual"]);
    assert!(out(&page).contains(".TH windfall 1"), "{}", out(&page));
    let help = windfall(&["--help"]);
    let commands = out(&help)
        .split("Commands:")
        .nth(1)
        .unwrap()
        .split("Options:")
        .next()
        .unwrap();
    let names: Vec<&str> = commands
        .lines()
        .filter_map(|l| l.strip_prefix("  ")?.split(' ').next())
        .filter(|n| !n.is_empty() && *n != "help")
        .collect();
    assert!(names.len() > 12, "{names:?}");
    for name in names {
        assert!(
            out(&page).contains(&format!(".SH {}\n", name.to_uppercase())),
            "{name}"
        );
    }
    for words in ["\\-\\-slider", "\\-\\-find", "\\-\\-book", "Exit codes"] {
        assert!(out(&page).contains(words), "{words}");
    }
}

/// Every command that tells something tells it to programs too.
#[test]
fn what_is_told_is_told_as_json_too() {
    let (folder, whole, _) = fresh("json");
    let report = folder.join("r.html");
    let started = folder.join("new.toml");
    let demo = folder.join("demo");
    for arguments in [
        vec!["plate", "30 kVA 400 V 50 Hz", "--json"],
        vec!["new", "--json"],
        vec![
            "new",
            "transformer",
            "--out",
            started.to_str().unwrap(),
            "--json",
        ],
        vec!["check", &whole, "--json"],
        vec!["next", &whole, "--json"],
        vec!["predict", &whole, "--json"],
        vec!["readings", &whole, "--json"],
        vec![
            "report",
            &whole,
            "--out",
            report.to_str().unwrap(),
            "--json",
        ],
        vec!["demo", "--out", demo.to_str().unwrap(), "--json"],
        vec!["schema"],
    ] {
        let given = windfall(&arguments);
        let read: Result<serde_json::Value, _> = serde_json::from_slice(&given.stdout);
        assert!(
            read.is_ok(),
            "{arguments:?}: {}{}",
            out(&given),
            err(&given)
        );
    }
    assert!(report.exists() && started.exists() && demo.join("creamery.html").exists());
}
