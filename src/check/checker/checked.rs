//! A record that was checked: what was found in it, and what was read of it.

use std::ops::Deref;

use oar_schema::limits::Limits;
use oar_schema::record::Record;

use super::{Checker, LastRecord};
use crate::check::cohort::Facts;
use crate::check::finding::Finding;
use crate::check::partial::Partial;
use crate::check::rule::Level;

/// The result of checking one record. It borrows the checker, whose buffers hold the values of the record, and derefs to the
/// findings in the order of the text.
///
/// ```
/// use open_aligner_record::Checker;
///
/// let mut checker = Checker::new();
/// let checked = checker.check(br#"{"format": "open-aligner-record"}"#);
/// assert!(checked.has_error() && checked.record().is_none());
/// for finding in checked {
///     println!("{} {}", finding.rule.name, finding.message());
/// }
/// ```
#[derive(Debug)]
pub struct Checked<'c> {
    pub(super) checker: &'c Checker,
    pub(super) bytes: &'c [u8],
    pub(super) findings: Vec<Finding>,
}

impl<'c> Checked<'c> {
    /// What was found, in the order of the text; nothing in a valid record.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// The findings, for which the checker is not needed any more.
    pub fn into_findings(self) -> Vec<Finding> {
        self.findings
    }

    /// Whether one of the findings is an error.
    pub fn has_error(&self) -> bool {
        self.findings.iter().any(|finding| finding.level == Level::Error)
    }

    /// The record, whatever was found in it; none when some of its values could not be read. Nothing is parsed again.
    pub fn record(&self) -> Option<Record> {
        let Checker { held, rows, text, .. } = self.checker;
        match held {
            LastRecord::Nothing => None,
            LastRecord::Given => Some(rows.own(self.bytes)),
            LastRecord::Written => Some(rows.own(text.as_bytes())),
        }
    }

    /// What could not be checked, if anything.
    pub fn partial(&self) -> Option<Partial> {
        let Checker { damage, .. } = self.checker;
        (!damage.is_none()).then(|| Partial::new(self.checker.not_applied().collect(), damage))
    }

    /// The limits that the record was checked with, those of its profile among them.
    pub fn limits(&self) -> &'c Limits {
        &self.checker.settled.current().limits
    }

    /// What the rules across records need of the record, if it was asked for with [`Checker::with_facts`] and the record's id and
    /// source could be read.
    pub fn facts(&self) -> Option<&'c Facts> {
        self.checker.facts.as_ref()
    }

    /// The id of the record, if it was asked for with [`Checker::with_record_ids`] and there are facts.
    pub fn record_id(&self) -> Option<&'c str> {
        self.facts().filter(|_| self.checker.with_record_ids).map(|_| self.checker.record_id.as_str())
    }

    /// The system that wrote the record, as outputs may name it.
    pub fn system(&self) -> &'c str {
        &self.checker.system
    }
}

impl Deref for Checked<'_> {
    type Target = [Finding];

    fn deref(&self) -> &[Finding] {
        &self.findings
    }
}

impl IntoIterator for Checked<'_> {
    type Item = Finding;
    type IntoIter = std::vec::IntoIter<Finding>;

    fn into_iter(self) -> Self::IntoIter {
        self.findings.into_iter()
    }
}

impl<'a> IntoIterator for &'a Checked<'_> {
    type Item = &'a Finding;
    type IntoIter = std::slice::Iter<'a, Finding>;

    fn into_iter(self) -> Self::IntoIter {
        self.findings.iter()
    }
}
