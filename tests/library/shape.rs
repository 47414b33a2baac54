//! One departure from the shape gives one finding, where it is; and no finding repeats what could name a person.
//!
//! The expected findings follow from the published descriptions of the format (`Record::OBJECT`), field by field.

use std::cell::RefCell;

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;
use oar_testing::BASE;
use open_aligner_record::Checker;
use open_aligner_record::finding::Finding;
use serde_json::{Value, json};

thread_local! {
    /// One checker for each test: working out a time zone takes longer than checking a record.
    static CHECKER: RefCell<Checker> = RefCell::new(Checker::new());
}

/// The base record with the one section that it lacks.
fn base() -> Value {
    let mut record: Value = serde_json::from_str(BASE).unwrap();
    let last = record["wear_periods"].as_array_mut().and_then(|worn| worn.last_mut()).unwrap();
    last["to"] = json!("2031-05-09");
    last["ended"] = json!("stopped");
    record["status"] = json!({"state": "finished", "since": "2031-05-09", "reason": "goal_reached"});
    record["retention"] = json!({"from": "2031-05-09", "wear_goal_minutes": 1320, "until": "2032-05-09"});
    record
}

/// The first place of each kind of object in the record, with the description of the object.
fn places(record: &Value) -> Vec<(String, &'static Object)> {
    let mut found = Vec::new();
    collect(record, &Type::Object(Record::OBJECT), "", &mut found);
    found
}

fn collect(value: &Value, ty: &Type, pointer: &str, found: &mut Vec<(String, &'static Object)>) {
    match ty {
        Type::List(of, _) => {
            for (index, entry) in value.as_array().unwrap().iter().enumerate() {
                collect(entry, of, &format!("{pointer}/{index}"), found);
            }
        }
        Type::Object(object) => {
            if !found.iter().any(|(_, known)| known.name == object.name) {
                found.push((pointer.to_owned(), object));
            }
            for field in object.fields {
                if let Some(member) = value.get(field.name) {
                    collect(member, &field.ty, &format!("{pointer}/{}", field.name), found);
                }
            }
        }
        _ => {}
    }
}

/// The record with the member `name` of the object at `pointer` set to `value`.
fn with(record: &Value, pointer: &str, name: &str, value: Value) -> Value {
    let mut record = record.clone();
    let object = record.pointer_mut(pointer).and_then(Value::as_object_mut).unwrap();
    object.insert(name.to_owned(), value);
    record
}

fn without(record: &Value, pointer: &str, name: &str) -> Value {
    let mut record = record.clone();
    let object = record.pointer_mut(pointer).and_then(Value::as_object_mut).unwrap();
    assert!(object.shift_remove(name).is_some());
    record
}

fn check(record: &Value) -> Vec<Finding> {
    CHECKER.with_borrow_mut(|checker| checker.check(record.to_string().as_bytes()).into_findings())
}

/// Findings of the themes that look at the shape, as `rule pointer`.
fn shapes(record: &Value) -> Vec<String> {
    let findings = check(record);
    let shape = findings.iter().filter(|finding| matches!(finding.rule.theme, "file" | "shape"));
    shape.map(|finding| format!("{} {}", finding.rule.name, finding.place.pointer)).collect()
}

/// The rule that a text of three thousand letters breaks in a field of that type.
fn rule_of_a_long_text(ty: &Type) -> &'static str {
    match ty {
        Type::Text(_) => "too_long",
        Type::Id => "bad_id",
        Type::Date => "not_a_date",
        Type::Instant => "not_an_instant",
        Type::TimeZone => "not_a_time_zone",
        Type::Word(_) | Type::Constant(_) | Type::Version => "unknown_word",
        _ => "wrong_type",
    }
}

/// Values that do not belong in a field of that type, with the rule that each breaks.
fn strangers(ty: &Type) -> Vec<(Value, &'static str)> {
    let mut strangers = vec![(Value::Null, "wrong_type"), (json!("x".repeat(3000)), rule_of_a_long_text(ty))];
    if !matches!(ty, Type::List(..)) {
        strangers.push((json!([]), "wrong_type"));
        strangers.push((json!([1, {"a": 2}]), "wrong_type"));
    }
    if !matches!(ty, Type::Object(_) | Type::Extensions) {
        strangers.push((json!({}), "wrong_type"));
        strangers.push((json!({"tooth": {"on": null}}), "wrong_type"));
    }
    if !matches!(ty, Type::Truth) {
        strangers.push((json!(true), "wrong_type"));
    }
    strangers
}

#[test]
fn the_record_of_these_tests_has_every_kind_of_object_and_the_right_shape() {
    let record = base();
    let (found, all) = (places(&record), Record::OBJECT.with_parts());
    assert!(all.iter().all(|object| found.iter().any(|(_, known)| known.name == object.name)));
    assert_eq!(shapes(&record), Vec::<String>::new());
}

#[test]
fn a_value_of_another_type_gives_one_finding_at_that_value() {
    let record = base();
    for (pointer, object) in places(&record) {
        for field in object.fields {
            for (stranger, rule) in strangers(&field.ty) {
                let changed = with(&record, &pointer, field.name, stranger);
                assert_eq!(shapes(&changed), [format!("{rule} {pointer}/{}", field.name)]);
            }
        }
    }
}

#[test]
fn a_missing_required_field_gives_one_finding_at_its_object() {
    let record = base();
    for (pointer, object) in places(&record) {
        for field in object.fields.iter().filter(|field| field.required) {
            let findings = check(&without(&record, &pointer, field.name));
            let shape: Vec<&Finding> = findings.iter().filter(|finding| finding.rule.theme == "shape").collect();
            assert_eq!(shape.len(), 1, "{pointer} {}", field.name);
            assert_eq!((shape[0].rule.name, &shape[0].place.pointer), ("missing_field", &pointer));
            assert!(shape[0].message().contains(field.name));
        }
    }
}

#[test]
fn an_unknown_field_gives_one_finding_at_that_field() {
    let record = base();
    for (pointer, object) in places(&record) {
        for value in [json!(null), json!({"tooth": [null]}), json!("text")] {
            let changed = with(&record, &pointer, "zz_added", value);
            assert_eq!(shapes(&changed), [format!("unknown_field {pointer}/zz_added")], "{}", object.name);
        }
    }
}

#[test]
fn a_misspelt_field_gives_one_finding_that_names_the_right_one() {
    let record = base();
    for (pointer, object) in places(&record) {
        let there = record.pointer(&pointer).unwrap();
        for field in object.fields.iter().filter(|field| there.get(field.name).is_some()) {
            let misspelt = format!("{}s", field.name.to_uppercase());
            let changed = with(&without(&record, &pointer, field.name), &pointer, &misspelt, there[field.name].clone());
            let findings = check(&changed);
            assert_eq!(findings.len(), 1, "{pointer} {misspelt} {findings:?}");
            assert_eq!(findings[0].rule.name, "unknown_field");
            assert!(findings[0].help().unwrap().contains(field.name));
        }
    }
}

#[test]
fn a_departure_from_the_shape_brings_no_findings_of_other_rules_with_it() {
    let record = base();
    let of_rules = |record: &Value| {
        let found = check(record).into_iter().filter(|finding| !matches!(finding.rule.theme, "file" | "shape"));
        found.map(|finding| format!("{} {}", finding.rule.name, finding.place.pointer)).collect::<Vec<String>>()
    };
    let before = of_rules(&record);
    for (pointer, object) in places(&record) {
        for field in object.fields {
            let after = of_rules(&with(&record, &pointer, field.name, Value::Null));
            assert!(after.iter().all(|line| before.contains(line)), "{pointer}/{} {after:?}", field.name);
        }
    }
}
