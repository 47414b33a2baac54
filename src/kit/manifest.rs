//! What a kit holds and what is expected of its cases.

use serde::{Deserialize, Serialize};
use serde_json::Map;

/// What says that a manifest is one.
pub(super) const FORMAT: &str = "open-aligner-record-kit";
/// The version of manifests, answers and scores.
pub(super) const VERSION: &str = "1.0";

/// What a case is there for; its name begins with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Records without any finding.
    Accept,
    /// Records with one error.
    Refuse,
    /// Records with one warning or note: right in form, and something to ask about.
    Question,
    /// Records with the values that follow from them.
    Derive,
    /// Rare but right.
    Edge,
    /// One record in other spellings that JSON allows.
    Spelling,
    /// Other versions of the format, and what they leave to others.
    Upgrade,
}

impl Kind {
    /// All kinds, in the order of the manifest.
    pub const ALL: [Self; 7] =
        [Self::Accept, Self::Refuse, Self::Question, Self::Derive, Self::Edge, Self::Spelling, Self::Upgrade];

    /// As written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Accept => "accept",
            Self::Refuse => "refuse",
            Self::Question => "question",
            Self::Derive => "derive",
            Self::Edge => "edge",
            Self::Spelling => "spelling",
            Self::Upgrade => "upgrade",
        }
    }
}

/// What is wrong, or to be asked about, in a case.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Expected {
    /// The rule that finds it.
    pub rule: String,
    /// The theme of the rule.
    pub theme: String,
    /// `error`, `warning` or `note`.
    pub level: String,
    /// In which record of the file, from 1.
    pub record: u64,
    /// Where, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    pub pointer: String,
    /// What the rule looks at, in one sentence.
    pub meaning: String,
}

/// One file and what is expected of a reader.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Case {
    /// Its name: kind, `/`, and what it is.
    pub case: String,
    /// What it is there for.
    pub kind: Kind,
    /// The file, from the folder of the kit.
    pub file: String,
    /// How many records are in the file.
    pub records: u64,
    /// What is special about it.
    pub what: String,
    /// Whether a reader takes it.
    pub accepted: bool,
    /// What is found in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finding: Option<Expected>,
    /// The case that holds the same values in another spelling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub same_as: Option<String>,
    /// The values that follow from the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub derived: Option<Map<String, serde_json::Value>>,
}

/// A rule that the kit has no case of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Without {
    /// The rule.
    pub rule: String,
    /// Why there is none.
    pub why: String,
}

/// A derived value as the manifest tells it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Its name.
    pub name: String,
    /// By how much an answer may differ.
    pub tolerance: f64,
    /// What it is.
    pub definition: String,
}

/// What a kit holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// Always [`FORMAT`].
    pub format: String,
    /// The version of manifest, answers and score.
    pub version: String,
    /// The version of the record format.
    pub record_version: String,
    /// The program that wrote the kit, with its version.
    pub made_by: String,
    /// The seed.
    pub seed: u64,
    /// How many cases there are of each fault.
    pub each: u64,
    /// The derived values, with their definitions.
    pub values: Vec<Told>,
    /// Rules without a case.
    pub without: Vec<Without>,
    /// The cases.
    pub cases: Vec<Case>,
}

impl Manifest {
    /// Whether it can be scored here.
    ///
    /// # Errors
    /// With its version when it is another one.
    pub fn of_this_version(&self) -> Result<(), &str> {
        if self.format == FORMAT && self.version == VERSION { Ok(()) } else { Err(&self.version) }
    }
}
