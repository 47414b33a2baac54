//! The answers of a reader: one line per case.

use std::fmt;

use serde::Deserialize;
use serde_json::Map;

/// A location that a reader names.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub struct AnsweredLocation {
    /// A JSON Pointer (RFC 6901) from the record.
    pub pointer: String,
    /// In which record of the file, from 1.
    #[serde(default = "first")]
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub record: u64,
}

const fn first() -> u64 {
    1
}

/// The answer of a reader to a case. What is omitted is not claimed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub struct Answer {
    /// The name of the case in the manifest.
    pub case: String,
    /// Whether the reader accepts the file as it is. Omitted when the reader does not say.
    #[cfg_attr(feature = "schemas", schemars(extend("type" = "boolean")))]
    pub accepted: Option<bool>,
    /// Where something is wrong or unusual. Omitted or empty when the reader does not say.
    #[serde(default)]
    pub places: Vec<AnsweredLocation>,
    /// Values that follow from the record. An omitted value is not claimed; null means that there is none.
    #[serde(default)]
    #[cfg_attr(feature = "schemas", schemars(schema_with = "claimed"))]
    pub derived: Map<String, serde_json::Value>,
}

/// Derived values, each of which may be omitted.
#[cfg(feature = "schemas")]
fn claimed(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    let mut settings = schemars::generate::SchemaSettings::draft2020_12().for_serialize();
    settings.inline_subschemas = true;
    let mut derived = settings.into_generator().into_root_schema_for::<oar_generators::derived::Derived>();
    for word in ["$schema", "title", "required"] {
        derived.remove(word);
    }
    derived
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
