//! Marks: each rule declares the marks that keep it from reporting, and each mark is needed.
//!
//! The law is one of the project's own, without an outside source.

use std::collections::{BTreeMap, BTreeSet};

use oar_testing::{BASE, page, single_edits};
use open_aligner_record::check::marks::{Mark, Marks};
use open_aligner_record::{Checker, rules};
use serde_json::Value;

/// Valid records whose single edits are tried beside the examples of the pages.
const RECORDS: [&str; 4] = [
    BASE,
    include_str!("../../datasets/demo/qm-05-mixed-dentition.oar.json"),
    include_str!("../../datasets/demo/qm-06-one-arch.oar.json"),
    include_str!("../../datasets/demo/qm-12-extraction-elastics.oar.json"),
];

/// Every example of the pages that is one record, and single edits of some valid records.
fn records() -> Vec<Vec<u8>> {
    let pages = rules::all().flat_map(|rule| ["Broken", "Kept"].map(|heading| page::examples(rule.page, heading)));
    let examples = pages.flatten().filter(|example| !page::is_several(&example.edit));
    let mut records: Vec<Vec<u8>> = examples.map(|example| page::edited(BASE, &example.edit)).collect();
    for text in RECORDS {
        let record: Value = serde_json::from_str(text).unwrap();
        records.extend(single_edits::of(&record).iter().map(|edit| single_edits::edited(&record, edit)));
    }
    records
}

#[test]
fn each_rule_declares_the_marks_that_it_asks_for() {
    let mut checker = Checker::new().without_excerpts();
    for record in records() {
        checker.check(&record);
    }
    let names = |marks: Marks| marks.iter().map(Mark::name).collect::<Vec<_>>().join(", ");
    let asked = checker.asked_marks();
    let wrong: Vec<String> = rules::all()
        .filter_map(|rule| {
            let asked = asked.get(rule.name).copied().unwrap_or_default();
            (asked != rule.unless)
                .then(|| format!("{} asks for ({}) and declares ({})", rule.name, names(asked), names(rule.unless)))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_mark_keeps_some_rule_from_reporting_a_mistake_again() {
    let records = records();
    let mut needless: BTreeSet<&str> = Mark::ALL.iter().map(|mark| mark.name()).collect();
    let mut all = Checker::new().without_excerpts();
    for mark in Mark::ALL {
        let mut without = Checker::new().without_excerpts().without_marks(Marks::of(*mark));
        let again = |record: &Vec<u8>| {
            let count = |checker: &mut Checker| checker.check(record).len();
            count(&mut without) > count(&mut all)
        };
        if records.iter().any(again) {
            needless.remove(mark.name());
        }
    }
    assert!(needless.is_empty(), "nothing is reported twice without {needless:?}");
}

#[test]
fn marks_are_reported_by_rules_that_are_there() {
    let mut reporters: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for mark in Mark::ALL {
        assert!(!mark.reported_by().is_empty());
        for rule in mark.reported_by() {
            assert!(rules::find(rule).is_some(), "{} is reported by {rule}, which is no rule", mark.name());
            reporters.entry(mark.name()).or_default().push(rule);
        }
    }
    assert_eq!(reporters.len(), Mark::ALL.len());
}
