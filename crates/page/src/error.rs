//! What can keep the page from being served, and what to do about it.

use std::path::PathBuf;

/// Why the page could not be served or a sheet not be written.
#[derive(Debug)]
pub enum PageError {
    /// The port is taken or may not be used.
    Port {
        /// The port asked for.
        port: u16,
        /// What the system said.
        why: std::io::Error,
    },
    /// A file or folder could not be read or written.
    File {
        /// The file or folder.
        path: PathBuf,
        /// What was tried: "read", "write".
        tried: &'static str,
        /// What the system said.
        why: std::io::Error,
    },
    /// The page cannot be opened to the network; in words, with what to do.
    Lan(String),
    /// The book.
    Book(book::BookError),
    /// What a form made of a find is no find; nothing was written.
    Faults(Vec<sheet::Problem>),
    /// The server could not be started.
    Start(std::io::Error),
}

impl std::fmt::Display for PageError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Port { port, why } => write!(
                f,
                "port {port} on 127.0.0.1 cannot be used: {why}; choose another, or 0 for any free one"
            ),
            Self::File { path, tried, why } => write!(
                f,
                "cannot {tried} {}: {why}; check that the path and the rights are right",
                path.display()
            ),
            Self::Lan(why) => f.write_str(why),
            Self::Book(why) => why.fmt(f),
            Self::Faults(faults) => {
                let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
                write!(f, "not written: {}", faults.join("; "))
            }
            Self::Start(why) => write!(f, "the page could not be started: {why}"),
        }
    }
}

impl std::error::Error for PageError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Port { why, .. } | Self::File { why, .. } | Self::Start(why) => Some(why),
            Self::Book(why) => Some(why),
            Self::Lan(_) | Self::Faults(_) => None,
        }
    }
}

impl From<book::BookError> for PageError {
    fn from(why: book::BookError) -> Self {
        Self::Book(why)
    }
}
