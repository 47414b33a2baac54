//! Reductions of a whole arch, and those of primary teeth.

use oar_schema::number::Hundredths;
use oar_schema::record::{PlannedReductionRow, SeriesRow};
use oar_schema::teeth::Arch;

use super::contacts::{neighbours_from, neighbours_on};
use crate::check::case::enamel::{ContactSet, EnamelTotals, Pair};
use crate::check::case::reductions::{done_before, is_front, scan_day};
use crate::check::rules::prelude::*;

/// Reports each contact once, in the plan rather than at the visit. `not_neighbours` reports teeth that do not touch.
pub(super) fn reduction_in_primary_tooth(case: &Case<'_>, found: &mut Found) {
    if case[case.dentition.primary].is_empty() {
        return;
    }
    let mut told = ContactSet::default();
    let mut look = |between: Pair, touch: bool, path: &dyn Fn() -> Path| {
        let primary = between.into_iter().find(|tooth| tooth.is_primary());
        if let Some(primary) = primary.filter(|_| touch && told.insert(between)) {
            let [tooth, other] = between;
            found.add(path(), args!["tooth" = tooth, "other" = other, "primary" = primary]);
        }
    };
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, reduction) in case[series.interproximal_reductions].iter().enumerate() {
            let between = reduction.between;
            let path = || at!["series", i, "interproximal_reductions", j, "between"];
            look(between, neighbours_from(case, between, series.scanned_on), &path);
        }
    }
    for (i, visit) in case[case.appointments].iter().enumerate() {
        for (j, reduction) in case[visit.interproximal_reductions].iter().enumerate() {
            let between = reduction.between;
            look(between, neighbours_on(case, between, visit.on), &|| {
                at!["appointments", i, "interproximal_reductions", j, "between"]
            });
        }
    }
}

/// Reports the first series in which an arch has too much, and the visits only where no series has.
pub(super) fn reduction_total_large(case: &Case<'_>, found: &mut Found) {
    let limit = case.limits.arch_reduction_mm;
    for arch in Arch::ALL {
        if most(case, arch) <= limit {
            continue;
        }
        let planned = case[case.series]
            .iter()
            .enumerate()
            .filter(|(_, series)| !case[series.interproximal_reductions].is_empty());
        let beyond = planned.into_iter().find_map(|(i, series)| {
            let total = clipped(case, &planned_in_all(case, series), arch);
            (total > limit).then(|| (at!["series", i, "interproximal_reductions"], total))
        });
        let done = || {
            let total = clipped(case, &done_in_all(case), arch);
            (total > limit).then(|| (at!["appointments"], total))
        };
        if let Some((path, total)) = beyond.or_else(done) {
            let [total, limit] = [total, limit].map(|value| Hundredths(value as i32));
            found.add(path, args!["arch" = arch.as_str(), "total" = total, "limit" = limit]);
            return;
        }
    }
}

/// All enamel that the series and visits name in an arch: an upper bound of every sum.
fn most(case: &Case<'_>, arch: Arch) -> i64 {
    let planned = case[case.series].iter().flat_map(|series| &case[series.interproximal_reductions]);
    let planned = planned.map(|reduction| (reduction.between, reduction.amount_mm));
    let done = case[case.appointments].iter().flat_map(|visit| &case[visit.interproximal_reductions]);
    let done = done.map(|reduction| (reduction.between, reduction.amount_mm));
    planned.chain(done).filter(|(between, _)| between[0].arch() == arch).map(|(_, amount)| i64::from(amount.0)).sum()
}

/// What a series plans, with what was done before its scan.
fn planned_in_all(case: &Case<'_>, series: &SeriesRow) -> EnamelTotals {
    let mut totals = scan_day(case, series).and_then(|day| done_before(case, day)).unwrap_or_default();
    for PlannedReductionRow { between, amount_mm, .. } in &case[series.interproximal_reductions] {
        totals.add(*between, *amount_mm);
    }
    totals
}

fn done_in_all(case: &Case<'_>) -> EnamelTotals {
    let mut totals = EnamelTotals::default();
    for reduction in case[case.appointments].iter().flat_map(|visit| &case[visit.interproximal_reductions]) {
        totals.add(reduction.between, reduction.amount_mm);
    }
    totals
}

/// The sum over an arch. A contact counts with no more than is usual: what goes beyond is told by itself.
fn clipped(case: &Case<'_>, totals: &EnamelTotals, arch: Arch) -> i64 {
    let [front, back] = [case.limits.contact_front_mm, case.limits.contact_back_mm];
    let of_arch = totals.each().filter(|(between, _)| between[0].arch() == arch);
    of_arch.map(|(between, amount)| i64::from(amount).min(if is_front(between) { front } else { back })).sum()
}
