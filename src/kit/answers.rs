//! The answers of a reader: one line per case.

use std::fmt;

use serde::Deserialize;
use serde_json::Map;

/// A location that a reader names.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnsweredLocation {
    /// A JSON Pointer (RFC 6901) from the record.
    pub pointer: String,
    /// In which record of the file, from 1.
    #[serde(default = "first")]
    pub record: u64,
}

const fn first() -> u64 {
    1
}

/// The answer of a reader to a case. What is omitted is not claimed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The name of the case.
    pub case: String,
    /// Whether the reader accepts the file.
    pub accepted: Option<bool>,
    /// Where something is wrong or unusual.
    #[serde(default)]
    pub places: Vec<AnsweredLocation>,
    /// Values that follow from the record.
    #[serde(default)]
    pub derived: Map<String, serde_json::Value>,
}

/// A line that is not an answer.
#[derive(Debug)]
pub struct NoAnswer {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub why: String,
}

impl fmt::Display for NoAnswer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {} is not an answer: {}", self.line, self.why)
    }
}

impl std::error::Error for NoAnswer {}

/// Reads answers, one JSON object per line; empty lines are skipped.
///
/// # Errors
/// At the first line that is not an answer.
pub fn read(text: &str) -> Result<Vec<Answer>, NoAnswer> {
    let lines = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
    lines
        .map(|(line, text)| serde_json::from_str(text).map_err(|error| NoAnswer { line, why: error.to_string() }))
        .collect()
}
