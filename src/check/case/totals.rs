//! How far a series moves each tooth, all its movements together.

use oar_schema::number::Hundredths;
use oar_schema::record::{AchievedMovementRow, MovementRow, SeriesRow};
use oar_schema::teeth::Tooth;

use super::Case;
use super::movements::{AXES, axes};

/// How far each tooth goes along each axis, in hundredths, in the order of [`AXES`].
#[derive(Debug)]
pub(crate) struct ToothTotals([[i32; AXES.len()]; Tooth::COUNT]);

impl ToothTotals {
    /// No tooth moves.
    pub(crate) const NONE: Self = Self([[0; AXES.len()]; Tooth::COUNT]);

    /// What movements ask for in all.
    pub(crate) fn of(movements: &[MovementRow]) -> Self {
        let mut totals = Self::NONE;
        for movement in movements {
            totals.add(movement.tooth, axes(movement));
        }
        totals
    }

    /// What a series reached where that was measured, otherwise what it planned.
    pub(crate) fn reached(case: &Case<'_>, series: &SeriesRow) -> Self {
        let Some(achieved) = &series.achieved else { return Self::of(&case[series.movements]) };
        let mut totals = Self::NONE;
        for movement in &case[achieved.movements] {
            totals.add(movement.tooth, achieved_axes(movement));
        }
        totals
    }

    /// How far a tooth goes along each axis.
    pub(crate) fn at(&self, tooth: Tooth) -> [i32; AXES.len()] {
        self.0[tooth.index()]
    }

    /// Adds how far a tooth goes.
    pub(crate) fn add(&mut self, tooth: Tooth, axes: [i32; AXES.len()]) {
        let total = &mut self.0[tooth.index()];
        *total = plus(*total, axes);
    }

    /// Adds how far another series goes.
    pub(crate) fn add_all(&mut self, other: &Self) {
        for tooth in Tooth::all() {
            self.add(tooth, other.at(tooth));
        }
    }

    /// Whether a tooth moves at all.
    pub(crate) fn moves(&self, tooth: Tooth) -> bool {
        self.at(tooth) != [0; AXES.len()]
    }
}

/// Movements along the axes together.
pub(crate) fn plus(one: [i32; AXES.len()], other: [i32; AXES.len()]) -> [i32; AXES.len()] {
    std::array::from_fn(|axis| one[axis].saturating_add(other[axis]))
}

fn achieved_axes(movement: &AchievedMovementRow) -> [i32; AXES.len()] {
    let AchievedMovementRow { mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg, .. } = *movement;
    [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg]
        .map(|axis: Option<Hundredths>| axis.map_or(0, |value| value.0))
}
