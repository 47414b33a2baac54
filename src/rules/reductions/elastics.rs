//! Elastics: where they hang and with which trays.

use oar_schema::record::{ElasticPattern, ElasticRow};
use oar_schema::teeth::{Arch, Side, Tooth};
use oar_schema::words::Words;

use super::super::plan::is_beyond;
use crate::case::Case;
use crate::finding::{Path, args, at};
use crate::rule::Found;
use crate::rules::wear_log::HOURS_OF_A_DAY;

/// How many teeth a vertical or cross elastic may lean to the front or back.
const LEAN: i32 = 2;

fn each_elastic(case: &Case<'_>, mut visit: impl FnMut(usize, usize, &ElasticRow)) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, elastic) in case[series.elastics].iter().enumerate() {
            visit(i, j, elastic);
        }
    }
}

pub(super) fn elastic_teeth_mismatch(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    each_elastic(case, |i, j, elastic| {
        let (upper, lower) = (elastic.upper_tooth, elastic.lower_tooth);
        let (field, more) = match (upper.arch(), lower.arch()) {
            (Arch::Upper, Arch::Lower) if hangs_right(elastic) => return,
            (Arch::Upper, Arch::Lower) => ("pattern", args![]),
            (Arch::Lower, _) => ("upper_tooth", args!["not_upper" = upper]),
            (_, Arch::Upper) => ("lower_tooth", args!["not_lower" = lower]),
        };
        let args = args!["pattern" = elastic.pattern.word(), "upper" = upper, "lower" = lower];
        found.add(at!["series", i, "elastics", j, field], [args, more].concat());
    });
}

/// Whether an elastic hangs on an upper and a lower tooth, as its pattern says.
pub(in crate::rules) fn hangs_as_its_pattern_says(elastic: &ElasticRow) -> bool {
    elastic.upper_tooth.arch() == Arch::Upper && elastic.lower_tooth.arch() == Arch::Lower && hangs_right(elastic)
}

/// Whether an elastic between an upper and a lower tooth pulls as its pattern says.
fn hangs_right(elastic: &ElasticRow) -> bool {
    let (upper, lower) = (elastic.upper_tooth, elastic.lower_tooth);
    let same_side = upper.side() == lower.side();
    match elastic.pattern {
        ElasticPattern::ClassII => same_side && upper.position() < lower.position(),
        ElasticPattern::ClassIII => same_side && upper.position() > lower.position(),
        ElasticPattern::Cross | ElasticPattern::Vertical => (along(upper) - along(lower)).abs() <= LEAN,
    }
}

/// Where a tooth stands along the arch, counted from the midline, the right side below 0.
fn along(tooth: Tooth) -> i32 {
    let position = i32::from(tooth.position());
    match tooth.side() {
        Side::Right => -position,
        Side::Left => position - 1,
    }
}

pub(super) fn elastic_backwards(case: &Case<'_>, found: &mut Found) {
    each_elastic(case, |i, j, elastic| {
        let (from, to) = (elastic.from_tray, elastic.to_tray);
        if from > to {
            let args = args!["from_tray" = from, "to_tray" = to];
            found.add(at!["series", i, "elastics", j, "to_tray"], args);
        }
    });
}

pub(super) fn elastic_outside_trays(case: &Case<'_>, found: &mut Found) {
    each_elastic(case, |i, j, elastic| {
        let series = &case[case.series][i];
        let trays = series.trays.upper.max(series.trays.lower);
        if elastic.from_tray <= elastic.to_tray && is_beyond(case, series, elastic.to_tray) {
            let args = args!["tray" = elastic.to_tray, "trays" = trays];
            found.add(at!["series", i, "elastics", j, "to_tray"], args);
        }
    });
}

/// Told once: elastics on both sides have one goal. A goal of wear that lies under its floor is told already.
pub(super) fn elastic_goal_over_wear_goal(case: &Case<'_>, found: &mut Found) {
    let (goal, floor) = (case.prescription.wear_goal_minutes, case.prescription.wear_floor_minutes);
    if goal < floor || goal <= HOURS_OF_A_DAY {
        return;
    }
    let mut above: Vec<Path> = Vec::new();
    let mut first = None;
    each_elastic(case, |i, j, elastic| {
        if elastic.goal_minutes > goal {
            above.push(at!["series", i, "elastics", j, "goal_minutes"]);
            first = first.or(Some(elastic.goal_minutes));
        }
    });
    let mut above = above.into_iter();
    if let (Some(path), Some(minutes)) = (above.next(), first) {
        let stated = found.add(path, args!["minutes" = minutes, "goal" = goal]);
        stated.related(at!["prescription", "wear_goal_minutes"]);
        above.fold(stated, |stated, path| stated.related(path));
    }
}
