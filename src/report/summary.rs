//! The totals of a run, and which of them make it fail.

use std::collections::BTreeMap;

use oar_schema::parse::from_text;
use serde::Serialize;

use crate::check::finding::Finding;
use crate::check::partial::Partial;
use crate::check::rule::Level;
#[cfg(feature = "schemas")]
use crate::check::rule::NAME;

/// The words for [`FailOn`], for messages.
pub const FAIL_LEVELS: &str = "error, warning, note, or one of them with \",partial\" after it";

/// What makes a run fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FailOn {
    /// Findings from this level on.
    pub level: Level,
    /// Records that could be checked in part only.
    pub partial: bool,
}

impl FailOn {
    /// All of them by name, as `--fail-level` takes them.
    pub const NAMES: [&str; 6] = ["error", "warning", "note", "error,partial", "warning,partial", "note,partial"];

    /// Its name.
    pub const fn as_str(self) -> &'static str {
        match (self.level, self.partial) {
            (Level::Error, false) => "error",
            (Level::Warning, false) => "warning",
            (Level::Note, false) => "note",
            (Level::Error, true) => "error,partial",
            (Level::Warning, true) => "warning,partial",
            (Level::Note, true) => "note,partial",
        }
    }
}

from_text!(names FailOn, "what makes a run fail", Level::ALL.into_iter().flat_map(|level| {
    [false, true].map(|partial| Self { level, partial })
}));

impl Default for FailOn {
    fn default() -> Self {
        Self { level: Level::Error, partial: false }
    }
}

/// What a run came to.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
#[non_exhaustive]
pub struct Summary {
    /// Files that were read, at least in part.
    pub files: u64,
    /// Paths that could not be read, or not to their end.
    pub unreadable: u64,
    /// JSON files in folders that were passed over, because their names are not those of records.
    #[serde(skip)]
    pub passed_over: u64,
    /// Records that were checked.
    pub records: u64,
    /// Records with at least one finding.
    pub records_with_findings: u64,
    /// Bytes that were read, after decompression.
    pub bytes: u64,
    /// Findings of the level error.
    pub errors: u64,
    /// Findings of the level warning.
    pub warnings: u64,
    /// Findings of the level note.
    pub notes: u64,
    /// The number of findings of each rule, by name.
    #[cfg_attr(feature = "schemas", schemars(with = "BTreeMap<String, std::num::NonZeroU64>", extend("propertyNames" = {"pattern": NAME})))]
    pub by_rule: BTreeMap<&'static str, u64>,
    /// Findings that a waiver accepts; not included in those by level.
    pub waived: u64,
    /// Findings in the baseline; not included in those by level.
    pub in_baseline: u64,
    /// Findings of the baseline that no longer occur.
    #[serde(rename = "baseline_gone")]
    pub gone: u64,
    /// Records that could be checked only in part, because something in them cannot be read. Since 1.3.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    pub records_in_part: u64,
    /// Those of them for which no finding that counts says so: it is waived, in the baseline, or its rule is off. Since 1.3.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    pub in_part_unreported: u64,
    /// Rules that were not applied to them, each counted for every record. Since 1.3.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    pub rules_not_applied: u64,
    /// The findings by level that a repair fixes; omitted when this was not tried. Since 1.2.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schemas", schemars(with = "u64"))]
    pub fixable: Option<u64>,
}

impl Summary {
    /// Counts a finding.
    pub fn count(&mut self, finding: &Finding) {
        match finding.level {
            Level::Error => self.errors += 1,
            Level::Warning => self.warnings += 1,
            Level::Note => self.notes += 1,
        }
        *self.by_rule.entry(finding.rule.name).or_default() += 1;
        if let Some(fixable) = &mut self.fixable {
            *fixable += u64::from(finding.fixable);
        }
    }

    /// Counts a record that could be checked in part only.
    pub fn count_partial(&mut self, partial: &Partial) {
        self.records_in_part += 1;
        self.in_part_unreported += u64::from(!partial.reported);
        self.rules_not_applied += partial.rules.len() as u64;
    }

    /// Whether a run that came to this fails.
    pub fn fails(&self, on: FailOn) -> bool {
        self.at_least(on.level) > 0 || (on.partial && self.records_in_part > 0)
    }

    /// Findings of that level or above.
    pub fn at_least(&self, level: Level) -> u64 {
        match level {
            Level::Error => self.errors,
            Level::Warning => self.errors + self.warnings,
            Level::Note => self.errors + self.warnings + self.notes,
        }
    }
}
