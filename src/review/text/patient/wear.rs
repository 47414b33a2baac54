//! Wear as a small calendar: a row for each week; days that are not logged stay unknown.

use std::collections::BTreeMap;

use oar_schema::derived::course;
use oar_schema::record::{Prescription, Record};
use oar_schema::time::Date;

use super::lines::{WrappedLines, hours};
use crate::review::Review;

/// Weeks that are shown.
const WEEKS: i32 = 8;
/// The width from which hours are shown beside the shades.
const WIDE: usize = 66;
/// Minutes below the wear minimum up to which a day is only slightly low.
const LITTLE: i32 = 120;

const MARKS: [(char, &str); 6] = [
    ('█', "goal or more"),
    ('▓', "minimum or more"),
    ('▒', "up to 2 h below the minimum"),
    ('░', "less"),
    ('·', "not logged"),
    ('-', "no tray in"),
];

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    let record = &review.record;
    let prescription = &record.prescription;
    let (goal, floor) = (hours(prescription.wear_goal_minutes), hours(prescription.wear_minimum_minutes));
    lines.title(&format!("wear, hours a day (goal {goal}, minimum {floor})"));
    let Some(log) = record.wear_log.as_deref() else {
        lines.told("  ", "no wear log on record: hours are unknown");
        return;
    };
    let log: BTreeMap<Date, i32> = course::logged(log).into_iter().collect();
    let Some((last_logged, _)) = log.last_key_value() else {
        lines.told("  ", "the wear log is empty: hours are unknown");
        return;
    };
    let last = last_day(record, review.day).max(*last_logged).min(review.day);
    calendar(record, &log, last, lines);
    lines.legend(MARKS.into_iter());
    lines.told(
        "  ",
        &format!("the log ends on {last_logged}; means are of logged days, and nothing is assumed for the others"),
    );
}

/// The last day on which a tray was in.
fn last_day(record: &Record, today: Date) -> Date {
    let ended = record.wear_periods.iter().filter_map(|worn| worn.to).max();
    if course::current(record).is_some() { today } else { ended.map_or(today, |to| to.plus_days(-1)) }
}

fn calendar(record: &Record, log: &BTreeMap<Date, i32>, last: Date, lines: &mut WrappedLines) {
    let wide = lines.width >= WIDE;
    let width = if wide { 6 } else { 3 };
    let days = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let days = days.map(|day| format!("{:>width$}", if wide { day } else { &day[..2] })).concat();
    lines.row(&format!("  week of   {days}   mean of"));
    let monday = last.plus_days(-(last.0 + 3).rem_euclid(7));
    for week in (0..WEEKS).rev() {
        let first = monday.plus_days(-7 * week);
        let cell = |day: i32| {
            let (mark, hours) = cell(record, log, first.plus_days(day), last);
            let cell = if wide { format!("{mark}{hours}") } else { mark.to_string() };
            format!("{cell:>width$}")
        };
        lines.row(&format!("  {first}{}{}", (0..7).map(cell).collect::<String>(), mean(log, first)));
    }
}

/// The mean of a week, and the number of its logged days.
fn mean(log: &BTreeMap<Date, i32>, monday: Date) -> String {
    let minutes: Vec<i32> = log.range(monday..monday.plus_days(7)).map(|(_, minutes)| *minutes).collect();
    let count = minutes.len() as i32;
    let mean = f64::from(minutes.iter().sum::<i32>()) / 60.0 / f64::from(count);
    if count == 0 { String::new() } else { format!("  {mean:>4.1} {count:>2}") }
}

/// The mark of a day and its hours.
fn cell(record: &Record, log: &BTreeMap<Date, i32>, day: Date, last: Date) -> (char, String) {
    let in_mouth = record.wear_periods.iter().any(|worn| worn.from <= day && worn.to.is_none_or(|to| day < to));
    match log.get(&day) {
        Some(minutes) => (shade(*minutes, &record.prescription), format!("{:>4}", tenths(*minutes))),
        None if day > last => (' ', String::new()),
        None if in_mouth => ('·', String::new()),
        None => ('-', String::new()),
    }
}

/// Hours rounded down, so that a day just below the goal does not appear to reach it.
fn tenths(minutes: i32) -> String {
    format!("{}.{}", minutes / 60, minutes % 60 / 6)
}

fn shade(minutes: i32, prescription: &Prescription) -> char {
    let floor = prescription.wear_minimum_minutes;
    match minutes {
        _ if minutes >= prescription.wear_goal_minutes => '█',
        _ if minutes >= floor => '▓',
        _ if minutes >= floor - LITTLE => '▒',
        _ => '░',
    }
}
