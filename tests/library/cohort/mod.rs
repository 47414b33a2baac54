//! Rules across records: what they find depends on the records alone.

mod copies;
mod one_mistake;
mod order;
mod places;
mod privacy;
mod whole;

use oar_testing::{BASE, page};
use open_aligner_record::Checker;
use open_aligner_record::cohort::{Across, Cohort};

/// A record with the edits of a page made, on one line.
fn record(edits: &[&str]) -> String {
    let edits: Vec<String> = std::iter::once("record").chain(edits.iter().copied()).map(str::to_owned).collect();
    let text = String::from_utf8(page::edited(BASE, &edits)).unwrap();
    text.lines().nth(1).unwrap().to_owned()
}

/// Files by name, each with its records.
type Files = Vec<(String, Vec<String>)>;

/// What is found across the records of some files.
fn across(files: &Files) -> Vec<Across> {
    let (mut checker, mut cohort) = (Checker::new().with_facts(), Cohort::default());
    for (file, records) in files {
        for (number, record) in (1..).zip(records) {
            if let Some(facts) = checker.check(record.as_bytes()).facts() {
                cohort.add(file, number, facts);
            }
        }
    }
    cohort.findings().collect()
}

/// The rules of what is found across some records in one file, in order.
fn rules(records: &[String]) -> Vec<&'static str> {
    let found = across(&vec![("a.oar.jsonl".to_owned(), records.to_vec())]);
    found.iter().map(|across| across.finding.rule.name).collect()
}
