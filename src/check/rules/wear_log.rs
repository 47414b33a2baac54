//! The wear log: days, minutes and where they come from.

mod minutes;

use oar_schema::record::{State, WearDayRow};
use oar_schema::time::Date;

use super::table::rules;
use crate::check::case::wear_periods::{HOURS_OF_A_DAY, backwards};
use crate::check::rules::prelude::*;
use minutes::{log_too_regular, removals_implausible, sources_disagree, unit_looks_wrong};

rules! { "wear_log":
    Error more_than_a_day (wear_log, source, patient) needs (patient.time_zone) unless (dates, log_dates);
    Error day_logged_twice (wear_log) needs ();
    Error log_out_of_order (wear_log, source, patient) needs () unless (dates);
    Warning log_outside_treatment (wear_log, wear_periods, status, retention, source, patient) needs (wear_periods, wear_periods.to, status.state, status.since, retention, source.exported_at) unless (dates, log_dates);
    Warning sources_disagree (wear_log) needs () unless (wear_units);
    Note log_too_regular (wear_log) needs (wear_log) unless (wear_units);
    Error unit_looks_wrong (wear_log, prescription) needs (prescription.wear_goal_minutes);
    Note removals_implausible (wear_log, patient) needs (patient.time_zone) unless (log_minutes);
    Error goal_under_floor (prescription) needs (prescription.wear_goal_minutes, prescription.wear_minimum_minutes) unless (wear_units);
}

fn more_than_a_day(case: &Case<'_>, found: &mut Found) {
    let Some(zone) = case.zone else { return };
    let shortest = zone.shortest_day();
    for (i, day) in case[case.wear_log].iter().enumerate().filter(|(_, day)| day.minutes > shortest) {
        let length = zone.minutes(day.on);
        if day.minutes > length && !(day.minutes <= LONGEST_DAY && is_misdated(case, i)) {
            let args = args!["minutes" = day.minutes, "date" = day.on, "length" = length];
            found.add(at!["wear_log", i, "minutes"], args);
        }
    }
}

/// The minutes of a day on which the clocks go back by an hour.
const LONGEST_DAY: i32 = 1500;

/// Whether another rule reports the date of an entry.
fn is_misdated(case: &Case<'_>, i: usize) -> bool {
    let log = &case[case.wear_log];
    let has_twin = || twin(log, i).is_some() || i + 1 < log.len() && twin(log, i + 1) == Some(i);
    !case.trusts(log[i].on) || case.heeds(Mark::LogDates) && (!in_order(log, i) || has_twin())
}

/// Whether the date of an entry is between those of its neighbours.
fn in_order(log: &[WearDayRow], i: usize) -> bool {
    log[i.saturating_sub(1)..log.len().min(i + 2)].is_sorted_by_key(|day| day.on)
}

/// Reports the first such day: a log that was imported twice has many.
fn day_logged_twice(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    let mut first = None;
    let mut more = 0;
    for i in 1..log.len() {
        let Some(twin) = twin(log, i) else { continue };
        more += usize::from(first.is_some());
        first = first.or(Some((i, twin)));
    }
    if let Some((i, twin)) = first {
        let mut args = args!["date" = log[i].on, "source" = log[i].source.as_str()];
        if more > 0 {
            args.extend(args!["more" = more]);
        }
        found.add(at!["wear_log", i, "on"], args).related(at!["wear_log", twin, "on"]);
    }
}

/// The entry of the same day and source among those right before the one at `i`.
fn twin(log: &[WearDayRow], i: usize) -> Option<usize> {
    let same_day = log[..i].iter().enumerate().rev().take_while(|(_, day)| day.on == log[i].on);
    same_day.take(MOST_OF_A_DAY).find(|(_, day)| day.source == log[i].source).map(|(at, _)| at)
}

/// More entries of one day than there are sources have a twin among the last few of them.
const MOST_OF_A_DAY: usize = 3;

/// Reports the first break only.
fn log_out_of_order(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    if let Some((before, i)) = case.first_break(log.iter().map(|day| day.on)) {
        let args = args!["date" = log[i].on, "earlier" = log[before].on];
        found.add(at!["wear_log", i, "on"], args).related(at!["wear_log", before, "on"]);
    }
}

fn goal_under_floor(case: &Case<'_>, found: &mut Found) {
    let (goal, floor) = (case.prescription.wear_goal_minutes, case.prescription.wear_minimum_minutes);
    let other_unit = case.heeds(Mark::WearUnits) && goal <= HOURS_OF_A_DAY;
    if goal < floor && !other_unit {
        let args = args!["goal" = goal, "floor" = floor];
        found.add(at!["prescription", "wear_goal_minutes"], args).related(at!["prescription", "wear_minimum_minutes"]);
    }
}

/// The days from the first tray to the last, up to today when a tray is still worn.
fn worn_days(case: &Case<'_>) -> Option<(Date, Date)> {
    let worn = &case[case.wear_periods];
    if worn.iter().any(backwards) {
        return None;
    }
    let last = worn.iter().map(|worn| worn.to.unwrap_or(case.today)).max()?;
    let open = case.status.state == State::Active || worn.iter().any(|worn| worn.to.is_none());
    Some((worn.iter().map(|worn| worn.from).min()?, if open { last.max(case.today) } else { last }))
}

/// Reports the days before and the days after once each.
fn log_outside_treatment(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    let Some((first, last)) = worn_days(case).filter(|_| !log.is_empty()) else { return };
    if log.iter().all(|day| first <= day.on && day.on <= last) {
        return;
    }
    let retained = |day: &WearDayRow| case.retention.is_some_and(|retention| day.on >= retention.from);
    tell_outside(case, found, ("begin", first), |day| day.on < first);
    tell_outside(case, found, ("end", last), |day| day.on > last && day.on <= case.today && !retained(day));
}

fn tell_outside(
    case: &Case<'_>,
    found: &mut Found,
    (what, edge): (&'static str, Date),
    outside: impl Fn(&WearDayRow) -> bool,
) {
    let log = &case[case.wear_log];
    let is_in_order = |i: usize| !case.heeds(Mark::LogDates) || in_order(log, i);
    let counts = |i: usize| log[i].minutes > 0 && case.trusts(log[i].on) && is_in_order(i);
    let mut days = (0..log.len()).filter(|i| outside(&log[*i]) && counts(*i));
    let Some(i) = days.next() else { return };
    let mut args = args!["date" = log[i].on];
    args.push((what, edge.into()));
    let more = days.count();
    if more > 0 {
        args.extend(args!["more" = more]);
    }
    found.add(at!["wear_log", i, "on"], args);
}
