//! One mistake, one finding: what is found across records that differ by single edits, and what an edit of one of two right
//! records gives within it and across the two.

use oar_testing::single_edits;
use open_aligner_record::Checker;
use open_aligner_record::cohort::Cohort;
use serde_json::Value;

use super::record;

#[test]
#[expect(clippy::print_stdout, reason = "the list is what the test is run for by hand")]
fn a_record_and_a_copy_with_single_edits_have_one_finding_at_most() {
    let first = record(&[]);
    let mut checker = Checker::new().without_excerpts().with_facts();
    let right = *checker.check(first.as_bytes()).facts().unwrap();
    let (mut found, mut tried) = (0, 0);
    let other_patient: &[&str] = &["/id = \"QM-0008\"", "/patient/id = \"P-0008\""];
    for given in [&[], &other_patient[..1], &other_patient[1..], other_patient] {
        let copy: Value = serde_json::from_str(&record(given)).unwrap();
        for edit in single_edits::of(&copy).into_iter().step_by(8) {
            let edited = single_edits::edited(&copy, &edit);
            let copied = checker.check(&edited);
            let Some(facts) = copied.facts() else { continue };
            let mut cohort = Cohort::default();
            cohort.add("a.oar.jsonl", 1, &right);
            cohort.add("a.oar.jsonl", 2, facts);
            let printed: Vec<String> = cohort.findings().map(|across| across.finding.rule.name.to_owned()).collect();
            if printed.len() > 1 {
                println!("{given:?} {} {}: {printed:?}", edit.pointer, edit.name);
            }
            assert!(printed.len() <= 1, "{given:?} {} {}: {printed:?}", edit.pointer, edit.name);
            (found, tried) = (found + printed.len(), tried + 1);
        }
    }
    assert!(tried > 500 && found > tried / 2, "{found} of {tried}");
}

/// Of a thousand edits that are found, as many may give two findings.
const TWO_IN_A_THOUSAND: usize = 3;

#[test]
#[expect(clippy::print_stdout, reason = "the list is what the test is run for by hand")]
fn a_single_edit_of_one_of_two_right_records_gives_one_finding_but_for_a_few() {
    // Two treatments of one patient, of which the later one is edited.
    let before = record(&[
        "/id = \"QM-0006\"",
        "/source/exported_at = \"2031-01-20T18:00:00+01:00\"",
        "/wear_periods = [{\"series\": 0, \"tray\": 1, \"arches\": \"both\", \"from\": \"2030-01-07\", \"to\": \"2030-02-07\", \"ended\": \"stopped\"}]",
        "/status = {\"state\": \"discontinued\", \"since\": \"2030-02-07\"}",
        "/wear_log = []",
    ]);
    let mut checker = Checker::new().without_excerpts().with_facts();
    let right = *checker.check(before.as_bytes()).facts().unwrap();
    let after: Value = serde_json::from_str(&record(&[])).unwrap();
    let (mut found, mut twice) = (0, Vec::new());
    for edit in single_edits::of(&after) {
        let edited = single_edits::edited(&after, &edit);
        let within = checker.check(&edited);
        let Some(facts) = within.facts() else { continue };
        let mut cohort = Cohort::default();
        cohort.add("a.oar.jsonl", 1, &right);
        cohort.add("a.oar.jsonl", 2, facts);
        let across: Vec<&str> = cohort.findings().map(|across| across.finding.rule.name).collect();
        found += usize::from(!within.is_empty() || !across.is_empty());
        if !across.is_empty() && within.len() + across.len() > 1 {
            let names: Vec<&str> = within.iter().map(|finding| finding.rule.name).collect();
            println!("{} {}: {names:?} {across:?}", edit.pointer, edit.name);
            twice.push(edit.pointer);
        }
    }
    assert!(found > 500, "{found} edits are found");
    assert!(twice.len() * 1000 <= found * TWO_IN_A_THOUSAND, "{twice:?} of {found}");
}
