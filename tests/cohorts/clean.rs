//! Cohorts that the generator makes, under the checker: nothing is found in them.

use std::collections::BTreeMap;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::{BUILT_IN, Recipe};
use oar_testing::is_thorough;
use open_aligner_record::Checker;
use open_aligner_record::rule::Level;

/// Patients of each recipe: some in a quick run, more in a thorough one.
fn patients() -> u64 {
    if is_thorough() { 10_000 } else { 2_000 }
}

fn assert_clean(recipe: &str, patients: u64) {
    let cohort = SyntheticCohort::new(Recipe::load(recipe, &[]).unwrap(), 1);
    let mut checker = Checker::new();
    let mut printed: BTreeMap<(Level, &str), (usize, String)> = BTreeMap::new();
    for index in 0..patients {
        let (record, _) = cohort.patient(index);
        let text = serde_json::to_string(&record).unwrap();
        for finding in checker.check(text.as_bytes()) {
            let example = || format!("{recipe} {index} {}: {}", finding.place.pointer, finding.message());
            printed.entry((finding.rule.level, finding.rule.name)).or_insert_with(|| (0, example())).0 += 1;
        }
    }
    let wrong: Vec<_> = printed.iter().filter(|((level, _), _)| *level != Level::Note).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_general_cohort_is_clean() {
    assert_clean("general", patients());
}

#[test]
fn cohorts_of_the_other_recipes_are_clean() {
    for (recipe, _) in BUILT_IN.iter().filter(|(recipe, _)| *recipe != "general") {
        assert_clean(recipe, patients() / 10);
    }
}
