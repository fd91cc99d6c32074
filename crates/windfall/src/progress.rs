//! A quiet line while something takes longer than a second: on standard error, only where somebody is watching, gone when it is done.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::Duration;

/// What is done sooner needs no word; and how often the line is renewed.
const SECOND: Duration = Duration::from_secs(1);

/// Back to the beginning of the line, and the line emptied (ECMA-48: EL with parameter 2).
const EMPTIED: &str = "\r\u{1b}[2K";

/// Does the work, saying `words` with the seconds gone by.
pub(crate) fn watched<T>(words: &str, work: impl FnOnce() -> T) -> T {
    if std::io::stderr().is_terminal() {
        said_to(&mut std::io::stderr(), SECOND, words, work)
    } else {
        work()
    }
}

fn said_to<T>(
    out: &mut (impl Write + Send),
    every: Duration,
    words: &str,
    work: impl FnOnce() -> T,
) -> T {
    let (done, waits) = mpsc::channel::<()>();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            let mut seconds = 0_u64;
            // That a line could not be written changes nothing of the work.
            while waits.recv_timeout(every) == Err(RecvTimeoutError::Timeout) {
                seconds += 1;
                let _ = write!(out, "{EMPTIED}{words}, {seconds} s").and_then(|()| out.flush());
            }
            if seconds > 0 {
                let _ = write!(out, "{EMPTIED}").and_then(|()| out.flush());
            }
        });
        let given = work();
        drop(done);
        given
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::{Arc, Mutex};

    #[derive(Clone, Default)]
    struct Paper(Arc<Mutex<Vec<u8>>>);

    impl Paper {
        fn text(&self) -> String {
            String::from_utf8(self.0.lock().unwrap().clone()).unwrap()
        }
    }

    impl Write for Paper {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.lock().unwrap().extend_from_slice(bytes);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn long_work_is_told_and_the_line_is_gone_afterwards() {
        let paper = Paper::default();
        let seen = paper.clone();
        let given = said_to(
            &mut paper.clone(),
            Duration::from_millis(1),
            "judging 3 readings",
            || {
                while !seen.text().contains("judging 3 readings, 2 s") {
                    std::thread::yield_now();
                }
                7
            },
        );
        assert_eq!(given, 7);
        assert!(paper.text().ends_with(EMPTIED), "{:?}", paper.text());
    }

    #[test]
    fn short_work_leaves_no_trace() {
        let paper = Paper::default();
        let hour = Duration::from_secs(3600);
        assert_eq!(said_to(&mut paper.clone(), hour, "judging", || 7), 7);
        assert_eq!(paper.text(), "");
    }
}
