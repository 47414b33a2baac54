//! How far one tray moves a tooth.

use oar_schema::limits::Limits;
use oar_schema::number::Hundredths;
use oar_schema::record::MovementRow;

use crate::check::case::movements::{AXES, PerTray, UNITS, axes, furthest_beyond, tray_count, usual};
use crate::check::rules::prelude::*;

fn most(limits: &Limits) -> PerTray {
    let (linear, turn) = (limits.tray_most_mm, limits.tray_most_rotation_deg);
    [linear, linear, linear, turn, turn, limits.tray_most_torque_deg]
}

/// What one tray asks for along an axis, rounded up to a hundredth so that it reads as more than the limit.
fn per_tray(movement: &MovementRow, axis: usize) -> Hundredths {
    let (total, trays) = (i64::from(axes(movement)[axis].abs()), tray_count(movement));
    Hundredths(((total + trays - 1) / trays) as i32)
}

pub(super) fn moves_too_fast(case: &Case<'_>, found: &mut Found) {
    let most = most(case.limits);
    each_beyond(case, found, |movement| {
        let usual = usual(case, movement.tooth);
        let axis = furthest_beyond(movement, &usual)?;
        furthest_beyond(movement, &most).is_none().then_some((axis, usual[axis]))
    });
}

pub(super) fn moves_impossibly_fast(case: &Case<'_>, found: &mut Found) {
    let most = most(case.limits);
    each_beyond(case, found, |movement| furthest_beyond(movement, &most).map(|axis| (axis, most[axis])));
}

/// States each movement for which `beyond` gives an axis and its limit.
fn each_beyond(case: &Case<'_>, found: &mut Found, beyond: impl Fn(&MovementRow) -> Option<(usize, i64)>) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, movement) in case[series.movements].iter().enumerate() {
            if let Some((axis, limit)) = beyond(movement) {
                let args = args![
                    "tooth" = movement.tooth,
                    "total" = Hundredths(axes(movement)[axis]),
                    "unit" = UNITS[axis],
                    "trays" = tray_count(movement),
                    "per_tray" = per_tray(movement, axis),
                    "limit" = Hundredths(limit as i32)
                ];
                found.add(at!["series", i, "movements", j, AXES[axis]], args);
            }
        }
    }
}
