//! How far one tray moves a tooth.

use oar_schema::limits::Limits;
use oar_schema::number::Hundredths;
use oar_schema::record::MovementRow;
use oar_schema::teeth::Tooth;

use super::movements::{AXES, UNITS, axes};
use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;

/// What one tray may ask for along each axis, in hundredths.
type PerTray = [i64; 6];

/// What a tray asks of a tooth on purpose. A round tooth that is not there may be a mistyped one that is not round; that is
/// told of its number.
fn usual(case: &Case<'_>, tooth: Tooth) -> PerTray {
    let limits = case.limits;
    let round = (tooth.kind().is_canine() || tooth.kind().is_premolar()) && case.standing.contains(tooth);
    let rotation = if round { limits.tray_rotation_round_deg } else { limits.tray_rotation_deg };
    let linear = limits.tray_linear_mm;
    [linear, linear, limits.tray_vertical_mm, rotation, limits.tray_tip_deg, limits.tray_torque_deg]
}

fn most(limits: &Limits) -> PerTray {
    let (linear, turn) = (limits.tray_most_mm, limits.tray_most_rotation_deg);
    [linear, linear, linear, turn, turn, limits.tray_most_torque_deg]
}

/// The axis along which a movement goes furthest beyond what a tray may ask for, if any.
fn furthest_beyond(movement: &MovementRow, per_tray: &PerTray) -> Option<usize> {
    let trays = trays(movement);
    let mut furthest: Option<usize> = None;
    let totals = axes(movement).map(|total| i64::from(total.abs()));
    let beyond: [bool; AXES.len()] = std::array::from_fn(|axis| totals[axis] > per_tray[axis] * trays);
    if trays <= 0 || beyond == [false; AXES.len()] {
        return None;
    }
    for axis in 0..totals.len() {
        if beyond[axis] && furthest.is_none_or(|other| totals[axis] * per_tray[other] > totals[other] * per_tray[axis])
        {
            furthest = Some(axis);
        }
    }
    furthest
}

fn trays(movement: &MovementRow) -> i64 {
    i64::from(movement.to_tray - movement.from_tray) + 1
}

/// What one tray asks for along an axis, rounded up to a hundredth so that it reads as more than the limit.
fn per_tray(movement: &MovementRow, axis: usize) -> Hundredths {
    let (total, trays) = (i64::from(axes(movement)[axis].abs()), trays(movement));
    Hundredths(((total + trays - 1) / trays) as i32)
}

pub(super) fn moves_too_fast(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
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

/// Whether one tray asks for more than it does on purpose.
pub(super) fn is_too_fast(case: &Case<'_>, movement: &MovementRow) -> bool {
    furthest_beyond(movement, &usual(case, movement.tooth)).is_some()
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
                    "trays" = trays(movement),
                    "per_tray" = per_tray(movement, axis),
                    "limit" = Hundredths(limit as i32)
                ];
                found.add(at!["series", i, "movements", j, AXES[axis]], args);
            }
        }
    }
}
