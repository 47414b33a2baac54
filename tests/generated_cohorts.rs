//! Cohorts that the generator makes, under the checker: nothing is found in them.

use std::collections::BTreeMap;

use oar_generators::cohort::Cohort;
use oar_generators::recipe::Recipe;
use open_aligner_record::Checker;
use open_aligner_record::rule::Level;

/// Patients of each recipe: some in a quick build, more in an optimised one.
const PATIENTS: u64 = if cfg!(debug_assertions) { 2_000 } else { 10_000 };

fn findings(recipe: &str, patients: u64) -> BTreeMap<String, (usize, String)> {
    let cohort = Cohort::new(Recipe::load(recipe, &[]).unwrap(), 1);
    let mut checker = Checker::new();
    let mut told: BTreeMap<String, (usize, String)> = BTreeMap::new();
    for index in 0..patients {
        let (record, _) = cohort.patient(index);
        let text = serde_json::to_string(&record).unwrap();
        for finding in checker.check(text.as_bytes()) {
            let key = format!("{:?} {}", finding.rule.level, finding.rule.name);
            let example = || format!("{index} {}: {}", finding.place.pointer, finding.message());
            let entry = told.entry(key).or_insert_with(|| (0, example()));
            if finding.rule.level != Level::Note || finding.rule.name.is_empty() {
                entry.0 += 1;
            } else {
                entry.0 += 1;
            }
        }
    }
    told
}

#[test]
fn a_general_cohort_is_clean() {
    let told = findings("general", PATIENTS);
    for (rule, (count, example)) in &told {
        println!("{count:>6} {rule}: {example}");
    }
    let wrong = told.keys().filter(|rule| !rule.starts_with("Note")).count();
    assert_eq!(wrong, 0, "{told:#?}");
}
