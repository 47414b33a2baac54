//! Compares two reports: which findings are new, gone or the same, by their fingerprints.
//!
//! A report is the output `jsonl`. Findings that a waiver or a baseline accepted do not count.

use std::collections::BTreeMap;
use std::fmt;
use std::io::{self, BufRead};

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::check::fingerprint::Key;
#[cfg(feature = "schemas")]
use crate::check::{finding::POINTER, fingerprint::KEY_PATTERN, rule::NAME};

/// Why a report could not be read.
#[derive(Debug)]
#[non_exhaustive]
pub enum ReportError {
    /// The file could not be read.
    Io(io::Error),
    /// A line does not belong to a report. Lines are counted from 1.
    Line(u64, &'static str),
    /// The report does not end with the line of totals.
    CutShort,
}

impl fmt::Display for ReportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io(error) => crate::read::inputs::reason(error).fmt(f),
            Self::Line(line, text) => write!(f, "line {line}: {text}"),
            Self::CutShort => f.write_str("the report is cut short: it does not end with its totals"),
        }
    }
}

impl std::error::Error for ReportError {}

/// One line of `oar compare --output jsonl`: a `comparison` first, then a `new` for each finding of the second report only, a
/// `gone` for each of the first only, a `summary` last. A later 1.x may add fields and types of lines, so readers skip unknown
/// ones.
#[derive(Debug, Serialize)]
#[serde(tag = "type", rename_all = "lowercase")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub enum ComparisonLine<'a> {
    /// The first line.
    Comparison(ComparisonHead),
    /// A finding in the second report only.
    New(&'a ReportedFinding),
    /// A finding in the first report only.
    Gone(&'a ReportedFinding),
    /// The last line: totals.
    Summary(ComparisonTotals<'a>),
}

const FORMAT: &str = "open-aligner-record comparison";
/// The version of the lines: the second number grows with new fields, the first with any other change.
pub(crate) const VERSION: &str = "1.0";

/// The first line of a comparison.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct ComparisonHead {
    #[cfg_attr(feature = "schemas", schemars(extend("const" = FORMAT)))]
    format: &'static str,
    /// The version of these lines.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = r"^1\.[0-9]+$")))]
    version: &'static str,
    #[cfg_attr(feature = "schemas", schemars(extend("const" = "oar")))]
    tool: &'static str,
    tool_version: &'static str,
}

impl Default for ComparisonHead {
    fn default() -> Self {
        Self { format: FORMAT, version: VERSION, tool: "oar", tool_version: env!("CARGO_PKG_VERSION") }
    }
}

/// The last line of a comparison.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct ComparisonTotals<'a> {
    #[serde(flatten)]
    total: DifferenceCounts,
    /// The same by rule.
    #[cfg_attr(feature = "schemas", schemars(extend("propertyNames" = {"pattern": NAME})))]
    by_rule: &'a BTreeMap<String, DifferenceCounts>,
}

/// A finding in a report.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
#[non_exhaustive]
pub struct ReportedFinding {
    /// The name of the rule.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = NAME)))]
    pub rule: String,
    /// The level, as in the report.
    #[cfg_attr(feature = "schemas", schemars(with = "crate::check::rule::Level"))]
    pub level: String,
    /// The file, as in the report.
    pub file: String,
    /// The line in it.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub line: u64,
    /// The column in it, in Unicode code points.
    #[cfg_attr(feature = "schemas", schemars(range(min = 1)))]
    pub column: u64,
    /// The value, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = POINTER)))]
    pub pointer: String,
    /// The message for people; its wording may change.
    pub message: String,
    /// The fingerprint, as in the report.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = KEY_PATTERN)))]
    pub fingerprint: String,
}

/// Reads the findings of a report one by one.
///
/// # Errors
/// When it cannot be read, is not a report, or is truncated.
pub fn findings(report: impl BufRead, found: &mut dyn FnMut(Key, ReportedFinding)) -> Result<(), ReportError> {
    let mut ended = false;
    for (number, text) in (1..).zip(report.lines()) {
        let wrong = |text| ReportError::Line(number, text);
        let not_text = |error: io::Error| match error.kind() {
            io::ErrorKind::InvalidData => wrong(if number == 1 { NO_REPORT } else { NO_LINE }),
            _ => ReportError::Io(error),
        };
        let text = text.map_err(not_text)?;
        let line: Value =
            serde_json::from_str(&text).map_err(|_| wrong(if number == 1 { NO_REPORT } else { NO_LINE }))?;
        if number == 1 {
            head(&line).map_err(wrong)?;
            continue;
        }
        match line["type"].as_str() {
            Some("finding") => {
                let finding: ReportedFinding = serde_json::from_value(line).map_err(|_| wrong(NO_LINE))?;
                found(finding.fingerprint.parse().map_err(|_| wrong(NO_LINE))?, finding);
            }
            Some("summary") => ended = true,
            _ => {}
        }
    }
    if ended { Ok(()) } else { Err(ReportError::CutShort) }
}

const NO_REPORT: &str = "this is not a report: oar check -o jsonl=FILE writes one";
const NO_LINE: &str = "this is not a line of a report";

fn head(line: &Value) -> Result<(), &'static str> {
    if line["format"] != "open-aligner-record findings" {
        return Err(NO_REPORT);
    }
    let is_known = line["version"].as_str().is_some_and(|version| version.starts_with("1."));
    if is_known { Ok(()) } else { Err("a newer version of oar wrote this report") }
}

/// The number of findings of each kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct DifferenceCounts {
    /// Findings in the second report only.
    pub new: u64,
    /// Findings in the first report only.
    pub gone: u64,
    /// Findings in both.
    pub same: u64,
}

/// The first of two reports, while the second is compared with it. It holds about 32 bytes for each finding.
#[derive(Debug, Default)]
pub struct Comparison {
    /// The findings of the first report, and whether they are in the second.
    old: BTreeMap<Key, bool>,
    /// The differences by rule.
    pub by_rule: BTreeMap<String, DifferenceCounts>,
}

impl Comparison {
    /// Adds a finding of the first report.
    pub fn add_old(&mut self, key: Key, told: &ReportedFinding) {
        if self.old.insert(key, false).is_none() {
            self.of_rule(told).gone += 1;
        }
    }

    /// Adds a finding of the second report; returns whether it is new.
    pub fn add_new(&mut self, key: Key, told: &ReportedFinding) -> bool {
        match self.old.get_mut(&key) {
            Some(again) if *again => false,
            Some(again) => {
                *again = true;
                let difference = self.of_rule(told);
                difference.gone = difference.gone.saturating_sub(1);
                difference.same += 1;
                false
            }
            None => {
                self.of_rule(told).new += 1;
                true
            }
        }
    }

    /// Whether a finding of the first report is missing in the second, once all findings of the second have been added.
    pub fn is_gone(&self, key: Key) -> bool {
        self.old.get(&key) == Some(&false)
    }

    /// The differences of all rules together.
    pub fn total(&self) -> DifferenceCounts {
        self.by_rule.values().fold(DifferenceCounts::default(), |total, one| DifferenceCounts {
            new: total.new + one.new,
            gone: total.gone + one.gone,
            same: total.same + one.same,
        })
    }

    /// The last line of a comparison.
    pub fn totals(&self) -> ComparisonTotals<'_> {
        ComparisonTotals { total: self.total(), by_rule: &self.by_rule }
    }

    fn of_rule(&mut self, told: &ReportedFinding) -> &mut DifferenceCounts {
        self.by_rule.entry(told.rule.clone()).or_default()
    }
}
