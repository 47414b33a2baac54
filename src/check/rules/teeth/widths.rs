//! Crown widths compared: with published ones, left with right, and lower with upper.

use oar_schema::derived::{bolton_anterior, bolton_overall};
use oar_schema::norms::{BOLTON_ANTERIOR, BOLTON_OVERALL, Measured, crown_widths};
use oar_schema::number::Hundredths;
use oar_schema::record::CrownWidthRow;
use oar_schema::teeth::{Side, Tooth};

use super::Mouth;
use crate::check::rules::prelude::*;

/// The distance from a mean that a limit in hundredths of standard deviations allows.
fn allowed(norm: &Measured, sds: i64) -> i32 {
    (i64::from(norm.sd) * sds / 100) as i32
}

/// The least and the greatest width that a crown of this tooth is likely to have, whatever the sex.
fn likely(case: &Case<'_>, tooth: Tooth) -> Option<[Hundredths; 2]> {
    let norms = crown_widths(tooth)?;
    let sds = case.limits.crown_width_sds;
    let [least, most] =
        [norms.map(|norm| norm.mean - allowed(&norm, sds)), norms.map(|norm| norm.mean + allowed(&norm, sds))];
    Some([Hundredths(least[0].min(least[1])), Hundredths(most[0].max(most[1]))])
}

/// Whether a width is far from the usual widths of its tooth. `tooth_listed_twice` reports a tooth that has two widths.
fn is_implausible(case: &Case<'_>, row: CrownWidthRow) -> bool {
    is_far_off(case, row) && !has_two(case, row.tooth)
}

fn has_two(case: &Case<'_>, tooth: Tooth) -> bool {
    case[case.dentition.crown_widths].iter().filter(|row| row.tooth == tooth).count() > 1
}

fn is_far_off(case: &Case<'_>, row: CrownWidthRow) -> bool {
    likely(case, row.tooth).is_some_and(|[least, most]| row.width_mm < least || row.width_mm > most)
}

pub(super) fn crown_width_implausible(case: &Case<'_>, found: &mut Found) {
    for (i, row) in case[case.dentition.crown_widths].iter().enumerate() {
        if let Some([least, most]) = likely(case, row.tooth).filter(|_| is_implausible(case, *row)) {
            let args = args![
                "tooth" = row.tooth,
                "width" = row.width_mm,
                "name" = row.tooth.name(),
                "least" = least,
                "most" = most
            ];
            found.add(at!["dentition", "crown_widths", i, "width_mm"], args);
        }
    }
}

/// The first entry of each tooth, by its index; none for a tooth without.
fn by_tooth(widths: &[CrownWidthRow]) -> [Option<u8>; Tooth::COUNT] {
    let mut entries = [None; Tooth::COUNT];
    for (i, row) in widths.iter().enumerate().rev() {
        entries[row.tooth.index()] = Some(i as u8);
    }
    entries
}

/// The tooth at the same position on the patient's left as one on the right.
fn on_the_left(right: Tooth) -> Option<Tooth> {
    match right.fdi() / 10 {
        1 | 5 => Tooth::new(right.fdi() + 10),
        _ => Tooth::new(right.fdi() - 10),
    }
}

/// Whether another rule reports the width of a crown.
fn is_doubted(case: &Case<'_>, row: CrownWidthRow) -> bool {
    (case.heeds(Mark::CrownWidths) && is_far_off(case, row)) || has_two(case, row.tooth)
}

/// Calls `visit` with the entries of each pair of crowns, right and left, that differ by more than the limit.
fn each_uneven(case: &Case<'_>, mut visit: impl FnMut([usize; 2])) {
    let widths = &case[case.dentition.crown_widths];
    let entries = by_tooth(widths);
    for (i, row) in widths.iter().enumerate().filter(|(_, row)| row.tooth.side() == Side::Right) {
        let left = on_the_left(row.tooth).and_then(|left| entries[left.index()]).map(usize::from);
        if let Some(left) = left.filter(|_| entries[row.tooth.index()] == Some(i as u8))
            && i64::from((row.width_mm.0 - widths[left].width_mm.0).abs()) > case.limits.crown_sides_mm
        {
            visit([i, left]);
        }
    }
}

pub(super) fn crown_widths_uneven(case: &Case<'_>, found: &mut Found) {
    let widths = &case[case.dentition.crown_widths];
    each_uneven(case, |[i, left]| {
        let pair = [widths[i], widths[left]];
        let made = Mouth::of(case).replaced();
        let told = |row: &CrownWidthRow| is_doubted(case, *row) || made.contains(row.tooth);
        if pair.iter().any(told) || pair[0].tooth.position() == 8 {
            return;
        }
        let [right, other] = pair;
        let args = args![
            "tooth" = right.tooth,
            "width" = right.width_mm,
            "other" = other.tooth,
            "other_width" = other.width_mm,
            "limit" = Hundredths(case.limits.crown_sides_mm as i32)
        ];
        let stated = found.add(at!["dentition", "crown_widths", i, "width_mm"], args);
        stated.related(at!["dentition", "crown_widths", left, "width_mm"]);
    });
}

/// Whether no other rule reports a width, so that the ratio can be judged.
fn widths_are_sound(case: &Case<'_>) -> bool {
    let widths = &case[case.dentition.crown_widths];
    let mut sound = !widths.iter().any(|row| is_doubted(case, *row));
    each_uneven(case, |_| sound = false);
    sound
}

pub(super) fn bolton_ratio_extreme(case: &Case<'_>, found: &mut Found) {
    let widths = &case[case.dentition.crown_widths];
    if widths.is_empty() {
        return;
    }
    let ratios =
        [("anterior", bolton_anterior(widths), &BOLTON_ANTERIOR), ("overall", bolton_overall(widths), &BOLTON_OVERALL)];
    for (which, ratio, norm) in ratios {
        let Some(ratio) = ratio else { continue };
        let off = (ratio.0 - norm.mean).abs();
        if off > allowed(norm, case.limits.bolton_sds) && widths_are_sound(case) {
            let args =
                args!["which" = which, "ratio" = ratio, "mean" = Hundredths(norm.mean), "sd" = Hundredths(norm.sd)];
            found.add(at!["dentition", "crown_widths"], args);
            return;
        }
    }
}
