//! Reductions: how much enamel goes at a contact, and whether that is more than usual.

use oar_schema::number::Hundredths;
use oar_schema::record::{AppointmentRow, SeriesRow};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::Case;
use super::enamel::{ContactSet, EnamelTotals, Pair};
use crate::check::marks::Mark;
use crate::check::path::{Path, at};

/// Whether two pairs are one contact.
pub(crate) fn same_contact(one: Pair, other: Pair) -> bool {
    one == other || one == [other[1], other[0]]
}

/// An amount of enamel to be removed, or removed, at a contact.
pub(crate) struct Amount {
    pub(crate) between: Pair,
    /// Enamel removed by this entry.
    pub(crate) own: Hundredths,
    /// Enamel removed at the contact before.
    pub(crate) before: Hundredths,
    pub(crate) path: Path,
}

/// The most enamel that may go off a contact, by its place.
#[derive(Clone, Copy)]
pub(crate) struct Most {
    lower_incisors: i64,
    front: i64,
    back: i64,
}

impl Most {
    /// What is usual for a contact.
    pub(crate) fn usual(case: &Case<'_>) -> Self {
        let front = case.limits.contact_front_mm;
        Self { lower_incisors: front, front, back: case.limits.contact_back_mm }
    }

    /// Half of what the two surfaces have.
    pub(crate) fn half_enamel(case: &Case<'_>) -> Self {
        Self {
            lower_incisors: case.limits.half_enamel_lower_incisors_mm,
            front: case.limits.half_enamel_front_mm,
            back: case.limits.half_enamel_back_mm,
        }
    }

    fn at(self, between: Pair) -> i64 {
        if is_of_lower_incisors(between) {
            self.lower_incisors
        } else if is_front(between) {
            self.front
        } else {
            self.back
        }
    }
}

/// Calls `visit` with each amount at a contact that goes beyond `most`: planned ones together with what was
/// done before the scan, done ones together with what was done before. A contact that is beyond it in the plan is not
/// told again of the visits. Returns the contacts that are beyond it.
pub(crate) fn each_beyond(case: &Case<'_>, most: Most, mut visit: impl FnMut(Amount, i64)) -> ContactSet {
    let mut told = ContactSet::default();
    let mut look = |between: Pair, own: Hundredths, before: i32, path: &dyn Fn() -> Path| {
        let limit = most.at(between);
        if i64::from(own.0) + i64::from(before) > limit && told.insert(between) {
            visit(Amount { between, own, before: Hundredths(before), path: path() }, limit);
        }
    };
    for (i, series) in case[case.series].iter().enumerate() {
        let planned = &case[series.interproximal_reductions];
        let before = scan_day(case, series).filter(|_| !planned.is_empty()).and_then(|day| done_before(case, day));
        for (j, reduction) in planned.iter().enumerate() {
            let before = before.as_ref().map_or(0, |done| done.at(reduction.between));
            let path = || at!["series", i, "interproximal_reductions", j, "amount_mm"];
            look(reduction.between, reduction.amount_mm, before, &path);
        }
    }
    let mut done: Option<EnamelTotals> = None;
    for (i, row) in case[case.appointments].iter().enumerate() {
        for (j, reduction) in case[row.interproximal_reductions].iter().enumerate() {
            let done = done.get_or_insert_default();
            let before = done.at(reduction.between);
            let path = || at!["appointments", i, "interproximal_reductions", j, "amount_mm"];
            look(reduction.between, reduction.amount_mm, before, &path);
            done.add(reduction.between, reduction.amount_mm);
        }
    }
    told
}

pub(crate) fn is_front(between: Pair) -> bool {
    between.iter().any(|tooth| tooth.kind().is_anterior())
}

pub(crate) fn is_of_lower_incisors(between: Pair) -> bool {
    between.iter().all(|tooth| tooth.kind().is_incisor() && tooth.arch() == Arch::Lower)
}

/// The contacts at which removing more enamel than usual is reported.
pub(crate) fn too_large(case: &Case<'_>) -> ContactSet {
    each_beyond(case, Most::usual(case), |_, _| {})
}

/// Whether one of the reductions of a visit is reported as too large.
pub(crate) fn is_told_of(case: &Case<'_>, visit: &AppointmentRow) -> bool {
    if !case.heeds(Mark::LargeReductions) {
        return false;
    }
    let reductions = &case[visit.interproximal_reductions];
    if reductions.is_empty() {
        return false;
    }
    let told = too_large(case);
    reductions.iter().any(|reduction| told.contains(reduction.between))
}

/// The day of the scan, unless another rule reports it.
pub(crate) fn scan_day(case: &Case<'_>, series: &SeriesRow) -> Option<Date> {
    let in_order = |day: &Date| series.ordered_on.is_none_or(|ordered| *day <= ordered);
    series.scanned_on.filter(|day| case.trusts(*day) && in_order(day))
}

/// Enamel that visits before a day took off, if any did. Another rule reports visits out of chronological order.
pub(crate) fn done_before(case: &Case<'_>, day: Date) -> Option<EnamelTotals> {
    let mut done: Option<EnamelTotals> = None;
    let visits = &case[case.appointments];
    if !visits.is_sorted_by_key(|visit| visit.on) {
        return None;
    }
    let visits = visits.iter().filter(|visit| visit.on < day && case.trusts(visit.on));
    for reduction in visits.flat_map(|visit| &case[visit.interproximal_reductions]) {
        done.get_or_insert_default().add(reduction.between, reduction.amount_mm);
    }
    done
}
