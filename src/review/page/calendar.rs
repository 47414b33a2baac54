//! The wear log as a calendar: a small sheet for each month.

use std::collections::BTreeMap;

use oar_schema::derived::course;
use oar_schema::record::Record;
use oar_schema::time::{Date, days_in_month};

use crate::html::{Drawing, Markup, Table, explained, html};
use crate::review::Review;
use crate::text::counted;

const CELL: f64 = 22.0;
const HEAD: f64 = 30.0;
/// Of a day of the week, Monday first.
const LETTERS: [&str; 7] = ["M", "T", "W", "T", "F", "S", "S"];

/// 0 for Monday to 6 for Sunday.
fn weekday(day: Date) -> i32 {
    (day.0 + 3).rem_euclid(7)
}

/// A log, with what its days are compared with.
struct Log<'r> {
    record: &'r Record,
    today: Date,
    minutes: BTreeMap<Date, i32>,
}

impl Log<'_> {
    /// Whether a tray was in on a day.
    fn worn(&self, day: Date) -> bool {
        day <= self.today
            && self.record.wear_periods.iter().any(|worn| worn.from <= day && worn.to.is_none_or(|to| day < to))
    }
}

/// The calendar, from the first tray or entry to the day of the review.
pub(super) fn html(review: &Review) -> Markup {
    let record = &review.record;
    let Some(log) = record.wear_log.as_deref() else { return Markup::default() };
    let minutes: BTreeMap<Date, i32> = course::logged(log).into_iter().collect();
    let Some((first, _)) = minutes.first_key_value() else { return Markup::default() };
    let first = record.wear_periods.first().map_or(*first, |worn| worn.from.min(*first));
    let log = Log { record, today: review.day, minutes };
    let title = title(review, log.minutes.len());
    let hours = |minutes: i32| f64::from(minutes) / 60.0;
    let about = format!(
        "The number is whole hours of wear. Filled: the goal of {:.1} h or more; half filled: the minimum of {:.1} h or more; \
         a heavy frame: below the minimum; a stroke: a tray was in, but nothing was logged (a dash in the table); a dot: no tray was in, or the day is after the review.",
        hours(record.prescription.wear_goal_minutes),
        hours(record.prescription.wear_minimum_minutes)
    );
    let drawn = html! { div.sheets { @for (year, month) in months(first, review.day) { (sheet(&log, year, month)) } } };
    explained(&title, &drawn, &about, &table(&log, first).html("numbers"))
}

fn title(review: &Review, days: usize) -> String {
    let percent = |share: Option<f64>| share.map_or("not known".to_owned(), |share| format!("{:.0} %", 100.0 * share));
    let days = counted(days, "day");
    let (wear, coverage) = (percent(review.values.wear_share), percent(review.values.days_logged));
    format!("Wear by day: {days} logged, {coverage} of the days with a tray; {wear} of the goal on logged days")
}

/// Each month from a day to another.
fn months(first: Date, last: Date) -> impl Iterator<Item = (i32, i32)> {
    let number = |day: Date| day.civil().0 * 12 + day.civil().1 - 1;
    (number(first)..=number(last)).map(|month| (month / 12, month % 12 + 1))
}

fn sheet(log: &Log<'_>, year: i32, month: i32) -> Markup {
    let Some(first) = Date::new(year, month, 1) else { return Markup::default() };
    let (before, count) = (weekday(first), days_in_month(year, month));
    let rows = (before + count + 6) / 7;
    let mut drawing = Drawing::new((7.0 * CELL + 2.0, HEAD + f64::from(rows) * CELL + 2.0));
    drawing.text((1.0, 12.0), "start", "label", &format!("{year}-{month:02}"));
    for (place, letter) in LETTERS.iter().enumerate() {
        drawing.text((CELL * (place as f64 + 0.5) + 1.0, HEAD - 4.0), "middle", "tick", letter);
    }
    for more in 0..count {
        let place = before + more;
        let corner = (f64::from(place % 7) * CELL + 2.0, HEAD + f64::from(place / 7) * CELL + 1.0);
        cell(&mut drawing, log, first.plus_days(more), corner);
    }
    let logged: Vec<i32> = log.minutes.range(first..first.plus_days(count)).map(|(_, minutes)| *minutes).collect();
    let mean = f64::from(logged.iter().sum::<i32>()) / 60.0 / logged.len().max(1) as f64;
    let told = if logged.is_empty() { String::new() } else { format!(", {mean:.1} h a day") };
    drawing.svg(&format!("{year}-{month:02}: {} of {count} days logged{told}", logged.len()))
}

fn cell(drawing: &mut Drawing, log: &Log<'_>, day: Date, (x, y): (f64, f64)) {
    let size = CELL - 2.0;
    let middle = (x + size / 2.0, y + size / 2.0);
    match log.minutes.get(&day) {
        Some(minutes) => {
            let prescription = &log.record.prescription;
            let class = match *minutes {
                minutes if minutes >= prescription.wear_goal_minutes => "day day-goal",
                minutes if minutes >= prescription.wear_minimum_minutes => "day day-floor",
                _ => "day day-low",
            };
            drawing.rect((x, y), (size, size), class);
            drawing.text((middle.0, middle.1 + 4.0), "middle", "hours", &(minutes / 60).to_string());
        }
        None if log.worn(day) => {
            drawing.rect((x, y), (size, size), "day");
            drawing.line((x + 3.0, y + size - 3.0), (x + size - 3.0, y + 3.0), "unknown");
        }
        None => drawing.circle(middle, 1.0, "no-tray"),
    }
}

/// A row for each week.
fn table(log: &Log<'_>, first: Date) -> Table {
    let head = ["week from", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let mut table = Table::new("Hours of wear by day", &head);
    let mut monday = first.plus_days(-weekday(first));
    while monday <= log.today {
        let hours = |day: Date| match log.minutes.get(&day) {
            Some(minutes) => format!("{:.1}", f64::from(*minutes) / 60.0),
            None if log.worn(day) => "–".to_owned(),
            None => String::new(),
        };
        let days = (0..7).map(|more| hours(monday.plus_days(more)));
        table.long_row(std::iter::once(monday.to_string()).chain(days).collect());
        monday = monday.plus_days(7);
    }
    table
}
