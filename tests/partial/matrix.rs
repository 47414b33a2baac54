//! Every shape fault beside every broken record: what it hides is known to be hidden, and is little.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

use oar_testing::is_thorough;
use oar_testing::repository::is_current;
use open_aligner_record::{Checker, rules};
use serde_json::Value;

use crate::damages::{self, Place};

/// One place in so many is damaged in a quick run, each time another; every one in a thorough run.
fn step() -> usize {
    if is_thorough() { 1 } else { 12 }
}

/// Rules that one unreadable value may hide.
const MOST: usize = 16;
/// Rules that a series may hide whose number or count of trays cannot be read: trays, attachments and check-ins refer to it.
const MOST_OF_SERIES: usize = 36;

/// Rules that a list may hide of which nothing is left.
const MOST_OF_LIST: usize = 72;

fn most(part: &str) -> usize {
    match part {
        "series" | "series.number" | "series.trays" => MOST_OF_SERIES,
        whole if whole.starts_with("all of ") => MOST_OF_LIST,
        _ => MOST,
    }
}

/// The broken record of each rule that looks at a whole record.
fn broken() -> impl Iterator<Item = (&'static str, Value)> {
    rules::all().filter(|rule| rule.sections != 0).filter_map(|rule| {
        let file = format!("datasets/broken/{}.oar.json", rule.name);
        Some((rule.name, serde_json::from_slice(&std::fs::read(file).ok()?).ok()?))
    })
}

/// Whether one pointer leads to the other value, or into it.
fn is_within(one: &str, other: &str) -> bool {
    one == other || one.strip_prefix(other).is_some_and(|rest| rest.starts_with('/'))
}

/// What is damaged, as names of parts: `worn` for an entry, `worn.to`, `series.movements`; `all of worn`.
fn part(pointer: &str) -> String {
    if let Some(section) = pointer.strip_prefix('/').filter(|rest| !rest.contains('/')) {
        return format!("all of {section}");
    }
    let names = pointer.split('/').skip(1).filter(|step| !step.bytes().all(|byte| byte.is_ascii_digit()));
    names.take(2).collect::<Vec<_>>().join(".")
}

#[test]
fn a_shape_fault_hides_nothing_without_saying_so() {
    let mut checker = Checker::new().without_excerpts();
    let (mut silent, mut hidden) = (Vec::new(), BTreeMap::<String, BTreeSet<&str>>::new());
    let mut tried = 0;
    for (number, (rule, record)) in broken().enumerate() {
        let before = checker.check(&serde_json::to_vec(&record).unwrap()).into_findings();
        let Some(finding) = before.iter().find(|finding| finding.rule.name == rule).cloned() else { continue };
        let about: Vec<&str> =
            std::iter::once(&finding.place).chain(&finding.related).map(|place| place.pointer.as_str()).collect();
        for place in damages::places(&record).iter().skip(number % step()).step_by(step()) {
            tried += 1;
            let damaged = serde_json::to_vec(&damages::damaged(&record, place)).unwrap();
            let found = checker.check(&damaged);
            if found.iter().any(|finding| finding.rule.name == rule) {
                continue;
            }
            if rests_on(place, &about) {
                continue;
            }
            hidden.entry(part(&place.pointer)).or_default().insert(rule);
            let partial = found.partial();
            if !partial.is_some_and(|partial| partial.rules.iter().any(|stopped| stopped.name == rule)) {
                silent.push(format!("{rule} beside {}", place.pointer));
            }
        }
    }
    assert!(tried > 1000, "{tried} tried");
    assert!(silent.is_empty(), "{silent:#?}");
    for (part, rules) in &hidden {
        assert!(rules.len() <= most(part), "{part} hides {rules:?}");
    }
}

/// Whether the finding is about the damaged value, about the entry that is left out with it, or about something in either.
fn rests_on(place: &Place, about: &[&str]) -> bool {
    let entry = |pointer: &str| pointer.split('/').take(3).collect::<Vec<_>>().join("/");
    about.iter().any(|about| {
        is_within(about, &place.pointer) || is_within(&place.pointer, about) || entry(about) == entry(&place.pointer)
    })
}

/// The rules that each part of a record stops when something in it cannot be read.
fn list() -> String {
    let mut stopped: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for rule in rules::all() {
        for part in rule.needs.names() {
            stopped.entry(part).or_default().push(rule.name);
        }
    }
    stopped.iter().fold(String::new(), |mut text, (part, rules)| {
        let _ = writeln!(text, "{part}: {}", rules.join(" "));
        text
    })
}

#[test]
fn the_list_of_what_may_hide_what_is_current_and_short() {
    let list = list();
    is_current("tests/partial/needs.txt", &list, "cargo test --test partial");
    for line in list.lines() {
        let (part, rules) = line.split_once(": ").unwrap();
        assert!(rules.split(' ').count() <= most(part), "{part} stops many rules: {rules}");
    }
}

/// `off` for the rule of shape does not hide the others either.
#[test]
fn what_is_found_does_not_depend_on_the_level_of_the_shape_fault() {
    use open_aligner_record::settings::{Settings, Switch};
    let mut settings = Settings::default();
    for rule in ["too_many_decimals", "not_a_time_zone", "not_a_tooth", "wrong_type"] {
        settings.everywhere.set_level(rule, Switch::Off).unwrap();
    }
    let mut checker = Checker::with_settings(&settings);
    let mut rules_found = 0;
    for (rule, record) in broken() {
        let mut record = record;
        record["patient"]["time_zone"] = "Europe/Wien".into();
        if let Some(movement) = record.pointer_mut("/series/0/movements/0").and_then(Value::as_object_mut) {
            movement.insert("facial_mm".to_owned(), serde_json::json!(0.123));
        }
        let text = serde_json::to_vec(&record).unwrap();
        let found = checker.check(&text);
        let partial = found.partial().expect("the time zone is unknown");
        let stopped = partial.rules.iter().any(|stopped| stopped.name == rule);
        assert!(stopped || found.iter().any(|finding| finding.rule.name == rule), "{rule} is hidden");
        rules_found += usize::from(!stopped);
    }
    assert!(rules_found > 110, "{rules_found} rules are applied without a time zone");
}
