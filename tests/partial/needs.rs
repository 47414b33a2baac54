//! What rules need: an unreadable value gives no finding but its own, and each need is needed.

use std::collections::{BTreeMap, BTreeSet};

use oar_generators::cohort::Cohort;
use oar_generators::recipe::{BUILT_IN, Recipe};
use open_aligner_record::{Checker, rules};
use serde_json::Value;

use crate::damages::{self, Place};

/// Patients of each recipe.
const PATIENTS: u64 = 1;

/// Demo records of different kinds.
const DEMO: [&str; 5] = ["lh-03", "lh-04", "lh-05", "lh-06", "lh-12"];

/// Records without an error or warning.
fn clean_records() -> Vec<Value> {
    let mut records: Vec<Value> = vec![serde_json::from_str(include_str!("../base.oar.json")).unwrap()];
    for file in std::fs::read_dir("datasets/demo").unwrap() {
        let file = file.unwrap().path();
        if DEMO.iter().any(|demo| file.to_string_lossy().contains(demo)) {
            records.push(serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap());
        }
    }
    for (recipe, _) in BUILT_IN {
        let cohort = Cohort::new(Recipe::load(recipe, &[]).unwrap(), 5);
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

/// The findings of the rules that look at whole records, as rule and pointer.
fn found(checker: &mut Checker, record: &Value) -> BTreeSet<(&'static str, String)> {
    let found = checker.check(&serde_json::to_vec(record).unwrap());
    let by_rules = found.into_iter().filter(|finding| finding.rule.sections != 0);
    by_rules.map(|finding| (finding.rule.name, finding.place.pointer)).collect()
}

#[test]
fn rules_need_what_they_name_and_no_more() {
    let (mut checker, mut heedless) = (Checker::new().without_excerpts(), Checker::new().without_excerpts().heedless());
    let mut misled: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let mut wrong = Vec::new();
    for record in clean_records() {
        let before = found(&mut checker, &record);
        for place in damages::places(&record) {
            for damaged in ways(&record, &place) {
                for (rule, pointer) in found(&mut heedless, &damaged)
                    .into_iter()
                    .filter(|(_, pointer)| !before.iter().any(|(_, known)| known == pointer))
                {
                    let parts = heedless.partial().unwrap().unread;
                    misled.entry(rule).or_default().insert(parts.join("+"));
                    let _ = pointer;
                }
                for (rule, pointer) in found(&mut checker, &damaged) {
                    if !before.iter().any(|(known, _)| *known == rule) {
                        wrong.push(format!("{}: {rule} {pointer}", place.pointer));
                    }
                }
            }
        }
    }
    for rule in rules::all().filter(|rule| rule.sections != 0) {
        println!("NEED {} {:?}", rule.name, misled.get(rule.name));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
