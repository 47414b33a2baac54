//! Which tray was in the mouth: days, order, and whether the plan has the tray.

mod deliveries;
mod numbers;

use oar_schema::record::{WearEnd, WearPeriodRow};
use oar_schema::teeth::Arch;

use super::table::rules;
use crate::check::case::deliveries::comes_late;
use crate::check::case::movements::ends_idle;
use crate::check::case::plan::trays_in;
use crate::check::case::wear_periods::{self, backwards, covers, followers};
use crate::check::case::worn_trays::{gap, is_beside_gap};
use crate::check::rules::prelude::*;
use deliveries::{
    delivery_backwards, delivery_beyond_series, delivery_out_of_order, delivery_overlaps, worn_before_delivery,
};
use numbers::{arch_not_treated, series_beyond_plan, tray_beyond_series, tray_skipped};

rules! { "worn_trays":
    Error worn_backwards (wear_periods, source, patient) needs () unless (dates);
    Error worn_out_of_order (wear_periods, source, patient) needs () unless (dates);
    Error worn_open_in_middle (wear_periods) needs (wear_periods.to);
    Error ended_without_day (wear_periods) needs (wear_periods.to);
    Error trays_overlap (wear_periods, source, patient) needs (wear_periods.to) unless (dates);
    Warning no_tray_between (wear_periods, series, source, patient) needs (wear_periods, wear_periods.to, wear_periods.ended, series) unless (dates, series_numbers, tray_counts, idle_trays, unplanned_trays);
    Error end_contradicts_next (wear_periods, series, source, patient) needs (wear_periods, series) unless (dates, tray_counts, unplanned_trays);
    Warning worn_very_short (wear_periods, prescription, series, source, patient) needs (wear_periods, wear_periods.to, wear_periods.ended, prescription.change_interval_days, series) unless (dates, series_numbers, unplanned_trays, days_without_tray);
    Note worn_very_long (wear_periods, prescription, series, status, deliveries, source, patient) needs (wear_periods, wear_periods.to, wear_periods.ended, prescription.change_interval_days, status.state, source.exported_at, series) unless (dates, idle_trays, late_deliveries);
    Warning tray_skipped (wear_periods, series, source, patient) needs (wear_periods, series) unless (dates, series_numbers, tray_counts, unplanned_trays, worn_trays, days_without_tray);
    Error tray_beyond_series (wear_periods, series) needs (series) unless (tray_counts);
    Error arch_not_treated (wear_periods, series) needs (series) unless (tray_counts);
    Error series_beyond_plan (series, wear_periods, deliveries, check_ins, attachment_events) needs (series) unless (series_numbers);
    Error delivery_out_of_order (deliveries, source, patient) needs () unless (dates);
    Error delivery_backwards (deliveries) needs ();
    Error delivery_beyond_series (deliveries, series) needs (series) unless (tray_counts);
    Warning delivery_overlaps (deliveries, series, wear_periods) needs (deliveries, wear_periods, wear_periods.ended, series) unless (tray_counts, deliveries, unplanned_trays);
    Error worn_before_delivery (wear_periods, deliveries, series, source, patient) needs (deliveries, series) unless (dates, tray_counts, deliveries, unplanned_trays, worn_trays);
}

fn worn_backwards(case: &Case<'_>, found: &mut Found) {
    for (i, worn) in case[case.wear_periods].iter().enumerate() {
        if let Some(to) = worn.to
            && case.out_of_order(worn.from, to)
        {
            found.add(at!["wear_periods", i, "to"], args!["to" = to, "from" = worn.from]);
        }
    }
}

/// Reports the first break only: later ones may be its consequences.
fn worn_out_of_order(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    let told = |(_, worn): &(usize, &WearPeriodRow)| !backwards(worn);
    let places = || worn.iter().enumerate().filter(told);
    let Some((before, then)) = case.first_break(places().map(|(_, worn)| worn.from)) else { return };
    let [before, then] = [before, then].map(|place| places().nth(place).map_or(place, |(i, _)| i));
    let args = args!["from" = worn[then].from, "earlier" = worn[before].from];
    found.add(at!["wear_periods", then, "from"], args).related(at!["wear_periods", before, "from"]);
}

fn worn_open_in_middle(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    for (i, here) in worn.iter().enumerate() {
        if here.to.is_none()
            && here.ended.is_none()
            && let Some(n) = followers(worn, i).next()
            && worn[n].from >= here.from
        {
            let args = args!["tray" = here.tray, "next" = worn[n].tray, "from" = worn[n].from];
            found.add(at!["wear_periods", i], args).related(at!["wear_periods", n]);
        }
    }
}

fn ended_without_day(case: &Case<'_>, found: &mut Found) {
    for (i, worn) in case[case.wear_periods].iter().enumerate() {
        if let (Some(ended), None) = (worn.ended, worn.to) {
            found.add(at!["wear_periods", i, "ended"], args!["ended" = ended.as_str(), "tray" = worn.tray]);
        }
    }
}

fn trays_overlap(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    let mut last = None;
    for (i, here) in worn.iter().enumerate() {
        let Some(to) = here.to.filter(|to| !backwards(here) && case.trusts(*to)) else { continue };
        for n in followers(worn, i) {
            let next = &worn[n];
            if next.from < to && next.from >= here.from && !backwards(next) && last != Some(n) {
                last = Some(n);
                let args = args!["tray" = next.tray, "from" = next.from, "other" = here.tray, "to" = to];
                found.add(at!["wear_periods", n, "from"], args).related(at!["wear_periods", i]);
            }
        }
    }
}

fn no_tray_between(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    let mut last = None;
    for (i, here) in worn.iter().enumerate() {
        for n in followers(worn, i) {
            let Some(days) = gap(case, i, n).filter(|_| last != Some(n)) else { continue };
            last = Some(n);
            let args = args!["days" = days, "tray" = here.tray, "next" = worn[n].tray, "from" = worn[n].from];
            found.add(at!["wear_periods", n, "from"], args).related(at!["wear_periods", i]);
        }
    }
}

/// A wear period that contradicts both neighbours is reported once.
fn end_contradicts_next(case: &Case<'_>, found: &mut Found) {
    let worn = &case[case.wear_periods];
    let mut last = None;
    for (i, here) in worn.iter().enumerate() {
        let (Some(n), Some(ended)) = (wear_periods::contradiction(case, i), here.ended) else { continue };
        if last == Some(i) {
            continue;
        }
        last = Some(n);
        let next = &worn[n];
        let mut args = args!["ended" = ended.as_str(), "tray" = here.tray, "next" = next.tray];
        if next.series != here.series {
            args.extend(args!["series" = here.series, "next_series" = next.series]);
        }
        if ended == WearEnd::Stopped {
            args.extend(args!["from" = next.from]);
        }
        found.add(at!["wear_periods", i, "ended"], args).related(at!["wear_periods", n]);
    }
}

fn worn_very_short(case: &Case<'_>, found: &mut Found) {
    let prescribed = case.prescription.change_interval_days;
    let least = case.limits.shortest_tray_days.min(i64::from(prescribed));
    for (i, worn) in case[case.wear_periods].iter().enumerate() {
        let days = worn.to.map_or(i32::MAX, |to| to.days_since(worn.from));
        let short = (0..least).contains(&i64::from(days)) && worn.ended == Some(WearEnd::Advanced);
        if short && !is_beside_gap(case, i) {
            let args = args!["days" = days, "tray" = worn.tray, "prescribed" = prescribed];
            found.add(at!["wear_periods", i, "to"], args);
        }
    }
}

fn worn_very_long(case: &Case<'_>, found: &mut Found) {
    let active = case.status.state == oar_schema::record::State::Active;
    let prescribed = case.prescription.change_interval_days;
    let most = case.limits.longest_tray_days.max(i64::from(prescribed));
    let worn = &case[case.wear_periods];
    for (i, here) in worn.iter().enumerate() {
        let end = here.to.or_else(|| active.then_some(case.today));
        let days = end.map_or(0, |end| end.days_since(here.from));
        if i64::from(days) <= most || waits_for_other_arch(case, here) || has_other_fault(case, i) {
            continue;
        }
        if here.to.is_some() || followers(worn, i).next().is_none() {
            let args = args!["days" = days, "tray" = here.tray, "prescribed" = prescribed];
            found.add(at!["wear_periods", i], args);
        }
    }
}

/// Whether another rule reports the first or the last day of the wear period at `i`.
fn has_other_fault(case: &Case<'_>, i: usize) -> bool {
    let worn = &case[case.wear_periods];
    let here = &worn[i];
    let last = here.to.unwrap_or(case.days.1);
    let untrusted = !case.trusts(here.from) || !case.trusts(last);
    let late_export = here.to.is_none() && case.far_apart(case.days.1, case.today);
    let overlaps = followers(worn, i).any(|n| here.to.is_some_and(|to| worn[n].from < to));
    untrusted || late_export || overlaps || !wear_periods::in_place(worn, i) || comes_late(case, here)
}

/// Whether it is the last tray of its arch while the other arch goes on: it stays in and holds the teeth.
fn waits_for_other_arch(case: &Case<'_>, here: &WearPeriodRow) -> bool {
    let Some(series) = wear_periods::planned(case, here.series) else { return false };
    let through = |arch: &Arch| {
        !covers(here.arches, *arch) || here.tray >= trays_in(series, *arch) || ends_idle(case, series, *arch)
    };
    let apart =
        |other: &WearPeriodRow| Arch::ALL.iter().any(|arch| covers(other.arches, *arch) && !covers(here.arches, *arch));
    let goes_on = |other: &WearPeriodRow| apart(other) && other.to.is_none_or(|to| to > here.from);
    Arch::ALL.iter().all(through) && case[case.wear_periods].iter().any(goes_on)
}
