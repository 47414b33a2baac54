//! Planted faults under the checker: each maker's mistake is found, where it says, and nothing else is.
//!
//! `cargo test --test cohorts each_maker -- --nocapture` lists how many records each maker suits; with `FAULT=` and rules or themes, with
//! commas between them, it tries those makers alone, on more records.

mod cohorts;
mod makers;

use oar_generators::faults;
use oar_generators::key::PlantedFault;
use open_aligner_record::finding::Finding;
use open_aligner_record::{Checker, Findings, rules};
use std::cell::RefCell;
use std::collections::BTreeSet;

/// What is found: the record of the run, from 0, rule, pointer, and the places in other records.
type Found = (u64, String, String, Vec<(u64, String)>);

thread_local! {
    /// One checker for many records, since it keeps the time zones that it has read.
    static CHECKER: RefCell<Checker> = RefCell::new(Checker::new().without_excerpts().with_facts());
}

/// Everything that is found in some records, each in a file of its own or all on lines of one file.
fn found(texts: &[Vec<u8>], own_file: bool) -> Vec<Found> {
    let take = |(record, finding): (u64, Finding)| {
        let elsewhere = finding.elsewhere.into_iter().map(|other| (other.record - 1, other.place.pointer)).collect();
        (record.saturating_sub(1), finding.rule.name.to_owned(), finding.place.pointer, elsewhere)
    };
    let lines = !own_file || texts.len() > 1;
    let bytes = if lines {
        texts.iter().flat_map(|text| [text, b"\n".as_slice()].concat()).collect()
    } else {
        texts[0].clone()
    };
    CHECKER.with_borrow_mut(|checker| {
        Findings::new(bytes.as_slice(), lines, checker).unwrap().map(Result::unwrap).map(take).collect()
    })
}

/// What the key tells of a patient whose first record is the record of that number in the run.
fn printed(planted: &[PlantedFault], first: u64) -> Vec<Found> {
    let one = |planted: &PlantedFault| {
        let elsewhere = planted.elsewhere.iter().map(|other| (first + other.record, other.pointer.clone())).collect();
        (first + planted.record, planted.rule.to_owned(), planted.pointer.clone(), elsewhere)
    };
    planted.iter().map(one).collect()
}

/// A finding on one line.
fn line((record, rule, pointer, elsewhere): &Found) -> String {
    let elsewhere: Vec<String> =
        elsewhere.iter().map(|(record, pointer)| format!(", with {record} {pointer}")).collect();
    format!("{rule} at {record} {pointer:?}{}", elsewhere.concat())
}

#[test]
fn every_rule_has_a_maker_and_every_maker_a_rule() {
    let makers: Vec<(&str, &str)> = faults::all().map(|maker| (maker.theme, maker.rule)).collect();
    let known: Vec<(&str, &str)> = rules::all().map(|rule| (rule.theme, rule.name)).collect();
    let without: Vec<_> = known.iter().filter(|(_, rule)| !makers.iter().any(|(_, of)| of == rule)).collect();
    assert!(without.is_empty(), "rules without a mistake-maker in generators/src/faults: {without:?}");
    let strange: Vec<_> = makers.iter().filter(|maker| !known.contains(maker)).collect();
    assert!(strange.is_empty(), "makers for no rule of that theme: {strange:?}");
    let unique: BTreeSet<_> = makers.iter().collect();
    assert_eq!(unique.len(), makers.len(), "a rule has two makers");
}
