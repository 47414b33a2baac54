//! Time zones against Python's zoneinfo, which reads the IANA database with code of its own.
//!
//! `references/zone_days.py` makes `references/zone_days.csv` and says what its rows are.

use std::collections::BTreeMap;

use oar_schema::time::{Date, Instant};
use open_aligner_record::zones::{Zone, Zones};

const TABLE: &str = include_str!("../references/zone_days.csv");

/// The rows of a kind, by zone, each without kind and zone.
fn rows(kind: &str) -> BTreeMap<&'static str, Vec<Vec<&'static str>>> {
    let mut by_zone: BTreeMap<&str, Vec<Vec<&str>>> = BTreeMap::new();
    for line in TABLE.lines() {
        let mut fields = line.split(',');
        if fields.next() == Some(kind) {
            by_zone.entry(fields.next().expect("a zone")).or_default().push(fields.collect());
        }
    }
    by_zone
}

fn with_zone(name: &str, look: impl FnOnce(&Zone)) {
    let mut zones = Zones::default();
    let index = zones.find(name.as_bytes()).unwrap_or_else(|| panic!("{name} is in the database"));
    look(zones.zone(index));
}

fn date(text: &str) -> Date {
    Date::parse(text.as_bytes()).expect("a date")
}

#[test]
fn the_table_holds_the_days_that_are_known_to_be_strange() {
    let days = rows("day");
    let has = |zone: &str, day: &str, minutes: &str| days[zone].contains(&vec![day, minutes]);
    // From memory: Samoa went over the date line and left 30 December 2011 out; Lord Howe moves by half an hour.
    assert!(has("Pacific/Apia", "2011-12-30", "0"));
    assert!(has("Australia/Lord_Howe", "2024-04-07", "1470"));
    assert!(has("Europe/Vienna", "2031-03-30", "1380"));
    assert!(days.len() >= 25);
}

#[test]
fn every_day_from_1950_to_2037_is_as_long_as_python_says() {
    for (name, listed) in rows("day") {
        let listed: BTreeMap<Date, i32> = listed.iter().map(|row| (date(row[0]), row[1].parse().unwrap())).collect();
        with_zone(name, |zone| {
            for day in (date("1950-01-02").0..date("2037-12-31").0).map(Date) {
                let wanted = listed.get(&day).copied().unwrap_or(1440);
                assert_eq!(zone.minutes(day), wanted, "{name} {day}");
                assert!(zone.shortest_day() <= wanted, "{name} {day}");
            }
        });
    }
}

#[test]
fn every_instant_of_the_table_has_the_offset_and_the_day_that_python_gives() {
    for (name, listed) in rows("at") {
        with_zone(name, |zone| {
            for row in listed {
                let at = Instant { seconds: row[0].parse().unwrap(), nanoseconds: 0, offset_minutes: 0 };
                assert_eq!(zone.offset(at), row[1].parse::<i64>().unwrap(), "{name} {}", row[0]);
                assert_eq!(zone.date(at), date(row[2]), "{name} {}", row[0]);
            }
        });
    }
}
