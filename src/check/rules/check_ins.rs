//! Check-ins and visits.

mod followed;
mod gaps;
mod visits;

use oar_schema::record::{CheckInRow, DecisionKind, DecisionRow, FitGapRow, SeriesRow, WearPeriodRow};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::table::rules;
use crate::check::case::appointments::{agrees_with_worn, is_of, lasts_on};
use crate::check::case::plan::{last_tray_told, trays_in};
use crate::check::case::wear_periods::{self, backwards};
use crate::check::case::worn_trays::{doubted_trays, is_after_gap};
use crate::check::rules::prelude::*;

use followed::decision_not_followed;
use gaps::{decision_contradicts_gaps, gap_implausible};
use visits::{missed_visit_with_work, two_visits_same_day, visit_without_purpose};

rules! { "check_ins":
    Error check_in_out_of_order (check_ins, source, patient) needs () unless (dates);
    Error check_in_for_other_tray (check_ins, wear_periods, series, source, patient) needs (wear_periods, check_ins.at, series) unless (dates, tray_counts, unplanned_trays, worn_trays, days_without_tray, check_in_order);
    Error hold_without_days (check_ins) needs (check_ins.decision);
    Error step_back_without_tray (check_ins) needs (check_ins.decision);
    Error step_back_forward (check_ins) needs ();
    Warning decision_with_extra (check_ins) needs () unless (incomplete_decisions);
    Error gap_in_untreated_arch (check_ins, series, wear_periods, patient) needs (series) unless (tooth_numbers, tray_counts, check_in_trays);
    Warning gap_implausible (check_ins) needs ();
    Warning decision_contradicts_gaps (check_ins, series, prescription, dentition, wear_log, deliveries, patient) needs (check_ins, check_ins.at, check_ins.fit_gaps, series, series.attachments, prescription.change_interval_days, dentition.absent, dentition.primary, dentition.extracted, dentition.implants, dentition.pontics, wear_log, deliveries) unless (incomplete_decisions, contradictory_decisions, wide_gaps);
    Warning decision_not_followed (check_ins, series, prescription, wear_periods, appointments, status, source, patient) needs (wear_periods, wear_periods.to, check_ins, check_ins.at, appointments, status.state, series, prescription.change_interval_days, source.exported_at) unless (dates, unplanned_trays, worn_trays, days_without_tray, incomplete_decisions, contradictory_decisions, check_in_order);
    Error visit_out_of_order (appointments, source, patient) needs () unless (dates);
    Error missed_visit_with_work (appointments) needs ();
    Note visit_without_purpose (appointments, check_ins, deliveries, attachment_events, assessments, series, patient) needs (appointments.procedures, appointments.interproximal_reductions, check_ins, check_ins.at, deliveries, attachment_events, assessments, series);
    Note two_visits_same_day (appointments, series, source, patient) needs () unless (dates, large_reductions);
}

fn moment(check_in: &CheckInRow) -> (i64, u32) {
    (check_in.at.seconds, check_in.at.nanoseconds)
}

/// Whether a check-in is in order in time with its neighbours in the list.
fn is_in_order(case: &Case<'_>, i: usize) -> bool {
    let around = &case[case.check_ins][i.saturating_sub(1)..];
    !case.heeds(Mark::CheckInOrder) || around.iter().take(if i == 0 { 2 } else { 3 }).is_sorted_by_key(moment)
}

/// Reports only the first break in the order.
fn check_in_out_of_order(case: &Case<'_>, found: &mut Found) {
    let check_ins = &case[case.check_ins];
    let now = (case.source.exported_at.seconds, case.source.exported_at.nanoseconds);
    let mut last: Option<usize> = None;
    for (i, check_in) in check_ins.iter().enumerate() {
        if !case.trusts(check_in.at.written_date()) || moment(check_in) > now {
            continue;
        }
        if let Some(before) = last
            && moment(check_in) < moment(&check_ins[before])
        {
            let args = args!["at" = check_in.at, "earlier" = check_ins[before].at];
            found.add(at!["check_ins", i, "at"], args).related(at!["check_ins", before, "at"]);
            return;
        }
        last = Some(i);
    }
}

fn check_in_for_other_tray(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    let mut near = 0;
    let mut doubted: Option<Vec<bool>> = None;
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        let day = case.day_of(check_in.at);
        let fits = |worn: &WearPeriodRow| is_of(worn, check_in) && lasts_on(worn, day);
        while near + 1 < worn.len() && worn[near].to.is_some_and(|to| to < day) {
            near += 1;
        }
        if worn.get(near).is_some_and(fits) || worn.iter().any(fits) {
            continue;
        }
        if !case.trusts(check_in.at.written_date()) || !worn.iter().any(|worn| lasts_on(worn, day)) {
            continue;
        }
        let doubted = doubted.get_or_insert_with(|| doubted_trays(case));
        if let Some(other) = other_tray(case, check_in, day, doubted).filter(|_| is_in_order(case, i)) {
            let mut args = args!["tray" = check_in.tray, "date" = day, "worn" = worn[other].tray];
            if worn[other].series != check_in.series {
                args.extend(args!["series" = check_in.series, "worn_series" = worn[other].series]);
            }
            found.add(at!["check_ins", i, "tray"], args).related(at!["wear_periods", other]);
        }
    }
}

/// The wear period that covers the day instead; none when no tray was worn, or when another rule reports the worn
/// trays of that day.
fn other_tray(case: &Case<'_>, check_in: &CheckInRow, day: Date, doubted: &[bool]) -> Option<usize> {
    let worn = &case[case.wear_periods];
    wear_periods::planned(case, check_in.series)?;
    if worn.iter().any(|worn| backwards(worn) && is_of(worn, check_in)) {
        return None;
    }
    let there = (0..worn.len()).filter(|i| lasts_on(&worn[*i], day));
    let mut last = None;
    for i in there {
        if doubted[i] || is_after_gap(case, i) {
            return None;
        }
        last = Some(i);
    }
    last
}

fn hold_without_days(case: &Case<'_>, found: &mut Found) {
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        if check_in.decision.kind == DecisionKind::Hold && check_in.decision.days.is_none() {
            found.add(at!["check_ins", i, "decision"], args!["tray" = check_in.tray]);
        }
    }
}

fn step_back_without_tray(case: &Case<'_>, found: &mut Found) {
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        if check_in.decision.kind == DecisionKind::StepBack && check_in.decision.to_tray.is_none() {
            found.add(at!["check_ins", i, "decision"], args!["tray" = check_in.tray]);
        }
    }
}

fn step_back_forward(case: &Case<'_>, found: &mut Found) {
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        if check_in.decision.kind == DecisionKind::StepBack
            && let Some(to) = check_in.decision.to_tray
            && to >= check_in.tray
        {
            let args = args!["to" = to, "tray" = check_in.tray];
            found.add(at!["check_ins", i, "decision", "to_tray"], args).related(at!["check_ins", i, "tray"]);
        }
    }
}

/// Whether a decision lacks the field that it needs. Another rule reports that already, and the kind may be the
/// mistake.
fn lacks_its_own(case: &Case<'_>, decision: &DecisionRow) -> bool {
    let lacks = match decision.kind {
        DecisionKind::Hold => decision.days.is_none(),
        DecisionKind::StepBack => decision.to_tray.is_none(),
        _ => false,
    };
    lacks && case.heeds(Mark::IncompleteDecisions)
}

/// Whether a decision has exactly the fields that it needs, and a step back leads to an earlier tray.
fn is_whole(case: &Case<'_>, check_in: &CheckInRow) -> bool {
    let decision = &check_in.decision;
    let extra = decision.days.is_some() && decision.kind != DecisionKind::Hold
        || decision.to_tray.is_some() && decision.kind != DecisionKind::StepBack;
    let forward = decision.to_tray.is_some_and(|to| to >= check_in.tray);
    !(lacks_its_own(case, decision) || (extra || forward) && case.heeds(Mark::ContradictoryDecisions))
}

/// Days belong to a hold, and a tray to a step back. With another kind, they leave open what was decided.
fn decision_with_extra(case: &Case<'_>, found: &mut Found) {
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        let decision = &check_in.decision;
        if lacks_its_own(case, decision) {
            continue;
        }
        let days = decision.days.filter(|_| decision.kind != DecisionKind::Hold);
        let to_tray = decision.to_tray.filter(|_| decision.kind != DecisionKind::StepBack);
        if let Some(days) = days {
            let args = args!["kind" = decision.kind.as_str(), "days" = days];
            found.add(at!["check_ins", i, "decision", "days"], args);
        }
        if let Some(to) = to_tray {
            let args = args!["kind" = decision.kind.as_str(), "to" = to];
            found.add(at!["check_ins", i, "decision", "to_tray"], args);
        }
    }
}

/// One finding for each series of a record: an export without arches gives gaps for both arches.
fn gap_in_untreated_arch(case: &Case<'_>, found: &mut Found) {
    for series in &case[case.series] {
        let untreated = Arch::ALL.into_iter().find(|arch| trays_in(series, *arch) == 0);
        let Some(arch) = untreated.filter(|_| wear_periods::longest(series) > 0) else { continue };
        let of_series = |(_, check_in): &(usize, &CheckInRow)| check_in.series == series.number;
        let mut gaps = case[case.check_ins].iter().enumerate().filter(of_series).flat_map(|(i, check_in)| {
            let gaps = case[check_in.fit_gaps].iter().enumerate();
            let there = move |gap: &FitGapRow| gap.tooth.arch() == arch && agrees_with_worn(case, check_in);
            gaps.filter(move |(_, gap)| there(gap)).map(move |(g, gap)| (i, g, gap.tooth))
        });
        let Some((i, g, tooth)) = gaps.next().filter(|_| !is_reported(case, series, arch)) else { continue };
        let mut args = args!["tooth" = tooth, "arch" = arch.as_str(), "series" = series.number];
        let more = gaps.count();
        if more > 0 {
            args.extend(args!["more" = more]);
        }
        found.add(at!["check_ins", i, "fit_gaps", g, "tooth"], args);
    }
}

/// Whether the series moves teeth of that arch, or a tray of it is recorded as worn there. Another rule reports
/// either.
fn is_reported(case: &Case<'_>, series: &SeriesRow, arch: Arch) -> bool {
    let worn_there = |worn: &WearPeriodRow| worn.series == series.number && wear_periods::covers(worn.arches, arch);
    last_tray_told(case, series, arch) > 0 || case[case.wear_periods].iter().any(worn_there)
}

/// Speaks of the first break only.
fn visit_out_of_order(case: &Case<'_>, found: &mut Found) {
    let visits = &case[case.appointments];
    if let Some((before, i)) = case.first_break(visits.iter().map(|visit| visit.on)) {
        let args = args!["on" = visits[i].on, "earlier" = visits[before].on];
        found.add(at!["appointments", i, "on"], args).related(at!["appointments", before, "on"]);
    }
}
