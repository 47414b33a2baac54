//! Builds a record with the types, checks it, and writes it as JSON, as an exporter would.

#![expect(clippy::print_stdout, reason = "an example prints its findings")]

use std::error::Error;

use open_aligner_record::Checker;
use open_aligner_record::number::Hundredths;
use open_aligner_record::record::{
    ArchCounts, Arches, Dentition, Movement, Patient, Prescription, Record, Series, Source, State, Status, WearPeriod,
};
use open_aligner_record::time::Date;

/// `new` takes the required fields; each optional one has a method that sets it.
fn record() -> Result<Record, Box<dyn Error>> {
    let first_day: Date = "2031-02-03".parse()?;
    let canine = Movement::new("13".parse()?, 1, 12).facial_mm(Hundredths(-120));
    Ok(Record::new(
        "QM-0001".parse()?,
        Source::new("quillmere-chart".parse()?, "2031-02-10T18:00:00+01:00".parse()?),
        Patient::new("P-0001".parse()?, 1994, "Europe/Vienna".parse()?),
        Dentition::new(Vec::new()),
        Prescription::new(1320, 1200, 10),
        vec![Series::new(0, ArchCounts::new(12, 10), vec![canine])],
        vec![WearPeriod::new(0, 1, Arches::Both, first_day)],
        Status::new(State::Active, first_day),
    ))
}

fn main() -> Result<(), Box<dyn Error>> {
    let record = record()?;
    for finding in Checker::new().check_record(&record)? {
        println!("{} {}: {}", finding.level.as_str(), finding.place.pointer, finding.message());
    }
    println!("{}", serde_json::to_string_pretty(&record)?);
    Ok(())
}
