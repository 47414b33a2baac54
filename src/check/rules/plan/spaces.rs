//! Spaces that the plan makes or uses, and whether it closes them.

use oar_schema::number::Hundredths;
use oar_schema::record::SeriesRow;
use oar_schema::teeth::{Arch, Tooth, are_neighbours};

use crate::check::case::contacts::{contacts, crowding, extracted_twice, width};
use crate::check::case::movements::{AXES, moves_the_immovable, told_in_movements};
use crate::check::case::totals::{ToothTotals, plus};
use crate::check::rules::prelude::*;

pub(super) fn space_unclosed(case: &Case<'_>, found: &mut Found) {
    extraction_unclosed(case, found);
    for (i, series) in case[case.series].iter().enumerate() {
        reduction_unclosed(case, found, i, series);
    }
}

/// The space of an extraction that the plan closes by at least half, but not completely.
fn extraction_unclosed(case: &Case<'_>, found: &mut Found) {
    let extracted = &case[case.dentition.extracted];
    if extracted.is_empty() || extracted_twice(case) {
        return;
    }
    let mut totals = ToothTotals::NONE;
    case.totals.iter().for_each(|series| totals.add_all(series));
    for (i, row) in extracted.iter().enumerate() {
        let Some(lacking) = crowding(case, row.tooth.arch()).max() else { continue };
        for contact in contacts(case, row.tooth.arch()) {
            let space = width(case, row.tooth, 0);
            let closed = contact.approach(&totals);
            let left = space - closed - i64::from(lacking.0).max(0);
            let is_closing = stood_between(row.tooth, contact.teeth) && space > 0 && closed * 2 >= space;
            if is_closing && left > case.limits.space_left_mm && !is_doubtful(case) {
                let [one, other] = contact.in_order();
                let [space, closed, left] = [space, closed, left].map(|value| Hundredths(value as i32));
                let args = args![
                    "extracted" = row.tooth,
                    "tooth" = one,
                    "other" = other,
                    "space" = space,
                    "closed" = closed,
                    "left" = left
                ];
                found.add(at!["dentition", "extracted", i, "tooth"], args);
            }
        }
    }
}

/// Whether a tooth was the only one between two others before it was extracted.
fn stood_between(tooth: Tooth, [one, other]: [Tooth; 2]) -> bool {
    let all = oar_schema::teeth::ToothSet::PERMANENT;
    are_neighbours(tooth, one, &all) && are_neighbours(tooth, other, &all)
}

/// Whether other rules report movements anywhere in the plan.
fn is_doubtful(case: &Case<'_>) -> bool {
    case[case.series]
        .iter()
        .any(|series| moves_the_immovable(case, series) || told_in_movements(case, series, |_| true))
}

/// Enamel removed between two teeth of which neither moves in this series or a later one.
fn reduction_unclosed(case: &Case<'_>, found: &mut Found, i: usize, series: &SeriesRow) {
    let reductions = &case[series.interproximal_reductions];
    if reductions.is_empty() || case[series.movements].is_empty() {
        return;
    }
    let rests = |tooth: Tooth| {
        case.totals[i..].iter().fold([0; AXES.len()], |sum, series| plus(sum, series.at(tooth))) == [0; AXES.len()]
    };
    if !reductions.iter().any(|row| row.between.into_iter().all(rests)) {
        return;
    }
    let usual = |amount: Hundredths| (1..=case.limits.contact_back_mm).contains(&i64::from(amount.0));
    let mut unused: Vec<usize> = Vec::new();
    for contact in Arch::ALL.into_iter().flat_map(|arch| contacts(case, arch)) {
        let [one, other] = contact.teeth;
        let here = |between: [Tooth; 2]| between == [one, other] || between == [other, one];
        if contact.between == 0 && rests(one) && rests(other) {
            unused.extend(reductions.iter().position(|row| here(row.between) && usual(row.amount_mm)));
        }
    }
    unused.sort_unstable();
    if !unused.is_empty() && !is_doubtful(case) {
        tell_unused(case, found, i, &unused);
    }
}

fn tell_unused(case: &Case<'_>, found: &mut Found, i: usize, unused: &[usize]) {
    let reduction = &case[case[case.series][i].interproximal_reductions][unused[0]];
    let [one, other] = reduction.between;
    let mut args = args!["amount" = reduction.amount_mm, "tooth" = one.min(other), "other" = one.max(other)];
    if unused.len() > 1 {
        args.extend(args!["others" = unused.len() - 1]);
    }
    let stated = found.add(at!["series", i, "interproximal_reductions", unused[0], "between"], args);
    for j in &unused[1..] {
        stated.related(at!["series", i, "interproximal_reductions", *j, "between"]);
    }
}
