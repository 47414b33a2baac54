//! What is due at visits: interproximal reductions, dental examinations, retention.

use oar_schema::derived::course;
use oar_schema::record::{AppointmentReason, Procedure, State};

use crate::check::args::args;
use crate::check::path::at;
use crate::review::signal::{Raising, signals};
use crate::review::view::View;
use crate::text::counted;

signals! {
    ThisWeek reduction_due;
    NextContact dental_examination_due;
    ThisWeek retention_due;
}

/// The score of a signal that waits behind the others of its priority.
const SMALL: f64 = 0.1;

fn reduction_due(view: &View<'_>, raising: &mut Raising<'_>) {
    if view.wearing().is_none() {
        return;
    }
    let mut due = course::due_reductions(view.record).unwrap_or_default();
    let contacts: Vec<String> =
        due.iter().map(|due| due.reduction.between.map(|tooth| tooth.fdi().to_string()).join("-")).collect();
    due.sort_by_key(|due| (due.reduction.before_tray, due.places));
    let Some(first) = due.first() else { return };
    let (before, tray) = (first.reduction.before_tray, first.tray);
    let fields =
        due.iter().map(|due| at!["series", due.places[0], "interproximal_reductions", due.places[1]]).collect();
    let score = 1.0 + f64::from((tray - before).max(0));
    let args = args![
        "contacts" = contacts.join(", "),
        "count" = due.len(),
        "reductions" = counted(due.len() as i32, "planned reduction"),
        "before" = before,
        "tray" = tray
    ];
    raising.add(score, fields, args);
}

fn dental_examination_due(view: &View<'_>, raising: &mut Raising<'_>) {
    if view.wearing().is_none() {
        return;
    }
    let Some(visits) = view.record.appointments.as_deref() else { return };
    let checks = visits.iter().filter(|visit| visit.attended && visit.reason == AppointmentReason::DentalExamination);
    let last = checks.map(|visit| visit.on).max();
    let Some(since) = last.or(view.record.wear_periods.first().map(|worn| worn.from)) else { return };
    let days = view.today.days_since(since);
    if i64::from(days) >= view.limits.dental_check_days {
        let fields = vec![at!["appointments"]];
        match last {
            Some(last) => raising.add(SMALL, fields, args!["days" = days, "last" = last]),
            None => raising.add(SMALL, fields, args!["days" = days]),
        }
    }
}

fn retention_due(view: &View<'_>, raising: &mut Raising<'_>) {
    let status = &view.record.status;
    if status.state != State::Finished || view.record.retention.is_some() {
        return;
    }
    let retainer = |done: &Procedure| matches!(done, Procedure::RetainerDelivery | Procedure::BondedRetainer);
    let visits = view.record.appointments.iter().flatten();
    let given = visits.filter(|visit| visit.attended).any(|visit| visit.procedures.iter().flatten().any(retainer));
    if !given {
        let days = view.today.days_since(status.since);
        let fields = vec![at!["status", "since"], at!["appointments"]];
        raising.add(
            1.0 + f64::from(days) / 30.0,
            fields,
            args!["days" = days, "ago" = counted(days, "day"), "since" = status.since],
        );
    }
}
