//! Shrunk records still give their finding, and nothing in them is the patient's.

use std::collections::BTreeSet;
use std::fs;

use oar_testing::repository::{is_current, root};
use open_aligner_record::shrink::{ShrinkError, shrink};
use open_aligner_record::{Checker, Findings, rules, schema};
use serde_json::Value;

/// Every word that the published schema has for a value: those are the format's, not a patient's.
fn words(schema: &Value, found: &mut BTreeSet<String>) {
    match schema {
        Value::Object(members) => {
            for (name, value) in members {
                match value {
                    Value::Array(all) if name == "enum" => {
                        found.extend(all.iter().filter_map(|word| word.as_str().map(str::to_owned)));
                    }
                    Value::String(word) if name == "const" => drop(found.insert(word.clone())),
                    _ => words(value, found),
                }
            }
        }
        Value::Array(entries) => entries.iter().for_each(|value| words(value, found)),
        _ => {}
    }
}

fn strings(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) => members.values().for_each(|value| strings(value, found)),
        Value::Array(entries) => entries.iter().for_each(|value| strings(value, found)),
        Value::String(text) => drop(found.insert(text.clone())),
        _ => {}
    }
}

/// The identifiers, dates and texts of a document that is JSON.
fn own(text: &[u8]) -> BTreeSet<String> {
    let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    let mut known = BTreeSet::from(["1.0".to_owned()]);
    words(&serde_json::from_str(schema::RECORD).unwrap(), &mut known);
    let mut found = BTreeSet::new();
    if let Ok(value) = serde_json::from_slice(text) {
        strings(&value, &mut found);
    }
    found.difference(&known).cloned().collect()
}

fn broken(rule: &str) -> Vec<u8> {
    fs::read(root().join(format!("datasets/broken/{rule}.oar.json"))).unwrap()
}

#[test]
fn every_broken_record_shrinks_to_one_that_is_broken_the_same_way() {
    let (mut kept, mut checker) = (Vec::new(), Checker::new().without_excerpts());
    for rule in rules::all().filter(|rule| rule.theme != "cohort") {
        let record = broken(rule.name);
        let shrunk = match shrink(&record, rule.name, None, &mut checker) {
            Err(ShrinkError::NothingToShrink) => {
                assert!(["record_too_large", "nothing_inside"].contains(&rule.name), "{}", rule.name);
                continue;
            }
            done => done.unwrap_or_else(|error| panic!("{}: {error}", rule.name)),
        };
        assert!(shrunk.text.len() <= record.len(), "{} grew", rule.name);
        assert_eq!(shrunk.others, 0, "{}: {}", rule.name, String::from_utf8_lossy(&shrunk.text));
        let findings = Findings::new(shrunk.text.as_slice(), false, &mut checker).unwrap();
        let (seen, at): (Vec<_>, Vec<_>) =
            findings.map(|found| found.unwrap().1).map(|finding| (finding.rule.name, finding.place.pointer)).unzip();
        assert_eq!(seen, [rule.name], "{}", String::from_utf8_lossy(&shrunk.text));
        assert_eq!(at[0], shrunk.pointer, "{}", rule.name);
        let text = String::from_utf8_lossy(&shrunk.text).into_owned();
        let left: Vec<String> = own(&record).into_iter().filter(|own| text.contains(&format!("\"{own}\""))).collect();
        if !left.is_empty() || !shrunk.kept.is_empty() {
            kept.push(format!("{}: {left:?} {:?}", rule.name, shrunk.kept));
        }
    }
    is_current("tests/library/shrink_kept.txt", kept.join("\n") + "\n", "cargo test --test library shrink::");
}

/// Years that stand in an identifier or a note move with the year of birth, and nothing else of the text stays.
#[test]
fn an_identifier_made_from_a_date_of_birth_is_invented_anew() {
    let record = broken("id_may_identify");
    let shrunk = shrink(&record, "id_may_identify", None, &mut Checker::new()).unwrap();
    let text = String::from_utf8(shrunk.text).unwrap();
    assert!(text.contains("\"X-19") && text.contains("0102\""), "{text}");
    assert!(!text.contains("QZ") && !text.contains("0812") && shrunk.kept.is_empty(), "{text}");
}
