//! What may befall a book while it is served: killed, full, not to be written, cut short, the clock set back, another program in it. Nothing
//! acknowledged is lost, and the person reads on the page and at the command line what is wrong and what to do.
//!
//! Meters of these troubles are the system's own programs: `prlimit`, and for the super-user `setpriv`, both of every Debian.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test may stop here"
)]

mod killed;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

const FIND: &str = "/find/stabilizer-from-the-creamery";
const READ: &str = "setup=4&instrument=P1&from=X1%3A1&to=X1%3AN&measured=AC+voltage&unit=V";

/// A fresh folder that anybody may write in, with a book of the creamery's find.
fn creamery(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("trouble-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let book = folder.join("book.sqlite");
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/creamery.toml");
    let imported = windfall(&["book", "import", example.to_str().unwrap()], &book);
    assert!(imported.status.success(), "{}", told(&imported));
    book
}

/// Runs the program on a book.
fn windfall(words: &[&str], book: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windfall"));
    let command = command.args(words).arg("--book").arg(book);
    command.stdin(Stdio::null()).output().unwrap()
}

fn told(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn exported(book: &Path) -> gear::Find {
    let sheet = windfall(&["book", "export", "1"], book);
    assert!(sheet.status.success(), "{}", told(&sheet));
    sheet::read(&String::from_utf8(sheet.stdout).unwrap()).expect("a sound sheet")
}

fn is_sound(book: &Path) {
    let verified = windfall(&["book", "verify"], book);
    assert!(verified.status.success(), "{}", told(&verified));
}

/// The program serving a book, behind other words where those limit it.
struct Served {
    child: Child,
    port: u16,
}

impl Served {
    fn of(book: &Path, before: &[&str]) -> Self {
        let program = [env!("CARGO_BIN_EXE_windfall")];
        let serve = ["serve", "--no-open", "--port", "0", "--book"];
        let words: Vec<&str> = before
            .iter()
            .chain(&program)
            .chain(&serve)
            .copied()
            .collect();
        let mut command = Command::new(words[0]);
        let command = command.args(&words[1..]).arg(book).stdin(Stdio::null());
        let mut child = command.stdout(Stdio::piped()).spawn().expect("it starts");
        let mut address = String::new();
        let mut output = BufReader::new(child.stdout.take().unwrap());
        output.read_line(&mut address).unwrap();
        let port = address.trim().trim_end_matches('/').rsplit(':').next();
        let port = port.and_then(|p| p.parse().ok()).expect("an address");
        Self { child, port }
    }

    /// Posts a form: status, where it leads, and the words of the page. An error where the program is gone.
    fn post(&self, path: &str, body: &str) -> std::io::Result<(u16, String, String)> {
        let form = "Content-Type: application/x-www-form-urlencoded";
        self.ask(
            &format!(
                "POST {FIND}{path} HTTP/1.1\r\n{form}\r\nContent-Length: {}",
                body.len()
            ),
            body,
        )
    }

    fn page(&self, path: &str) -> String {
        self.ask(&format!("GET {FIND}{path} HTTP/1.1"), "")
            .unwrap()
            .2
    }

    fn ask(&self, head: &str, body: &str) -> std::io::Result<(u16, String, String)> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        write!(
            stream,
            "{head}\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n\r\n{body}",
            self.port
        )?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer)?;
        let (head, page) = answer
            .split_once("\r\n\r\n")
            .ok_or(std::io::ErrorKind::UnexpectedEof)?;
        let status = head
            .split(' ')
            .nth(1)
            .and_then(|s| s.parse().ok())
            .unwrap_or(0);
        let to = head
            .lines()
            .find_map(|l| l.strip_prefix("location: "))
            .unwrap_or_default();
        Ok((status, to.to_owned(), page.to_owned()))
    }

    /// The number of a reading that was acknowledged.
    fn reads(&self, more: &str) -> std::io::Result<u32> {
        let (status, to, page) = self.post("/bench/reading", &format!("{READ}{more}"))?;
        assert_eq!(status, 303, "{page}");
        let number = to.split("said=").nth(1).and_then(|n| n.parse().ok());
        Ok(number.expect("where it leads says the number"))
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Words that let what follows write no file beyond these bytes, and be told so rather than ended.
fn limited(bytes: u64) -> [String; 4] {
    let script = format!("trap '' XFSZ; exec prlimit --fsize={bytes}:unlimited \"$@\"");
    ["sh".to_owned(), "-c".to_owned(), script, "sh".to_owned()]
}

#[test]
fn a_full_disk_is_told_and_what_was_acknowledged_stands() {
    let book = creamery("full");
    let limit = std::fs::metadata(&book).unwrap().len() + 60_000;
    let words = limited(limit);
    let served = Served::of(&book, &words.each_ref().map(String::as_str));
    let note = "x".repeat(1800);
    let mut acknowledged = Vec::new();
    let refusal = loop {
        let shown = format!("24.{:03}", acknowledged.len());
        let (status, to, page) = served
            .post("/reading", &format!("{READ}&shown={shown}&note={note}"))
            .unwrap();
        assert!(acknowledged.len() < 200, "the limit is never met");
        match status {
            303 => acknowledged.push(shown),
            500 => break page,
            other => panic!("{other} {to} {page}"),
        }
    };
    assert!(!acknowledged.is_empty());
    for words in ["nothing was written", "look at the disk", "go back"] {
        assert!(refusal.contains(words), "{refusal}");
    }
    assert!(
        served.page("").contains("reading-32"),
        "it can still be read"
    );
    // Room is made, and it goes on without being started anew.
    let pid = served.child.id().to_string();
    let lifted = Command::new("prlimit")
        .args(["--fsize=unlimited:unlimited", "--pid", &pid])
        .status();
    assert!(lifted.unwrap().success());
    served.reads("&shown=25.000").unwrap();
    let shown: Vec<String> = exported(&book)
        .readings
        .iter()
        .filter_map(|r| Some(r.shown.as_ref()?.text().to_owned()))
        .collect();
    for wanted in acknowledged.iter().map(String::as_str).chain(["25.000"]) {
        assert!(shown.contains(&format!("{wanted} V")), "{wanted} is gone");
    }
    is_sound(&book);
}

/// Words that keep what follows from the rights of the super-user, whom no file's rights keep out; none where the test has no such rights.
fn without_rights() -> &'static [&'static str] {
    let id = Command::new("id").arg("-u").output().unwrap();
    if id.stdout == b"0\n" {
        &[
            "setpriv",
            "--reuid=65534",
            "--clear-groups",
            "--inh-caps=-all",
        ]
    } else {
        &[]
    }
}

#[test]
fn a_book_that_may_not_be_written_is_shown_and_says_so() {
    use std::os::unix::fs::PermissionsExt;
    let book = creamery("read-only");
    let before = std::fs::read(&book).unwrap();
    std::fs::set_permissions(&book, std::fs::Permissions::from_mode(0o444)).unwrap();
    std::fs::set_permissions(
        book.parent().unwrap(),
        std::fs::Permissions::from_mode(0o777),
    )
    .unwrap();
    let served = Served::of(&book, without_rights());
    assert!(served.page("").contains("contradicts"), "it can be read");
    let (status, _, page) = served
        .post("/bench/reading", &format!("{READ}&shown=24.1"))
        .unwrap();
    assert_eq!(status, 500);
    for words in [
        "can be read and not written",
        "nothing was written",
        "right to write the file",
    ] {
        assert!(page.contains(words), "{page}");
    }
    drop(served);
    let rows = book.with_file_name("rows.csv");
    std::fs::write(&rows, "setup,with,from,to,shown\n4,P1,X1:1,X1:N,24.1 V\n").unwrap();
    let [find, add] = ["stabilizer-from-the-creamery", rows.to_str().unwrap()];
    let mut words = without_rights().to_vec();
    words.extend([
        env!("CARGO_BIN_EXE_windfall"),
        "readings",
        "--find",
        find,
        "--add",
        add,
        "--book",
    ]);
    let said = Command::new(words[0])
        .args(&words[1..])
        .arg(&book)
        .output()
        .unwrap();
    assert_eq!(said.status.code(), Some(2));
    assert!(
        told(&said).contains("can be read and not written"),
        "{}",
        told(&said)
    );
    assert!(
        std::fs::read(&book).unwrap() == before,
        "not a byte is another"
    );
}

#[test]
fn a_book_cut_short_is_left_as_it_is_and_says_what_to_do() {
    let book = creamery("cut-short");
    let whole = std::fs::read(&book).unwrap();
    std::fs::write(&book, &whole[..whole.len() / 2]).unwrap();
    for words in [
        &["serve", "--no-open", "--port", "0"][..],
        &["check", "--find", "1"],
        &["book", "verify"],
        &["book", "list"],
    ] {
        let said = windfall(words, &book);
        assert_eq!(said.status.code(), Some(3), "{words:?}");
        let told = told(&said);
        for part in [
            "book.sqlite: the file is cut short",
            "put it aside as it is",
            "last backup",
        ] {
            assert!(told.contains(part), "{words:?}: {told}");
        }
    }
    assert!(std::fs::read(&book).unwrap() == whole[..whole.len() / 2]);
}

#[test]
fn a_clock_set_back_changes_no_order_and_loses_nothing() {
    let book = creamery("clock");
    // What was written while the clock was far ahead.
    let ahead = book::Moment::new("2041-05-06 07:08:09".to_owned(), 2_251_436_889_000);
    let note = book::What::put("[[note]]\ntext = \"from a clock far ahead\"\n");
    let opened = book::Book::open(&book).unwrap();
    opened
        .append(book::New::of(book::FindId(1), ahead, note))
        .unwrap();
    drop(opened);
    let served = Served::of(&book, &[]);
    assert_eq!(served.reads("&shown=24.1").unwrap(), 33);
    let history = served.page("/history");
    let place = |words: &str| {
        history
            .find(words)
            .unwrap_or_else(|| panic!("{words} is not told"))
    };
    assert!(
        place("far ahead") < place("reading 33"),
        "in the order it was written, whatever the clock says"
    );
    let find = exported(&book);
    assert!(
        find.notes
            .iter()
            .any(|n| n.text == "from a clock far ahead")
    );
    assert!(find.readings.iter().any(|r| r.number == 33));
    is_sound(&book);
}

#[test]
fn two_programs_on_one_book_give_no_number_twice() {
    let book = creamery("two");
    let programs = [Served::of(&book, &[]), Served::of(&book, &[])];
    let mut numbers: Vec<u32> = std::thread::scope(|scope| {
        let write = |served: &Served| -> Vec<u32> {
            (0..8)
                .map(|n| served.reads(&format!("&shown=24.{n}")).unwrap())
                .collect()
        };
        let threads = programs
            .each_ref()
            .map(|served| scope.spawn(move || write(served)));
        threads
            .into_iter()
            .flat_map(|t| t.join().unwrap())
            .collect()
    });
    numbers.sort_unstable();
    assert_eq!(numbers, (33..49).collect::<Vec<u32>>());
    assert_eq!(exported(&book).readings.len(), 48);
    is_sound(&book);
}
