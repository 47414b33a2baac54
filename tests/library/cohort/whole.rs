//! What could not be read takes no part, and what is whole of a record does.

use super::{record, rules};
use oar_testing::Folder;

#[test]
fn a_record_that_could_not_be_read_takes_no_part() {
    let right = record(&[]);
    let cut = right[..right.len() / 2].to_owned();
    assert!(rules(&[right.clone(), cut]).is_empty());
    assert!(rules(&[right.clone(), "[]".to_owned(), "{}".to_owned()]).is_empty());
    assert!(rules(&[right, record(&["/id = 7"]), record(&["/source/system = \"\""])]).is_empty());
}

#[test]
fn a_damaged_section_takes_no_part_and_the_others_do() {
    let right = record(&[]);
    let other = ["/id = \"QM-0008\"", "/patient/id = \"P-0008\""];
    let with = |more: &'static str| record(&[other[0], other[1], more]);
    assert_eq!(rules(&[right.clone(), with("/appointments/0/on = 3")]), ["same_log_in_two_patients"]);
    assert!(rules(&[right.clone(), with("/wear_log/0/minutes = \"x\"")]).is_empty());
    let same_patient = |more: &'static str| record(&[other[0], more]);
    assert_eq!(rules(&[right.clone(), same_patient("/appointments/0/on = 3")]), ["patients_overlap"]);
    assert!(rules(&[right.clone(), same_patient("/wear_periods/0/from = 3")]).is_empty());
    assert!(rules(&[right, same_patient("/patient/birth_year = 3")]).is_empty());
    // Of a record with a damaged section a copy is still a copy, and one that differs there is not.
    let damaged = record(&["/appointments/0/on = 3"]);
    assert_eq!(rules(&[damaged.clone(), damaged.clone()]), ["same_record_twice"]);
    assert_eq!(rules(&[damaged, record(&["/appointments/0/on = 4"])]), ["record_id_repeated"]);
}

#[test]
fn records_are_compared_by_default_and_each_alone_leaves_that_out() {
    let records = [record(&[]), record(&["/id = \"QM-0008\""])].join("\n");
    let printed = Folder::with(&[]).piped(&["check", "-", "-o", "jsonl"], records.as_bytes());
    assert_eq!((printed.code, printed.findings()), (Some(1), vec!["patients_overlap 1:1".to_owned()]));
    assert_eq!((printed.total("errors"), printed.total("records_with_findings")), (1, 1));
    let alone = Folder::with(&[]).piped(&["check", "--no-cross-record", "-", "-o", "jsonl"], records.as_bytes());
    assert_eq!((alone.code, alone.findings().len()), (Some(0), 0));
}

#[test]
fn a_record_with_findings_of_both_kinds_is_counted_once() {
    let wrong = "/wear_periods/1/to = \"2031-01-05\"";
    let records = [record(&[wrong]), record(&[wrong, "/wear_log/3/minutes = 1260"])].join("\n");
    let printed = Folder::with(&[]).piped(&["check", "-", "-o", "jsonl"], records.as_bytes());
    assert_eq!((printed.total("errors"), printed.total("records_with_findings")), (3, 2));
}
