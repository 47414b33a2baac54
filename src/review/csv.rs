//! The worklist as a table: one row for each signal, and one for a record that raises none.

use super::entry::Entry;
use crate::text::csv::CsvRows;
use crate::text::shown;

const COLUMNS: [&str; 16] = [
    "file",
    "record",
    "id",
    "patient",
    "day",
    "state",
    "series",
    "tray",
    "trays",
    "tray_due",
    "days_overdue",
    "wear_share",
    "priority",
    "signal",
    "message",
    "fields",
];

/// The names of the columns.
pub fn head() -> String {
    row(&COLUMNS)
}

/// The rows of one record.
pub fn of(entry: &Entry) -> String {
    if entry.raised.is_empty() {
        return row(&cells(entry, ["", "", "", ""].map(str::to_owned)));
    }
    let rows = entry.raised.iter().map(|raised| {
        let signal = [
            raised.priority.as_str().to_owned(),
            raised.signal.name.to_owned(),
            raised.message(),
            raised.pointers().join(" "),
        ];
        row(&cells(entry, signal))
    });
    rows.collect()
}

/// The whole table.
pub fn rows(list: &[Entry]) -> String {
    head() + &list.iter().map(of).collect::<String>()
}

fn cells(entry: &Entry, [priority, signal, message, fields]: [String; 4]) -> [String; 16] {
    let tray = |at: usize| entry.tray.map_or(String::new(), |tray| tray[at].to_string());
    let told = |value: Option<String>| value.unwrap_or_default();
    [
        shown(&entry.file),
        entry.record.to_string(),
        entry.id.clone(),
        entry.patient.clone(),
        entry.day.to_string(),
        entry.state.as_str().to_owned(),
        tray(0),
        tray(1),
        tray(2),
        told(entry.values.tray_due.map(|day| day.to_string())),
        told(entry.values.days_overdue.map(|days| days.to_string())),
        told(entry.values.wear_share.map(|share| format!("{share:.4}"))),
        priority,
        signal,
        message,
        fields,
    ]
}

fn row<T: AsRef<str>>(cells: &[T]) -> String {
    let mut bytes = Vec::new();
    let written = CsvRows::new(&mut bytes).row(cells);
    debug_assert!(written.is_ok(), "memory takes every row of as many cells");
    String::from_utf8_lossy(&bytes).into_owned()
}
