//! A page served for one test from a folder of its own: by the real program where there is one (tests), else in this process (examples).

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

static NEXT: AtomicU32 = AtomicU32::new(0);

/// A folder that goes when the test ends.
pub(crate) struct Scratch(PathBuf);

impl Scratch {
    pub(crate) fn new(what: &str) -> Self {
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let path =
            std::env::temp_dir().join(format!("windfall-{what}-{}-{number}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder for the test");
        Self(path)
    }

    pub(crate) fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The text of an example.
pub(crate) fn example(name: &str) -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    std::fs::read_to_string(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()))
}

/// A served folder.
pub(crate) struct Site {
    pub(crate) folder: Scratch,
    url: String,
    program: Option<Child>,
}

impl Site {
    /// Serves a folder with these of the examples in it.
    pub(crate) fn with(examples: &[&str]) -> Self {
        let sheets = examples.iter().map(|name| (*name, example(name)));
        Self::of(&sheets.collect::<Vec<_>>())
    }

    /// Serves a folder with these sheets in it: name and text.
    pub(crate) fn of(sheets: &[(&str, String)]) -> Self {
        let folder = Scratch::new("finds");
        for (name, text) in sheets {
            std::fs::write(folder.path().join(name), text).expect("the sheet is written");
        }
        match option_env!("CARGO_BIN_EXE_windfall") {
            Some(program) => {
                let path = folder.path().to_owned();
                Self::by_program(program, folder, "--folder", &path)
            }
            None => Self::in_process(folder),
        }
    }

    /// Serves a new book, `book.sqlite` in the folder.
    pub(crate) fn of_new_book() -> Self {
        Self::serving_a_book(|_| {})
    }

    /// Serves a book with this example in it; the word of its find is made of its name.
    pub(crate) fn of_book(name: &str) -> Self {
        let example = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../examples")
            .join(name);
        Self::serving_a_book(|book| {
            told(&["book", "import"], &[&example], book);
        })
    }

    /// Another program that serves the same book.
    pub(crate) fn another(&self) -> Self {
        let program = option_env!("CARGO_BIN_EXE_windfall").unwrap_or_default();
        Self::by_program(program, Scratch::new("none"), "--book", &self.book())
    }

    /// The file of the book.
    pub(crate) fn book(&self) -> PathBuf {
        self.folder.path().join("book.sqlite")
    }

    /// A find of the book as the command line writes its sheet.
    pub(crate) fn exported(&self, find: &str) -> String {
        told(&["book", "export", find], &[], &self.book())
    }

    fn serving_a_book(fill: impl Fn(&Path)) -> Self {
        let folder = Scratch::new("book");
        let book = folder.path().join("book.sqlite");
        match option_env!("CARGO_BIN_EXE_windfall") {
            Some(program) => {
                fill(&book);
                Self::by_program(program, folder, "--book", &book)
            }
            None => panic!("only a test of the program serves a book"),
        }
    }

    /// Serves that book anew by a program that can write no file beyond these bytes until its limit is lifted.
    pub(crate) fn limited(self, bytes: u64) -> Self {
        let script = format!("trap '' XFSZ; exec prlimit --fsize={bytes}:unlimited \"$@\"");
        let program = option_env!("CARGO_BIN_EXE_windfall").unwrap_or_default();
        let mut command = Command::new("sh");
        command.args(["-c", &script, "sh", program]);
        let book = self.book();
        let mut other = Self::started(command, Scratch::new("none"), "--book", &book);
        let mut this = self;
        std::mem::swap(&mut other.folder, &mut this.folder);
        other
    }

    /// Lifts that limit.
    pub(crate) fn lift(&self) {
        let pid = self.program.as_ref().map_or(0, Child::id).to_string();
        let lifted = Command::new("prlimit")
            .args(["--fsize=unlimited:unlimited", "--pid", &pid])
            .status();
        assert!(lifted.expect("prlimit runs").success());
    }

    fn by_program(program: &str, folder: Scratch, kept: &str, at: &Path) -> Self {
        Self::started(Command::new(program), folder, kept, at)
    }

    fn started(mut command: Command, folder: Scratch, kept: &str, at: &Path) -> Self {
        command
            .args(["serve", "--port", "0", "--no-open", kept])
            .arg(at)
            .stdin(Stdio::null())
            .stdout(Stdio::piped());
        let mut program = command.spawn().expect("the program starts");
        let output = program.stdout.take().expect("the program's output");
        let mut url = String::new();
        BufReader::new(output)
            .read_line(&mut url)
            .expect("the program prints its address first");
        Self {
            folder,
            url: url.trim().to_owned(),
            program: Some(program),
        }
    }

    fn in_process(folder: Scratch) -> Self {
        let options = page::Options {
            book: None,
            folder: folder.path().to_owned(),
            sheet: None,
            port: 0,
            open: false,
        };
        let server = page::Server::bind(&options).expect("the page is served");
        let url = server.url();
        std::thread::spawn(move || server.run());
        Self {
            folder,
            url,
            program: None,
        }
    }

    /// An address of the page.
    pub(crate) fn at(&self, path: &str) -> String {
        format!("{}{}", self.url.trim_end_matches('/'), path)
    }

    /// Its port.
    pub(crate) fn port(&self) -> u16 {
        self.url
            .trim_end_matches('/')
            .rsplit(':')
            .next()
            .and_then(|p| p.parse().ok())
            .expect("a port")
    }

    /// The text of a sheet in the folder.
    pub(crate) fn sheet(&self, name: &str) -> String {
        std::fs::read_to_string(self.folder.path().join(name)).expect("the sheet is there")
    }
}

/// What the command line prints about a book.
fn told(words: &[&str], files: &[&Path], book: &Path) -> String {
    let mut command = Command::new(option_env!("CARGO_BIN_EXE_windfall").unwrap_or_default());
    let out = command.args(words).args(files).arg("--book").arg(book);
    let out = out.output().expect("the program runs");
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{words:?}: {said}");
    String::from_utf8(out.stdout).expect("text")
}

impl Drop for Site {
    fn drop(&mut self) {
        if let Some(program) = &mut self.program {
            let _ = program.kill();
            let _ = program.wait();
        }
    }
}
