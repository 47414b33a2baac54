//! The review as people read it: one patient in the terminal, the worklist, the letter.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod arches;
mod finish;
mod letter;
mod page;
mod terminal;

use std::fs;
use std::sync::OnceLock;

use oar_testing::repository::files;
use oar_testing::{BASE, DEMO, Folder};
use open_aligner_record::Checker;
use open_aligner_record::record::Record;
use open_aligner_record::review::{Review, Reviewer};
use open_aligner_record::time::Date;
use serde_json::Value;

fn read(text: &str) -> Record {
    Checker::new().read(text.as_bytes()).unwrap()
}

fn review(text: &str, day: Option<Date>) -> Review {
    Reviewer::default().review(read(text), day)
}

fn day(text: &str) -> Date {
    Date::parse(text.as_bytes()).unwrap()
}

/// The base record with changes.
fn changed(change: impl FnOnce(&mut Value)) -> String {
    let mut value: Value = serde_json::from_str(BASE).unwrap();
    change(&mut value);
    value.to_string()
}

/// The base record, the records of the demo, and a generated cohort of 300: one record a line.
fn records() -> &'static [String] {
    static RECORDS: OnceLock<Vec<String>> = OnceLock::new();
    RECORDS.get_or_init(made)
}

fn made() -> Vec<String> {
    let folder = Folder::with(&[]);
    let made =
        folder.oar(&["generate", "--recipe", "live", "--patients", "300", "--seed", "3", "--output", "x.oar.jsonl"]);
    assert_eq!(made.code, Some(0), "{}", made.errors);
    let generated = folder.read("x.oar.jsonl");
    let mut records: Vec<String> = DEMO.lines().chain(generated.lines()).map(str::to_owned).collect();
    let single = files("datasets/demo", ".oar.json");
    records.extend(single.iter().map(|path| fs::read_to_string(path).unwrap()));
    records.push(BASE.to_owned());
    assert!(records.len() > 300 + 12 + 12, "{} records", records.len());
    records
}

/// The free text of a record: its notes, and all words in its extensions.
fn free_text(value: &Value, inside: bool, found: &mut Vec<String>) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, value)| {
            let is_free = inside || name == "note" || name == "extensions";
            if name.contains('.') {
                found.push(name.clone());
            }
            free_text(value, is_free, found);
        }),
        Value::Array(list) => list.iter().for_each(|value| free_text(value, inside, found)),
        Value::String(text) if inside => found.push(text.clone()),
        _ => {}
    }
}

/// Checks that no free text of the record stands in a text.
fn assert_private(record: &str, text: &str) {
    let mut found = Vec::new();
    free_text(&serde_json::from_str(record).unwrap(), false, &mut found);
    for one in found.iter().filter(|one| one.len() > 3) {
        assert!(!text.contains(one.as_str()), "free text is printed: {one}");
    }
}
