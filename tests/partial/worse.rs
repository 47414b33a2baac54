//! Making a value worse never lowers the verdict.

use oar_schema::describe::{Described, Type};
use oar_schema::record::Record;
use oar_schema::time::Date;
use oar_testing::BASE;
use open_aligner_record::Checker;
use open_aligner_record::rule::Level;
use serde_json::Value;

/// Days by which a date is moved, further each time: from a few years on it is far from all others.
const DAYS: [i32; 6] = [400, 1500, 3000, 6000, 12_000, 20_000];

/// The level of the worst finding in a record with a date moved. Notes count as none: the season of a day brings some.
fn verdict(checker: &mut Checker, record: &Value, pointer: &str, date: Date) -> Option<Level> {
    let mut record = record.clone();
    let value = record.pointer_mut(pointer).unwrap();
    let rest = value.as_str().unwrap()[10..].to_owned();
    *value = format!("{date}{rest}").into();
    let levels = checker.check(&serde_json::to_vec(&record).unwrap()).into_iter().map(|finding| finding.level);
    levels.filter(|level| *level > Level::Note).max()
}

/// The pointers of all dates and instants, of each list the entry in the middle.
fn dates(ty: &Type, value: &Value, pointer: String, found: &mut Vec<String>) {
    match ty {
        Type::Date | Type::Instant => found.push(pointer),
        Type::Object(object) => {
            for (name, value) in value.as_object().unwrap() {
                dates(&object.field(name).unwrap().ty, value, format!("{pointer}/{name}"), found);
            }
        }
        Type::List(of, _) => {
            let entries = value.as_array().unwrap();
            let at = entries.len() / 2;
            entries.get(at).into_iter().for_each(|entry| dates(of, entry, format!("{pointer}/{at}"), found));
        }
        _ => {}
    }
}

#[test]
fn a_date_that_is_further_off_never_gets_a_milder_verdict() {
    let mut checker = Checker::new().without_excerpts();
    let texts = [BASE, include_str!("../../datasets/demo/qm-04-two-refinements.oar.json")];
    let (mut milder, mut errors) = (Vec::new(), 0);
    for text in texts {
        let record: Value = serde_json::from_str(text).unwrap();
        let mut pointers = Vec::new();
        dates(&Type::Object(Record::OBJECT), &record, String::new(), &mut pointers);
        for pointer in pointers {
            let day = Date::parse(&record.pointer(&pointer).unwrap().as_str().unwrap().as_bytes()[..10]).unwrap();
            for sign in [1, -1] {
                let moved = DAYS.map(|days| Date(day.0 + sign * days));
                let verdicts = moved.map(|day| verdict(&mut checker, &record, &pointer, day));
                errors += usize::from(verdicts.contains(&Some(Level::Error)));
                if !verdicts.is_sorted() {
                    milder.push(format!("{pointer} by {sign}: {verdicts:?}"));
                }
            }
        }
    }
    assert!(errors > 30, "{errors} dates become errors");
    assert!(milder.is_empty(), "{milder:#?}");
}

/// Factors by which a number grows, further each time.
const FACTORS: [f64; 6] = [3.0, 10.0, 30.0, 100.0, 1000.0, 100_000.0];

/// The pointers of all numbers that are amounts, of each list the entry in the middle. Numbers of series and trays, and years, are names:
/// a greater one is another, not a worse one.
fn amounts(ty: &Type, value: &Value, pointer: &str, found: &mut Vec<String>) {
    match ty {
        Type::Hundredths(_) => found.push(pointer.to_owned()),
        Type::Whole(_) if ["minutes", "days", "removals"].iter().any(|unit| pointer.ends_with(unit)) => {
            found.push(pointer.to_owned());
        }
        Type::Object(object) => {
            for (name, value) in value.as_object().unwrap() {
                amounts(&object.field(name).unwrap().ty, value, &format!("{pointer}/{name}"), found);
            }
        }
        Type::List(of, _) => {
            let entries = value.as_array().unwrap();
            let at = entries.len() / 2;
            entries.get(at).into_iter().for_each(|entry| amounts(of, entry, &format!("{pointer}/{at}"), found));
        }
        _ => {}
    }
}

#[test]
fn an_amount_that_grows_never_gets_a_milder_verdict() {
    let mut checker = Checker::new().without_excerpts();
    let record: Value = serde_json::from_str(BASE).unwrap();
    let mut pointers = Vec::new();
    amounts(&Type::Object(Record::OBJECT), &record, "", &mut pointers);
    let (mut milder, mut errors) = (Vec::new(), 0);
    for pointer in pointers {
        let amount = record.pointer(&pointer).unwrap().as_f64().unwrap();
        let verdicts = FACTORS.map(|factor| {
            let mut record = record.clone();
            let worse = (amount.max(1.0) * factor * 100.0).round() / 100.0;
            *record.pointer_mut(&pointer).unwrap() =
                if worse.fract() == 0.0 { (worse as i64).into() } else { worse.into() };
            let found = checker.check(&serde_json::to_vec(&record).unwrap()).into_findings();
            found.iter().map(|finding| finding.level).filter(|level| *level > Level::Note).max()
        });
        errors += usize::from(verdicts.contains(&Some(Level::Error)));
        if !verdicts.is_sorted() {
            milder.push(format!("{pointer}: {verdicts:?}"));
        }
    }
    assert!(errors > 10, "{errors} amounts become errors");
    assert!(milder.is_empty(), "{milder:#?}");
}
