//! Days and clocks of a shrunk record: moved by whole weeks, so that weekdays and the days between them stay.
//!
//! The first day of what is left goes to a fixed week, so that the result does not tell by how much it was moved. A
//! finding that depends on the calendar or on the clocks of a zone may not survive that. Then the weeks that come nearest
//! to some years are tried, and at last a multiple of 28 years, after which weekdays, leap days and clock changes come
//! again; both are told.

use std::collections::BTreeSet;

use oar_schema::describe::Type;
use oar_schema::time::{Date, Instant};

use super::trial::Trial;
use super::value::{Leaf, Value};
use crate::zones::{Zone, Zones};

/// Weeks to which the first day goes, by their Mondays. Several, since leap years and clock changes lie differently.
const MONDAYS: [(i32, i32, i32); 6] =
    [(2001, 1, 1), (2002, 3, 4), (2003, 6, 2), (2004, 8, 30), (1996, 11, 4), (2040, 1, 2)];
/// After so many days the calendar of 1901 to 2099 comes again, weekdays and all.
const CYCLE_DAYS: i32 = 10_227;
/// The zone in which the clocks never change.
const UTC: &str = "UTC";

/// A way to move the days of a record.
#[derive(Clone, Copy)]
struct Plan {
    days: i32,
    zone: bool,
    noon: bool,
}

/// Moves the days; tells what could not be moved, or not freely.
pub(super) fn disguise(value: &mut Value, original: &Value, trial: &mut Trial<'_>) -> Vec<String> {
    let leaves: Vec<Leaf> =
        value.leaves().into_iter().filter(|leaf| is_time(leaf) || leaf.field == "birth_year").collect();
    let days: Vec<Date> = leaves.iter().filter_map(|leaf| day(value.get(&leaf.way)?)).collect();
    let Some(first) = days.iter().copied().min() else { return Vec::new() };
    let known: BTreeSet<String> = times(original);
    let mut zones = Zones::default();
    let zone = zone_name(value, &leaves).and_then(|name| zones.find(name.as_bytes()));
    let zone = zone.map(|index| zones.zone(index));
    for (number, plan) in plans(first).enumerate() {
        let Some(moved) = moved(value, &leaves, plan, zone).filter(|moved| times(moved).is_disjoint(&known)) else {
            continue;
        };
        let pointer = trial.pointer.clone();
        if trial.holds(&moved, &pointer) {
            *value = moved;
            return told(plan, number);
        }
    }
    vec!["the days, which the finding needs as they are".to_owned()]
}

fn told(plan: Plan, number: usize) -> Vec<String> {
    let mut told = Vec::new();
    if number >= FREE + YEARLY {
        told.push("the month and day of each date, which the finding needs: only the year was changed".to_owned());
    } else if number >= FREE {
        told.push(
            "the time of the year of each date, which the finding needs: it was moved by some days and whole years"
                .to_owned(),
        );
    }
    if plan.zone {
        told.push("the time zone, which the finding needs".to_owned());
    }
    if !plan.noon {
        told.push("the time of day of each instant, which the finding needs".to_owned());
    }
    told
}

/// How many plans move days freely.
const FREE: usize = MONDAYS.len() * WAYS.len();
/// How many plans move them to nearly the same time of another year.
const YEARLY: usize = YEARS.len() * WAYS.len();
/// By how many years; so many weeks as come nearest to them.
const YEARS: [i32; 10] = [-24, -25, -26, -23, -22, -27, -29, -30, 24, 25];
/// Days in a year of the Gregorian calendar, times 10 000.
const YEAR_TIMES_10000: i64 = 3_652_425;
/// Whether the zone is kept, and whether every clock shows noon; what tells least first.
const WAYS: [(bool, bool); 4] = [(false, true), (false, false), (true, true), (true, false)];

/// The ways to move days, those that tell least first.
fn plans(first: Date) -> impl Iterator<Item = Plan> {
    let monday = first.plus_days(-(first.0 + 3).rem_euclid(7));
    let to = move |(year, month, day)| Date::new(year, month, day).map_or(0, |to: Date| to.days_since(monday));
    let free = WAYS
        .into_iter()
        .flat_map(move |(zone, noon)| MONDAYS.into_iter().map(move |day| Plan { days: to(day), zone, noon }));
    let yearly = WAYS
        .into_iter()
        .flat_map(|(zone, noon)| YEARS.into_iter().map(move |years| Plan { days: weeks(years) * 7, zone, noon }));
    let cycles = WAYS.into_iter().flat_map(|(zone, noon)| {
        [-1, -2, 1, 2].into_iter().map(move |count| Plan { days: count * CYCLE_DAYS, zone, noon })
    });
    free.chain(yearly).chain(cycles)
}

/// The weeks that come nearest to so many years.
fn weeks(years: i32) -> i32 {
    ((i64::from(years) * YEAR_TIMES_10000 + 35_000).div_euclid(70_000)) as i32
}

fn is_time(leaf: &Leaf) -> bool {
    matches!(leaf.ty, Some(Type::Date | Type::Instant | Type::TimeZone))
}

fn day(value: &Value) -> Option<Date> {
    let Value::Text(text) = value else { return None };
    Date::parse(text.as_bytes()).or_else(|| Instant::parse(text.as_bytes()).map(Instant::written_date))
}

/// Every day and instant of a record, as written.
fn times(value: &Value) -> BTreeSet<String> {
    let leaves = value.leaves();
    let texts = leaves.iter().filter(|leaf| is_time(leaf)).filter_map(|leaf| match value.get(&leaf.way)? {
        Value::Text(text) if day(&Value::Text(text.clone())).is_some() => Some(text.clone()),
        _ => None,
    });
    texts.collect()
}

/// The patient's year of birth.
pub(super) fn birth_year(value: &Value) -> Option<i32> {
    let leaf = value.leaves().into_iter().find(|leaf| leaf.field == "birth_year")?;
    match value.get(&leaf.way)? {
        Value::Number(year) => year.parse().ok(),
        _ => None,
    }
}

/// The name of the record's time zone.
fn zone_name<'v>(value: &'v Value, leaves: &[Leaf]) -> Option<&'v str> {
    let leaf = leaves.iter().find(|leaf| matches!(leaf.ty, Some(Type::TimeZone)))?;
    match value.get(&leaf.way)? {
        Value::Text(name) => Some(name),
        _ => None,
    }
}

/// The record with its days moved.
fn moved(value: &Value, leaves: &[Leaf], plan: Plan, zone: Option<&Zone>) -> Option<Value> {
    let mut moved = value.clone();
    let years = years_moved(value, leaves, plan.days);
    let born = birth_year(value);
    for leaf in value.leaves().iter().filter(|leaf| matches!(leaf.ty, Some(Type::Id | Type::Text(_)))) {
        // An identifier or a note with the year of birth in it may be found for that: an invented one has it too.
        if let (Some(Value::Text(text)), Some(year)) = (moved.get_mut(&leaf.way), born)
            && text.contains(&year.to_string())
        {
            let year = year + years;
            let is_id = matches!(leaf.ty, Some(Type::Id));
            *text = if is_id { format!("X-{year}0102") } else { format!("born {year}-01-02") };
        }
    }
    for leaf in leaves {
        let spot = moved.get_mut(&leaf.way)?;
        match spot {
            Value::Number(number) if leaf.field == "birth_year" => {
                *number = (number.parse::<i32>().ok()? + years).to_string();
            }
            Value::Text(text) => *text = moved_text(text, leaf, plan, zone)?,
            _ => {}
        }
    }
    Some(moved)
}

fn moved_text(text: &str, leaf: &Leaf, plan: Plan, zone: Option<&Zone>) -> Option<String> {
    if matches!(leaf.ty, Some(Type::TimeZone)) {
        return Some(if plan.zone || zone.is_none() { text.to_owned() } else { UTC.to_owned() });
    }
    if let Some(day) = Date::parse(text.as_bytes()) {
        return civil(day.plus_days(plan.days)).map(|day| day.to_string());
    }
    let Some(at) = Instant::parse(text.as_bytes()) else { return Some(text.to_owned()) };
    let day = civil(at.written_date().plus_days(plan.days))?;
    let clock = if plan.noon { 43_200 } else { (at.seconds + i64::from(at.offset_minutes) * 60).rem_euclid(86_400) };
    let offset = if plan.zone { offset(zone, day, clock, at, plan)? } else { 0 };
    let seconds = i64::from(day.0) * 86_400 + clock - i64::from(offset) * 60;
    let nanoseconds = if plan.noon { 0 } else { at.nanoseconds };
    Some(Instant { seconds, nanoseconds, offset_minutes: offset }.to_string())
}

/// The offset of a clock in its zone after the move: as far from the one that the zone has then as it was before.
fn offset(zone: Option<&Zone>, day: Date, clock: i64, at: Instant, plan: Plan) -> Option<i16> {
    let Some(zone) = zone else { return Some(at.offset_minutes) };
    let there = |day: Date, clock: i64| {
        let seconds = i64::from(day.0) * 86_400 + clock - i64::from(at.offset_minutes) * 60;
        zone.offset(Instant { seconds, ..at }) / 60
    };
    let before = there(day.plus_days(-plan.days), (at.seconds + i64::from(at.offset_minutes) * 60).rem_euclid(86_400));
    i16::try_from(there(day, clock) + i64::from(at.offset_minutes) - before).ok()
}

/// A day, if its year is one that a record can have.
fn civil(day: Date) -> Option<Date> {
    let (year, month, of_month) = day.civil();
    Date::new(year, month, of_month)
}

/// How many years later the last day of the record is, so that the patient stays as old.
fn years_moved(value: &Value, leaves: &[Leaf], days: i32) -> i32 {
    let is_export = |leaf: &&Leaf| leaf.field == "exported_at";
    let export = leaves.iter().find(is_export).and_then(|leaf| day(value.get(&leaf.way)?));
    let all = leaves.iter().filter_map(|leaf| day(value.get(&leaf.way)?));
    let last = export.or_else(|| all.max()).unwrap_or(Date::EPOCH);
    last.plus_days(days).civil().0 - last.civil().0
}
