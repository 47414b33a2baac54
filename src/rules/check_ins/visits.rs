//! Visits to the clinic.

use oar_schema::record::{Done, VisitReason, VisitRow};

use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;
use crate::rules::reductions::is_told_of;
use oar_schema::words::Words;

/// Left out is unknown; only a list that says that nothing was done is taken at its word.
pub(super) fn visit_without_purpose(case: &Case<'_>, found: &mut Found) {
    for (i, visit) in case[case.visits].iter().enumerate() {
        let nothing = visit.done.is_some() && case[visit.done].is_empty() && case[visit.reductions].is_empty();
        if visit.attended && nothing && visit.note.is_none() && !something_else_that_day(case, visit) {
            let args = args!["on" = visit.on, "reason" = visit.reason.word()];
            found.add(at!["visits", i], args);
        }
    }
}

/// Whether another section has something of that day.
fn something_else_that_day(case: &Case<'_>, visit: &VisitRow) -> bool {
    let day = visit.on;
    case[case.check_ins].iter().any(|check_in| case.day_of(check_in.at) == day)
        || case[case.deliveries].iter().any(|delivery| delivery.on == day)
        || case[case.attachment_events].iter().any(|event| event.on == day)
        || case[case.assessments].iter().any(|assessment| assessment.on == day)
        || case[case.series].iter().any(|series| series.scanned_on == Some(day))
}

/// Told at `attended`, since either that or a list is wrong.
pub(super) fn missed_visit_with_work(case: &Case<'_>, found: &mut Found) {
    let visits = case[case.visits].iter().enumerate();
    for (i, visit) in visits.filter(|(_, visit)| !visit.attended && lists_work(case, visit)) {
        let mut work = case[visit.done].iter().enumerate().filter(|(_, done)| needs_the_patient(**done));
        let mut args = args!["on" = visit.on];
        let first = work.next().map(|(place, done)| {
            args.extend(args!["done" = done.word()]);
            place
        });
        let (more, reductions) = (work.count(), case[visit.reductions].len());
        if more > 0 {
            args.extend(args!["more" = more]);
        }
        let stated = found.add(at!["visits", i, "attended"], args);
        if let Some(first) = first {
            stated.related(at!["visits", i, "done", first]);
        }
        if reductions > 0 {
            stated.related(at!["visits", i, "reductions"]);
        }
    }
}

/// Whether a visit lists something that cannot be done without the patient.
pub(crate) fn lists_work(case: &Case<'_>, visit: &VisitRow) -> bool {
    !case[visit.reductions].is_empty() || case[visit.done].iter().copied().any(needs_the_patient)
}

/// Whether something can only be done where the patient is: trays go by post or with a relative, teeth are taken out elsewhere,
/// photographs are sent, and vibration is applied at home.
fn needs_the_patient(done: Done) -> bool {
    match done {
        Done::AttachmentBonding
        | Done::AttachmentRemoval
        | Done::InterproximalReduction
        | Done::Rescan
        | Done::ElasticPlacement
        | Done::Polishing
        | Done::Cleaning
        | Done::MicroOsteoperforation
        | Done::Radiograph
        | Done::FixedRetainer => true,
        Done::TrayDelivery
        | Done::TrayReplacement
        | Done::TrayAdjustment
        | Done::ExtractionByReferral
        | Done::Vibration
        | Done::Photographs
        | Done::RetainerDelivery => false,
    }
}

/// A missed appointment and the one that made up for it may be of one day, and so may a planned visit and one because
/// something broke.
pub(super) fn two_visits_same_day(case: &Case<'_>, found: &mut Found) {
    let visits = &case[case.visits];
    for i in 1..visits.len() {
        let (before, visit) = (&visits[i - 1], &visits[i]);
        let apart = visit.on != before.on || !visit.attended || !before.attended;
        if apart || (visit.reason != before.reason && [before, visit].into_iter().any(comes_beside)) {
            continue;
        }
        if case.trusts(visit.on) && !is_told_of(case, visit) {
            let args = args!["on" = visit.on, "reason" = visit.reason.word(), "other" = before.reason.word()];
            found.add(at!["visits", i, "on"], args).related(at!["visits", i - 1, "on"]);
        }
    }
}

/// Whether visits for that reason come beside others on one day.
fn comes_beside(visit: &VisitRow) -> bool {
    matches!(visit.reason, VisitReason::Urgent | VisitReason::Repair | VisitReason::DentalCheck)
}
