//! The cohort in `datasets/cohorts` is what the generator makes, and has no findings but notes about patients.
//!
//! `UPDATE=1 cargo test --test cohorts demo::` makes it anew.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use oar_testing::command::oar as command;
use oar_testing::repository::{is_current, root};
use open_aligner_record::realism::{self, CohortReading, Report, Verdict, published};
use serde_json::Value;

const FILES: [&str; 4] =
    ["quillmere-200.oar.jsonl.zst", "quillmere-200.key.jsonl.zst", "quillmere-200.card.json", "quillmere-200.card.md"];

fn folder() -> std::path::PathBuf {
    root().join("datasets/cohorts")
}

fn oar(arguments: &[&str], folder: &Path) -> (i32, String) {
    let output = Command::new(command()).args(arguments).current_dir(folder).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap();
    (output.status.code().unwrap(), text)
}

#[test]
fn it_is_made_again_byte_by_byte() {
    let new = tempfile::tempdir().unwrap();
    let asked = ["generate", "--patients", "200", "--seed", "7", "--output", FILES[0], "--key", FILES[1]];
    let (code, text) = oar(&asked, new.path());
    assert!(code == 0 && text.starts_with("200 records of 200 patients: quillmere-200.oar.jsonl.zst\n"), "{text}");
    for name in FILES {
        let again = fs::read(new.path().join(name)).unwrap();
        is_current(&format!("datasets/cohorts/{name}"), again, "cargo test --test cohorts demo::it_is_made_again");
    }
}

#[test]
fn nothing_is_found_in_it_but_notes_about_patients() {
    let (code, text) = oar(&["check", FILES[0], "--output", "jsonl"], &folder());
    let lines: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let mut found: BTreeMap<&str, u64> = BTreeMap::new();
    for line in lines.iter().filter(|line| line["type"] == "finding") {
        assert_eq!(line["level"], "note");
        *found.entry(line["rule"].as_str().unwrap()).or_default() += 1;
    }
    let expected = [("moves_very_far", 2), ("primary_tooth_in_adult", 3), ("worn_very_long", 5)];
    assert_eq!((code, found), (0, BTreeMap::from(expected)), "the README beside it says what is found");
    assert_eq!(lines.last().unwrap()["records"], 200);
}

/// The card gathers while records are made; the realism report reads them. Both say the same.
#[test]
fn its_card_tells_what_the_records_tell() {
    let card: Value = serde_json::from_slice(&fs::read(folder().join(FILES[2])).unwrap()).unwrap();
    let inputs = [open_aligner_record::read::inputs::Input::File(folder().join(FILES[0]))];
    let reading = CohortReading { threads: 2, largest: 1 << 24 };
    let cohort = realism::read(&inputs, reading, &mut |_, error| panic!("{error}"));
    let table = published::read(published::TABLE).unwrap();
    let report = Report::new(&cohort, &table, 20);
    let printed = &card["realism"]["studies"];
    for (name, verdict) in [("inside", Verdict::Inside), ("near", Verdict::Near), ("outside", Verdict::Outside)] {
        assert_eq!(printed[name], report.count(verdict, |_| true), "{name}");
    }
    for (row, compared) in card["realism"]["rows"].as_array().unwrap().iter().zip(&report.rows) {
        assert_eq!(row["id"], compared.published.id);
        assert_eq!(row["cohort"]["n"].as_u64(), compared.cohort.map(|seen| seen.n), "{}", compared.published.id);
        let (one, other) = (row["cohort"]["value"].as_f64(), compared.cohort.map(|seen| seen.value));
        let near = one.zip(other).is_none_or(|(one, other)| (one - other).abs() <= 1e-6 * other.abs().max(1.0));
        assert!(near && one.is_some() == other.is_some(), "{}: {one:?} {other:?}", compared.published.id);
    }
    let markdown = fs::read_to_string(folder().join(FILES[3])).unwrap();
    assert!(markdown.contains(card["recipe"]["digest"].as_str().unwrap()));
    let inside = markdown.lines().filter(|line| line.starts_with("| inside")).count();
    assert_eq!(printed["inside"], inside, "the card for people has a row for each");
}
