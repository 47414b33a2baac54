//! Fingerprints stay when a record is written in another way, and no two are alike in one run.

use std::collections::BTreeSet;

use open_aligner_record::finding::{Finding, Item, Place};
use open_aligner_record::fingerprint::Fingerprints;
use open_aligner_record::output::{OutputFormat, Style};
use open_aligner_record::rules;
use serde_json::Value;

use super::{File, backwards, edited, lines, some_files, written};

/// The fingerprints of the findings of a rule in one file.
fn of(rule: &str, text: Vec<u8>) -> Vec<String> {
    let printed = lines(&[("a.oar.json", text)]);
    let printed = printed.iter().filter(|line| line["rule"] == rule);
    printed.map(|line| line["fingerprint"].as_str().unwrap().to_owned()).collect()
}

/// The same value with the members of every object in the opposite order.
fn reversed(value: &Value) -> Value {
    match value {
        Value::Object(members) => Value::Object(members.iter().rev().map(|(k, v)| (k.clone(), reversed(v))).collect()),
        Value::Array(entries) => entries.iter().map(reversed).collect(),
        other => other.clone(),
    }
}

#[test]
fn a_fingerprint_survives_lines_keys_and_entries_that_move() {
    let rule = "worn_backwards";
    let before = of(rule, backwards());
    assert_eq!(before.len(), 1);
    let lower = edited(&["/wear_periods/1/to = \"2031-01-05\"", "text \"{\" -> \"{\n\n\n\""]);
    assert_eq!(of(rule, lower), before);
    let value: Value = serde_json::from_slice(&backwards()).unwrap();
    assert_eq!(of(rule, serde_json::to_vec(&reversed(&value)).unwrap()), before);
    assert_eq!(of(rule, serde_json::to_vec_pretty(&reversed(&value)).unwrap()), before);
    let mut shorter = value;
    shorter["wear_periods"].as_array_mut().unwrap().remove(0);
    assert_eq!(of(rule, serde_json::to_vec(&shorter).unwrap()), before);
}

#[test]
fn a_fingerprint_tells_entries_records_and_rules_apart() {
    let first = of("worn_backwards", backwards());
    let other_entry = of("worn_backwards", edited(&["/wear_periods/2/to = \"2031-01-05\""]));
    let other_record = of("worn_backwards", edited(&["/wear_periods/1/to = \"2031-01-05\"", "/id = \"QM-0008\""]));
    assert_eq!([&first, &other_entry, &other_record].into_iter().collect::<BTreeSet<_>>().len(), 3);
}

#[test]
fn no_two_findings_of_a_run_have_one_fingerprint_and_all_forms_agree() {
    let mut files: Vec<File<'_>> = some_files();
    files.extend(some_files());
    let printed = lines(&files);
    let jsonl: Vec<&str> = printed.iter().filter_map(|line| line["fingerprint"].as_str()).collect();
    assert_eq!(jsonl.iter().collect::<BTreeSet<_>>().len(), jsonl.len());

    let gitlab: Value = serde_json::from_str(&written(OutputFormat::Gitlab, Style::default(), &files)).unwrap();
    let gitlab = gitlab.as_array().unwrap();
    assert_eq!(gitlab.iter().map(|issue| issue["fingerprint"].as_str().unwrap()).collect::<Vec<_>>(), jsonl);

    let sarif: Value = serde_json::from_str(&written(OutputFormat::Sarif, Style::default(), &files)).unwrap();
    let results = sarif["runs"][0]["results"].as_array().unwrap();
    for name in ["recordPath/v1", "primaryLocationLineHash"] {
        let sarif = results.iter().map(|result| result["partialFingerprints"][name].as_str().unwrap());
        assert_eq!(sarif.collect::<Vec<_>>(), jsonl);
    }
}

#[test]
fn a_fingerprint_is_half_a_sha_256_of_rule_subject_and_count() {
    let rule = rules::find("worn_backwards").unwrap();
    let subject = "/\"QM-0007\"/wear_periods/1/to".to_owned();
    let finding = Finding::new(rule, rule.level, Place::default(), Vec::new(), subject);
    let item = Item { file: "a.oar.json", record: 1, finding: &finding };
    let mut fingerprints = Fingerprints::default();
    // printf 'worn_backwards\0/"QM-0007"/wear_periods/1/to' | sha256sum | cut -c1-32 (GNU coreutils); then with \0 and 1 after it.
    assert_eq!(fingerprints.next(&item), "f96b80a9d54dc2ffe2eb420303494476");
    assert_eq!(fingerprints.next(&item), "98ca3bc504f997560f3eb1e24b4dd497");
}
