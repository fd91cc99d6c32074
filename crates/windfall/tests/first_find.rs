//! `docs/first-find.md` is true: its commands are run by a shell against the real binary in an empty folder, its files are written and
//! changed as it says, and what it shows is what the program answers.
//!
//! Fenced blocks: `sh` holds commands behind `$ ` with what they print, a line `...` standing for any lines; `ends=1` says how the last
//! of them that prints a verdict ends. `file=` is a file to write, `add=` a text to put at a file's end, `strike=` a reading's line.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot run the binary fails"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

struct Block {
    info: String,
    text: String,
}

fn blocks() -> Vec<Block> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/first-find.md");
    let text = std::fs::read_to_string(file).unwrap();
    let mut blocks = Vec::new();
    let mut open: Option<Block> = None;
    for line in text.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(info)) => {
                open = Some(Block {
                    info: info.to_owned(),
                    text: String::new(),
                });
            }
            (Some(_), Some(_)) => blocks.extend(open.take()),
            (Some(block), None) => {
                block.text.push_str(line);
                block.text.push('\n');
            }
            (None, None) => {}
        }
    }
    blocks
}

/// The value behind `key=` in a block's head.
fn told<'a>(block: &'a Block, key: &str) -> Option<&'a str> {
    block
        .info
        .split(' ')
        .find_map(|word| word.strip_prefix(key)?.strip_prefix('='))
}

/// Whether what was printed is what is shown; the first shown line that is missing.
fn missing(shown: &[&str], printed: &str) -> Option<String> {
    // A figure and its unit are held together by a no-break space, which nobody types.
    let printed = printed.replace('\u{a0}', " ");
    let mut lines = printed.lines().map(str::trim_end);
    let mut skip = false;
    for wanted in shown {
        if *wanted == "..." {
            skip = true;
            continue;
        }
        let found = if skip {
            lines.any(|line| line == *wanted)
        } else {
            lines.next() == Some(*wanted)
        };
        if !found {
            return Some((*wanted).to_owned());
        }
        skip = false;
    }
    let rest: Vec<&str> = lines.filter(|l| !l.is_empty()).collect();
    (!skip && !rest.is_empty()).then(|| format!("the end, before: {}", rest.join("\n")))
}

/// Runs a command line as somebody types it, the folder of the real binary being looked in first.
fn run(folder: &Path, line: &str) -> (i32, String, String) {
    let binary = Path::new(env!("CARGO_BIN_EXE_windfall"));
    let path = format!(
        "{}:{}",
        binary.parent().unwrap().display(),
        std::env::var("PATH").unwrap()
    );
    let ran = Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", path)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    (
        ran.status.code().unwrap(),
        String::from_utf8(ran.stdout).unwrap(),
        String::from_utf8(ran.stderr).unwrap(),
    )
}

/// Commands of a block with the lines shown under each.
fn commands(block: &Block) -> Vec<(&str, Vec<&str>)> {
    let mut commands: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in block.text.lines() {
        match (line.strip_prefix("$ "), commands.last_mut()) {
            (Some(command), _) => commands.push((command, Vec::new())),
            (None, Some((_, shown))) => shown.push(line.trim_end()),
            (None, None) => panic!("a block that does not begin with a command: {line}"),
        }
    }
    commands
}

/// Puts the line `struck = ...` of the block behind the `number` of the same reading.
fn strike(path: &Path, block: &Block) {
    let mut lines = block.text.lines().skip(1);
    let (number, struck) = (lines.next().unwrap(), lines.next().unwrap());
    let sheet = std::fs::read_to_string(path).unwrap();
    let head = format!("[[reading]]\n{number}\n");
    assert_eq!(sheet.matches(&head).count(), 1);
    std::fs::write(path, sheet.replace(&head, &format!("{head}{struck}\n"))).unwrap();
}

fn fresh() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("first-find");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

#[test]
fn the_first_find_goes_as_it_is_told() {
    let folder = fresh();
    let mut run_so_far = 0;
    for block in blocks() {
        if let Some(name) = told(&block, "file") {
            std::fs::write(folder.join(name), &block.text).unwrap();
        } else if let Some(name) = told(&block, "add") {
            let path = folder.join(name);
            let longer = std::fs::read_to_string(&path).unwrap() + &block.text;
            std::fs::write(path, longer).unwrap();
        } else if let Some(name) = told(&block, "strike") {
            strike(&folder.join(name), &block);
        } else {
            assert_eq!(block.info.split(' ').next(), Some("sh"), "{}", block.info);
            for (command, shown) in commands(&block) {
                let (code, out, err) = run(&folder, command);
                let ends = if command.starts_with("windfall check") {
                    told(&block, "ends").map_or(0, |n| n.parse().unwrap())
                } else {
                    0
                };
                assert_eq!(code, ends, "{command}\n{out}\n{err}");
                if let Some(line) = missing(&shown, &out) {
                    panic!("{command}\nshould print\n{line}\nbut printed\n{out}");
                }
                run_so_far += 1;
            }
        }
    }
    assert!(run_so_far >= 10, "only {run_so_far} commands were found");
    assert!(folder.join("crate.html").exists());
}

#[test]
fn the_comparison_can_fail() {
    let printed = "one\ntwo\nthree\n";
    assert_eq!(missing(&["one", "...", "three"], printed), None);
    assert_eq!(missing(&["...", "two", "..."], printed), None);
    assert_eq!(missing(&["...", "four"], printed).as_deref(), Some("four"));
    assert_eq!(missing(&["two", "..."], printed).as_deref(), Some("two"));
    assert!(missing(&["one", "two"], printed).is_some());
}
