//! The days of a record: every date it holds, and which of them can be compared with others.
//!
//! A date that is wrong by itself is reported by one rule only. Rules that compare dates therefore ask [`Case::trusts`] or
//! [`Case::out_of_order`], which leave such dates alone. What is trusted follows from all dates of the record together;
//! a section that could not be read counts as empty there.

use oar_schema::record::SeriesRow;
use oar_schema::rows::Rows;
use oar_schema::time::Date;

use super::Case;
use crate::check::marks::Mark;
use crate::check::path::{Path, Step};

/// Days in a year of the Gregorian calendar, times 10 000.
const YEAR_TIMES_10000: i64 = 3_652_425;

/// Where a day stands in the record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct DatedPlace {
    /// The section, and within it the list if that is another.
    list: &'static [&'static str],
    entry: Option<usize>,
    field: &'static [&'static str],
}

impl DatedPlace {
    const fn new(list: &'static [&'static str], entry: usize, field: &'static [&'static str]) -> Self {
        Self { list, entry: Some(entry), field }
    }

    const fn single(list: &'static [&'static str], field: &'static [&'static str]) -> Self {
        Self { list, entry: None, field }
    }

    /// The section of the record.
    pub(crate) fn section(self) -> &'static str {
        self.list[0]
    }

    /// The way to the day.
    pub(crate) fn path(self) -> Path {
        let names = |names: &'static [&'static str]| names.iter().map(|name| Step::Field(name));
        names(self.list).chain(self.entry.map(Step::Entry)).chain(names(self.field)).collect()
    }
}

/// Visits every date of the record but the end of the retention, which may lie ahead. A check-in counts with the date
/// that its instant is written with.
pub(crate) fn each_day(rows: &Rows, mut visit: impl FnMut(Date, DatedPlace)) {
    each_rare_day(rows, &mut visit);
    for (i, worn) in rows[rows.wear_periods].iter().enumerate() {
        visit(worn.from, DatedPlace::new(&["wear_periods"], i, &["from"]));
        if let Some(to) = worn.to {
            visit(to, DatedPlace::new(&["wear_periods"], i, &["to"]));
        }
    }
    macro_rules! list {
        ($($name:literal $field:literal: $list:expr, $day:expr;)*) => {
            $(for (i, entry) in rows[$list].iter().enumerate() {
                visit($day(entry), DatedPlace::new(&[$name], i, &[$field]));
            })*
        };
    }
    list! {
        "assessments" "on": rows.assessments, |entry: &oar_schema::record::AssessmentRow| entry.on;
        "deliveries" "on": rows.deliveries, |entry: &oar_schema::record::DeliveryRow| entry.on;
        "wear_log" "on": rows.wear_log, |entry: &oar_schema::record::WearDayRow| entry.on;
        "check_ins" "at": rows.check_ins, |entry: &oar_schema::record::CheckInRow| entry.at.written_date();
        "attachment_events" "on": rows.attachment_events, |entry: &oar_schema::record::AttachmentEventRow| entry.on;
        "appointments" "on": rows.appointments, |entry: &oar_schema::record::AppointmentRow| entry.on;
        "comfort" "on": rows.comfort, |entry: &oar_schema::record::ComfortRow| entry.on;
    }
}

/// The days of the sections that hold few.
fn each_rare_day(rows: &Rows, visit: &mut impl FnMut(Date, DatedPlace)) {
    for (i, extraction) in rows[rows.dentition.extracted].iter().enumerate() {
        visit(extraction.on, DatedPlace::new(&["dentition", "extracted"], i, &["on"]));
    }
    for (i, series) in rows[rows.series].iter().enumerate() {
        each_series_day(series, |day, field| visit(day, DatedPlace::new(&["series"], i, field)));
    }
    visit(rows.status.since, DatedPlace::single(&["status"], &["since"]));
    if let Some(retention) = &rows.retention {
        visit(retention.from, DatedPlace::single(&["retention"], &["from"]));
    }
}

fn each_series_day(series: &SeriesRow, mut visit: impl FnMut(Date, &'static [&'static str])) {
    if let Some(day) = series.scanned_on {
        visit(day, &["scanned_on"]);
    }
    if let Some(day) = series.ordered_on {
        visit(day, &["ordered_on"]);
    }
    if let Some(achieved) = &series.achieved {
        visit(achieved.on, &["achieved", "on"]);
    }
}

/// The first and the last date of the record.
pub(crate) fn first_and_last(rows: &Rows) -> (Date, Date) {
    let (mut first, mut last) = (rows.status.since, rows.status.since);
    each_day(rows, |day, _| {
        first = first.min(day);
        last = last.max(day);
    });
    (first, last)
}

/// That many years, in days.
pub(crate) fn years(count: i64) -> i32 {
    (count * YEAR_TIMES_10000 / 10_000) as i32
}

/// Whole years in that many days.
pub(crate) fn whole_years(days: i32) -> i32 {
    (i64::from(days) * 10_000 / YEAR_TIMES_10000) as i32
}

/// The place of the largest of the parts into which years without any date split the sorted `days`.
pub(crate) fn largest_part(parts: &[&[(Date, usize, DatedPlace)]]) -> Option<usize> {
    parts.iter().enumerate().max_by_key(|(_, part)| part.len()).map(|(at, _)| at)
}

impl Case<'_> {
    /// The first day of the year in which the patient was born.
    pub(crate) fn birth(&self) -> Date {
        Date::new(self.patient.birth_year, 1, 1).unwrap_or(Date::EPOCH)
    }

    /// Whether a day lies between the patient's birth and the export.
    pub(crate) fn in_lifetime(&self, day: Date) -> bool {
        self.birth() <= day && day <= self.today
    }

    /// Whether more years lie between two days than one treatment takes without any date.
    pub(crate) fn far_apart(&self, one: Date, other: Date) -> bool {
        one.days_since(other).abs() > years(self.limits.dates_apart_years)
    }

    /// The dates of the patient's lifetime, in chronological order, each with its number in the record.
    pub(crate) fn sorted_days(&self) -> Vec<(Date, usize, DatedPlace)> {
        let mut days: Vec<(Date, usize, DatedPlace)> = Vec::new();
        each_day(self, |day, spot| {
            if self.in_lifetime(day) {
                days.push((day, days.len(), spot));
            }
        });
        days.sort_unstable_by_key(|(day, at, _)| (*day, *at));
        days
    }

    /// From which day to which dates can be relied on: those outside are told by a rule about single dates.
    pub(crate) fn reliable_days(&self) -> (Date, Date) {
        let (first, last) = self.days;
        if self.in_lifetime(first) && self.in_lifetime(last) && !self.far_apart(first, last) {
            return self.days;
        }
        let days = self.sorted_days();
        let parts: Vec<&[(Date, usize, DatedPlace)]> =
            days.chunk_by(|one, next| !self.far_apart(one.0, next.0)).collect();
        match largest_part(&parts).map(|main| parts[main]) {
            Some([only]) => (only.0, only.0),
            Some([first, .., last]) => (first.0, last.0),
            _ => (Date(i32::MAX), Date(i32::MIN)),
        }
    }

    /// Relies on every date from now on.
    pub(crate) fn trust_all(&mut self) {
        self.trusted = (Date(i32::MIN), Date(i32::MAX));
    }

    /// Whether no rule about single dates reports this one.
    pub(crate) fn trusts(&self, day: Date) -> bool {
        !self.heeds(Mark::Dates) || (self.trusted.0 <= day && day <= self.trusted.1)
    }

    /// Whether `then` precedes `first`, and neither of them is so far off that another rule reports it.
    pub(crate) fn out_of_order(&self, first: Date, then: Date) -> bool {
        then < first && self.trusts(first) && self.trusts(then)
    }

    /// The first entry of a list that precedes one before it, with that one. Dates that other rules report are passed
    /// over.
    pub(crate) fn first_break(&self, days: impl Iterator<Item = Date>) -> Option<(usize, usize)> {
        let mut last: Option<(usize, Date)> = None;
        for (i, day) in days.enumerate() {
            match last {
                Some((before, earlier)) if day < earlier => {
                    if self.out_of_order(earlier, day) {
                        return Some((before, i));
                    }
                    if !self.trusts(earlier) {
                        last = Some((i, day));
                    }
                }
                _ => last = Some((i, day)),
            }
        }
        None
    }
}
