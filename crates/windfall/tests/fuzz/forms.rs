//! The forms over HTTP: damaged bodies and addresses against the real program. It may refuse; it may not fail or fall silent.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use crate::damage::Corpus;

/// The sheet is put back as it was after so many, so that what was taken does not pile up.
const PUT_BACK: u64 = 25;
const SHEET: &str = "two-winding.toml";

/// Address and form, as the pages send them.
const REQUESTS: [&str; 13] = [
    "/find/two-winding/reading setup=1&from=T1%3A1.1&to=T1%3A1.2&measured=AC+voltage&shown=230.1+V&instrument=P1&note=clip&at=14%3A09",
    "/find/two-winding/reading setup=new&feed=T1%3A1.1%2BT1%3A1.2&volts=24+V&source=bench+supply&from=T1%3A2.1&to=T1%3A2.2&shown=12.1+V&joined=T1%3A2.1%2BT1%3A2.2&lifted=T1%3A1.1&open=F1",
    "/find/two-winding/reading?parts shown=3.1&setup=1",
    "/find/two-winding/strike number=1&reason=clip+slipped",
    "/find/two-winding/keep number=1",
    "/find/two-winding/tagged on=shed",
    "/search?words=booster+24 ",
    "/?tag=shed&page=2 ",
    "/find/two-winding/parts arrangement=two-winding",
    "/plate text=30+kVA%0A400+V+%C2%B120+%25",
    "/find/two-winding/live?slider=0.5&supply=230+V&load=1+kVA ",
    "/find/two-winding?said=1&as=2&setup=1&from=T1%3A1.1 ",
    "/plate?text=3%7E+400+V+4%3F+A ",
];

struct Served {
    folder: PathBuf,
    sheet: String,
    address: String,
    program: Child,
}

impl Served {
    fn start() -> Self {
        let folder =
            Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fuzz-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let sheet = format!("{}/../../examples/{SHEET}", env!("CARGO_MANIFEST_DIR"));
        let sheet = std::fs::read_to_string(sheet).unwrap();
        std::fs::write(folder.join(SHEET), &sheet).unwrap();
        let mut program = Command::new(env!("CARGO_BIN_EXE_windfall"))
            .args(["serve", "--port", "0", "--no-open", "--folder"])
            .arg(&folder)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut url = String::new();
        BufReader::new(program.stdout.take().unwrap())
            .read_line(&mut url)
            .unwrap();
        let address = url
            .trim()
            .trim_start_matches("http://")
            .trim_end_matches('/')
            .to_owned();
        Self {
            folder,
            sheet,
            address,
            program,
        }
    }

    /// The status of the answer; `None` when there was none.
    fn send(&self, path: &str, form: &[u8]) -> Option<u16> {
        let method = if form.is_empty() { "GET" } else { "POST" };
        let mut stream = TcpStream::connect(&self.address).ok()?;
        stream
            .set_read_timeout(Some(Duration::from_secs(120)))
            .ok()?;
        let head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n",
            self.address,
            form.len()
        );
        stream.write_all(&[head.as_bytes(), form].concat()).ok()?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).ok()?;
        String::from_utf8_lossy(&answer)
            .split(' ')
            .nth(1)?
            .parse()
            .ok()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// Sends damaged forms and addresses.
pub(crate) fn run(seed: u64, goes_on: &mut dyn FnMut(u64) -> bool) {
    let served = Served::start();
    let mut corpus = Corpus::new(REQUESTS.map(str::to_owned).to_vec(), seed);
    let (mut done, mut taken) = (0_u64, 0_u64);
    while goes_on(done) {
        let bytes = corpus.damaged();
        let space = bytes.iter().position(|b| *b == b' ').unwrap_or(bytes.len());
        let (path, form) = bytes.split_at(space);
        // The address stays one: what is no request at all is another test's affair.
        let path: String = path
            .iter()
            .filter(|b| b.is_ascii_graphic())
            .map(|b| char::from(*b))
            .collect();
        let path = if path.starts_with('/') {
            path
        } else {
            format!("/{path}")
        };
        let status = served.send(&path, form.get(1..).unwrap_or_default());
        let input = String::from_utf8_lossy(&bytes);
        match status {
            Some(status) if status < 400 => {
                taken += 1;
                corpus.keep(input.into_owned());
            }
            Some(status) if status < 500 => {}
            other => panic!("forms, seed {seed}, execution {done}: {other:?} to {input:?}"),
        }
        done += 1;
        if done % PUT_BACK == 0 {
            std::fs::write(served.folder.join(SHEET), &served.sheet).unwrap();
        }
    }
    println!("forms: {done} executions, {taken} taken, the rest refused in words");
}
