//! Why a record could not be read.

use std::io;

use crate::check::finding::Finding;
use crate::check::rule::Level;
use crate::text::counted;

/// A record could not be read into its types.
#[derive(Debug)]
#[non_exhaustive]
pub enum ReadError {
    /// It has errors; these are all its findings.
    Findings(Vec<Finding>),
    /// It has none, but the types do not accept it.
    Json(serde_json::Error),
    /// It begins on this line and is too large.
    TooLarge(u64),
    /// Its file could not be read.
    Io(io::Error),
}

impl std::fmt::Display for ReadError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Findings(findings) => {
                let errors = findings.iter().filter(|finding| finding.level == Level::Error).count();
                write!(f, "the record has {}", counted(errors, "error"))
            }
            Self::Json(error) => error.fmt(f),
            Self::TooLarge(line) => write!(f, "the record on line {line} is too large"),
            Self::Io(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ReadError {}

impl From<io::Error> for ReadError {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}
