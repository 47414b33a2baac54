//! Wear and comfort: hours, days without an entry, pain.

use oar_schema::derived::course;
use oar_schema::record::WearDay;
use oar_schema::time::Date;

use crate::check::args::args;
use crate::check::path::at;
use crate::review::signal::{Raising, signals};
use crate::review::view::View;
use crate::text::counted;

signals! {
    ThisWeek low_wear;
    NextContact wear_log_stopped;
    ThisWeek pain_lasting;
}

/// Minutes in an hour.
const HOUR: f64 = 60.0;

/// The logged days from a day on, in order.
fn since(log: &[(Date, i32)], day: Date) -> &[(Date, i32)] {
    &log[log.partition_point(|(date, _)| *date < day)..]
}

fn mean(days: &[(Date, i32)]) -> Option<f64> {
    let sum: i64 = days.iter().map(|(_, minutes)| i64::from(*minutes)).sum();
    (!days.is_empty()).then(|| sum as f64 / days.len() as f64)
}

/// Consecutive days below the wear minimum, up to the last logged day.
fn run_at_end(days: &[(Date, i32)], floor: i32) -> i32 {
    let mut next = days.last().map(|(date, _)| *date);
    let low = days.iter().rev().take_while(|(date, minutes)| {
        let follows = next == Some(*date);
        next = Some(date.plus_days(-1));
        follows && *minutes < floor
    });
    low.count() as i32
}

fn low_wear(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some((_, log)) = view.wearing().zip(view.record.wear_log.as_deref()) else { return };
    let window = view.limits.wear_days as i32;
    let all = course::logged(log);
    let days = since(&all, view.today.plus_days(1 - window));
    let Some(mean) = mean(days).filter(|_| days.len() as i64 >= view.limits.wear_least_days) else { return };
    let prescription = &view.record.prescription;
    let (goal, floor) = (prescription.wear_goal_minutes, prescription.wear_minimum_minutes);
    let run = run_at_end(days, floor);
    let low_on_average = mean < f64::from(floor);
    if !low_on_average && i64::from(run) < view.limits.low_run_days {
        return;
    }
    let share = if goal > 0 { (100.0 * mean / f64::from(goal)).round() as i32 } else { 100 };
    let score = (f64::from(floor) - mean).max(0.0) / HOUR + f64::from(run);
    let hours = |minutes: f64| format!("{:.1}", minutes / HOUR);
    let mut args = args![
        "hours" = hours(mean),
        "floor" = hours(f64::from(floor)),
        "share" = share,
        "logged" = days.len(),
        "window" = window,
        "run" = run,
        "trend" = trend(&all, view.today, window),
    ];
    if run > 0 {
        args.push(("days", counted(run, "day").into()));
    }
    raising.add(score, vec![entries(log, days), at!["prescription", "wear_minimum_minutes"]], args);
}

/// The index of the first of some logged days in the record's list.
fn entries(log: &[WearDay], days: &[(Date, i32)]) -> crate::check::path::Path {
    let first = days.first().and_then(|(date, _)| log.iter().position(|day| day.on == *date));
    first.map_or(at!["wear_log"], |place| at!["wear_log", place])
}

/// How the last days compare with the same number of days before them.
fn trend(log: &[(Date, i32)], today: Date, window: i32) -> &'static str {
    /// The change of the mean, in minutes, that is reported.
    const TOLD: f64 = 30.0;
    let from = today.plus_days(1 - window);
    let now = since(log, from);
    let earlier = since(&log[..log.len() - now.len()], from.plus_days(-window));
    match mean(now).zip(mean(earlier)) {
        None => "with no days before to compare",
        Some((now, before)) if now - before >= TOLD => "more than in as many days before",
        Some((now, before)) if before - now >= TOLD => "less than in as many days before",
        Some(_) => "about as in as many days before",
    }
}

fn wear_log_stopped(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some((place, worn)) = view.wearing() else { return };
    let log = view.record.wear_log.as_deref().unwrap_or_default();
    let sensor = view.record.prescription.follow_up.as_ref().is_some_and(|follow| follow.sensor);
    let last = log.iter().map(|day| day.on).max();
    if last.is_none() && !sensor {
        return;
    }
    let first = view.record.wear_periods.first().map_or(worn.from, |worn| worn.from);
    let since = last.unwrap_or(first.plus_days(-1));
    let days = view.today.days_since(since);
    if i64::from(days) >= view.limits.silent_days {
        let score = f64::from(days) / view.limits.silent_days.max(1) as f64;
        let fields = vec![at!["wear_log"], at!["wear_periods", place, "from"]];
        match last {
            Some(last) => raising.add(score, fields, args!["days" = days, "last" = last]),
            None => raising.add(score, fields, args!["days" = days]),
        }
    }
}

fn pain_lasting(view: &View<'_>, raising: &mut Raising<'_>) {
    let put_in = view.worn_trays().map(|tray| (view.tray_since(tray), tray.place));
    let Some((since, tray)) = put_in.max_by_key(|(since, _)| *since) else { return };
    let entries = view.record.comfort.as_deref().unwrap_or_default();
    let settled = since.plus_days(view.limits.pain_settles_days as i32);
    let Some((place, last)) = entries.iter().enumerate().max_by_key(|(_, entry)| entry.on) else { return };
    if last.on >= settled && i64::from(last.pain_0_10) >= view.limits.pain_from {
        let days = last.on.days_since(since);
        let fields = vec![at!["comfort", place, "pain_0_10"], at!["wear_periods", tray, "from"]];
        let args = args!["pain" = last.pain_0_10, "on" = last.on, "days" = days];
        raising.add(f64::from(last.pain_0_10) / view.limits.pain_from.max(1) as f64, fields, args);
    }
}
