//! Reductions and elastics.

mod contacts;
mod done;
mod elastics;
mod sums;
mod totals;

use std::cell::OnceCell;

use oar_schema::number::Hundredths;
use oar_schema::record::{SeriesRow, VisitRow};
use oar_schema::teeth::{Arch, Tooth, ToothSet};
use oar_schema::time::Date;

use super::plan::is_beyond;
use crate::case::Case;
use crate::finding::{Args, Path, args, at};
use crate::rule::{Found, rules};

use contacts::{neighbours_from, neighbours_on, plainly_neighbours};
use done::{reduction_more_than_planned, reduction_not_done, reduction_unplanned};
pub(super) use elastics::hangs_as_its_pattern_says;
use elastics::{elastic_backwards, elastic_goal_over_wear_goal, elastic_outside_trays, elastic_teeth_mismatch};
use sums::{reduction_in_primary_tooth, reduction_total_large};
use totals::{ContactSet, Totals};

rules! { "reductions":
    Error not_neighbours (series, visits, dentition) needs (dentition.absent, dentition.primary, dentition.extracted, dentition.implants, dentition.pontics);
    Error reduction_outside_trays (series) needs ();
    Warning reduction_too_large (series, visits, source, patient) needs ();
    Error reduction_over_half_enamel (series, visits, source, patient) needs ();
    Note reduction_in_primary_tooth (series, visits, dentition) needs (dentition.primary);
    Note reduction_total_large (series, visits, source, patient) needs ();
    Note reduction_unplanned (series, visits, dentition) needs (series, series.reductions);
    Warning reduction_not_done (series, visits, worn, dentition, source, patient) needs (series, visits, visits.reductions, visits.done);
    Warning reduction_more_than_planned (series, visits, dentition) needs (series, series.reductions);
    Error elastic_teeth_mismatch (series) needs ();
    Error elastic_backwards (series) needs ();
    Error elastic_outside_trays (series) needs ();
    Warning elastic_goal_over_wear_goal (series, prescription) needs (prescription.wear_goal_minutes);
}

/// The two teeth of a contact.
type Contact = [Tooth; 2];

/// Whether two pairs are one contact.
fn same_contact(one: Contact, other: Contact) -> bool {
    one == other || one == [other[1], other[0]]
}

/// An amount of enamel to be taken off, or taken off, at a contact.
struct Amount {
    between: Contact,
    /// Enamel taken off by this entry.
    own: Hundredths,
    /// Enamel taken off at the contact before.
    before: Hundredths,
    path: Path,
}

fn not_neighbours(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    let moved = OnceCell::new();
    let mut add = |between: Contact, path: Path| {
        if let Some(args) = apart_args(case, between, || *moved.get_or_init(|| moved_teeth(case))) {
            found.add(path, args);
        }
    };
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, reduction) in case[series.reductions].iter().enumerate() {
            let between = reduction.between;
            if !plainly_neighbours(case, between) && !neighbours_from(case, between, series.scanned_on) {
                add(between, at!["series", i, "reductions", j, "between"]);
            }
        }
    }
    for (i, visit) in case[case.visits].iter().enumerate() {
        for (j, reduction) in case[visit.reductions].iter().enumerate() {
            let between = reduction.between;
            let right = |between| neighbours_on(case, between, visit.on) || is_wrong_in_plan(case, between);
            if !plainly_neighbours(case, between) && !right(between) {
                add(between, at!["visits", i, "reductions", j, "between"]);
            }
        }
    }
}

/// Why two teeth do not touch, or nothing when that is said of a movement.
fn apart_args(case: &Case<'_>, between: Contact, moved: impl Fn() -> ToothSet) -> Option<Args> {
    let [tooth, other] = between;
    let missing = between.into_iter().find(|tooth| !case.standing.contains(*tooth));
    let mut args = args!["tooth" = tooth, "other" = other];
    match missing {
        Some(missing) if moved().contains(missing) => return None,
        Some(missing) => args.extend(args!["missing" = missing]),
        None if tooth == other => args.extend(args!["twice" = tooth]),
        None => {}
    }
    Some(args)
}

/// The teeth that the plan moves; that one of them is not there is said of the movement.
fn moved_teeth(case: &Case<'_>) -> ToothSet {
    case[case.series].iter().flat_map(|series| &case[series.movements]).map(|movement| movement.tooth).collect()
}

/// Whether the contact is planned though its teeth never touch; that is then said of the plan.
fn is_wrong_in_plan(case: &Case<'_>, between: Contact) -> bool {
    case[case.series].iter().any(|series| {
        let planned = case[series.reductions].iter().any(|reduction| same_contact(reduction.between, between));
        planned && !neighbours_from(case, between, series.scanned_on)
    })
}

fn reduction_outside_trays(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, reduction) in case[series.reductions].iter().enumerate() {
            if is_beyond(case, series, reduction.before_tray) {
                let trays = series.trays.upper.max(series.trays.lower);
                let args = args!["tray" = reduction.before_tray, "trays" = trays];
                found.add(at!["series", i, "reductions", j, "before_tray"], args);
            }
        }
    }
}

/// The most enamel that may go off a contact, by its place.
#[derive(Clone, Copy)]
struct Most {
    lower_incisors: i64,
    front: i64,
    back: i64,
}

impl Most {
    /// What is usual for a contact.
    fn usual(case: &Case<'_>) -> Self {
        let front = case.limits.contact_front_mm;
        Self { lower_incisors: front, front, back: case.limits.contact_back_mm }
    }

    /// Half of what the two surfaces have.
    fn half_enamel(case: &Case<'_>) -> Self {
        Self {
            lower_incisors: case.limits.half_enamel_lower_incisors_mm,
            front: case.limits.half_enamel_front_mm,
            back: case.limits.half_enamel_back_mm,
        }
    }

    fn at(self, between: Contact) -> i64 {
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
fn each_beyond(case: &Case<'_>, most: Most, mut visit: impl FnMut(Amount, i64)) -> ContactSet {
    let mut told = ContactSet::default();
    let mut look = |between: Contact, own: Hundredths, before: i32, path: &dyn Fn() -> Path| {
        let limit = most.at(between);
        if i64::from(own.0) + i64::from(before) > limit && told.insert(between) {
            visit(Amount { between, own, before: Hundredths(before), path: path() }, limit);
        }
    };
    for (i, series) in case[case.series].iter().enumerate() {
        let planned = &case[series.reductions];
        let before = scan_day(case, series).filter(|_| !planned.is_empty()).and_then(|day| done_before(case, day));
        for (j, reduction) in planned.iter().enumerate() {
            let before = before.as_ref().map_or(0, |done| done.at(reduction.between));
            let path = || at!["series", i, "reductions", j, "amount_mm"];
            look(reduction.between, reduction.amount_mm, before, &path);
        }
    }
    let mut done: Option<Totals> = None;
    for (i, row) in case[case.visits].iter().enumerate() {
        for (j, reduction) in case[row.reductions].iter().enumerate() {
            let done = done.get_or_insert_default();
            let before = done.at(reduction.between);
            let path = || at!["visits", i, "reductions", j, "amount_mm"];
            look(reduction.between, reduction.amount_mm, before, &path);
            done.add(reduction.between, reduction.amount_mm);
        }
    }
    told
}

fn is_front(between: Contact) -> bool {
    between.iter().any(|tooth| tooth.kind().is_anterior())
}

fn is_of_lower_incisors(between: Contact) -> bool {
    between.iter().all(|tooth| tooth.kind().is_incisor() && tooth.arch() == Arch::Lower)
}

/// The contacts of which it is told that more enamel is taken off than is usual.
fn too_large(case: &Case<'_>) -> ContactSet {
    each_beyond(case, Most::usual(case), |_, _| {})
}

/// Whether one of the reductions of a visit is told to be too large.
pub(super) fn is_told_of(case: &Case<'_>, visit: &VisitRow) -> bool {
    let reductions = &case[visit.reductions];
    if reductions.is_empty() {
        return false;
    }
    let told = too_large(case);
    reductions.iter().any(|reduction| told.contains(reduction.between))
}

/// The day of the scan, unless another rule tells of it.
fn scan_day(case: &Case<'_>, series: &SeriesRow) -> Option<Date> {
    let in_order = |day: &Date| series.ordered_on.is_none_or(|ordered| *day <= ordered);
    series.scanned_on.filter(|day| case.trusts(*day) && in_order(day))
}

/// Enamel that visits before a day took off, if any did. Of visits out of the order of time another rule tells.
fn done_before(case: &Case<'_>, day: Date) -> Option<Totals> {
    let mut done: Option<Totals> = None;
    let visits = &case[case.visits];
    if !visits.is_sorted_by_key(|visit| visit.on) {
        return None;
    }
    let visits = visits.iter().filter(|visit| visit.on < day && case.trusts(visit.on));
    for reduction in visits.flat_map(|visit| &case[visit.reductions]) {
        done.get_or_insert_default().add(reduction.between, reduction.amount_mm);
    }
    done
}

fn amount_args(amount: &Amount, limit: i64) -> Args {
    let [tooth, other] = amount.between;
    let mut args = args!["tooth" = tooth, "other" = other, "amount" = amount.own, "limit" = Hundredths(limit as i32)];
    if amount.before.0 > 0 {
        args.extend(args!["before" = amount.before, "total" = Hundredths(amount.own.0 + amount.before.0)]);
    }
    args
}

fn reduction_too_large(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    let over_half = OnceCell::new();
    each_beyond(case, Most::usual(case), |amount, limit| {
        let over_half: &ContactSet = over_half.get_or_init(|| each_beyond(case, Most::half_enamel(case), |_, _| {}));
        if !over_half.contains(amount.between) {
            let args = amount_args(&amount, limit);
            found.add(amount.path, args);
        }
    });
}

fn reduction_over_half_enamel(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    each_beyond(case, Most::half_enamel(case), |amount, limit| {
        let args = amount_args(&amount, limit);
        found.add(amount.path, args);
    });
}
