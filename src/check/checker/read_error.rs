//! Why a record could not be read.

use crate::check::finding::Finding;
use crate::check::rule::Level;
use crate::text::counted;

/// A record could not be read into its types.
#[derive(Debug)]
pub enum ReadError {
    /// It has errors; these are all its findings.
    Findings(Vec<Finding>),
    /// It has none, but the types do not accept it.
    Json(serde_json::Error),
}

impl std::fmt::Display for ReadError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Findings(findings) => {
                let errors = findings.iter().filter(|finding| finding.level() == Level::Error).count();
                write!(f, "the record has {}", counted(errors, "error"))
            }
            Self::Json(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ReadError {}
