//! Elastics: where they hang and with which trays.

use oar_schema::record::ElasticRow;
use oar_schema::teeth::Arch;

use crate::check::case::elastics::hangs_right;
use crate::check::case::plan::is_beyond_both;
use crate::check::case::wear_periods::HOURS_OF_A_DAY;
use crate::check::rules::prelude::*;

fn each_elastic(case: &Case<'_>, mut visit: impl FnMut(usize, usize, &ElasticRow)) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, elastic) in case[series.elastics].iter().enumerate() {
            visit(i, j, elastic);
        }
    }
}

pub(super) fn elastic_teeth_mismatch(case: &Case<'_>, found: &mut Found) {
    each_elastic(case, |i, j, elastic| {
        let (upper, lower) = (elastic.upper_tooth, elastic.lower_tooth);
        let (field, more) = match (upper.arch(), lower.arch()) {
            (Arch::Upper, Arch::Lower) if hangs_right(elastic) => return,
            (Arch::Upper, Arch::Lower) => ("pattern", args![]),
            (Arch::Lower, _) => ("upper_tooth", args!["not_upper" = upper]),
            (_, Arch::Upper) => ("lower_tooth", args!["not_lower" = lower]),
        };
        let args = args!["pattern" = elastic.pattern.as_str(), "upper" = upper, "lower" = lower];
        found.add(at!["series", i, "elastics", j, field], [args, more].concat());
    });
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
        if elastic.from_tray <= elastic.to_tray && is_beyond_both(case, series, elastic.to_tray) {
            let args = args!["tray" = elastic.to_tray, "trays" = trays];
            found.add(at!["series", i, "elastics", j, "to_tray"], args);
        }
    });
}

/// Reported once, because elastics on both sides have one goal. Another rule reports a wear goal below the wear
/// minimum.
pub(super) fn elastic_goal_over_wear_goal(case: &Case<'_>, found: &mut Found) {
    let (goal, floor) = (case.prescription.wear_goal_minutes, case.prescription.wear_minimum_minutes);
    if goal < floor || goal <= HOURS_OF_A_DAY {
        return;
    }
    let mut above: Vec<Path> = Vec::new();
    let mut first = None;
    each_elastic(case, |i, j, elastic| {
        if elastic.wear_goal_minutes > goal {
            above.push(at!["series", i, "elastics", j, "wear_goal_minutes"]);
            first = first.or(Some(elastic.wear_goal_minutes));
        }
    });
    let mut above = above.into_iter();
    if let (Some(path), Some(minutes)) = (above.next(), first) {
        let stated = found.add(path, args!["minutes" = minutes, "goal" = goal]);
        stated.related(at!["prescription", "wear_goal_minutes"]);
        above.fold(stated, |stated, path| stated.related(path));
    }
}
