//! Makes a kit.

use std::io;

use super::manifest::{CaseKind, Expected, KitCase};
use crate::check::finding::Finding;
use crate::check::{Checker, Findings, rules};

/// Receives the files: the path within the folder of the kit, and the bytes.
pub(super) type Write<'w> = &'w mut dyn FnMut(&str, &[u8]) -> io::Result<()>;

/// The cases so far, and what is needed to make more.
pub(super) struct Builder<'w> {
    pub(super) seed: u64,
    pub(super) each: u64,
    pub(super) checker: Checker,
    pub(super) cases: Vec<KitCase>,
    write: Write<'w>,
}

impl<'w> Builder<'w> {
    /// A kit without cases. `each` says how many cases there are to be of each fault.
    pub(super) fn new(seed: u64, each: u64, write: Write<'w>) -> Self {
        let checker = Checker::new().without_excerpts().with_facts();
        Self { seed, each, checker, cases: Vec::new(), write }
    }

    /// Writes a file that goes with the cases.
    pub(super) fn write_paper(&mut self, name: &str, bytes: &[u8]) -> io::Result<()> {
        (self.write)(name, bytes)
    }

    /// Writes a case.
    pub(super) fn write(&mut self, case: KitCase, bytes: &[u8]) -> io::Result<()> {
        (self.write)(&case.file, bytes)?;
        self.cases.push(case);
        Ok(())
    }

    /// All findings in the bytes of a file.
    pub(super) fn found(&mut self, bytes: &[u8], lines: bool) -> Vec<Expected> {
        let findings = Findings::new(bytes, lines, &mut self.checker).and_then(Iterator::collect::<io::Result<Vec<_>>>);
        let told =
            |(record, finding): &(u64, Finding)| expected(finding.rule.name, (*record).max(1), &finding.place.pointer);
        findings.unwrap_or_default().iter().filter_map(told).collect()
    }

    /// Writes a record to be accepted, if it has no findings.
    pub(super) fn accepted(&mut self, case: KitCase, bytes: &[u8]) -> io::Result<bool> {
        let clean = self.found(bytes, case.file.contains(".jsonl")).is_empty();
        if clean {
            self.write(case, bytes)?;
        }
        Ok(clean)
    }
}

/// A case with one record to be accepted.
pub(super) fn accept_case(kind: CaseKind, name: &str, what: &str) -> KitCase {
    let name = format!("{}/{name}", kind.as_str());
    KitCase {
        file: format!("{name}.oar.json"),
        case: name,
        kind,
        records: 1,
        what: what.to_owned(),
        accepted: true,
        finding: None,
        same_as: None,
        derived: None,
    }
}

/// The expected finding of a rule at a location.
pub(super) fn expected(rule: &str, record: u64, pointer: &str) -> Option<Expected> {
    let rule = rules::find(rule)?;
    Some(Expected {
        rule: rule.name.to_owned(),
        theme: slug(rule.theme),
        level: rule.level.as_str().to_owned(),
        record,
        pointer: pointer.to_owned(),
        meaning: crate::check::page::title(rule.page),
    })
}

/// A theme as one word.
fn slug(theme: &str) -> String {
    theme.replace([' ', '-'], "_")
}
