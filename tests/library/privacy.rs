//! No finding tells what could name a person: not in its message, its help, its values or its source text.
//!
//! Names and numbers that nobody has stand in every place where an exporter could put one.

use std::cell::RefCell;
use std::collections::BTreeSet;

use oar_schema::describe::{Described, Type};
use oar_schema::record::Record;
use oar_testing::BASE;
use open_aligner_record::Checker;
use open_aligner_record::finding::Finding;
use serde_json::{Value, json};

thread_local! {
    /// One checker for each test: working out a time zone takes longer than checking a record.
    static CHECKER: RefCell<Checker> = RefCell::new(Checker::new());
}

/// Texts that could name a person.
const MARKERS: [&str; 7] = [
    "Zyxwv Quimby",
    "0700-900-461",
    "Zyxwv",
    "zyxwv_quimby",
    "07 00 90 04 61",
    "Zyxwv/Quimby",
    "Quimby, 0700-900-461, zyxwv@example.org",
];

/// The markers as names of members. One that looks like a name from a program is told, so it is not among them.
const NAMES: [&str; 6] = [
    "Zyxwv Quimby",
    "0700-900-461",
    "Zyxwv",
    "07 00 90 04 61",
    "Zyxwv/Quimby",
    "Quimby, 0700-900-461, zyxwv@example.org",
];

/// The one marker that a vocabulary's place tells: there a single word in lower case is a word that an exporter has for
/// it.
const PLAIN_WORD: &str = "zyxwv_quimby";

/// A number that could name a person.
const NUMBER: i64 = 700_900_461;

/// Parts of the markers, in lower case.
const PARTS: [&str; 8] = ["zyxwv", "quimby", "0700", "-900", "-461", "00 90", "70090", "90046"];

/// Everything that a finding says.
fn said(finding: &Finding) -> String {
    let args: Vec<String> = finding.args.iter().map(|(name, value)| format!("{name}={value}")).collect();
    let excerpt = finding.excerpt.as_ref().map(|excerpt| excerpt.text.clone()).unwrap_or_default();
    format!(
        "{} | {} | {} | {} | {excerpt}",
        finding.place.pointer,
        finding.message(),
        finding.help().unwrap_or_default(),
        args.join(" ")
    )
}

/// Checks that something is found in a document, and that nothing of a marker is told.
fn keeps(document: &[u8]) {
    let findings = CHECKER.with_borrow_mut(|checker| checker.check(document).into_findings());
    assert!(!findings.is_empty(), "{}", String::from_utf8_lossy(document));
    for finding in &findings {
        let said = said(finding);
        let low = said.to_lowercase();
        assert!(
            !PARTS.iter().any(|part| low.contains(part)),
            "{} {}: {said}",
            finding.rule.name,
            finding.place.pointer
        );
    }
}

/// The record on one line, so that the source text of a finding shows its neighbours, and as people write it.
fn keeps_both(record: &Value) {
    keeps(record.to_string().as_bytes());
    keeps(serde_json::to_string_pretty(record).unwrap().as_bytes());
}

/// Whether a value belongs to the plan: identifiers of attachments may be told.
fn is_of_the_plan(pointer: &str) -> bool {
    pointer.contains("attachment")
}

/// Whether a vocabulary belongs at a place of the record.
fn takes_a_word(pointer: &str) -> bool {
    let mut ty = &Type::Object(Record::OBJECT);
    for step in pointer.split('/').skip(1) {
        ty = match ty {
            Type::List(of, _) => of,
            Type::Object(object) => &object.field(step).unwrap().ty,
            _ => return false,
        };
    }
    matches!(ty, Type::Word(_))
}

/// Every place of a value in the record that is no list or object, and every place where one could be added.
fn leaves(value: &Value, ty: &Type, pointer: String, found: &mut Vec<String>) {
    match (ty, value) {
        (Type::List(of, _), Value::Array(entries)) => {
            for (index, entry) in entries.iter().enumerate().take(2) {
                leaves(entry, of, format!("{pointer}/{index}"), found);
            }
        }
        (Type::Object(object), Value::Object(members)) => {
            for field in object.fields.iter().filter(|field| members.contains_key(field.name)) {
                leaves(&members[field.name], &field.ty, format!("{pointer}/{}", field.name), found);
            }
        }
        _ => found.push(pointer),
    }
}

fn places() -> (Value, Vec<String>) {
    let record: Value = serde_json::from_str(BASE).unwrap();
    let mut found = Vec::new();
    leaves(&record, &Type::Object(Record::OBJECT), String::new(), &mut found);
    (record, found)
}

/// Adds something that is surely found to the object that holds the value at `pointer`.
fn spoil_beside(record: &mut Value, pointer: &str) {
    let parent = &pointer[..pointer.rfind('/').unwrap()];
    match record.pointer_mut(parent).unwrap() {
        Value::Object(members) => {
            let spoilt = std::iter::once(("zz".to_owned(), json!(1)));
            *members = spoilt.chain(std::mem::take(members)).collect();
            members.insert("zz_last".to_owned(), json!(2));
        }
        Value::Array(entries) => entries.insert(0, Value::Null),
        _ => {}
    }
}

#[test]
fn no_value_of_any_field_is_told_when_it_could_name_a_person() {
    let (record, places) = places();
    for pointer in places.iter().filter(|pointer| !is_of_the_plan(pointer)) {
        for marker in MARKERS.iter().map(|marker| json!(marker)).chain([json!(NUMBER), json!([MARKERS[0], NUMBER])]) {
            if marker == PLAIN_WORD && takes_a_word(pointer) {
                continue;
            }
            let mut changed = record.clone();
            *changed.pointer_mut(pointer).unwrap() = marker;
            spoil_beside(&mut changed, pointer);
            keeps(changed.to_string().as_bytes());
        }
    }
}

#[test]
fn no_unknown_field_is_told_whether_its_name_or_its_value_could_name_a_person() {
    let (record, places) = places();
    let parents: BTreeSet<&str> = places.iter().map(|pointer| &pointer[..pointer.rfind('/').unwrap()]).collect();
    for parent in parents {
        for marker in NAMES {
            let mut changed = record.clone();
            let Some(members) = changed.pointer_mut(parent).and_then(Value::as_object_mut) else { continue };
            members.insert(marker.to_owned(), json!(1));
            members.insert(
                "contact".to_owned(),
                json!({"name": marker, marker: [marker, {"tooth": marker, "n": NUMBER}]}),
            );
            keeps(changed.to_string().as_bytes());
        }
    }
}

#[test]
fn no_extension_is_told() {
    for marker in NAMES {
        let (mut record, _) = places();
        record["extensions"] =
            json!({"org.example.quillmere": {"tooth": marker, marker: [marker, NUMBER]}, marker: {"on": marker}});
        record["series"][0]["extensions"] = json!({marker: marker});
        record["patient"]["id"] = json!("0700-900-461");
        keeps_both(&record);
    }
}

/// A record with a marker in every text, and some more beside.
fn full_of_markers() -> Value {
    let (mut record, places) = places();
    for (index, pointer) in places.iter().enumerate().filter(|(index, _)| index % 3 == 0) {
        *record.pointer_mut(pointer).unwrap() = json!(MARKERS[index / 3 % MARKERS.len()]);
    }
    record
}

#[test]
fn no_document_that_is_no_json_is_told() {
    for text in [full_of_markers().to_string(), serde_json::to_string_pretty(&full_of_markers()).unwrap()] {
        let slips = ["}", "'", "\u{1}", "\\q", "\" x", ",,", "// "].iter().cycle();
        let places = (1..text.len() - 1).step_by(17).filter(|at| text.is_char_boundary(*at));
        for (at, slip) in places.zip(slips) {
            keeps(&text.as_bytes()[..at]);
            let broken = [&text[..at], slip, &text[at..]].concat();
            if serde_json::from_str::<Value>(&broken).is_err() {
                keeps(broken.as_bytes());
            }
        }
    }
}

#[test]
fn no_line_of_another_format_is_told() {
    let lines = NAMES.iter().flat_map(|marker| {
        [
            format!("{marker},{marker},7,07,00,90,04,61\n"),
            format!("<name>{marker}</name>"),
            format!("name: {marker}\nphone: 0700 900 461\n"),
            format!("\"{marker}\""),
            format!("[\"{marker}\"]"),
            format!("{{\"format\": \"{marker}\", \"{marker}\": \"{marker}\"}}"),
            format!("{{'{marker}': 1}}"),
        ]
    });
    for line in lines {
        keeps(line.as_bytes());
        keeps(&[line.as_bytes(), b"\xff"].concat());
        keeps(&line.encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>());
    }
}

#[test]
fn a_finding_still_tells_what_says_nothing_of_a_person() {
    // Otherwise a checker that says nothing at all would pass the tests above.
    let record = BASE.replace("\"minutes\": 1331", "\"minutes\": 1531").replace("2031-03-25", "2031-02-30");
    let findings = Checker::new().check(record.as_bytes()).into_findings();
    let printed: Vec<String> = findings.iter().map(said).collect();
    assert!(printed.iter().any(|text| text.contains("1531 minutes")), "{printed:?}");
    assert!(
        printed.iter().any(|text| text.contains("\"on\": \"2031-02-30\", \"minutes\": 1318, \"source\": \"sensor")),
        "{printed:?}"
    );
}
