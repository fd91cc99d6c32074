//! A small client of the WebDriver protocol (W3C Recommendation, WebDriver Level 1): JSON over HTTP to Debian's chromedriver.
//!
//! Only what these tests do with a browser; every click and every field filled is counted, as a person's hand would do them.

use std::cell::Cell;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError, TryLockError};

use serde_json::{Value, json};

use crate::site::Scratch;

/// Two browsers at a time: the machines these tests run on have few cores.
static SLOTS: [Mutex<()>; 2] = [Mutex::new(()), Mutex::new(())];
static CAME: AtomicUsize = AtomicUsize::new(0);

/// A slot that is free, else the turn in one of them.
fn slot() -> MutexGuard<'static, ()> {
    let free = SLOTS.iter().find_map(|slot| match slot.try_lock() {
        Ok(held) => Some(held),
        Err(TryLockError::Poisoned(held)) => Some(held.into_inner()),
        Err(TryLockError::WouldBlock) => None,
    });
    free.unwrap_or_else(|| {
        let next = CAME.fetch_add(1, Ordering::Relaxed) % SLOTS.len();
        SLOTS[next].lock().unwrap_or_else(PoisonError::into_inner)
    })
}

/// The key under which the protocol names an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// How a browser is to be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) dark: bool,
}

/// A desk.
pub(crate) const DESK: Look = Look {
    width: 1440,
    height: 900,
    dark: false,
};
/// The narrowest phone the page is made for.
pub(crate) const PHONE: Look = Look {
    width: 360,
    height: 740,
    dark: false,
};

/// A browser under control.
pub(crate) struct Browser {
    driver: Child,
    port: u16,
    session: String,
    profile: Scratch,
    acts: Cell<u32>,
    _slot: MutexGuard<'static, ()>,
}

impl Browser {
    /// Starts chromedriver and a headless browser.
    pub(crate) fn start(look: Look) -> Self {
        let slot = slot();
        for program in ["chromedriver", "chromium"] {
            let found = std::env::var_os("PATH").is_some_and(|path| {
                std::env::split_paths(&path).any(|dir| dir.join(program).exists())
            });
            assert!(
                found,
                "`{program}` is not installed; the browser tests need it: apt-get install chromium chromium-driver"
            );
        }
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts");
        let port = port_said(&mut driver);
        let profile = Scratch::new("profile");
        let mut browser = Self {
            driver,
            port,
            session: String::new(),
            profile,
            acts: Cell::new(0),
            _slot: slot,
        };
        browser.session = browser.new_session(look);
        if look.width < 500 {
            // A window has a least width of its own; the emulated screen has not.
            browser.devtools("Emulation.setDeviceMetricsOverride", json!({"width": look.width, "height": look.height, "deviceScaleFactor": 1, "mobile": true}));
            browser.devtools(
                "Emulation.setTouchEmulationEnabled",
                json!({"enabled": true}),
            );
        }
        if look.dark {
            browser.devtools(
                "Emulation.setEmulatedMedia",
                json!({"features": [{"name": "prefers-color-scheme", "value": "dark"}]}),
            );
        }
        browser
    }

    fn new_session(&self, look: Look) -> String {
        let arguments = [
            "--headless".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--no-first-run".to_owned(),
            "--hide-scrollbars".to_owned(),
            format!("--user-data-dir={}", self.profile.path().display()),
            format!("--window-size={},{}", look.width, look.height),
        ];
        let wanted = json!({"capabilities": {"alwaysMatch": {
            "browserName": "chrome",
            "goog:loggingPrefs": {"browser": "ALL"},
            "goog:chromeOptions": {"binary": "/usr/bin/chromium", "args": arguments},
        }}});
        let answer = self.call("POST", "/session", Some(&wanted));
        answer["sessionId"]
            .as_str()
            .unwrap_or_else(|| panic!("no session: {answer}"))
            .to_owned()
    }

    /// Opens an address.
    pub(crate) fn open(&self, url: &str) {
        self.ask("POST", "/url", Some(&json!({"url": url})));
    }

    /// Runs a script's body and gives what it returns.
    pub(crate) fn run(&self, script: &str) -> Value {
        self.ask(
            "POST",
            "/execute/sync",
            Some(&json!({"script": script, "args": []})),
        )
    }

    /// Runs a script's body that ends by calling `done`.
    pub(crate) fn run_until_done(&self, script: &str) -> Value {
        self.ask("POST", "/timeouts", Some(&json!({"script": 120_000})));
        let body = format!("const done = arguments[arguments.length - 1];\n{script}");
        self.ask(
            "POST",
            "/execute/async",
            Some(&json!({"script": body, "args": []})),
        )
    }

    /// From now on the pages' own scripts do not run; what the test asks for does.
    pub(crate) fn without_script(&self) {
        self.devtools(
            "Emulation.setScriptExecutionDisabled",
            json!({"value": true}),
        );
    }

    /// Waits until the page has its question for news open: it has been answered once.
    pub(crate) fn wait_for_news(&self) {
        self.wait(
            "the first news",
            "return performance.getEntriesByType('resource').some((e) => e.name.includes('/news?'))",
        );
    }

    /// How many elements match.
    pub(crate) fn count(&self, selector: &str) -> usize {
        self.elements(selector).len()
    }

    /// The text of the first element that matches, as it is seen.
    pub(crate) fn text(&self, selector: &str) -> String {
        self.ask(
            "GET",
            &format!("/element/{}/text", self.element(selector)),
            None,
        )
        .as_str()
        .unwrap_or_default()
        .to_owned()
    }

    /// Clicks the first element that matches; counted.
    pub(crate) fn click(&self, selector: &str) {
        self.acts.set(self.acts.get() + 1);
        self.ask(
            "POST",
            &format!("/element/{}/click", self.element(selector)),
            Some(&json!({})),
        );
    }

    /// Clicks what leads to another page, and waits until that page is there.
    pub(crate) fn click_through(&self, selector: &str) {
        self.run("window.stillHere = true");
        self.click(selector);
        self.wait(
            "the page it leads to",
            "return !window.stillHere && document.readyState === 'complete'",
        );
    }

    /// Empties a field and types into it; counted as one field.
    pub(crate) fn fill(&self, selector: &str, text: &str) {
        self.acts.set(self.acts.get() + 1);
        let element = self.element(selector);
        self.ask(
            "POST",
            &format!("/element/{element}/clear"),
            Some(&json!({})),
        );
        self.ask(
            "POST",
            &format!("/element/{element}/value"),
            Some(&json!({"text": text})),
        );
    }

    /// Presses keys at an element, without emptying it; not counted.
    pub(crate) fn keys(&self, selector: &str, keys: &str) {
        self.ask(
            "POST",
            &format!("/element/{}/value", self.element(selector)),
            Some(&json!({"text": keys})),
        );
    }

    /// Presses the tabulator, as a person without a mouse goes on.
    pub(crate) fn tab(&self) {
        for kind in ["rawKeyDown", "keyUp"] {
            let key =
                json!({"type": kind, "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9});
            self.devtools("Input.dispatchKeyEvent", key);
        }
    }

    /// Gives a file to a field as a camera or a chooser does; counted as the one tap that opens it.
    pub(crate) fn give_file(&self, selector: &str, file: &Path) {
        self.acts.set(self.acts.get() + 1);
        self.keys(selector, &file.display().to_string());
    }

    /// Chooses in a list by value; counted as one field.
    pub(crate) fn choose(&self, selector: &str, value: &str) {
        self.acts.set(self.acts.get() + 1);
        let option = self.element(&format!("{selector} option[value=\"{value}\"]"));
        self.ask(
            "POST",
            &format!("/element/{option}/click"),
            Some(&json!({})),
        );
    }

    /// Clicks and fields since the start.
    pub(crate) fn acts(&self) -> u32 {
        self.acts.get()
    }

    /// Waits until a script's body returns true; fails naming what was waited for.
    pub(crate) fn wait(&self, what: &str, script: &str) {
        for _ in 0..2000 {
            if self.run(script) == Value::Bool(true) {
                return;
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        panic!(
            "waited in vain for {what}; the page says: {}",
            self.run("return document.body.innerText.slice(-3000)")
        );
    }

    /// Errors and warnings the page left on the browser's console so far.
    pub(crate) fn complaints(&self) -> Vec<String> {
        let log = self.ask("POST", "/se/log", Some(&json!({"type": "browser"})));
        log.as_array()
            .into_iter()
            .flatten()
            .map(|entry| format!("{}: {}", entry["level"], entry["message"]))
            .collect()
    }

    /// A picture of the whole page, as PNG in Base64 decoded.
    pub(crate) fn picture(&self, file: &Path, whole: bool) {
        let shot = self.devtools(
            "Page.captureScreenshot",
            json!({"format": "png", "captureBeyondViewport": whole}),
        );
        let data = shot["data"].as_str().expect("a picture");
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).expect("a folder for pictures");
        }
        std::fs::write(file, from_base64(data)).expect("the picture is written");
    }

    /// A command of the browser's own debugging protocol.
    pub(crate) fn devtools(&self, command: &str, parameters: Value) -> Value {
        self.ask(
            "POST",
            "/goog/cdp/execute",
            Some(&json!({"cmd": command, "params": parameters})),
        )
    }

    fn elements(&self, selector: &str) -> Vec<String> {
        let found = self.ask(
            "POST",
            "/elements",
            Some(&json!({"using": "css selector", "value": selector})),
        );
        found
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|e| e[ELEMENT].as_str().map(str::to_owned))
            .collect()
    }

    fn element(&self, selector: &str) -> String {
        self.elements(selector)
            .into_iter()
            .next()
            .unwrap_or_else(|| {
                panic!(
                    "nothing on the page matches `{selector}`; it says: {}",
                    self.run("return document.body.innerText.slice(-3000)")
                )
            })
    }

    fn ask(&self, method: &str, path: &str, body: Option<&Value>) -> Value {
        self.call(method, &format!("/session/{}{path}", self.session), body)
    }

    fn call(&self, method: &str, path: &str, body: Option<&Value>) -> Value {
        let body = body.map(Value::to_string).unwrap_or_default();
        let (status, text) = http(
            self.port,
            method,
            path,
            &[("Content-Type", "application/json")],
            &body,
        );
        let mut answer: Value = serde_json::from_str(&text).unwrap_or(Value::Null);
        assert!(
            status == 200,
            "{method} {path}: {status} {}",
            answer["value"]["message"]
        );
        answer["value"].take()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() {
            let _ = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
                self.ask("DELETE", "", None)
            }));
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

fn port_said(driver: &mut Child) -> u16 {
    let output = driver.stdout.take().expect("chromedriver's output");
    let mut lines = BufReader::new(output).lines();
    let port = lines
        .by_ref()
        .map_while(Result::ok)
        .find_map(|line| {
            line.split("successfully on port ")
                .nth(1)
                .and_then(|rest| rest.trim_end_matches('.').parse().ok())
        })
        .expect("chromedriver says its port");
    std::thread::spawn(move || lines.for_each(drop));
    port
}

/// One HTTP request to this machine; status and body. Also the plain client that knows no script.
pub(crate) fn http(
    port: u16,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> (u16, String) {
    let (status, _, body) = http_with_head(port, method, path, headers, body);
    (status, body)
}

/// As [`http`], with the answer's head.
pub(crate) fn http_with_head(
    port: u16,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> (u16, String, String) {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).expect("the port answers");
    let mut head = format!(
        "{method} {path} HTTP/1.1\r\nConnection: close\r\nContent-Length: {}\r\n",
        body.len()
    );
    if !headers.iter().any(|(name, _)| *name == "Host") {
        head.push_str(&format!("Host: 127.0.0.1:{port}\r\n"));
    }
    headers
        .iter()
        .for_each(|(name, value)| head.push_str(&format!("{name}: {value}\r\n")));
    stream
        .write_all(format!("{head}\r\n{body}").as_bytes())
        .expect("the request is sent");
    let mut reader = BufReader::new(stream);
    let mut head = String::new();
    while reader.read_line(&mut head).expect("the answer's head") > 2 {}
    let status = head
        .split(' ')
        .nth(1)
        .and_then(|s| s.parse().ok())
        .unwrap_or(0);
    let value = |name: &str| {
        head.lines().find_map(|l| {
            l.split_once(':')
                .filter(|(n, _)| n.eq_ignore_ascii_case(name))
                .map(|(_, v)| v.trim().to_owned())
        })
    };
    let mut bytes = Vec::new();
    if value("transfer-encoding").is_some() {
        read_chunks(&mut reader, &mut bytes);
    } else if let Some(length) = value("content-length").and_then(|v| v.parse().ok()) {
        bytes.resize(length, 0);
        reader.read_exact(&mut bytes).expect("the answer's body");
    } else {
        reader.read_to_end(&mut bytes).expect("the answer's body");
    }
    (status, head, String::from_utf8_lossy(&bytes).into_owned())
}

fn read_chunks(reader: &mut impl BufRead, bytes: &mut Vec<u8>) {
    loop {
        let mut line = String::new();
        reader.read_line(&mut line).expect("a chunk's length");
        let length = usize::from_str_radix(line.trim(), 16).unwrap_or(0);
        let start = bytes.len();
        bytes.resize(start + length, 0);
        reader.read_exact(&mut bytes[start..]).expect("a chunk");
        reader.read_line(&mut String::new()).expect("a chunk's end");
        if length == 0 {
            return;
        }
    }
}

/// Base64 (RFC 4648, section 4).
fn from_base64(text: &str) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut bits, mut held) = (0_u32, 0);
    for c in text.bytes() {
        let six = match c {
            b'A'..=b'Z' => c - b'A',
            b'a'..=b'z' => c - b'a' + 26,
            b'0'..=b'9' => c - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => continue,
        };
        bits = bits << 6 | u32::from(six);
        held += 6;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
        }
    }
    bytes
}
