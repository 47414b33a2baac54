//! Planned reductions compared with those that were done.

use oar_schema::number::Hundredths;
use oar_schema::record::{AppointmentRow, PlannedReductionRow, Procedure, SeriesRow};
use oar_schema::time::Date;

use super::contacts::{neighbours_from, neighbours_on};
use crate::check::case::enamel::{ContactSet, EnamelTotals, Pair};
use crate::check::case::reductions::{same_contact, scan_day, too_large};
use crate::check::case::wear_periods::{backwards, in_plan};
use crate::check::rules::prelude::*;

/// Whether there is a plan without a missing series, and every series lists its reductions.
fn plan_is_known(case: &Case<'_>) -> bool {
    let series = &case[case.series];
    !series.is_empty()
        && (0..).zip(series).all(|(number, it)| it.number == number && it.interproximal_reductions.is_some())
}

/// Every planned reduction, with its series.
fn planned<'c>(case: &'c Case<'_>) -> impl Iterator<Item = (&'c SeriesRow, &'c PlannedReductionRow)> {
    case[case.series].iter().flat_map(|series| case[series.interproximal_reductions].iter().map(move |it| (series, it)))
}

/// The places where a contact is planned.
fn places(case: &Case<'_>, between: Pair) -> Vec<Path> {
    let series = case[case.series].iter().enumerate();
    let all = series.flat_map(|(i, series)| {
        case[series.interproximal_reductions].iter().enumerate().map(move |(j, it)| (i, j, it))
    });
    all.filter(|(.., it)| same_contact(it.between, between))
        .map(|(i, j, _)| at!["series", i, "interproximal_reductions", j])
        .collect()
}

fn share_a_tooth(one: Pair, other: Pair) -> bool {
    one.iter().any(|tooth| other.contains(tooth))
}

/// Whether a planned contact has teeth that never touch. `not_neighbours` reports it, and it may be the contact that
/// was done.
fn is_mistyped_in_plan(case: &Case<'_>) -> bool {
    planned(case).any(|(series, other)| !neighbours_from(case, other.between, series.scanned_on))
}

/// Reports each contact once.
pub(super) fn reduction_unplanned(case: &Case<'_>, found: &mut Found) {
    if !plan_is_known(case) {
        return;
    }
    let mut seen = ContactSet::default();
    for (_, reduction) in planned(case) {
        seen.insert(reduction.between);
    }
    for (i, visit) in case[case.appointments].iter().enumerate() {
        for (j, reduction) in case[visit.interproximal_reductions].iter().enumerate() {
            let between = reduction.between;
            if seen.insert(between) && neighbours_on(case, between, visit.on) && !is_mistyped_in_plan(case) {
                let args = args!["tooth" = between[0], "other" = between[1], "amount" = reduction.amount_mm];
                found.add(at!["appointments", i, "interproximal_reductions", j, "between"], args);
            }
        }
    }
}

/// Reports each series once: a missing visit is one mistake, however many contacts it had.
pub(super) fn reduction_not_done(case: &Case<'_>, found: &mut Found) {
    let visits = &case[case.appointments];
    if case.appointments.is_none() || !visits.is_sorted_by_key(|visit| visit.on) {
        return;
    }
    for (i, series) in
        case[case.series].iter().enumerate().filter(|(_, series)| series.interproximal_reductions.is_some())
    {
        let since = scan_day(case, series);
        let done = done_since(case, since);
        let open = case[series.interproximal_reductions]
            .iter()
            .enumerate()
            .filter(|(_, planned)| !done.contains(planned.between));
        let mut open = open.filter_map(|(j, planned)| Some((j, planned, missed_on(case, series, planned)?)));
        let Some((j, first, on)) = open.next().filter(|_| visits.iter().all(|visit| tells_contacts(case, visit)))
        else {
            continue;
        };
        let others: Vec<Path> = open.map(|(j, ..)| at!["series", i, "interproximal_reductions", j]).collect();
        let [tooth, other] = first.between;
        let mut args = args!["tooth" = tooth, "other" = other, "tray" = first.before_tray, "on" = on];
        if !others.is_empty() {
            args.extend(args!["more" = others.len()]);
        }
        let stated = found.add(at!["series", i, "interproximal_reductions", j], args);
        others.into_iter().fold(stated, |stated, path| stated.related(path));
    }
}

/// The contacts at which visits from a day on removed enamel.
fn done_since(case: &Case<'_>, day: Option<Date>) -> ContactSet {
    let mut done = ContactSet::default();
    let visits = case[case.appointments].iter().filter(|visit| day.is_none_or(|day| day <= visit.on));
    for reduction in visits.flat_map(|visit| &case[visit.interproximal_reductions]) {
        done.insert(reduction.between);
    }
    done
}

/// Whether a visit lists all its reductions, contact by contact, on a trusted day.
fn tells_contacts(case: &Case<'_>, visit: &AppointmentRow) -> bool {
    let told = if case[visit.procedures].contains(&Procedure::InterproximalReduction) {
        !case[visit.interproximal_reductions].is_empty()
    } else {
        visit.procedures.is_some() || visit.interproximal_reductions.is_some()
    };
    case.trusts(visit.on) && (!visit.attended || told)
}

/// The first day of a tray before which a reduction was due; none when no such tray was worn, or when another rule
/// reports the contact.
fn missed_on(case: &Case<'_>, series: &SeriesRow, planned: &PlannedReductionRow) -> Option<Date> {
    let there = |worn: &&oar_schema::record::WearPeriodRow| {
        worn.series == series.number && worn.tray >= planned.before_tray && !backwards(worn) && in_plan(case, worn)
    };
    let on =
        case[case.wear_periods].iter().filter(there).map(|worn| worn.from).filter(|day| case.trusts(*day)).min()?;
    let between = planned.between;
    let done = case[case.appointments].iter().flat_map(|visit| &case[visit.interproximal_reductions]);
    let other_meant = done.into_iter().any(|done| {
        share_a_tooth(done.between, between)
            && !self::planned(case).any(|(_, planned)| same_contact(planned.between, done.between))
    });
    (!other_meant && neighbours_from(case, between, series.scanned_on)).then_some(on)
}

/// Reports each contact once, where it exceeds the plan.
pub(super) fn reduction_more_than_planned(case: &Case<'_>, found: &mut Found) {
    let any_done = case[case.appointments].iter().any(|visit| !case[visit.interproximal_reductions].is_empty());
    if !any_done || !plan_is_known(case) {
        return;
    }
    let (mut plan, mut done, mut told) = (EnamelTotals::default(), EnamelTotals::default(), ContactSet::default());
    planned(case).for_each(|(_, reduction)| plan.add(reduction.between, reduction.amount_mm));
    let slack = case.limits.reduction_over_plan_mm;
    for (i, visit) in case[case.appointments].iter().enumerate() {
        for (j, reduction) in case[visit.interproximal_reductions].iter().enumerate() {
            let between = reduction.between;
            done.add(between, reduction.amount_mm);
            let (total, planned) = (done.at(between), plan.at(between));
            let beyond = planned > 0 && i64::from(total) > i64::from(planned) + slack && told.insert(between);
            if !beyond || too_large(case).contains(between) || !neighbours_on(case, between, visit.on) {
                continue;
            }
            let mut args = args!["tooth" = between[0], "other" = between[1], "amount" = reduction.amount_mm];
            args.extend(args!["planned" = Hundredths(planned)]);
            if total > reduction.amount_mm.0 {
                args.extend(args!["total" = Hundredths(total)]);
            }
            let stated = found.add(at!["appointments", i, "interproximal_reductions", j, "amount_mm"], args);
            places(case, between).into_iter().fold(stated, |stated, path| stated.related(path));
        }
    }
}
