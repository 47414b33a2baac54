//! Dates that are wrong in themselves.

use oar_schema::time::{Date, Instant};

use super::goes_on;
use crate::check::args::{Args, args};
use crate::check::case::days::{DatedPlace, each_day, largest_part, whole_years, years};
use crate::check::rules::prelude::*;

/// From so many sections on, the dates are taken as correct, and the value that they are compared with as wrong.
const MANY_SECTIONS: usize = 3;

/// Whether an instant comes after another, however they are written.
fn comes_after(one: Instant, other: Instant) -> bool {
    (one.seconds, one.nanoseconds) > (other.seconds, other.nanoseconds)
}

/// A wrong date: its value, its section and its path.
type Wrong = (Args, &'static str, Path);

pub(super) fn after_export(case: &Case<'_>, found: &mut Found) {
    let exported = case.source.exported_at;
    let late_check_in = |at: Instant| comes_after(at, exported);
    if case.days.1 <= case.today && !case[case.check_ins].iter().any(|check_in| late_check_in(check_in.at)) {
        return;
    }
    let mut late = Vec::new();
    let mut total = 0;
    each_day(case, |day, spot| {
        total += 1;
        if spot.section() != "check_ins" && day > case.today {
            late.push((args!["date" = day], spot.section(), spot.path()));
        }
    });
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        if late_check_in(check_in.at) {
            late.push((args!["at" = check_in.at], "check_ins", at!["check_ins", i, "at"]));
        }
    }
    add_together(
        found,
        &late,
        total,
        at!["source", "exported_at"],
        &args!["exported" = exported, "today" = case.today],
    );
}

pub(super) fn before_birth(case: &Case<'_>, found: &mut Found) {
    let birth = case.birth();
    if case.days.0 >= birth {
        return;
    }
    let mut early = Vec::new();
    let mut total = 0;
    each_day(case, |day, spot| {
        total += 1;
        if day < birth {
            early.push((args!["date" = day], spot.section(), spot.path()));
        }
    });
    let args = args!["birth_year" = case.patient.birth_year];
    add_together(found, &early, total, at!["patient", "birth_year"], &args);
}

/// Adds wrong dates: one finding for each section, or one at `measure` when so many are wrong that `measure` is.
fn add_together(found: &mut Found, wrong: &[Wrong], total: usize, measure: Path, args: &Args) {
    let mut sections: Vec<&'static str> = wrong.iter().map(|(_, section, _)| *section).collect();
    sections.dedup();
    if wrong.len() * 2 > total || sections.len() >= MANY_SECTIONS {
        let mut args = args.clone();
        args.extend(args!["count" = wrong.len(), "total" = total]);
        found.add(measure, args);
        return;
    }
    for section in sections {
        let group: Vec<&Wrong> = wrong.iter().filter(|(_, of, _)| *of == section).collect();
        let mut args = args.clone();
        args.extend(group[0].0.iter().cloned());
        if group.len() > 1 {
            args.extend(args!["others" = group.len() - 1]);
        }
        let stated = found.add(group[0].2.clone(), args);
        for (_, _, path) in &group[1..] {
            stated.related(path.clone());
        }
    }
}

pub(super) fn date_far_off(case: &Case<'_>, found: &mut Found) {
    let (first, last) = case.days;
    if case.far_apart(first, last) {
        clusters(case, found);
    }
    if goes_on(case.status.state) && last < case.today && case.far_apart(last, case.today) {
        let args = args!["export" = case.today, "years" = whole_years(case.today.days_since(last)), "last" = last];
        found.add(at!["source", "exported_at"], args);
    }
    if let Some(retention) = &case.retention
        && let Some(until) = retention.until
        && case.trusts(retention.from)
        && until.days_since(retention.from) > years(case.limits.retention_years)
    {
        let args = args!["until" = until, "years" = whole_years(until.days_since(retention.from))];
        found.add(at!["retention", "until"], args);
    }
}

/// Splits the dates where years lie between one and the next, and reports every part except the largest.
fn clusters(case: &Case<'_>, found: &mut Found) {
    let days = case.sorted_days();
    let parts: Vec<&[(Date, usize, DatedPlace)]> = days.chunk_by(|one, next| !case.far_apart(one.0, next.0)).collect();
    let Some(main) = largest_part(&parts) else { return };
    let rest = parts[main];
    for (at, part) in parts.iter().enumerate().filter(|(at, _)| *at != main) {
        let Some((day, _, spot)) = part.iter().min_by_key(|(_, at, _)| *at) else { continue };
        let near = if at < main { rest[0].0 } else { rest[rest.len() - 1].0 };
        let mut args = args!["date" = *day, "years" = whole_years(day.days_since(near).abs()), "near" = near];
        if part.len() > 1 {
            args.extend(args!["others" = part.len() - 1]);
        }
        let stated = found.add(spot.path(), args);
        for (_, _, other) in part.iter().filter(|(_, _, other)| other != spot) {
            stated.related(other.path());
        }
    }
}
