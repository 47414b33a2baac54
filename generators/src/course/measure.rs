//! Measurements on a scan: irregularity, crowding, bite, and the movement of teeth.

use oar_schema::number::Hundredths;
use oar_schema::record::{
    Achieved, AchievedMovement, ArchMeasures, Assessment, AssessmentPurpose, ContactDisplacements, SideClasses,
};
use oar_schema::teeth::{Arch, Tooth};

use super::Treatment;
use crate::maths::hundredths;
use crate::mouth::{AXES, FACIAL, ForTeeth, MESIAL, Moves, OCCLUSAL, ROTATION, contact_offsets, irregularity, pair};

/// The weight of one millimetre of a front tooth's height in the clinic's score.
const HEIGHT_WEIGHT: f64 = 0.25;
/// The weight of one degree of a back tooth's rotation.
const TURN_WEIGHT: f64 = 0.012;

impl Treatment<'_> {
    /// How far each tooth has moved since the start.
    pub(super) fn moved_so_far(&self) -> ForTeeth<Moves> {
        let mut moved = self.moved;
        crate::layers::response::add_moved(&self.tracking, &mut moved);
        moved
    }

    /// How far each tooth still is from the aim.
    pub(super) fn remaining(&self) -> ForTeeth<Moves> {
        let moved = self.moved_so_far();
        let mut left = self.aim.moves;
        for (left, moved) in left.iter_mut().zip(moved) {
            for axis in 0..AXES {
                left[axis] -= moved[axis];
            }
        }
        left
    }

    /// How far each tooth is from an ideal arch today.
    fn deviation(&self) -> ForTeeth<Moves> {
        let mut deviation = self.remaining();
        for (index, moves) in deviation.iter_mut().enumerate() {
            for (axis, value) in moves.iter_mut().enumerate() {
                let aimed = self.aim.moves[index][axis] != 0.0;
                *value = if aimed { -*value } else { self.start.deviation[index][axis] };
            }
        }
        deviation
    }

    fn offsets(&self, arch: Arch) -> Option<[f64; 5]> {
        contact_offsets(&self.person.mouth, arch, &self.deviation())
    }

    /// The remaining visible irregularity, in millimetres, as patient and clinic see it.
    pub(super) fn score(&self) -> f64 {
        let left = self.remaining();
        let treated: Vec<Arch> = Arch::ALL.into_iter().filter(|arch| self.aim.treated[*arch as usize]).collect();
        let count = f64::from(treated.len().max(1) as u32);
        let lines: f64 =
            treated.iter().filter_map(|arch| self.offsets(*arch)).map(|offsets| irregularity(&offsets)).sum();
        let mut score = lines / count;
        for tooth in Tooth::all() {
            let moves = &left[tooth.index()];
            if tooth.kind().is_anterior() {
                score += HEIGHT_WEIGHT * moves[OCCLUSAL].abs() / count;
            } else {
                score += TURN_WEIGHT * moves[ROTATION].abs() / count;
            }
        }
        score
    }

    /// Lack of space in an arch: what the plan has not resolved yet, and planned enamel that was not removed.
    fn crowding(&self, arch: Arch) -> f64 {
        let start = &self.start.arches[arch as usize];
        if !self.aim.treated[arch as usize] {
            return start.crowding_mm;
        }
        let left = self.remaining();
        let of_arch = || Tooth::all().filter(|tooth| tooth.arch() == arch);
        let sum = |moves: &ForTeeth<Moves>| -> f64 { of_arch().map(|tooth| moves[tooth.index()][FACIAL].abs()).sum() };
        let aimed = sum(&self.aim.moves);
        let share = if aimed > 0.3 { (sum(&left) / aimed).min(1.0) } else { 1.0 };
        let planned: i32 = self.aim.rooms[arch as usize].reductions.iter().map(|(_, amount)| *amount).sum();
        let done: i32 =
            self.enamel.iter().filter(|(between, _)| between[0].arch() == arch).map(|(_, amount)| *amount).sum();
        let (planned, done) = (f64::from(planned) / 100.0, f64::from(done.min(planned)) / 100.0);
        (start.crowding_mm - planned) * share + planned - done
    }

    /// Records an assessment.
    pub(super) fn assess(&mut self, purpose: AssessmentPurpose) {
        let moved = self.moved_so_far();
        let shift = |arch, axis| mean_moved(&moved, arch, axis);
        let overjet = self.start.overjet_mm + shift(Arch::Upper, FACIAL) - shift(Arch::Lower, FACIAL);
        let overbite = self.start.overbite_mm + shift(Arch::Upper, OCCLUSAL) + shift(Arch::Lower, OCCLUSAL);
        let along = |arch| pair(arch, 6).map(|tooth| tooth.map_or(0.0, |tooth| moved[tooth.index()][MESIAL]));
        let [right, left] = self.bite.classes(along(Arch::Upper), along(Arch::Lower));
        let overjet = overjet - self.bite.overjet_corrected_mm(&self.recipe.values.bite);
        let offsets = |arch| self.offsets(arch).map(|offsets| offsets.map(|offset| tenths(offset.abs())).to_vec());
        let crowding = |arch| tenths(self.crowding(arch));
        let assessment = Assessment::new(self.today, purpose)
            .molar_class(SideClasses { right, left })
            .overjet_mm(tenths(overjet))
            .overbite_mm(tenths(overbite))
            .crowding_mm(ArchMeasures::default().upper(crowding(Arch::Upper)).lower(crowding(Arch::Lower)))
            .contact_displacements_mm(ContactDisplacements {
                upper: offsets(Arch::Upper),
                lower: offsets(Arch::Lower),
            });
        self.record.assessments.get_or_insert_default().push(assessment);
    }

    /// Records what the current series achieved, as the scan shows it.
    pub(super) fn measure_series(&mut self) {
        self.tracking.settle(&self.recipe.values.response);
        let care = &self.recipe.values.care;
        let mut movements = Vec::new();
        for mover in &self.tracking.movers {
            let (moved, planned) = (mover.moved(), mover.total());
            let mut axes = [None; AXES];
            for axis in (0..AXES).filter(|axis| planned[*axis] != 0.0) {
                let error = if axis < 3 { care.scan_error_mm } else { care.scan_error_deg };
                let seen = moved[axis] + error * self.streams.response.normal();
                axes[axis] = Some(if axis < 3 { hundredths(seen) } else { tenths(seen) });
            }
            let [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg] = axes;
            let tooth = mover.tooth;
            movements.push(AchievedMovement {
                tooth,
                mesial_mm,
                facial_mm,
                occlusal_mm,
                rotation_deg,
                tip_deg,
                torque_deg,
            });
        }
        let Some(current) = self.current else { return };
        if let Some(series) = self.record.series.get_mut(current.series) {
            series.achieved = Some(Achieved { on: self.today, movements });
        }
    }
}

/// How far the four incisors of an arch have moved along an axis, on average.
fn mean_moved(moved: &ForTeeth<Moves>, arch: Arch, axis: usize) -> f64 {
    let teeth = (1..=2).flat_map(|position| pair(arch, position)).flatten();
    teeth.map(|tooth| moved[tooth.index()][axis]).sum::<f64>() / 4.0
}

/// The nearest tenth.
fn tenths(value: f64) -> Hundredths {
    Hundredths((value * 10.0).round() as i32 * 10)
}
