//! Numbers of trays and series: whether the plan has them, and whether one was skipped.

use oar_schema::record::WearPeriodRow;

use crate::check::args::{Args, args};
use crate::check::case::plan::first_out_of_order;
use crate::check::case::worn_trays::{beyond_in, each_skip, untreated};
use crate::check::rules::prelude::*;

/// Adds how many more entries have the same fault, if any has.
fn with_more(mut args: Args, more: usize) -> Args {
    if more > 0 {
        args.extend(args!["more" = more]);
    }
    args
}

/// Once for each series: a count that was mistyped in the plan makes many trays look wrong.
pub(super) fn tray_beyond_series(case: &Case<'_>, found: &mut Found) {
    let mut told = 0u64;
    for (i, worn) in case[case.wear_periods].iter().enumerate() {
        let Some((arch, count)) = beyond_in(case, worn).filter(|_| told & bit(worn.series) == 0) else { continue };
        told |= bit(worn.series);
        let same = |other: &&WearPeriodRow| other.series == worn.series && beyond_in(case, other).is_some();
        let more = case[case.wear_periods][i + 1..].iter().filter(same).count();
        let args = args!["tray" = worn.tray, "series" = worn.series, "arch" = arch.as_str(), "count" = count];
        found.add(at!["wear_periods", i, "tray"], with_more(args, more));
    }
}

/// Once for each series: an export that does not know arches writes the same word everywhere.
pub(super) fn arch_not_treated(case: &Case<'_>, found: &mut Found) {
    let mut told = 0u64;
    for (i, worn) in case[case.wear_periods].iter().enumerate() {
        let Some(arch) = untreated(case, worn).filter(|_| told & bit(worn.series) == 0) else { continue };
        told |= bit(worn.series);
        let same = |other: &&WearPeriodRow| other.series == worn.series && untreated(case, other) == Some(arch);
        let more = case[case.wear_periods][i + 1..].iter().filter(same).count();
        let args = args!["arch" = arch.as_str(), "series" = worn.series];
        found.add(at!["wear_periods", i, "arches"], with_more(args, more));
    }
}

/// The bit of a series, of which the format allows 0 to 50.
fn bit(series: i32) -> u64 {
    1u64.checked_shl(series as u32).unwrap_or(0)
}

/// A series is one cause, however often it is named. Another rule reports a missing number within the plan.
pub(super) fn series_beyond_plan(case: &Case<'_>, found: &mut Found) {
    let last = case[case.series].iter().map(|series| series.number).max().unwrap_or(-1);
    let mut told = 0u64;
    for (list, i, series) in named_series(case).filter(|(_, _, series)| *series > last) {
        if case.heeds(Mark::SeriesNumbers) && first_out_of_order(case).is_some() {
            return;
        }
        if told & bit(series) != 0 {
            continue;
        }
        told |= bit(series);
        let more = named_series(case).filter(|(_, _, other)| *other == series).count() - 1;
        let place: Path = at![list, i, "series"];
        let args = match last {
            -1 => args!["series" = series],
            last => args!["series" = series, "last" = last],
        };
        found.add(place, with_more(args, more));
    }
}

/// Every place that names a series, list by list.
fn named_series<'c>(case: &'c Case<'_>) -> impl Iterator<Item = (&'static str, usize, i32)> + 'c {
    let worn = case[case.wear_periods].iter().enumerate().map(|(i, worn)| ("wear_periods", i, worn.series));
    let deliveries = case[case.deliveries].iter().enumerate().map(|(i, it)| ("deliveries", i, it.series));
    let check_ins = case[case.check_ins].iter().enumerate().map(|(i, it)| ("check_ins", i, it.series));
    let events = case[case.attachment_events].iter().enumerate();
    worn.chain(deliveries).chain(check_ins).chain(events.map(|(i, it)| ("attachment_events", i, it.series)))
}

pub(super) fn tray_skipped(case: &Case<'_>, found: &mut Found) {
    each_skip(case, |i, first| tell_skipped(found, i, &case[case.wear_periods][i], first));
}

fn tell_skipped(found: &mut Found, i: usize, here: &WearPeriodRow, first: i32) {
    let mut args = args!["tray" = here.tray, "series" = here.series, "first" = first];
    if first < here.tray - 1 {
        args.extend(args!["last" = here.tray - 1]);
    }
    found.add(at!["wear_periods", i, "tray"], args);
}
