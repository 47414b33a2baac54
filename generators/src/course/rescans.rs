//! Near the end of a series: accept the result, refine, or continue with fixed appliances.

use oar_schema::record::{AppointmentReason, AssessmentPurpose, Procedure};
use oar_schema::teeth::{Arch, Tooth};

use super::visits::Purpose;
use super::{Phase, Treatment};
use crate::key::{CauseShares, RefinementTruth};
use crate::layers::plan::space::most_at;
use crate::layers::response::Causes;
use crate::maths::pow;
use crate::mouth::{FACIAL, ForTeeth, Moves};

/// Days to the last visit when the result is accepted.
const FINISH_DAYS: (i32, i32) = (7, 18);
/// The step of planned interproximal reduction, in hundredths of a millimetre.
const REDUCTION_STEP: i32 = 10;
/// In a refinement, space comes from enamel more often than in the first plan (assumption).
const REFINED_MORE: f64 = 2.4;

fn add(sum: Causes, more: Causes) -> Causes {
    Causes {
        expression: sum.expression + more.expression,
        attachment: sum.attachment + more.attachment,
        room: sum.room + more.room,
        wear: sum.wear + more.wear,
    }
}

impl Treatment<'_> {
    pub(super) fn rescan(&mut self) {
        if self.phase != Phase::Wearing {
            return;
        }
        self.tracking.settle(&self.recipe.values.response);
        let care = &self.recipe.values.care;
        let made = self.truth.refinements.len() as i32;
        let score = self.score();
        let accepted = self.habits.accepted_mm * pow(care.accepted_growth, f64::from(made));
        let converts = self.streams.ends.chance(care.conversion_share);
        self.waits = true;
        if (score <= accepted && !self.broken_off) || made >= care.refinements_most {
            self.write_visit(AppointmentReason::Review, Some(vec![Procedure::Photographs]));
            let days = self.streams.visits.whole(FINISH_DAYS.0, FINISH_DAYS.1);
            self.book(Purpose::Finish, days);
        } else if score > accepted * care.conversion_ratio && converts && made > 0 {
            self.convert();
        } else {
            self.refine(score, accepted);
        }
    }

    fn refine(&mut self, score: f64, accepted: f64) {
        self.write_visit(AppointmentReason::Rescan, Some(vec![Procedure::Scan, Procedure::Photographs]));
        self.measure_series();
        self.assess(AssessmentPurpose::Rescan);
        let causes =
            self.tracking.movers.iter().map(crate::layers::response::Mover::causes).fold(Causes::default(), add);
        let round = |value: f64| (value * 100.0).round() / 100.0;
        self.truth.refinements.push(RefinementTruth {
            series: self.plans.len() as i32,
            broken_off: self.broken_off,
            left_mm: round(score),
            accepted_mm: round(accepted),
            causes: CauseShares::of(causes),
        });
        let moves = self.seen_remaining();
        let reductions = self.reductions_left(&moves);
        let plan = self.make_plan(&moves, reductions);
        self.order(plan);
        self.book_series();
    }

    /// The remaining movements, as the scan shows them; those that are too small are not planned.
    fn seen_remaining(&mut self) -> ForTeeth<Moves> {
        let (care, plan) = (&self.recipe.values.care, &self.recipe.values.plan);
        let mut moves = self.remaining();
        for (index, moves) in moves.iter_mut().enumerate() {
            for (axis, value) in moves.iter_mut().enumerate() {
                let (error, least) =
                    if axis < 3 { (care.scan_error_mm, plan.least_mm) } else { (care.scan_error_deg, plan.least_deg) };
                let aimed = self.aim.moves[index][axis] != 0.0;
                let seen = if aimed { *value + error * self.streams.response.normal() } else { 0.0 };
                *value = if seen.abs() < least { 0.0 } else { seen };
            }
        }
        moves
    }

    /// Enamel to be removed where two neighbours are still displaced so far that they lack space, whether or not
    /// it was planned before: as much as their crowns overlap, as far as this clinic and patient find room that way, and
    /// within what a contact may lose.
    fn reductions_left(&self, moves: &ForTeeth<Moves>) -> Vec<([Tooth; 2], i32)> {
        let values = &self.recipe.values;
        let appetite = (REFINED_MORE * self.style.reduction_share).min(1.0);
        let mouth = &self.person.mouth;
        let arches = Arch::ALL
            .into_iter()
            .filter(|arch| self.aim.treated[*arch as usize] && self.aim.rooms[*arch as usize].extracted.is_empty());
        let contacts = arches.flat_map(|arch| self.start.arches[arch as usize].row.windows(2));
        let left = contacts.filter_map(|teeth| {
            let between = [teeth[0], teeth[1]];
            let natural = between.iter().all(|tooth| mouth.natural.contains(*tooth) && tooth.position() <= 6);
            let [one, other] = between.map(|tooth| moves[tooth.index()]);
            let half = (one[FACIAL] - other[FACIAL]).abs() / 2.0;
            let overlap = half * half / values.start.contact_radius_mm.max(0.05);
            let done = self.enamel.iter().find(|(contact, _)| *contact == between).map_or(0, |(_, amount)| *amount);
            let most = (most_at(&values.plan, between) * 100.0) as i32;
            let wanted = (overlap * appetite * 100.0) as i32 + REDUCTION_STEP / 2;
            let amount = wanted.min(most - done) / REDUCTION_STEP * REDUCTION_STEP;
            // Nobody treats a contact again for a tenth of a millimetre.
            let least = if done > 0 { 2 * REDUCTION_STEP } else { REDUCTION_STEP };
            (natural && amount >= least).then_some((between, amount))
        });
        left.collect()
    }
}
