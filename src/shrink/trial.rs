//! Whether what is left of a record still gives the finding.

use std::collections::BTreeMap;

use super::budget::Budget;
use super::value::Value;
use crate::check::Checker;
use crate::check::finding::Finding;

/// The finding that is to stay, and what else may be found.
pub(super) struct Trial<'c> {
    checker: &'c mut Checker,
    /// The rule, and the names of the values that its finding tells; none when only nothing new may be found.
    target: Option<(&'static str, Vec<&'static str>)>,
    /// Where the finding is now.
    pub(super) pointer: String,
    /// The other findings by rule.
    others: BTreeMap<&'static str, usize>,
    pub(super) budget: Budget,
}

impl<'c> Trial<'c> {
    /// A trial for one of the findings of a record, or for none of them.
    pub(super) fn new(
        checker: &'c mut Checker,
        findings: &[Finding],
        target: Option<&Finding>,
        budget: Budget,
    ) -> Self {
        let names = |finding: &Finding| finding.args.iter().map(|(name, _)| *name).collect();
        let target_named = target.map(|finding| (finding.rule.name, names(finding)));
        let pointer = target.map(|finding| finding.place.pointer.clone()).unwrap_or_default();
        let mut others = BTreeMap::new();
        for finding in findings {
            *others.entry(finding.rule.name).or_insert(0) += 1;
        }
        if let Some((rule, _)) = &target_named {
            take_one(&mut others, rule);
        }
        Self { checker, target: target_named, pointer, others, budget }
    }

    /// How many other findings there are.
    pub(super) fn others(&self) -> usize {
        self.others.values().sum()
    }

    /// Whether a smaller or simpler record still gives the finding, at `pointer`, and nothing new; it is the record to go
    /// on with then.
    pub(super) fn holds(&mut self, value: &Value, pointer: &str) -> bool {
        let text = value.write();
        if !self.budget.takes(text.len()) {
            return false;
        }
        let findings = self.checker.check(text.as_bytes());
        let mut others: BTreeMap<&'static str, usize> = BTreeMap::new();
        for finding in &findings {
            *others.entry(finding.rule.name).or_insert(0) += 1;
        }
        if let Some((rule, names)) = &self.target {
            let same = |finding: &&Finding| {
                let named = finding.args.iter().map(|(name, _)| *name);
                finding.rule.name == *rule && finding.place.pointer == pointer && named.eq(names.iter().copied())
            };
            if findings.iter().find(same).is_none() {
                return false;
            }
            take_one(&mut others, rule);
        }
        let nothing_new = others.keys().all(|rule| self.others.contains_key(rule));
        if !nothing_new || others.values().sum::<usize>() > self.others() {
            return false;
        }
        self.others = others;
        pointer.clone_into(&mut self.pointer);
        true
    }
}

fn take_one(others: &mut BTreeMap<&'static str, usize>, rule: &str) {
    if let Some(count) = others.get_mut(rule) {
        *count -= 1;
    }
    others.retain(|_, count| *count > 0);
}
