//! Builds a record with the types, checks it, and writes it as JSON, as an exporter would.

#![expect(clippy::print_stdout, reason = "an example prints its findings")]

use std::error::Error;

use open_aligner_record::Checker;
use open_aligner_record::number::Hundredths;
use open_aligner_record::record::{
    Arches, Movement, Patient, Prescription, Record, Series, Source, State, Status, TrayCounts, Worn,
};
use open_aligner_record::teeth::Tooth;
use open_aligner_record::time::{Date, Instant};

fn day(year: i32, month: i32, day: i32) -> Result<Date, String> {
    Date::new(year, month, day).ok_or_else(|| format!("there is no {year}-{month}-{day}"))
}

fn record() -> Result<Record, Box<dyn Error>> {
    let exported_at = Instant::parse(b"2031-02-10T18:00:00+01:00").ok_or("not an instant")?;
    let canine = Tooth::new(13).ok_or("not a tooth")?;
    Ok(Record {
        id: "QM-0001".into(),
        source: Source { system: "quillmere-chart".into(), exported_at, ..Source::default() },
        patient: Patient {
            id: "P-0001".into(),
            birth_year: 1994,
            time_zone: "Europe/Vienna".into(),
            ..Patient::default()
        },
        prescription: Prescription {
            wear_goal_minutes: 1320,
            wear_floor_minutes: 1200,
            days_per_tray: 10,
            ..Prescription::default()
        },
        series: vec![Series {
            number: 0,
            trays: TrayCounts { upper: 12, lower: 10 },
            movements: vec![Movement {
                tooth: canine,
                from_tray: 1,
                to_tray: 12,
                facial_mm: Some(Hundredths(-120)),
                ..Movement::default()
            }],
            ..Series::default()
        }],
        worn: vec![Worn { series: 0, tray: 1, arches: Arches::Both, from: day(2031, 2, 3)?, to: None, ended: None }],
        status: Status { state: State::Active, since: day(2031, 2, 3)?, reason: None },
        ..Record::default()
    })
}

fn main() -> Result<(), Box<dyn Error>> {
    let record = record()?;
    for finding in Checker::new().check_record(&record)? {
        println!("{} {}: {}", finding.level().as_str(), finding.place.pointer, finding.message());
    }
    println!("{}", serde_json::to_string_pretty(&record)?);
    Ok(())
}
