//! Rare but valid cases that are edited by hand, since no simulated clinic writes them.

use std::io;

use oar_schema::describe::{Described, Object, Type};
use oar_schema::record::Record;
use oar_schema::time::Date;
use oar_schema::zones::Zone;
use serde_json::{Value, json};

use super::builder::{Builder, accept_case};
use super::clean_records::{Clean, CleanRecords, derived};
use super::manifest::{CaseKind, KitCase};

/// A complete small record that uses every optional field.
pub(super) const BASE: &str = include_str!("../../tests/base.oar.json");

/// An edit of the complete record; none when the record is not suitable.
type RecordEdit = fn(&mut Value) -> Option<()>;

/// The edits by name, with what is special.
const EDITS: &[(&str, &str, RecordEdit)] = &[
    ("every_field", "every optional field is present", |_| Some(())),
    ("only_required", "every optional field is omitted", only_required),
    ("empty_lists", "every list is empty rather than omitted", empty_lists),
    ("extensions", "extensions hold any JSON, including null and nested lists", extensions),
    ("note_in_many_scripts", "a note has letters of many scripts", note_in_many_scripts),
    ("longest_note", "a note of 2000 characters, each of four bytes", longest_note),
    ("fractions_of_a_second", "instants have fractions of a second", fractions),
    ("travel", "a check-in is written in the offset of another zone", travel),
    ("instants_in_utc", "every check-in is written in UTC, with Z", in_utc),
    ("two_sources", "a day is logged by a sensor and reported by the patient", two_sources),
    ("logged_outside", "a day is logged on which no tray was in", logged_outside),
    (
        "reduction_due",
        "a planned reduction is due: it is recorded at a visit before the scan, but at none since",
        reduction_due,
    ),
    ("arches_apart", "each arch wears a tray of its own", arches_apart),
    ("one_arch_waits", "an arch waits with its remade last tray in, while the other arch continues", one_arch_waits),
    ("one_arch_refined", "the refinement is for one arch only", one_arch_refined),
    ("negative_decimals", "numbers below zero and with two decimal places", negative_decimals),
];

/// Adds the edited cases, and a file of several records.
pub(super) fn add(builder: &mut Builder<'_>) -> io::Result<()> {
    for (name, what, edit) in EDITS {
        let Ok(mut record) = serde_json::from_str::<Value>(BASE) else { continue };
        if edit(&mut record).is_some() {
            edited(builder, name, what, &record)?;
        }
    }
    lines(builder)
}

/// Adds an edited record with its values, if it has no findings.
fn edited(builder: &mut Builder<'_>, name: &str, what: &str, record: &Value) -> io::Result<()> {
    let text = record.to_string();
    if let Ok(typed) = builder.checker.read(text.as_bytes()) {
        let case = KitCase { derived: Some(derived(&typed)), ..accept_case(CaseKind::Edge, name, what) };
        builder.accepted(case, text.as_bytes())?;
    }
    Ok(())
}

/// Several records, one per line, without a line break after the last.
fn lines(builder: &mut Builder<'_>) -> io::Result<()> {
    let mut taken = CleanRecords::new(&["teenagers"], builder.seed).take(6, 60, &mut builder.checker);
    taken.dedup_by_key(|clean| clean.index);
    taken.truncate(3);
    let texts: Vec<&[u8]> = taken.iter().map(|clean| clean.text.as_slice()).collect();
    let case = accept_case(CaseKind::Edge, "several_records", "one record a line, no line end after the last");
    let file = case.file.replace(".json", ".jsonl");
    builder.accepted(KitCase { file, records: texts.len() as u64, ..case }, &texts.join(b"\n".as_slice()))?;
    Ok(())
}

fn only_required(record: &mut Value) -> Option<()> {
    strip(record, Record::OBJECT);
    record.is_object().then_some(())
}

/// Removes the optional fields of an object and of those within it, except how a wear period ended.
fn strip(value: &mut Value, object: &Object) {
    let Some(members) = value.as_object_mut() else { return };
    let stays = |name: &str| object.field(name).is_some_and(|field| field.required || belongs(object.name, name));
    members.retain(|name, _| stays(name));
    for (name, value) in members {
        match object.field(name).map(|field| &field.ty) {
            Some(Type::Object(of)) => strip(value, of),
            Some(Type::List(Type::Object(of), _)) => {
                value.as_array_mut().into_iter().flatten().for_each(|value| strip(value, of));
            }
            _ => {}
        }
    }
}

/// Fields that are formally optional, but without which the record would mean something else.
fn belongs(object: &str, field: &str) -> bool {
    match object {
        "WearPeriod" => true,
        "Movement" => field.ends_with("_mm") || field.ends_with("_deg"),
        "Source" => field == "synthetic",
        _ => false,
    }
}

fn empty_lists(record: &mut Value) -> Option<()> {
    only_required(record)?;
    for list in ["assessments", "deliveries", "wear_log", "check_ins", "attachment_events", "appointments", "comfort"] {
        record[list] = json!([]);
    }
    for list in ["primary", "implants", "pontics", "extracted", "crown_widths"] {
        record["dentition"][list] = json!([]);
    }
    Some(())
}

fn extensions(record: &mut Value) -> Option<()> {
    let extensions = json!({
        "org.example.brannock": {"anything": [null, true, {"nested": [[], {}, 1.5e-7]}], "empty": ""},
        "org.example.quillmere": 7,
    });
    record.as_object_mut()?.insert("extensions".to_owned(), extensions);
    Some(())
}

fn set_note(record: &mut Value, note: &str) -> Option<()> {
    record["check_ins"].as_array_mut()?.first_mut()?.as_object_mut()?.insert("note".to_owned(), note.into());
    Some(())
}

fn note_in_many_scripts(record: &mut Value) -> Option<()> {
    set_note(record, "sitzt gut, passt schön; сидит хорошо; よく合う; يناسب جيدا; 🦷 \"ok\"\n\tñ e\u{301} \u{1F600}")
}

fn longest_note(record: &mut Value) -> Option<()> {
    set_note(record, &"🦷".repeat(2000))
}

fn fractions(record: &mut Value) -> Option<()> {
    let at = record.pointer("/check_ins/0/at")?.as_str()?;
    let (clock, offset) = at.split_at(19);
    record["check_ins"][0]["at"] = format!("{clock}.250000{offset}").into();
    Some(())
}

/// The same instant at UTC+09:00 instead of the clinic's winter or summer time.
fn travel(record: &mut Value) -> Option<()> {
    let last = record["check_ins"].as_array()?.len().checked_sub(1)?;
    let at = elsewhere(record["check_ins"][last]["at"].as_str()?, 9, "+09:00")?;
    record["check_ins"][last]["at"] = at.into();
    Some(())
}

fn in_utc(record: &mut Value) -> Option<()> {
    for check_in in record["check_ins"].as_array_mut()? {
        check_in["at"] = elsewhere(check_in["at"].as_str()?, 0, "Z")?.into();
    }
    Some(())
}

/// An instant of whole hours from UTC, such as `2031-02-09T19:20:00+01:00`, by the clocks of another offset.
fn elsewhere(at: &str, hours: i32, offset: &str) -> Option<String> {
    let (day, hour, from) = (Date::parse(at.get(..10)?.as_bytes())?, at.get(11..13)?, at.get(19..22)?);
    let hour = hour.parse::<i32>().ok()? - from.parse::<i32>().ok()? + hours;
    let day = day.plus_days(hour.div_euclid(24));
    Some(format!("{day}T{:02}{}{offset}", hour.rem_euclid(24), at.get(13..19)?))
}

/// A record that logs a day of 25 hours, all of them.
pub(super) fn longest_day(builder: &mut Builder<'_>, clean: &Clean) -> io::Result<()> {
    let Ok(mut record) = serde_json::to_value(&clean.record) else { return Ok(()) };
    let zone = record.pointer("/patient/time_zone").and_then(Value::as_str).and_then(Zone::named);
    let log = record["wear_log"].as_array_mut().into_iter().flatten();
    if let Some(long) = zone.and_then(|zone| log.into_iter().find(|entry| is_day_of(entry, &zone, 1500))) {
        long["minutes"] = 1500.into();
        long.as_object_mut().map(|day| day.shift_remove("removals"));
    }
    edited(builder, "longest_day", "all minutes of a day of 25 hours are logged", &record)
}

/// Whether an entry of the log is of a day of that many minutes.
pub(super) fn is_day_of(entry: &Value, zone: &Zone, minutes: i32) -> bool {
    let day = entry["on"].as_str().and_then(|date| Date::parse(date.as_bytes()));
    day.is_some_and(|day| zone.minutes(day) == minutes)
}

/// The patient's report for a measured day.
fn two_sources(record: &mut Value) -> Option<()> {
    let log = record["wear_log"].as_array_mut()?;
    let place = log.iter().position(|day| day["source"] == "sensor" || day["source"] == "timer")?;
    let day = json!({"on": log[place]["on"], "minutes": log[place]["minutes"].as_i64()? + 10, "source": "patient"});
    log.insert(place + 1, day);
    Some(())
}

/// The log begins before the first tray.
fn logged_outside(record: &mut Value) -> Option<()> {
    let first = Date::parse(record.pointer("/wear_periods/0/from")?.as_str()?.as_bytes())?.plus_days(-1);
    let day = json!({"on": first.to_string(), "minutes": 0, "source": "patient"});
    record["wear_log"].as_array_mut()?.insert(0, day);
    Some(())
}

/// The refinement plans again what was carried out at a visit before its scan.
fn reduction_due(record: &mut Value) -> Option<()> {
    let before = record.pointer("/wear_periods")?.as_array()?.last()?["tray"].as_i64()? + 1;
    let done = record["appointments"]
        .as_array()?
        .iter()
        .find_map(|visit| visit.pointer("/interproximal_reductions/0/between"))?
        .clone();
    let series = record["series"].as_array_mut()?.last_mut()?;
    series["interproximal_reductions"] = json!([{"between": done, "amount_mm": 0.1, "before_tray": before}]);
    Some(())
}

/// The lower arch keeps its tray while the upper one continues to the last.
fn arches_apart(record: &mut Value) -> Option<()> {
    let worn = record["wear_periods"].as_array_mut()?;
    let (mut last, mut before) = (worn.pop()?, worn.pop()?);
    let mut upper = before.clone();
    upper["arches"] = "upper".into();
    last["arches"] = "upper".into();
    before["arches"] = "lower".into();
    before.as_object_mut()?.retain(|name, _| name != "to" && name != "ended");
    worn.extend([upper, before, last]);
    Some(())
}

/// The upper arch has one tray fewer than are worn; its last one was lost, and remade after the last tray of the lower arch went in.
fn one_arch_waits(record: &mut Value) -> Option<()> {
    let worn = record["wear_periods"].as_array_mut()?;
    let (mut last, mut before) = (worn.pop()?, worn.pop()?);
    let (from, tray) = (last["from"].as_str()?.to_owned(), before["tray"].as_i64()?);
    let again = Date::parse(from.as_bytes())?.plus_days(3).to_string();
    let mut upper = before.clone();
    (upper["arches"], upper["to"], upper["ended"]) = ("upper".into(), again.as_str().into(), "lost".into());
    (before["arches"], last["arches"]) = ("lower".into(), "lower".into());
    let anew = json!({"series": last["series"], "tray": tray, "arches": "upper", "from": again});
    worn.extend([upper, before, last, anew]);
    let series = record["series"].as_array_mut()?.last_mut()?;
    series["trays"]["upper"] = tray.into();
    shorten(series, |tooth| tooth < 30, tray);
    // Fewer trays rotate the canine less, since the rotation per tray is limited.
    series["movements"][1]["rotation_deg"] = 2.into();
    Some(())
}

/// The last series has no trays for the lower arch.
fn one_arch_refined(record: &mut Value) -> Option<()> {
    let series = record["series"].as_array_mut()?.last_mut()?;
    let number = series["number"].clone();
    series["trays"]["lower"] = 0.into();
    let is_upper = |value: &Value| value["tooth"].as_i64().is_some_and(|tooth| tooth < 30);
    for list in ["movements", "attachments"] {
        series[list].as_array_mut()?.retain(is_upper);
    }
    for worn in record["wear_periods"].as_array_mut()?.iter_mut().filter(|worn| worn["series"] == number) {
        worn["arches"] = "upper".into();
    }
    let ids: Vec<Value> =
        record.pointer("/series/1/attachments")?.as_array()?.iter().map(|one| one["id"].clone()).collect();
    let events = record["attachment_events"].as_array_mut()?;
    events.retain(|event| event["series"] != number || ids.contains(&event["attachment"]));
    for check_in in record["check_ins"].as_array_mut()?.iter_mut().filter(|one| one["series"] == number) {
        check_in["fit_gaps"].as_array_mut()?.retain(is_upper);
    }
    Some(())
}

/// Ends movements and attachments of some teeth with a tray.
fn shorten(series: &mut Value, of: fn(i64) -> bool, last: i64) {
    for list in ["movements", "attachments"] {
        let entries = series[list].as_array_mut().into_iter().flatten();
        let own = entries.filter(|entry| entry["tooth"].as_i64().is_some_and(of));
        own.for_each(|entry| entry["to_tray"] = entry["to_tray"].as_i64().unwrap_or(last).min(last).into());
    }
}

fn negative_decimals(record: &mut Value) -> Option<()> {
    let first = record["assessments"].as_array_mut()?.first_mut()?;
    first["overbite_mm"] = json!(-0.05);
    first["overjet_mm"] = json!(-1.25);
    Some(())
}
