//! Which findings of a check a repair resolves.
//!
//! This is determined by trial: the record is repaired and checked again, and the findings that are then missing were fixed.

use std::collections::{BTreeMap, BTreeSet};

use super::{Repairer, order};
use crate::check::finding::Finding;

/// Rules whose findings a repair can resolve, beside those about the order of lists. Without findings of these, nothing needs
/// to be tried.
const RULES: &[&str] =
    &["repeated_name", "wrong_type", "unknown_word", "not_a_date", "not_an_instant", "not_a_tooth", "other_notation"];

/// Whether a repair can resolve findings of the rule.
fn can_fix(rule: &str) -> bool {
    RULES.contains(&rule) || order::LISTS.iter().any(|list| list.rule == rule)
}

impl Repairer {
    /// Marks the findings of a record that are gone after a repair.
    pub(crate) fn mark(&mut self, findings: &mut [Finding], record: &[u8]) {
        if findings.iter().any(|finding| can_fix(finding.rule.name)) {
            self.try_out(findings, record);
        }
    }

    fn try_out(&mut self, findings: &mut [Finding], record: &[u8]) {
        if let Some(text) = self.record(record).text {
            let after = self.checker.check(&text);
            mark_missing(findings, &after);
        }
    }
}

/// Marks as many findings of each rule as the repair resolved, first those that no longer exist at the same entry.
fn mark_missing(before: &mut [Finding], after: &[Finding]) {
    let mut fewer: BTreeMap<&str, usize> = BTreeMap::new();
    for finding in before.iter() {
        *fewer.entry(finding.rule.name).or_default() += 1;
    }
    for finding in after {
        fewer.entry(finding.rule.name).and_modify(|count| *count = count.saturating_sub(1));
    }
    let there: BTreeSet<(&str, &str)> =
        after.iter().map(|finding| (finding.rule.name, finding.subject.as_str())).collect();
    for at_the_same_entry in [false, true] {
        for finding in before.iter_mut().filter(|finding| !finding.fixable) {
            let fewer = fewer.entry(finding.rule.name).or_default();
            if *fewer > 0 && there.contains(&(finding.rule.name, finding.subject.as_str())) == at_the_same_entry {
                finding.fixable = true;
                *fewer -= 1;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::Path;

    use super::{RULES, can_fix, order};
    use crate::check::finding::Finding;
    use crate::repair::Repairer;

    const BASE: &str = include_str!("../../tests/base.oar.json");

    /// The findings of a record, each marked if it is fixed; every record is tried.
    fn tried_out(record: &[u8], repairer: &mut Repairer) -> Vec<Finding> {
        let mut findings = repairer.checker.check(record).into_findings();
        repairer.try_out(&mut findings, record);
        findings
    }

    fn fixes(record: &[u8], repairer: &mut Repairer) -> Vec<&'static str> {
        tried_out(record, repairer).iter().filter(|finding| finding.fixable).map(|finding| finding.rule.name).collect()
    }

    #[test]
    fn what_a_repair_takes_away_is_of_a_rule_that_is_known_for_it() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/broken");
        let (mut seen, mut repairer) = (BTreeSet::new(), Repairer::new());
        for entry in fs::read_dir(folder).unwrap() {
            let text = fs::read(entry.unwrap().path()).unwrap();
            let lines = text.split(|byte| *byte == b'\n').filter(|line| line.starts_with(b"{\""));
            for record in [text.as_slice()].into_iter().chain(lines) {
                seen.extend(fixes(record, &mut repairer));
            }
        }
        assert!(seen.len() >= 2, "{seen:?}");
        assert!(seen.iter().all(|rule| can_fix(rule)), "{seen:?}");
    }

    #[test]
    fn every_rule_that_is_known_for_it_has_a_record_that_a_repair_fixes() {
        let edit = |from: &str, to: &str| {
            assert!(BASE.contains(from), "{from}");
            BASE.replacen(from, to, 1)
        };
        let records = [
            (
                "repeated_name",
                edit("\"change_interval_days\": 7,", "\"change_interval_days\": 7, \"change_interval_days\": 7,"),
            ),
            ("wrong_type", edit("\"change_interval_days\": 7,", "\"change_interval_days\": \"7\",")),
            ("unknown_word", edit("\"kind\": \"advance\"", "\"kind\": \"Advance\"")),
            ("not_a_date", edit("\"2031-02-10\"", "\"2031/02/10\"")),
            ("not_an_instant", edit("\"exported_at\": \"2031-05-10T", "\"exported_at\": \"2031-05-10t")),
            ("not_a_tooth", edit("\"absent\": [18, 28, 38, 48]", "\"absent\": [1, 16, 17, 32]")),
        ];
        for (rule, record) in &records {
            assert_eq!(fixes(record.as_bytes(), &mut Repairer::new()).first(), Some(rule), "{rule}");
        }
        let beside = ["other_notation"];
        let all: Vec<&str> = records.iter().map(|(rule, _)| *rule).chain(beside).collect();
        assert_eq!(RULES, all);
        assert!(order::LISTS.iter().all(|list| crate::check::rules::find(list.rule).is_some()));
    }

    #[test]
    fn of_several_findings_of_a_rule_those_are_marked_that_go() {
        let record = BASE.replacen("\"change_interval_days\": 7,", "\"change_interval_days\": \"7\",", 1).replacen(
            "\"wear_goal_minutes\": 1320",
            "\"wear_goal_minutes\": \"much\"",
            1,
        );
        let found = tried_out(record.as_bytes(), &mut Repairer::new());
        let told: Vec<(String, bool)> =
            found.iter().map(|found| (found.place.pointer.clone(), found.fixable)).collect();
        let expected = [("/prescription/wear_goal_minutes", false), ("/prescription/change_interval_days", true)];
        assert_eq!(told, expected.map(|(pointer, fixable)| (pointer.to_owned(), fixable)));
    }
}
