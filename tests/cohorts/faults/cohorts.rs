//! Whole cohorts with faults: all that the key tells is found, and nothing else but notes of clean records.

use std::collections::{BTreeMap, BTreeSet};

use oar_generators::cohort::SyntheticCohort;
use oar_generators::faults::{self, ChosenMaker, FaultPlan, Suits};
use oar_generators::recipe::Recipe;
use open_aligner_record::rule::Level;
use open_aligner_record::rules;

use super::{Found, found, line, printed};

/// Every maker but those that are made on request only.
fn chosen() -> Vec<ChosenMaker> {
    let makers = faults::all().filter(|maker| maker.suits != Suits::Asked);
    makers.map(|maker| ChosenMaker { maker, reads: rules::find(maker.rule).unwrap().reads() }).collect()
}

/// What a cohort came to.
struct Outcome {
    /// How often each rule was planted.
    planted: BTreeMap<String, usize>,
    /// How many records have faults.
    faulty: usize,
    /// What was planted and not found, and what was found and not planted.
    wrong: Vec<String>,
}

fn outcome(recipe: &str, plan: FaultPlan, patients: u64, own_files: bool) -> Outcome {
    let clean = SyntheticCohort::new(Recipe::load(recipe, &[]).unwrap(), 4);
    let cohort = clean.clone().with_faults(plan);
    let (mut texts, mut expected, mut notes) = (Vec::new(), Vec::new(), BTreeSet::new());
    let (mut all_found, mut faulty) = (Vec::new(), 0);
    for index in 0..patients {
        let written = cohort.written(index).unwrap();
        faulty += usize::from(!written.truth.faults.is_empty());
        let first = texts.len() as u64;
        for (_, rule, pointer, _) in found(&[serde_json::to_vec(&clean.patient(index).0).unwrap()], true) {
            assert_eq!(rules::find(&rule).unwrap().level, Level::Note, "{rule} in clean record {index}");
            notes.extend((0..written.texts.len() as u64).map(|record| (first + record, rule.clone(), pointer.clone())));
        }
        expected.extend(printed(&written.truth.faults, first));
        if own_files {
            let moved = |(record, rule, pointer, elsewhere): Found| {
                let elsewhere = elsewhere.into_iter().map(|(record, pointer)| (first + record, pointer)).collect();
                (first + record, rule, pointer, elsewhere)
            };
            all_found.extend(found(&written.texts, true).into_iter().map(moved));
        }
        texts.extend(written.texts);
    }
    if !own_files {
        all_found = found(&texts, false);
    }
    let missed = expected
        .iter()
        .filter(|printed| !all_found.contains(printed))
        .map(|printed| format!("missed {}", line(printed)));
    let is_note = |found: &Found| notes.contains(&(found.0, found.1.clone(), found.2.clone()));
    let more = all_found.iter().filter(|found| !expected.contains(found) && !is_note(found));
    let there = |found: &Found| {
        let planted = expected.iter().filter(|printed| printed.0 == found.0).map(|printed| printed.1.as_str());
        format!("not planted: {}, in a record with {}", line(found), planted.collect::<Vec<_>>().join(", "))
    };
    let wrong = missed.chain(more.map(there)).collect();
    let mut planted = BTreeMap::new();
    for (_, rule, ..) in &expected {
        *planted.entry(rule.clone()).or_insert(0) += 1;
    }
    Outcome { planted, faulty, wrong }
}

#[test]
fn in_files_of_their_own_all_faults_are_found_and_nearly_every_rule_comes_up() {
    let chosen = chosen();
    let patients = chosen.len() as u64 * 8;
    let outcome = outcome("general", FaultPlan::new(chosen.clone(), 1.0).with_own_files(), patients, true);
    assert!(outcome.wrong.is_empty(), "{:#?}", outcome.wrong);
    assert_eq!(outcome.faulty as u64, patients);
    assert_eq!(outcome.planted.values().sum::<usize>(), outcome.faulty, "one fault a record");
    let never: Vec<_> =
        chosen.iter().map(|it| it.maker.rule).filter(|rule| !outcome.planted.contains_key(*rule)).collect();
    // Those that suit few records of this recipe may be missing; each maker is tried by itself on all recipes.
    assert!(never.len() * 40 <= chosen.len(), "in {patients} records never planted: {never:?}");
}

#[test]
fn on_lines_of_one_file_all_faults_are_found() {
    let outcome = outcome("teenagers", FaultPlan::new(chosen(), 0.4), 160, false);
    assert!(outcome.wrong.is_empty(), "{:#?}", outcome.wrong);
    assert!((45..85).contains(&outcome.faulty), "{} of 160 records are faulty", outcome.faulty);
}

#[test]
#[expect(clippy::print_stdout, reason = "how many there are is of interest")]
fn many_faults_in_a_record_are_all_found() {
    let outcome = outcome("general", FaultPlan::new(chosen(), 1.0).with_many(), 120, false);
    let planted: usize = outcome.planted.values().sum();
    println!("{planted} faults in {} records", outcome.faulty);
    assert!(outcome.wrong.is_empty(), "of {planted}: {:#?}", outcome.wrong);
    assert!(planted > outcome.faulty * 3 / 2, "{planted} faults in {} records", outcome.faulty);
}
