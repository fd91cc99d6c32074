//! How a run ends: exit codes, and failures as place, what, remedy.

use std::process::ExitCode;

/// How a run that did its work ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// 0: all is well.
    Good,
    /// 1: a reading contradicts, or the plate contradicts itself.
    Trouble,
}

impl Outcome {
    pub(crate) fn of(trouble: bool) -> Self {
        if trouble { Self::Trouble } else { Self::Good }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Good => 0,
            Outcome::Trouble => 1,
        })
    }
}

/// A run that could not do its work; each line is place, what, remedy.
#[derive(Debug)]
pub(crate) enum Failure {
    /// 2: the input is wrong.
    Input(Vec<String>),
    /// 3: the program failed.
    Program(String),
}

impl Failure {
    /// A wrong input in one line.
    pub(crate) fn input(line: impl Into<String>) -> Self {
        Self::Input(vec![line.into()])
    }
}

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Input(lines) => f.write_str(&lines.join("\n")),
            Self::Program(line) => f.write_str(line),
        }
    }
}

impl From<Failure> for ExitCode {
    fn from(failure: Failure) -> Self {
        Self::from(match failure {
            Failure::Input(_) => 2,
            Failure::Program(_) => 3,
        })
    }
}
