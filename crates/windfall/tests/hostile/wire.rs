//! Bytes to a socket and what comes back: nothing is put right on the way, as a browser or a library would.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

/// A test that waits longer has found something that hangs.
const LONGEST: Duration = Duration::from_secs(60);

/// What came back.
pub(crate) struct Answer {
    pub(crate) status: u16,
    headers: Vec<(String, String)>,
    pub(crate) text: String,
}

/// A form with a photo (RFC 7578): fields, then the file under a name of its sender's.
pub(crate) fn with_photo(fields: &[(&str, &str)], name: &str, photo: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    for (field, value) in fields {
        let head = format!("--edge\r\nContent-Disposition: form-data; name=\"{field}\"\r\n\r\n");
        body.extend([head.as_bytes(), value.as_bytes(), b"\r\n"].concat());
    }
    let head = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"{name}\"\r\nContent-Type: image/jpeg\r\n\r\n"
    );
    body.extend([head.as_bytes(), photo, b"\r\n--edge--\r\n"].concat());
    body
}

impl Answer {
    fn read(bytes: &[u8]) -> Option<Self> {
        let text = String::from_utf8_lossy(bytes);
        let (head, body) = text.split_once("\r\n\r\n")?;
        let mut lines = head.lines();
        let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
        let header = |line: &str| {
            let (name, value) = line.split_once(':')?;
            Some((name.to_ascii_lowercase(), value.trim().to_owned()))
        };
        Some(Self {
            status,
            headers: lines.filter_map(header).collect(),
            text: body.to_owned(),
        })
    }

    /// A header's value.
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let mut headers = self.headers.iter();
        headers.find(|(n, _)| n == name).map(|(_, v)| v.as_str())
    }
}

/// Sends these bytes and reads one answer; `None` when the connection was closed without one. The sending side stays open: a client that
/// has left is not answered.
pub(crate) fn exchange(to: SocketAddr, bytes: &[u8]) -> Option<Answer> {
    let mut stream = TcpStream::connect(to).expect("the program listens");
    stream.set_read_timeout(Some(LONGEST)).unwrap();
    stream.set_write_timeout(Some(LONGEST)).unwrap();
    let mut sending = stream.try_clone().unwrap();
    std::thread::scope(|both| {
        // A refusal may come, and the door close, before everything is sent.
        both.spawn(move || {
            let _ = sending.write_all(bytes);
        });
        let mut came = Vec::new();
        let mut part = [0; 16 << 10];
        while !is_whole(&came) {
            match stream.read(&mut part) {
                Ok(0) | Err(_) => break,
                Ok(n) => came.extend(&part[..n]),
            }
        }
        let _ = stream.shutdown(std::net::Shutdown::Both);
        Answer::read(&came)
    })
}

/// Whether an answer is there to its last byte, as its own head says.
fn is_whole(came: &[u8]) -> bool {
    let Some(head) = came.windows(4).position(|w| w == b"\r\n\r\n") else {
        return false;
    };
    let length = Answer::read(&came[..head + 4])
        .and_then(|answer| answer.header("content-length")?.parse::<usize>().ok());
    length.is_some_and(|length| came.len() >= head + 4 + length)
}
