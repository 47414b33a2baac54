//! Acceptance: which findings of a run are waived or in the baseline, and the totals without them.

use std::collections::BTreeSet;
use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};

use crate::check::finding::{Finding, Item};
use crate::check::fingerprint::Key;
use crate::report::baseline::{Baseline, BaselineBuilder};
use crate::report::summary::Summary;
use crate::report::waivers::{Waiver, Waivers};

/// Why a finding does not count.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Accepted<'a> {
    /// A waiver covers it, in the file with that name.
    Waived(&'a str, &'a Waiver),
    /// It is in the baseline.
    InBaseline,
}

/// The findings that a run accepts. Findings are judged in the order of the run; [`Self::settle`] ends it.
#[derive(Debug, Default)]
pub struct Acceptance {
    /// The waivers, if there are any.
    pub waivers: Option<Waivers>,
    /// The baseline, if there is one.
    pub baseline: Option<Baseline>,
    /// Collects findings for a new baseline; all of them are then accepted.
    pub gathered: Option<BaselineBuilder>,
    /// Whether the run covers only a part of the files, so that missing findings may be elsewhere.
    pub partial: bool,
    waived: u64,
    in_baseline: u64,
    /// The totals without accepted findings.
    rest: Summary,
    /// The fixable ones among them before the current file.
    fixable_before: u64,
    /// The records with findings that were not accepted, as hashes of file and location.
    records: BTreeSet<u64>,
}

impl Acceptance {
    /// Whether there is anything that could accept a finding.
    pub fn is_empty(&self) -> bool {
        self.waivers.is_none() && self.baseline.is_none() && self.gathered.is_none()
    }

    /// A file begins.
    pub fn begin_file(&mut self) {
        self.fixable_before = self.rest.fixable.unwrap_or_default();
    }

    /// None of the findings in the current file is fixable.
    pub fn refuse_file(&mut self) {
        self.rest.fixable = Some(self.fixable_before);
    }

    /// Why a finding is accepted; none when it counts. `path` is its file as waivers name it. A waived finding is also removed
    /// from the baseline, since it is not gone.
    pub fn judge(&mut self, item: &Item<'_>, path: &str) -> Option<Accepted<'_>> {
        let key = Key::of(item);
        let known = self.baseline.as_mut().is_some_and(|baseline| baseline.takes(key));
        let accepted = known || self.gathered.is_some();
        let holding = self.waivers.as_mut().and_then(|waivers| waivers.holding(item, path, accepted));
        let held = self.waivers.as_ref().zip(holding).and_then(|(all, index)| Some((&all.file, all.get(index)?)));
        if let Some((file, waiver)) = held {
            self.waived += 1;
            return Some(Accepted::Waived(file, waiver));
        }
        if let Some(gathered) = &mut self.gathered {
            gathered.add(item.finding.rule.name, key);
        }
        if accepted {
            self.in_baseline += 1;
            return Some(Accepted::InBaseline);
        }
        self.rest.fixable.get_or_insert(0);
        self.rest.count(item.finding);
        if item.record > 0 {
            self.records.insert(place_of(item));
        }
        None
    }

    /// Removes accepted findings from the totals of the run, and returns the findings about the waivers themselves, counted.
    pub fn settle(&mut self, summary: &mut Summary) -> Vec<Finding> {
        // A run that accepts everything does not report on waivers either: the next one does.
        let waivers = self.waivers.as_ref().filter(|_| self.gathered.is_none());
        let stale = waivers.map_or(Vec::new(), |waivers| waivers.findings(!self.partial));
        for finding in &stale {
            self.rest.count(finding);
        }
        let rest = std::mem::take(&mut self.rest);
        (summary.errors, summary.warnings, summary.notes) = (rest.errors, rest.warnings, rest.notes);
        summary.by_rule = rest.by_rule;
        summary.fixable = summary.fixable.map(|_| rest.fixable.unwrap_or_default());
        summary.records_with_findings = self.records.len() as u64;
        (summary.waived, summary.in_baseline) = (self.waived, self.in_baseline);
        let gone = self.baseline.as_ref().filter(|_| !self.partial && self.gathered.is_none()).map(Baseline::gone);
        summary.gone = gone.unwrap_or_default();
        stale
    }
}

fn place_of(item: &Item<'_>) -> u64 {
    let mut hasher = DefaultHasher::new();
    (item.file, item.record).hash(&mut hasher);
    hasher.finish()
}
