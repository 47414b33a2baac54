//! Fit gaps between tray and teeth, and the decisions based on them.

use std::cell::OnceCell;

use oar_schema::number::Hundredths;
use oar_schema::record::{CheckInRow, DecisionKind, FitGapRow, SeriesRow};
use oar_schema::time::Date;

use super::is_whole;
use crate::check::case::wear_periods;
use crate::check::marks::Marks;
use crate::check::rules::prelude::*;

/// One finding for each record: a program that writes another unit does so everywhere.
pub(super) fn gap_implausible(case: &Case<'_>, found: &mut Found) {
    let check_ins = case[case.check_ins].iter().enumerate();
    let gaps =
        check_ins.flat_map(|(i, check_in)| case[check_in.fit_gaps].iter().enumerate().map(move |(g, gap)| (i, g, gap)));
    let mut wide = gaps.filter(|(_, _, gap)| is_implausible(case, **gap));
    let Some((i, g, gap)) = wide.next() else { return };
    let limit = Hundredths(case.limits.widest_gap_mm as i32);
    let mut args = args!["tooth" = gap.tooth, "gap" = gap.gap_mm, "limit" = limit];
    let more = wide.count();
    if more > 0 {
        args.extend(args!["more" = more]);
    }
    found.add(at!["check_ins", i, "fit_gaps", g, "gap_mm"], args);
}

fn is_implausible(case: &Case<'_>, gap: FitGapRow) -> bool {
    i64::from(gap.gap_mm.0) > case.limits.widest_gap_mm
}

/// Whether the gaps of the record may have another unit: one is implausible, and more gaps are wide than small, so it
/// is no slip.
fn unit_is_in_doubt(case: &Case<'_>) -> bool {
    let (mut implausible, mut wide, mut small) = (false, 0, 0);
    for gap in case[case.check_ins].iter().flat_map(|check_in| &case[check_in.fit_gaps]).filter(|gap| gap.gap_mm.0 > 0)
    {
        implausible |= is_implausible(case, *gap);
        let is_wide = i64::from(gap.gap_mm.0) >= case.limits.advance_gap_mm;
        *(if is_wide { &mut wide } else { &mut small }) += 1;
    }
    implausible && wide > small && case.heeds(Mark::WideGaps)
}

pub(super) fn decision_contradicts_gaps(case: &Case<'_>, found: &mut Found) {
    let other_unit = OnceCell::new();
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        match check_in.decision.kind {
            DecisionKind::Advance => advance_over_gap(case, found, i, &other_unit),
            _ if waits_without_reason(case, check_in) => {
                let args = args!["kind" = check_in.decision.kind.as_str(), "tray" = check_in.tray];
                found.add(at!["check_ins", i, "decision", "kind"], args).related(at!["check_ins", i, "fit_gaps"]);
            }
            _ => {}
        }
    }
}

/// Skips teeth that were not there at the start: they may erupt, and the tray leaves room for them.
fn advance_over_gap(case: &Case<'_>, found: &mut Found, i: usize, other_unit: &OnceCell<bool>) {
    let check_in = &case[case.check_ins][i];
    let gaps = case[check_in.fit_gaps].iter().enumerate();
    let Some((g, gap)) = gaps.max_by_key(|(_, gap)| gap.gap_mm.0) else { return };
    let wide = i64::from(gap.gap_mm.0) > case.limits.advance_gap_mm
        && !(is_implausible(case, *gap) && case.heeds(Mark::WideGaps));
    if !wide
        || !is_whole(case, check_in)
        || case.is_marked(Marks::of(Mark::ToothNumbers))
        || !case.standing.contains(gap.tooth)
    {
        return;
    }
    if *other_unit.get_or_init(|| unit_is_in_doubt(case)) {
        return;
    }
    let limit = Hundredths(case.limits.advance_gap_mm as i32);
    let args = args!["kind" = "advance", "tooth" = gap.tooth, "gap" = gap.gap_mm, "limit" = limit];
    found.add(at!["check_ins", i, "decision", "kind"], args).related(at!["check_ins", i, "fit_gaps", g, "gap_mm"]);
}

/// Whether the decision is to hold or step back although the tray fits and the record gives no reason.
pub(super) fn waits_without_reason(case: &Case<'_>, check_in: &CheckInRow) -> bool {
    matches!(check_in.decision.kind, DecisionKind::Hold | DecisionKind::StepBack)
        && is_whole(case, check_in)
        && fits(case, check_in)
        && !has_another_reason(case, check_in)
}

/// Whether teeth were looked at, all of them fit, and the check-in has nothing else that could be a reason.
fn fits(case: &Case<'_>, check_in: &CheckInRow) -> bool {
    let gaps = &case[check_in.fit_gaps];
    let close = |gap: &FitGapRow| i64::from(gap.gap_mm.0) <= case.limits.fitting_gap_mm;
    !gaps.is_empty()
        && gaps.iter().all(close)
        && case[check_in.attachments_debonded].is_empty()
        && case[check_in.observations].is_empty()
        && case[check_in.advice].is_empty()
        && check_in.note.is_none()
}

/// Whether the reason is elsewhere in the record: the tray is the last one, the next one is not delivered or waits
/// for a reduction, or the trays were worn too little.
fn has_another_reason(case: &Case<'_>, check_in: &CheckInRow) -> bool {
    let Some(series) = wear_periods::planned(case, check_in.series) else { return true };
    let (next, day) = (check_in.tray + 1, case.day_of(check_in.at));
    next > wear_periods::longest(series)
        || waits_for_reduction(case, series, next)
        || !is_delivered(case, check_in.series, next, day)
        || worn_too_little(case, day)
}

fn waits_for_reduction(case: &Case<'_>, series: &SeriesRow, tray: i32) -> bool {
    case[series.interproximal_reductions].iter().any(|reduction| reduction.before_tray == tray)
}

fn is_delivered(case: &Case<'_>, series: i32, tray: i32, day: Date) -> bool {
    let deliveries = &case[case.deliveries];
    let brings = |from: i32, to: i32| from <= tray && tray <= to;
    case.deliveries.is_none()
        || deliveries.iter().any(|it| it.series == series && it.on <= day && brings(it.from_tray, it.to_tray))
}

/// From this many logged days on, the days of low wear are sorted once instead of being searched for each check-in.
const LONG_LOG: usize = 2000;

/// Whether a logged day within the days per tray before a day is below the wear minimum.
fn worn_too_little(case: &Case<'_>, day: Date) -> bool {
    let from = day.plus_days(-case.prescription.change_interval_days);
    let log = &case[case.wear_log];
    if log.len() < LONG_LOG {
        let mut days = log.iter().filter(|it| from <= it.on && it.on <= day);
        return days.any(|it| it.minutes < case.prescription.wear_minimum_minutes);
    }
    let low = case.once.low_days.get_or_init(|| {
        let low = log.iter().filter(|it| it.minutes < case.prescription.wear_minimum_minutes);
        let mut days: Vec<Date> = low.map(|it| it.on).collect();
        days.sort_unstable();
        days
    });
    low.get(low.partition_point(|low| *low < from)).is_some_and(|low| *low <= day)
}
