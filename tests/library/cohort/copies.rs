//! Copies are one finding, however many there are, and hide nothing.

use open_aligner_record::Checker;
use open_aligner_record::cohort::Cohort;

use super::{across, record, rules};

#[test]
fn a_record_that_is_copied_is_reported_once_and_by_one_rule() {
    let copied = record(&[]);
    assert_eq!(rules(&[copied.clone(), copied.clone()]), ["same_record_twice"]);
    assert_eq!(rules(&vec![copied; 50]), ["same_record_twice"]);
}

#[test]
fn thousands_of_copies_are_counted() {
    let mut checker = Checker::new().with_facts();
    let [copied, other] = [&[][..], &["/id = \"QM-0008\"", "/patient/id = \"P-0008\"", "/wear_log = []"]]
        .map(|edits| *checker.check(record(edits).as_bytes()).facts().unwrap());
    for several in [9_000, 200_000] {
        // The copies of the one stand between those of the other.
        let records = std::iter::repeat_n(&copied, several).chain(std::iter::repeat_n(&other, 5000)).chain([&copied]);
        let mut cohort = Cohort::default();
        for (number, facts) in (1..).zip(records) {
            cohort.add("a.oar.jsonl", number, facts);
        }
        let printed: Vec<(&str, String, u64, u64)> = cohort
            .findings()
            .map(|across| {
                let finding = &across.finding;
                (finding.rule.name, finding.args[0].1.to_string(), across.record, finding.elsewhere[0].record)
            })
            .collect();
        let first_other = several as u64 + 1;
        let reported_once = |all: usize, second: u64| ("same_record_twice", all.to_string(), second, second - 1);
        assert_eq!(printed, [reported_once(several + 1, 2), reported_once(5000, first_other + 1)]);
    }
}

#[test]
fn a_record_in_a_list_and_in_a_file_of_its_own_is_no_copy() {
    let one = record(&[]);
    let other = record(&["/id = \"QM-0008\"", "/patient/id = \"P-0008\"", "/wear_log = []"]);
    let list = ("list.oar.jsonl".to_owned(), vec![one.clone(), other]);
    let alone = |name: &str| (name.to_owned(), vec![one.clone()]);
    assert!(across(&vec![list.clone(), alone("a.oar.json")]).is_empty());
    let found = across(&vec![alone("c.oar.json"), list, alone("b.oar.json")]);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].file.as_str(), found[0].finding.elsewhere[0].file.as_str()), ("c.oar.json", "b.oar.json"));
}

#[test]
fn copies_of_both_records_leave_what_is_found_between_them() {
    let one = record(&[]);
    let other = record(&["/id = \"QM-0008\"", "/patient/birth_year = 2003"]);
    let mut found = rules(&[one.clone(), other.clone(), one, other]);
    found.sort_unstable();
    assert_eq!(found, ["patient_contradicts", "same_record_twice", "same_record_twice"]);
}
