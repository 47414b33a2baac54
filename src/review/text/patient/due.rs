//! What is due: the next tray, the next check-in, and the work for visits.

use oar_schema::derived::arches::{self, Tray, in_arch};
use oar_schema::derived::course;
use oar_schema::record::{AppointmentReason, DecisionKind, PlannedReduction, Procedure, State};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::lines::{WrappedLines, hours};
use crate::review::arches::away;
use crate::review::{Review, next};
use crate::text::counted;

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    lines.title("what is due");
    for (name, text) in told(review) {
        lines.named(name, &text);
    }
}

/// What is due, by name.
pub(in crate::review) fn told(review: &Review) -> Vec<(&'static str, String)> {
    let mut told = Vec::new();
    if course::current(&review.record).is_some() {
        told.extend(trays(review));
        told.extend([("check-in", check_in(review)), ("rescan", rescan(review)), ("reductions", reductions(review))]);
    }
    told.extend([
        ("last visit", last_visit(review)),
        ("dental exam", dental_check(review)),
        ("retention", retention(review)),
    ]);
    told
}

/// A day and how far away it is.
fn on(day: Date, today: Date) -> String {
    format!("{day} ({})", away(day.days_since(today)))
}

/// The next tray; for each arch, when the arches differ.
fn trays(review: &Review) -> Vec<(&'static str, String)> {
    let record = &review.record;
    if record.status.state != State::Active {
        return vec![("next tray", "none: trays are not being worn".to_owned())];
    }
    if review.values.per_arch.is_none() {
        return arches::trays(record).iter().map(|worn| ("next tray", tray(review, worn))).collect();
    }
    let none = "none: no tray is in".to_owned();
    let of = |arch| in_arch(record, arch).map_or(none.clone(), |worn| tray(review, &worn));
    vec![("next, upper", of(Arch::Upper)), ("next, lower", of(Arch::Lower))]
}

fn tray(review: &Review, worn: &Tray<'_>) -> String {
    let record = &review.record;
    let Some(next) = next::tray(worn) else { return "none: the last tray of the series is in".to_owned() };
    let due = course::due(record, worn.worn);
    let supply = if next::is_not_delivered(record, worn) { "; no delivery on record includes it" } else { "" };
    match next::decision(record, worn).map(|decision| (decision.kind, decision.to_tray)) {
        _ if next::to_be_seen(record) => format!("waiting: the latest check-in requested a visit{supply}"),
        Some((DecisionKind::StepBack, Some(back))) => format!("tray {back}, decided at the latest check-in"),
        Some((DecisionKind::Hold, _)) if due > review.day => {
            format!("tray {next}, held until {}{supply}", on(due, review.day))
        }
        _ if due < review.day => format!("tray {next}, was due on {}{supply}", on(due, review.day)),
        _ => format!("tray {next} on {}{supply}", on(due, review.day)),
    }
}

fn check_in(review: &Review) -> String {
    let Some(day) = next::check_in(&review.record) else { return "no interval is prescribed".to_owned() };
    let every = review.record.prescription.check_in_interval_days.unwrap_or_default();
    format!("{}; one every {}", on(day, review.day), counted(every, "day"))
}

fn rescan(review: &Review) -> String {
    let left = counted(review.values.trays_left.unwrap_or_default(), "tray");
    let differ = review.values.per_arch.and(arches::leading_arch(&review.record));
    let left = left + " left" + &differ.map_or(String::new(), |arch| format!(" in the {} arch", arch.as_str()));
    match review.values.rescan_due {
        Some(true) if is_raised(review, "rescan_due") => format!("due: {left} and no later series"),
        Some(true) => format!("{left}, and a scan since the start of the series is on record"),
        _ if has_later(review) => "no: a later series is on record".to_owned(),
        _ => format!("not yet: {left}"),
    }
}

fn has_later(review: &Review) -> bool {
    let record = &review.record;
    course::current(record).is_some_and(|worn| record.series.iter().any(|series| series.number > worn.series))
}

fn is_raised(review: &Review, signal: &str) -> bool {
    review.raised.iter().any(|raised| raised.signal.name == signal)
}

/// The interproximal reductions that are due, each with the tray before which it was planned, and how many are planned later.
fn reductions(review: &Review) -> String {
    let record = &review.record;
    let planned: Vec<(i32, &PlannedReduction)> = arches::series_worn(record)
        .flat_map(|(_, series)| series.interproximal_reductions.iter().flatten().map(|one| (series.number, one)))
        .collect();
    if arches::series_worn(record).all(|(_, series)| series.interproximal_reductions.is_none()) {
        return "the plan lists none".to_owned();
    }
    let due = course::due_reductions(record).unwrap_or_default();
    let told: Vec<String> = due.iter().map(|due| contact(due.reduction)).collect();
    let is_later = |(series, one): &&(i32, &PlannedReduction)| {
        arches::tray_of(record, *series, one.between[0].arch()).is_some_and(|tray| one.before_tray > tray + 1)
    };
    let later = planned.iter().filter(is_later).count();
    let later = if later == 0 { String::new() } else { format!("; {later} planned for later trays") };
    let open = if told.is_empty() { "none open".to_owned() } else { format!("not on record: {}", told.join(", ")) };
    format!("{open}{later}")
}

fn contact(reduction: &PlannedReduction) -> String {
    let [one, other] = reduction.between;
    format!("{}-{} before tray {}", one.fdi(), other.fdi(), reduction.before_tray)
}

fn last_visit(review: &Review) -> String {
    if review.record.appointments.is_none() {
        return "visits are not on record".to_owned();
    }
    next::last_visit(&review.record).map_or("none attended on record".to_owned(), |day| on(day, review.day))
}

fn dental_check(review: &Review) -> String {
    let Some(visits) = &review.record.appointments else { return "unknown: visits are not on record".to_owned() };
    let checks = visits.iter().filter(|visit| visit.attended && visit.reason == AppointmentReason::DentalExamination);
    let last = checks.map(|visit| visit.on).max().map(|day| format!("last {}", on(day, review.day)));
    let last = last.unwrap_or_else(|| "none on record".to_owned());
    if is_raised(review, "dental_examination_due") { format!("due: {last}") } else { last }
}

fn retention(review: &Review) -> String {
    let record = &review.record;
    if let Some(retention) = &record.retention {
        let until = retention.until.map_or("no end planned".to_owned(), |day| format!("until {day}"));
        return format!("from {}, {} h a day, {until}", retention.from, hours(retention.wear_goal_minutes));
    }
    let given = |done: &Procedure| matches!(done, Procedure::RetainerDelivery | Procedure::BondedRetainer);
    let visits = record.appointments.iter().flatten().filter(|visit| visit.attended);
    let retainer = visits.filter(|visit| visit.procedures.iter().flatten().any(given)).map(|visit| visit.on).max();
    match (retainer, record.status.state) {
        (Some(day), _) => format!("a retainer was delivered on {day}"),
        (None, State::Planned | State::Active | State::Paused) => "not yet: the treatment is not finished".to_owned(),
        (None, _) => "nothing on record".to_owned(),
    }
}
