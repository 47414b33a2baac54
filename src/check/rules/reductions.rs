//! Reductions and elastics.

mod contacts;
mod done;
mod elastics;
mod sums;

use std::cell::OnceCell;

use oar_schema::number::Hundredths;
use oar_schema::teeth::ToothSet;

use super::table::rules;
use crate::check::args::{Args, args};
use crate::check::case::enamel::{ContactSet, Pair};
use crate::check::case::plan::is_beyond_both;
use crate::check::case::reductions::{Amount, Most, each_beyond, same_contact};
use crate::check::rules::prelude::*;

use contacts::{neighbours_from, neighbours_on, plainly_neighbours};
use done::{reduction_more_than_planned, reduction_not_done, reduction_unplanned};
use elastics::{elastic_backwards, elastic_goal_over_wear_goal, elastic_outside_trays, elastic_teeth_mismatch};
use sums::{reduction_in_primary_tooth, reduction_total_large};

rules! { "reductions":
    Error not_neighbours (series, appointments, dentition) needs (dentition.absent, dentition.primary, dentition.extracted, dentition.implants, dentition.pontics) unless (tooth_numbers);
    Error reduction_outside_trays (series) needs () unless (tray_counts);
    Warning reduction_too_large (series, appointments, source, patient) needs () unless (tooth_numbers, dates);
    Error reduction_over_half_enamel (series, appointments, source, patient) needs () unless (tooth_numbers, dates);
    Note reduction_in_primary_tooth (series, appointments, dentition) needs (dentition.primary) unless (tooth_numbers);
    Note reduction_total_large (series, appointments, source, patient) needs () unless (tooth_numbers, dates);
    Note reduction_unplanned (series, appointments, dentition) needs (series, series.interproximal_reductions) unless (tooth_numbers);
    Warning reduction_not_done (series, appointments, wear_periods, dentition, source, patient) needs (series, appointments, appointments.interproximal_reductions, appointments.procedures) unless (tooth_numbers, dates, unplanned_trays);
    Warning reduction_more_than_planned (series, appointments, dentition) needs (series, series.interproximal_reductions) unless (tooth_numbers, dates);
    Error elastic_teeth_mismatch (series) needs () unless (tooth_numbers);
    Error elastic_backwards (series) needs ();
    Error elastic_outside_trays (series) needs () unless (tray_counts);
    Warning elastic_goal_over_wear_goal (series, prescription) needs (prescription.wear_goal_minutes);
}

fn not_neighbours(case: &Case<'_>, found: &mut Found) {
    let moved = OnceCell::new();
    let mut add = |between: Pair, path: Path| {
        if let Some(args) = apart_args(case, between, || *moved.get_or_init(|| moved_teeth(case))) {
            found.add(path, args);
        }
    };
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, reduction) in case[series.interproximal_reductions].iter().enumerate() {
            let between = reduction.between;
            if !plainly_neighbours(case, between) && !neighbours_from(case, between, series.scanned_on) {
                add(between, at!["series", i, "interproximal_reductions", j, "between"]);
            }
        }
    }
    for (i, visit) in case[case.appointments].iter().enumerate() {
        for (j, reduction) in case[visit.interproximal_reductions].iter().enumerate() {
            let between = reduction.between;
            let right = |between| neighbours_on(case, between, visit.on) || is_wrong_in_plan(case, between);
            if !plainly_neighbours(case, between) && !right(between) {
                add(between, at!["appointments", i, "interproximal_reductions", j, "between"]);
            }
        }
    }
}

/// Why two teeth do not touch, or nothing when that is said of a movement.
fn apart_args(case: &Case<'_>, between: Pair, moved: impl Fn() -> ToothSet) -> Option<Args> {
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

/// The teeth that the plan moves. When one of them is missing, the movement is reported.
fn moved_teeth(case: &Case<'_>) -> ToothSet {
    case[case.series].iter().flat_map(|series| &case[series.movements]).map(|movement| movement.tooth).collect()
}

/// Whether the contact is planned though its teeth never touch; that is then said of the plan.
fn is_wrong_in_plan(case: &Case<'_>, between: Pair) -> bool {
    case[case.series].iter().any(|series| {
        let planned =
            case[series.interproximal_reductions].iter().any(|reduction| same_contact(reduction.between, between));
        planned && !neighbours_from(case, between, series.scanned_on)
    })
}

fn reduction_outside_trays(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, reduction) in case[series.interproximal_reductions].iter().enumerate() {
            if is_beyond_both(case, series, reduction.before_tray) {
                let trays = series.trays.upper.max(series.trays.lower);
                let args = args!["tray" = reduction.before_tray, "trays" = trays];
                found.add(at!["series", i, "interproximal_reductions", j, "before_tray"], args);
            }
        }
    }
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
    each_beyond(case, Most::half_enamel(case), |amount, limit| {
        let args = amount_args(&amount, limit);
        found.add(amount.path, args);
    });
}
