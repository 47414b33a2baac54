//! The patient's age compared with the ages at which teeth erupt and are lost.

use oar_schema::norms::eruption;
use oar_schema::teeth::{Tooth, ToothSet};

use super::Mouth;
use crate::check::case::state::{is_very_old, start_year};
use crate::check::rules::prelude::*;

/// The least age that the patient can have had at the start, in whole years; none when no date is trusted.
fn youngest(case: &Case<'_>) -> Option<i64> {
    oldest(case).map(|years| years - 1)
}

/// The greatest age that the patient can have had at the start, in whole years; none when no date is trusted.
fn oldest(case: &Case<'_>) -> Option<i64> {
    start_year(case).map(|year| i64::from(year - case.patient.birth_year))
}

/// Whether a permanent tooth that was absent at the start may have erupted since. Canines often stay unerupted for long
/// and are then brought down.
pub(super) fn may_erupt(case: &Case<'_>, tooth: Tooth) -> bool {
    let late = |to: u8| youngest(case).is_none_or(|age| age < i64::from(to) + case.limits.late_years);
    eruption(tooth).is_some_and(|ages| tooth.kind().is_canine() || late(ages.to))
}

pub(super) fn early_tooth(case: &Case<'_>, found: &mut Found) {
    let Some(oldest) = oldest(case) else { return };
    let early = |tooth: Tooth| {
        eruption(tooth).map(|ages| i64::from(ages.from)).filter(|from| oldest + 1 + case.limits.early_years <= *from)
    };
    if oldest < case.limits.youngest_years || Tooth::new(18).and_then(early).is_none() {
        return;
    }
    let mouth = Mouth::of(case);
    let natural = ToothSet::PERMANENT.difference(mouth.absent.union(mouth.replaced()));
    let mut teeth = natural.iter().filter_map(|tooth| Some((tooth, early(tooth)?)));
    if let Some((tooth, from)) = teeth.next().filter(|_| !mouth.has_slip_in_absent(case)) {
        let args = args!["tooth" = tooth, "name" = tooth.name(), "age" = oldest, "from" = from];
        let others = teeth.count();
        let args = if others == 0 { args } else { [args, args!["others" = others]].concat() };
        found.add(at!["dentition", "absent"], args);
    }
}

pub(super) fn primary_tooth_in_adult(case: &Case<'_>, found: &mut Found) {
    let primary = &case[case.dentition.primary];
    let Some(youngest) = youngest(case) else { return };
    if primary.is_empty() || youngest < case.limits.retained_years || is_very_old(case) {
        return;
    }
    let mut alone =
        primary.iter().enumerate().filter(|(_, tooth)| tooth.is_primary() && !beside_successor(case, **tooth));
    if let Some((i, tooth)) = alone.next() {
        let args = args!["tooth" = *tooth, "name" = tooth.name(), "age" = youngest];
        let stated = found.add(at!["dentition", "primary", i], args);
        for (other, _) in alone {
            stated.related(at!["dentition", "primary", other]);
        }
    }
}

/// Whether a primary tooth and its successor are both present at the start.
pub(super) fn beside_successor(case: &Case<'_>, primary: Tooth) -> bool {
    primary.successor().is_some_and(|successor| case.standing.contains(successor))
}
