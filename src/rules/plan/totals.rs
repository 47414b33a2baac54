//! How far a series moves each tooth, all its movements together.

use oar_schema::number::Hundredths;
use oar_schema::record::{AchievedMovementRow, MovementRow, SeriesRow};
use oar_schema::teeth::Tooth;

use super::movements::{AXES, UNITS, axes, told_in_movements};
use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;

/// How far each tooth goes along each axis, in hundredths, in the order of [`AXES`].
#[derive(Debug)]
pub(crate) struct Totals([[i32; AXES.len()]; Tooth::COUNT]);

impl Totals {
    /// No tooth moves.
    pub(super) const NONE: Self = Self([[0; AXES.len()]; Tooth::COUNT]);

    /// What movements ask for in all.
    pub(crate) fn of(movements: &[MovementRow]) -> Self {
        let mut totals = Self::NONE;
        for movement in movements {
            totals.add(movement.tooth, axes(movement));
        }
        totals
    }

    /// What a series reached where that was measured, otherwise what it planned.
    pub(super) fn reached(case: &Case<'_>, series: &SeriesRow) -> Self {
        let Some(achieved) = &series.achieved else { return Self::of(&case[series.movements]) };
        let mut totals = Self::NONE;
        for movement in &case[achieved.movements] {
            totals.add(movement.tooth, achieved_axes(movement));
        }
        totals
    }

    /// How far a tooth goes along each axis.
    pub(in crate::rules) fn at(&self, tooth: Tooth) -> [i32; AXES.len()] {
        self.0[tooth.index()]
    }

    /// Adds how far a tooth goes.
    pub(super) fn add(&mut self, tooth: Tooth, axes: [i32; AXES.len()]) {
        let total = &mut self.0[tooth.index()];
        *total = plus(*total, axes);
    }

    /// Adds how far another series goes.
    pub(super) fn add_all(&mut self, other: &Self) {
        for tooth in Tooth::all() {
            self.add(tooth, other.at(tooth));
        }
    }

    /// Whether a tooth moves at all.
    pub(super) fn moves(&self, tooth: Tooth) -> bool {
        self.at(tooth) != [0; AXES.len()]
    }
}

/// Movements along the axes together.
pub(super) fn plus(one: [i32; AXES.len()], other: [i32; AXES.len()]) -> [i32; AXES.len()] {
    std::array::from_fn(|axis| one[axis].saturating_add(other[axis]))
}

fn achieved_axes(movement: &AchievedMovementRow) -> [i32; AXES.len()] {
    let AchievedMovementRow { mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg, .. } = *movement;
    [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg]
        .map(|axis: Option<Hundredths>| axis.map_or(0, |value| value.0))
}

/// The axis along which a tooth goes furthest beyond what a series rarely asks for, if any.
fn furthest(totals: [i32; AXES.len()], far: [i64; AXES.len()]) -> Option<usize> {
    let size = |axis: usize| i64::from(totals[axis]).abs();
    let beyond = (0..AXES.len()).filter(|axis| size(*axis) > far[*axis]);
    beyond.reduce(|one, other| if size(other) * far[one] > size(one) * far[other] { other } else { one })
}

pub(super) fn moves_very_far(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
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
