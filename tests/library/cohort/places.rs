//! A finding across records points at the very value, on either path and however the record is laid out.

use oar_testing::{BASE, Folder, page};
use open_aligner_record::finding::Place;
use open_aligner_record::{Checker, Findings};
use serde_json::Value;

use super::record;

/// What stands in `text` at a place of one line.
fn at(text: &str, place: &Place) -> String {
    assert_eq!(place.line, place.end_line);
    let line: Vec<char> = text.lines().nth(place.line as usize - 1).unwrap().chars().collect();
    line[place.column as usize - 1..place.end_column as usize - 1].iter().collect()
}

/// Asks that every place of every finding across the records of a text holds the value that its pointer names; gives the
/// pointers.
fn points_at_values(text: &str) -> Vec<String> {
    let mut pointers = Vec::new();
    let records: Vec<&str> = text.lines().collect();
    let mut take = |record: u64, finding: &open_aligner_record::finding::Finding| {
        if finding.rule.theme != "cohort" {
            return;
        }
        let other = &finding.elsewhere[0];
        for (record, place) in [(record, &finding.place), (other.record, &other.place)] {
            let value: Value = serde_json::from_str(records[record as usize - 1]).unwrap();
            assert_eq!(place.line, record, "{place:?}");
            let shown = at(text, place);
            match value.pointer(&place.pointer).unwrap() {
                Value::Object(_) => assert_eq!(shown, "{", "{place:?}"),
                Value::Array(_) => assert_eq!(shown, "[", "{place:?}"),
                plain => assert_eq!(serde_json::from_str::<Value>(&shown).unwrap(), *plain, "{place:?}"),
            }
            pointers.push(place.pointer.clone());
        }
    };
    let mut checker = Checker::new().with_facts();
    Findings::new(text.as_bytes(), true, &mut checker)
        .unwrap()
        .map(Result::unwrap)
        .for_each(|(record, finding)| take(record, &finding));
    pointers
}

/// Pairs of which each gives a finding at another value.
const PAIRS: [&[&str]; 7] = [
    &["/wear_log/3/minutes = 1260"],
    &["/id = \"QM-0008\"", "/patient/birth_year = 2003"],
    &["/id = \"QM-0008\"", "/patient/sex = \"male\""],
    &["/id = \"QM-0008\""],
    &["/id = \"QM-0008\"", "/patient/id = \"P-0008\""],
    &["/source/exported_at = \"2031-05-12T18:00:00+02:00\""],
    &["/id = \"QM-0008\"", "/patient/id = \"P-0008\"", "/source/system_version = \"5\"", "/wear_log = []"],
];

#[test]
fn places_hold_the_value_that_the_pointer_names() {
    // The fast path; with letters of several bytes before the values; the slow path.
    let spelt: [&[&str]; 3] =
        [&[], &["/appointments/1/note = \"Zähne über Zähne\""], &["/prescription/change_interval_days = 7.0"]];
    for edits in spelt {
        let mut pointers: Vec<String> = Vec::new();
        for pair in PAIRS {
            let other: Vec<&str> = pair.iter().chain(edits).copied().collect();
            let mut lines = [record(edits), record(&other)];
            if edits.iter().any(|edit| edit.contains("note")) {
                // Members in the opposite order: the notes stand first.
                lines = lines.map(|line| reversed(&line));
            }
            pointers.extend(points_at_values(&(lines.join("\n") + "\n")));
        }
        pointers.sort();
        pointers.dedup();
        let all = [
            "/id",
            "/patient/birth_year",
            "/patient/sex",
            "/source/exported_at",
            "/source/system_version",
            "/wear_log",
            "/wear_periods/0/from",
        ];
        assert_eq!(pointers, all, "{edits:?}");
    }
}

/// The record with its members in the opposite order.
fn reversed(line: &str) -> String {
    let Value::Object(members) = serde_json::from_str(line).unwrap() else { panic!("a record is an object") };
    Value::Object(members.into_iter().rev().collect()).to_string()
}

#[test]
fn places_in_a_record_over_many_lines_are_those_that_the_tree_has() {
    let folder = Folder::with(&[
        ("a.oar.json", BASE.as_bytes()),
        ("b.oar.json", &page::edited(BASE, &["/id = \"QM-0008\"".to_owned(), "/patient/sex = \"male\"".to_owned()])),
        ("c.oar.json", &page::edited(BASE, &["/id = \"QM-0009\"".to_owned(), "/patient/id = \"P\"".to_owned()])),
    ]);
    let printed = folder.oar(&["check", "a.oar.json", "b.oar.json", "c.oar.json", "-o", "jsonl"]);
    let found = printed.lines("finding");
    assert_eq!(found.len(), 2, "{}", printed.out);
    for line in &found {
        for place in [line, &line["elsewhere"][0]] {
            let text = folder.read(place["file"].as_str().unwrap());
            let number = |name: &str| place[name].as_u64().unwrap();
            let place = Place {
                pointer: place["pointer"].as_str().unwrap().to_owned(),
                line: number("line"),
                column: number("column"),
                end_line: number("end_line"),
                end_column: number("end_column"),
            };
            let shown = at(&text, &place);
            let wanted = if place.pointer == "/wear_log" { "[" } else { "male" };
            assert!(shown.contains(wanted), "{place:?} shows {shown}");
        }
    }
}
