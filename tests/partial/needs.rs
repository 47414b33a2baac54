//! What rules need: an unreadable value gives no finding but its own.

use std::collections::BTreeSet;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::{BUILT_IN, Recipe};
use oar_testing::{BASE, is_thorough};
use open_aligner_record::Checker;
use serde_json::Value;

use crate::damages::{self, Place};

/// Demo records of different kinds.
const DEMO: [&str; 5] = ["qm-03", "qm-04", "qm-05", "qm-06", "qm-12"];
/// Patients of each recipe in a thorough run.
const PATIENTS: u64 = 4;

/// Records without an error or warning.
fn clean_records() -> Vec<Value> {
    let mut records: Vec<Value> = vec![serde_json::from_str(BASE).unwrap()];
    for file in std::fs::read_dir("datasets/demo").unwrap() {
        let file = file.unwrap().path();
        if DEMO.iter().any(|demo| file.to_string_lossy().contains(demo)) {
            records.push(serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap());
        }
    }
    for (recipe, _) in BUILT_IN.iter().filter(|_| is_thorough()) {
        let cohort = SyntheticCohort::new(Recipe::load(recipe, &[]).unwrap(), 5);
        records.extend((0..PATIENTS).map(|index| serde_json::to_value(cohort.patient(index).0).unwrap()));
    }
    records
}

/// The ways in which a value can be unreadable.
fn ways(record: &Value, place: &Place) -> Vec<Value> {
    let mut ways = vec![damages::damaged(record, place)];
    if place.required && record.pointer(place.pointer.rsplit_once('/').unwrap().0).unwrap().is_object() {
        ways.push(damages::without(record, &place.pointer));
    }
    if place.pointer.contains("/0") {
        ways.push(damages::damaged_everywhere(record, place));
    }
    ways
}

/// The rules that look at whole records and find something.
fn found(checker: &mut Checker, record: &Value) -> BTreeSet<&'static str> {
    let found = checker.check(&serde_json::to_vec(record).unwrap()).into_findings();
    found.into_iter().filter(|finding| finding.rule.sections != 0).map(|finding| finding.rule.name).collect()
}

#[test]
fn an_unreadable_value_brings_no_finding_of_another_rule_with_it() {
    let (mut checker, mut heedless) = (Checker::new().without_excerpts(), Checker::new().without_excerpts().heedless());
    let (mut wrong, mut misled) = (BTreeSet::new(), BTreeSet::<&str>::new());
    for record in clean_records() {
        let before = found(&mut checker, &record);
        for place in damages::places(&record) {
            for damaged in ways(&record, &place) {
                let new = found(&mut checker, &damaged);
                wrong.extend(new.difference(&before).map(|rule| format!("{rule}: {}", place.pointer)));
                misled.extend(found(&mut heedless, &damaged).difference(&before).copied());
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Without what rules name as their needs, many would be misled: the test sees it.
    assert!(misled.len() > 20, "{misled:?}");
}
