//! The content of a kit, and what is expected for its cases.

use serde::{Deserialize, Serialize};
use serde_json::Map;

/// The text that identifies a manifest.
pub(crate) const FORMAT: &str = "open-aligner-record-kit";
/// The version of manifests, answers and scores.
pub(crate) const VERSION: &str = "1.0";

/// The kind of a case; its name begins with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub enum CaseKind {
    /// Records without any finding.
    Accept,
    /// Records with one error.
    Refuse,
    /// Records with one warning or note: formally valid, with something to question.
    Question,
    /// Records with the values that follow from them.
    Derive,
    /// Rare but valid records.
    Edge,
    /// One record in other spellings that JSON allows.
    Spelling,
    /// Other versions of the format, and extensions.
    Upgrade,
}

impl CaseKind {
    /// All kinds, in the order of the manifest.
    pub const ALL: [Self; 7] =
        [Self::Accept, Self::Refuse, Self::Question, Self::Derive, Self::Edge, Self::Spelling, Self::Upgrade];

    /// The word for it.
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

/// What is wrong or questionable in a case.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Expected {
    /// The rule that finds it.
    pub rule: String,
    /// The theme of the rule.
    pub theme: String,
    /// The level of the rule.
    #[cfg_attr(feature = "schemas", schemars(with = "crate::check::rule::Level"))]
    pub level: String,
    /// In which record of the file, from 1.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub record: u64,
    /// Where, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    pub pointer: String,
    /// What the rule checks, in one sentence.
    pub meaning: String,
}

/// One file, and what is expected of a reader.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct KitCase {
    /// Its name: kind, `/`, and subject.
    pub case: String,
    /// What it is there for.
    pub kind: CaseKind,
    /// The path of the file within the folder of the kit.
    pub file: String,
    /// How many records are in the file.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub records: u64,
    /// What is special about it.
    pub what: String,
    /// Whether a reader accepts it.
    pub accepted: bool,
    /// The finding in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schemas", schemars(with = "Expected"))]
    pub finding: Option<Expected>,
    /// The case that holds the same values in another spelling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schemas", schemars(with = "String"))]
    pub same_as: Option<String>,
    /// The values that follow from the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schemas", schemars(with = "oar_generators::derived::Derived"))]
    pub derived: Option<Map<String, serde_json::Value>>,
}

/// A rule without a case in the kit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Without {
    /// The rule.
    pub rule: String,
    /// Why it has none.
    pub why: String,
}

/// A derived value in the manifest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct DefinedValue {
    /// Its name.
    pub name: String,
    /// By how much an answer may differ.
    #[cfg_attr(feature = "schemas", schemars(range(min = 0)))]
    pub tolerance: f64,
    /// Its definition.
    pub definition: String,
}

/// The content of a kit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Manifest {
    /// Always `open-aligner-record-kit`.
    #[cfg_attr(feature = "schemas", schemars(extend("const" = FORMAT)))]
    pub format: String,
    /// The version of manifest, answers and score.
    #[cfg_attr(feature = "schemas", schemars(extend("const" = VERSION)))]
    pub version: String,
    /// The version of the record format.
    pub record_version: String,
    /// The program that wrote the kit, with its version.
    pub made_by: String,
    /// The seed.
    pub seed: u64,
    /// The number of cases of each fault.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub each: u64,
    /// The derived values, with their definitions.
    pub values: Vec<DefinedValue>,
    /// Rules without a case.
    pub without: Vec<Without>,
    /// The cases.
    pub cases: Vec<KitCase>,
}

impl Manifest {
    /// Whether it can be scored here.
    ///
    /// # Errors
    /// With its version, if this is not a supported one.
    pub fn of_this_version(&self) -> Result<(), &str> {
        if self.format == FORMAT && self.version == VERSION { Ok(()) } else { Err(&self.version) }
    }
}
