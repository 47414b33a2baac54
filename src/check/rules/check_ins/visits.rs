//! Visits to the clinic.

use std::cell::OnceCell;
use std::collections::BTreeSet;

use oar_schema::record::{AppointmentReason, AppointmentRow};
use oar_schema::time::Date;

use crate::check::case::appointments::{lists_work, needs_the_patient};
use crate::check::case::reductions::is_told_of;
use crate::check::rules::prelude::*;

/// A list that is left out is unknown. Only an empty list says that nothing was done.
pub(super) fn visit_without_purpose(case: &Case<'_>, found: &mut Found) {
    let days = OnceCell::new();
    for (i, visit) in case[case.appointments].iter().enumerate() {
        let nothing = visit.procedures.is_some()
            && case[visit.procedures].is_empty()
            && case[visit.interproximal_reductions].is_empty();
        if visit.attended && nothing && visit.note.is_none() && !something_else_that_day(case, visit.on, &days) {
            let args = args!["on" = visit.on, "reason" = visit.reason.as_str()];
            found.add(at!["appointments", i], args);
        }
    }
}

/// From this many visits on, the days of other sections are collected once instead of being searched for each visit.
const MANY_VISITS: usize = 64;

/// Whether another section has an entry on that day.
fn something_else_that_day(case: &Case<'_>, day: Date, days: &OnceCell<BTreeSet<Date>>) -> bool {
    if case[case.appointments].len() < MANY_VISITS {
        return days_of_others(case).any(|other| other == day);
    }
    days.get_or_init(|| days_of_others(case).collect()).contains(&day)
}

/// The days on which another section has an entry.
fn days_of_others<'c>(case: &'c Case<'_>) -> impl Iterator<Item = Date> + 'c {
    let check_ins = case[case.check_ins].iter().map(|check_in| case.day_of(check_in.at));
    let deliveries = case[case.deliveries].iter().map(|delivery| delivery.on);
    let events = case[case.attachment_events].iter().map(|event| event.on);
    let assessments = case[case.assessments].iter().map(|assessment| assessment.on);
    let scans = case[case.series].iter().filter_map(|series| series.scanned_on);
    check_ins.chain(deliveries).chain(events).chain(assessments).chain(scans)
}

/// Reported at `attended`, since either that or a list is wrong.
pub(super) fn missed_visit_with_work(case: &Case<'_>, found: &mut Found) {
    let visits = case[case.appointments].iter().enumerate();
    for (i, visit) in visits.filter(|(_, visit)| !visit.attended && lists_work(case, visit)) {
        let mut work = case[visit.procedures].iter().enumerate().filter(|(_, done)| needs_the_patient(**done));
        let mut args = args!["on" = visit.on];
        let first = work.next().map(|(place, done)| {
            args.extend(args!["done" = done.as_str()]);
            place
        });
        let (more, reductions) = (work.count(), case[visit.interproximal_reductions].len());
        if more > 0 {
            args.extend(args!["more" = more]);
        }
        let stated = found.add(at!["appointments", i, "attended"], args);
        if let Some(first) = first {
            stated.related(at!["appointments", i, "procedures", first]);
        }
        if reductions > 0 {
            stated.related(at!["appointments", i, "interproximal_reductions"]);
        }
    }
}

/// A missed appointment and the one that made up for it may be of one day, and so may a planned visit and one because
/// something broke.
pub(super) fn two_visits_same_day(case: &Case<'_>, found: &mut Found) {
    let visits = &case[case.appointments];
    for i in 1..visits.len() {
        let (before, visit) = (&visits[i - 1], &visits[i]);
        let apart = visit.on != before.on || !visit.attended || !before.attended;
        if apart || (visit.reason != before.reason && [before, visit].into_iter().any(comes_beside)) {
            continue;
        }
        if case.trusts(visit.on) && !is_told_of(case, visit) {
            let args = args!["on" = visit.on, "reason" = visit.reason.as_str(), "other" = before.reason.as_str()];
            found.add(at!["appointments", i, "on"], args).related(at!["appointments", i - 1, "on"]);
        }
    }
}

/// Whether a visit for that reason may come in addition to another on the same day.
fn comes_beside(visit: &AppointmentRow) -> bool {
    matches!(visit.reason, AppointmentReason::Urgent | AppointmentReason::Repair | AppointmentReason::DentalExamination)
}
