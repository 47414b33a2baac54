//! How far a series moves each tooth in all.

use oar_schema::number::Hundredths;
use oar_schema::record::MovementRow;
use oar_schema::teeth::Tooth;

use crate::check::case::movements::{AXES, UNITS, axes, told_in_movements};
use crate::check::rules::prelude::*;

/// The axis along which a tooth goes furthest beyond what a series rarely asks for, if any.
fn furthest(totals: [i32; AXES.len()], far: [i64; AXES.len()]) -> Option<usize> {
    let size = |axis: usize| i64::from(totals[axis]).abs();
    let beyond = (0..AXES.len()).filter(|axis| size(*axis) > far[*axis]);
    beyond.reduce(|one, other| if size(other) * far[one] > size(one) * far[other] { other } else { one })
}

pub(crate) fn moves_very_far(case: &Case<'_>, found: &mut Found) {
    let limits = case.limits;
    let (tip, torque) = (limits.far_tip_deg, limits.far_torque_deg);
    let far = [limits.far_along_mm, limits.far_across_mm, limits.far_vertical_mm, limits.far_rotation_deg, tip, torque];
    for (i, series) in case[case.series].iter().enumerate() {
        let totals = &case.totals[i];
        for tooth in case.moved {
            let Some(axis) = furthest(totals.at(tooth), far) else { continue };
            if !told_in_movements(case, series, |moved| moved == tooth) {
                let total = totals.at(tooth)[axis];
                tell_far(case, found, i, (tooth, axis), (total, far[axis]));
            }
        }
    }
}

fn tell_far(case: &Case<'_>, found: &mut Found, i: usize, (tooth, axis): (Tooth, usize), (total, far): (i32, i64)) {
    let series = &case[case.series][i];
    let along = |movement: &MovementRow| movement.tooth == tooth && axes(movement)[axis] != 0;
    let places = case[series.movements].iter().enumerate().filter(|(_, movement)| along(movement));
    let mut places = places.map(|(j, _)| at!["series", i, "movements", j, AXES[axis]]);
    let args = args![
        "tooth" = tooth,
        "total" = Hundredths(total),
        "unit" = UNITS[axis],
        "axis" = AXES[axis],
        "series" = series.number,
        "limit" = Hundredths(far as i32)
    ];
    if let Some(first) = places.next() {
        found.add(first, args).related.extend(places);
    }
}
