//! The plan: series and movements.

mod far;
mod idle;
mod movements;
mod refinements;
mod spaces;
mod speed;
mod squeezed;

use oar_schema::time::Date;

use super::table::rules;
use crate::check::case::deliveries::is_reported;
use crate::check::case::plan::{count_from_zero, first_out_of_order, numbers_are_right};
use crate::check::rules::prelude::*;

use far::moves_very_far;
use idle::idle_trays;
use movements::{
    empty_movement, movement_backwards, movement_in_untreated_arch, movement_outside_trays, movement_twice,
};
use refinements::opposite_refinement;
use spaces::space_unclosed;
use speed::{moves_impossibly_fast, moves_too_fast};
use squeezed::contact_squeezed;

rules! { "plan":
    Error series_out_of_order (series) needs ();
    Error series_number_skipped (series) needs (series);
    Error series_without_trays (series) needs ();
    Error series_dates_out_of_order (series, deliveries, wear_periods, source, patient) needs () unless (dates, series_numbers, tray_counts, deliveries, unplanned_trays);
    Error movement_outside_trays (series) needs () unless (tooth_numbers);
    Error movement_backwards (series) needs ();
    Error movement_twice (series) needs ();
    Error movement_in_untreated_arch (series) needs () unless (tooth_numbers);
    Warning empty_movement (series) needs (series.movements);
    Warning moves_too_fast (series, dentition) needs () unless (tooth_numbers);
    Error moves_impossibly_fast (series) needs ();
    Note moves_very_far (series, dentition) needs () unless (tooth_numbers, movements);
    Note idle_trays (series, dentition) needs (series.movements) unless (tooth_numbers, movements);
    Warning contact_squeezed (series, dentition, assessments, appointments, wear_periods, source, patient) needs (series, series.movements, series.interproximal_reductions, dentition.absent, dentition.primary, dentition.extracted, dentition.implants, dentition.pontics, dentition.crown_widths, assessments, assessments.crowding_mm, assessments.contact_displacements_mm, appointments, appointments.interproximal_reductions, wear_periods) unless (tooth_numbers, dates, movements, fixed_teeth);
    Note space_unclosed (series, dentition, assessments, wear_periods, source, patient) needs (series, series.movements, dentition.absent, dentition.primary, dentition.extracted, dentition.implants, dentition.pontics, dentition.crown_widths, assessments, assessments.crowding_mm, assessments.contact_displacements_mm, wear_periods) unless (tooth_numbers, movements, fixed_teeth);
    Note opposite_refinement (series) needs (series, series.movements) unless (tooth_numbers, series_numbers);
}

fn series_out_of_order(case: &Case<'_>, found: &mut Found) {
    if let Some(i) = first_out_of_order(case) {
        let series = &case[case.series];
        let args = args!["number" = series[i].number, "before" = series[i - 1].number];
        found.add(at!["series", i, "number"], args).related(at!["series", i - 1, "number"]);
    }
}

fn series_number_skipped(case: &Case<'_>, found: &mut Found) {
    if count_from_zero(case) || first_out_of_order(case).is_some() {
        return;
    }
    let skipped = case[case.series].iter().zip(0..).enumerate().find(|(_, (series, number))| series.number != *number);
    if let Some((i, (series, number))) = skipped {
        found.add(at!["series", i, "number"], args!["number" = series.number, "skipped" = number]);
    }
}

fn series_without_trays(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        if series.trays.upper == 0 && series.trays.lower == 0 {
            found.add(at!["series", i, "trays"], args!["number" = series.number]);
        }
    }
}

/// The index of the delivery among the steps of a series.
const DELIVERED: usize = 2;

/// One step of a series: what happened, when, and where it is in the record.
type PlanStep = (&'static str, Date, Path);

fn series_dates_out_of_order(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        let delivery = first_delivery(case, series.number);
        let delivered = delivery.map(|at| case[case.deliveries][at].on);
        let achieved = series.achieved.as_ref().map(|achieved| achieved.on);
        let steps = [series.scanned_on, series.ordered_on, delivered, achieved];
        if let Some(steps) = first_break(case, steps).filter(|steps| !is_doubted(case, delivery, *steps)) {
            let [(first, first_on, first_at), (then, then_on, then_at)] =
                steps.map(|(step, on)| step_of(i, delivery, step, on));
            let args = args!["first" = first, "first_on" = first_on, "then" = then, "then_on" = then_on];
            found.add(then_at, args).related(first_at);
        }
    }
}

/// The first delivery of a series; none if it is out of order in its list, so that its date cannot be trusted, or if
/// the series numbers are wrong.
fn first_delivery(case: &Case<'_>, series: i32) -> Option<usize> {
    let deliveries = &case[case.deliveries];
    let first = deliveries.iter().position(|delivery| delivery.series == series)?;
    let around = first.saturating_sub(1)..deliveries.len().min(first + 2);
    let in_order = deliveries[around].is_sorted_by_key(|delivery| delivery.on);
    (in_order && numbers_are_right(case)).then_some(first)
}

/// Whether one of the steps is a delivery whose trays or series another rule reports.
fn is_doubted(case: &Case<'_>, delivery: Option<usize>, steps: [(usize, Date); 2]) -> bool {
    steps.iter().any(|(step, _)| *step == DELIVERED) && delivery.is_some_and(|delivery| is_reported(case, delivery))
}

/// The first two steps of which the later one has the earlier date.
fn first_break(case: &Case<'_>, steps: [Option<Date>; 4]) -> Option<[(usize, Date); 2]> {
    let mut last: Option<(usize, Date)> = None;
    for (step, on) in steps.into_iter().enumerate() {
        let Some(on) = on else { continue };
        if let Some((before, day)) = last
            && case.out_of_order(day, on)
        {
            return Some([(before, day), (step, on)]);
        }
        last = Some((step, on));
    }
    None
}

fn step_of(series: usize, delivery: Option<usize>, step: usize, on: Date) -> PlanStep {
    let (what, path) = match step {
        0 => ("scanned", at!["series", series, "scanned_on"]),
        1 => ("ordered", at!["series", series, "ordered_on"]),
        DELIVERED => ("delivered", at!["deliveries", delivery.unwrap_or_default(), "on"]),
        _ => ("measured", at!["series", series, "achieved", "on"]),
    };
    (what, on, path)
}
