//! Decisions of check-ins, compared with the trays that were worn afterwards.

use oar_schema::record::{CheckInRow, DecisionKind, State, WearEnd, WearPeriodRow};
use oar_schema::time::Date;

use super::gaps::waits_without_reason;
use super::{is_in_order, is_whole};
use crate::check::case::appointments::{is_of, lasts_on};
use crate::check::case::wear_periods::{self, followers};
use crate::check::case::worn_trays::{doubted_trays, is_after_gap};
use crate::check::rules::prelude::*;

/// Skips decisions that the next check-in or a visit may have replaced, and wear periods that another rule reports.
pub(super) fn decision_not_followed(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    let mut near = 0;
    let mut doubted: Option<Vec<bool>> = None;
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        let kind = check_in.decision.kind;
        if !matches!(kind, DecisionKind::Hold | DecisionKind::StepBack) || !is_whole(case, check_in) {
            continue;
        }
        let day = case.day_of(check_in.at);
        while near + 1 < worn.len() && worn[near + 1].from <= day {
            near += 1;
        }
        let Some(here) = stretch(worn, near, check_in, day) else { continue };
        let Some(departure) = departure(case, check_in, here, day) else { continue };
        let other_reason = is_set_aside(case, i, here, day) || waits_without_reason(case, check_in);
        if other_reason || !is_in_order(case, i) || !case.trusts(day) {
            continue;
        }
        if !doubts(case, doubted.get_or_insert_with(|| doubted_trays(case)), here) {
            tell(case, found, i, here, &departure);
        }
    }
}

/// The last wear period of the tray of a check-in that covers its day.
fn stretch(worn: &[WearPeriodRow], near: usize, check_in: &CheckInRow, day: Date) -> Option<usize> {
    let around = worn.len().min(near + 1);
    (0..around).rev().take(4).find(|at| is_of(&worn[*at], check_in) && lasts_on(&worn[*at], day))
}

/// How the worn trays depart from a decision.
enum Departure {
    /// The wear period that followed before the hold was over, its first day, and the day on which the hold would
    /// have been over.
    Early(usize, Date, Date),
    /// The wear period of a later tray that followed instead of a step back, and its first day.
    Onward(usize, Date),
    /// No tray followed within this many days.
    Stayed(i32),
}

fn departure(case: &Case<'_>, check_in: &CheckInRow, here: usize, day: Date) -> Option<Departure> {
    let worn = &case[case.wear_periods];
    let next = later_tray(worn, here);
    if let Some(days) = check_in.decision.days {
        let due = worn[here].from.plus_days(case.prescription.change_interval_days);
        let until = due.min(day).plus_days(days);
        return next.filter(|(_, on)| *on < until).map(|(next, on)| Departure::Early(next, on, until));
    }
    let stayed = case.today.days_since(day);
    let lasts = worn[here].to.is_none() && case.status.state == State::Active;
    match next {
        Some((next, on)) => Some(Departure::Onward(next, on)),
        None if lasts && i64::from(stayed) > case.limits.step_back_days => Some(Departure::Stayed(stayed)),
        None => None,
    }
}

fn tell(case: &Case<'_>, found: &mut Found, i: usize, here: usize, departure: &Departure) {
    let (worn, check_in) = (&case[case.wear_periods], &case[case.check_ins][i]);
    let mut args = args!["tray" = check_in.tray, "date" = case.day_of(check_in.at)];
    let (field, related) = match departure {
        Departure::Early(next, on, until) => {
            args.extend(args!["until" = *until, "next" = worn[*next].tray, "on" = *on]);
            ("days", at!["wear_periods", *next, "from"])
        }
        Departure::Onward(next, on) => {
            args.extend(args!["next" = worn[*next].tray, "on" = *on]);
            ("to_tray", at!["wear_periods", *next, "tray"])
        }
        Departure::Stayed(days) => {
            args.extend(args!["days" = *days]);
            ("to_tray", at!["wear_periods", here])
        }
    };
    args.extend(check_in.decision.to_tray.map(|to| ("to", to.into())));
    found.add(at!["check_ins", i, "decision", field], args).related(related);
}

/// The wear period of a later tray of the same series that followed directly, and the latest day on which it can have
/// started.
fn later_tray(worn: &[WearPeriodRow], here: usize) -> Option<(usize, Date)> {
    let stretch = &worn[here];
    let to = stretch.to?;
    let goes_on = matches!(stretch.ended, None | Some(WearEnd::Advanced));
    let later = |n: &usize| worn[*n].series == stretch.series && worn[*n].tray > stretch.tray;
    let all = goes_on && followers(worn, here).all(|n| later(&n));
    followers(worn, here).next().filter(|_| all).map(|n| (n, worn[n].from.max(to)))
}

/// Whether another rule reports the wear period or one that follows it.
fn doubts(case: &Case<'_>, doubted: &[bool], here: usize) -> bool {
    let worn = &case[case.wear_periods];
    let minds = |i: usize| {
        doubted[i] || !wear_periods::in_place(worn, i) || !case.trusts(worn[i].from) || is_after_gap(case, i)
    };
    minds(here) || followers(worn, here).any(minds)
}

/// Whether a later check-in or a visit may have decided otherwise before the tray was changed.
fn is_set_aside(case: &Case<'_>, i: usize, here: usize, day: Date) -> bool {
    let until = case[case.wear_periods][here].to.unwrap_or(case.today);
    let again = case[case.check_ins].get(i + 1).is_some_and(|next| case.day_of(next.at) <= until);
    let seen = case[case.appointments].iter().any(|visit| visit.attended && day <= visit.on && visit.on <= until);
    again || seen
}
