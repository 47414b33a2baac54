//! The next dates that follow from a record.

use oar_schema::derived::course;
use oar_schema::record::{Record, State};

use crate::html::Table;
use crate::review::Review;

/// Dates to come, or that have passed without what they are for; each with what it follows from.
pub(super) fn html(review: &Review) -> String {
    let mut table = Table::new("Dates that follow from the record", &["what", "day", "in days", "follows from"]);
    let mut add = |what: String, day: Option<oar_schema::time::Date>, from: &str| {
        if let Some(day) = day {
            table.row([what, day.to_string(), day.days_since(review.day).to_string(), from.to_owned()]);
        }
    };
    let (record, values) = (&review.record, &review.values);
    let active = record.status.state == State::Active;
    if let Some(worn) = course::current(record).filter(|_| active) {
        let due = "first day, prescribed days and holds";
        let what = match values.trays_left {
            Some(0) => format!("tray {}, the last of its series, has done its days", worn.tray),
            _ => format!("tray {} may follow tray {}", worn.tray + 1, worn.tray),
        };
        add(what, values.tray_due, due);
        add(
            "next check-in".to_owned(),
            next_check_in(record),
            "the last check-in or kept visit, and how often one is asked for",
        );
        add("end of the series".to_owned(), values.projected_end, "trays left at the pace of the series");
    }
    let retention = record.retention.as_ref();
    add("retention until".to_owned(), retention.and_then(|retention| retention.until), "the plan of retention");
    if table.is_empty() { String::new() } else { table.html("numbers dates") }
}

/// The day on which the next check-in is asked for.
fn next_check_in(record: &Record) -> Option<oar_schema::time::Date> {
    let every = record.prescription.check_in_every_days?;
    let looks = record.check_ins.iter().flatten().map(|check_in| check_in.at.written_date());
    let kept = record.visits.iter().flatten().filter(|visit| visit.attended).map(|visit| visit.on);
    let last = looks.chain(kept).max().or(record.worn.first().map(|worn| worn.from))?;
    Some(last.plus_days(every))
}
