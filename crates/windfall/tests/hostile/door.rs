//! The real program with a folder of its own, and its doors.

use std::io::{BufRead, BufReader};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

use crate::wire::{self, Answer};

/// The owner's.
pub(crate) const PASSPHRASE: &str = "seven-copper-turns";
/// Stands for the network: this machine under another of its addresses.
const LAN: Ipv4Addr = Ipv4Addr::new(127, 0, 0, 2);

static NEXT: AtomicU32 = AtomicU32::new(0);

/// A folder of its own.
fn fresh_folder() -> PathBuf {
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join(format!("hostile-{}-{number}", std::process::id()))
        .join("finds");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// A program that serves a folder.
pub(crate) struct Site {
    folder: PathBuf,
    port: u16,
    said: String,
    program: Child,
}

impl Site {
    /// On loopback only, with these of the examples.
    pub(crate) fn open(examples: &[&str]) -> Self {
        Self::with(examples, &[], &[])
    }

    /// Open to the network as well.
    pub(crate) fn open_to_lan(examples: &[&str], more: &[&str]) -> Self {
        let lan = ["--lan", "--lan-address", "127.0.0.2"];
        Self::with(examples, &[], &[&lan, more].concat())
    }

    /// On loopback only, these of the examples in a book.
    pub(crate) fn of_book(examples: &[&str]) -> Self {
        let (folder, book) = (fresh_folder(), "book.sqlite");
        let examples = examples
            .iter()
            .map(|name| format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR")));
        let imported = Command::new(env!("CARGO_BIN_EXE_windfall"))
            .args(["book", "import", "--book", book])
            .args(examples)
            .current_dir(&folder)
            .output()
            .expect("the program runs");
        assert!(imported.status.success(), "{imported:?}");
        Self::serving(folder, &["--book", book], &[])
    }

    /// With sheets of a stranger's too.
    pub(crate) fn with(examples: &[&str], sheets: &[(&str, &str)], more: &[&str]) -> Self {
        let folder = fresh_folder();
        for name in examples {
            let from = format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR"));
            std::fs::copy(from, folder.join(name)).unwrap();
        }
        for (name, text) in sheets {
            std::fs::write(folder.join(name), text).unwrap();
        }
        Self::serving(folder, &["--folder", "."], more)
    }

    fn serving(folder: PathBuf, kept: &[&str], more: &[&str]) -> Self {
        let mut program = Command::new(env!("CARGO_BIN_EXE_windfall"))
            .args(["serve", "--port", "0", "--no-open"])
            .args(kept)
            .args(more)
            .current_dir(&folder)
            .env("WINDFALL_PASSPHRASE", PASSPHRASE)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut lines = BufReader::new(program.stdout.take().unwrap()).lines();
        let url = lines.next().expect("an address").unwrap();
        let port = url
            .trim_end_matches('/')
            .rsplit(':')
            .next()
            .unwrap()
            .parse();
        let mut said = String::new();
        if more.contains(&"--lan") {
            // The last line is the fingerprint, or the warning that there is none.
            for line in lines.by_ref() {
                let line = line.unwrap();
                said += &line;
                said.push('\n');
                if line.starts_with("WARNING") || line.trim().len() == 95 {
                    break;
                }
            }
        }
        std::thread::spawn(move || lines.for_each(drop));
        Self {
            folder,
            port: port.expect("a port"),
            said,
            program,
        }
    }

    /// Its folder of sheets.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// This machine's own door.
    pub(crate) fn own(&self) -> Door {
        Door(SocketAddr::from((Ipv4Addr::LOCALHOST, self.port)))
    }

    /// The network's.
    pub(crate) fn lan(&self) -> Door {
        Door(SocketAddr::from((LAN, self.port)))
    }

    /// The fingerprint the terminal showed.
    pub(crate) fn fingerprint(&self) -> String {
        self.said
            .trim_end()
            .lines()
            .last()
            .unwrap()
            .trim()
            .to_owned()
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let _ = std::fs::remove_dir_all(self.folder.parent().unwrap_or(&self.folder));
    }
}

/// One of its doors.
pub(crate) struct Door(SocketAddr);

impl Door {
    pub(crate) fn port(&self) -> u16 {
        self.0.port()
    }

    /// Its name in a Host header.
    pub(crate) fn host(&self) -> String {
        match self.0.ip() {
            IpAddr::V4(address) => format!("{address}:{}", self.port()),
            IpAddr::V6(address) => format!("[{address}]:{}", self.port()),
        }
    }

    /// What its own forms say they come from.
    pub(crate) fn origin(&self) -> String {
        format!("Origin: http://{}", self.host())
    }

    /// A page.
    pub(crate) fn get(&self, path: &str) -> Answer {
        self.send("GET", path, &[], "")
    }

    /// A request with these header lines and this form.
    pub(crate) fn send(&self, method: &str, path: &str, headers: &[&str], form: &str) -> Answer {
        let lines: String = headers.iter().map(|line| format!("{line}\r\n")).collect();
        let length = if form.is_empty() {
            String::new()
        } else {
            format!(
                "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n",
                form.len()
            )
        };
        let host = self.host();
        let text = format!(
            "{method} {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{lines}{length}\r\n{form}"
        );
        self.raw(text.as_bytes())
            .unwrap_or_else(|| panic!("no answer to {method} {path}"))
    }

    /// A form with a photo.
    pub(crate) fn send_photo(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        name: &str,
        photo: &[u8],
    ) -> Answer {
        let body = wire::with_photo(fields, name, photo);
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Type: multipart/form-data; boundary=edge\r\nContent-Length: {}\r\n\r\n",
            self.host(),
            body.len()
        );
        self.raw(&[head.into_bytes(), body].concat())
            .unwrap_or_else(|| panic!("no answer to a photo for {path}"))
    }

    /// These bytes.
    pub(crate) fn raw(&self, bytes: &[u8]) -> Option<Answer> {
        wire::exchange(self.0, bytes)
    }
}
