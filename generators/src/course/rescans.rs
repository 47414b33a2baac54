//! Near the end of a series: be content, refine, or go on with fixed appliances.

use oar_schema::record::{AssessmentPurpose, Done, VisitReason};
use oar_schema::teeth::Tooth;

use super::visits::What;
use super::{Course, Phase};
use crate::key::{CauseShares, RefinementTruth};
use crate::layers::plan::space::most_at;
use crate::layers::response::Causes;
use crate::maths::pow;
use crate::mouth::{ForTeeth, Moves};

/// Days to the last visit when all are content.
const FINISH_DAYS: (i32, i32) = (7, 18);
/// Reductions are planned in steps of so many hundredths of a millimetre.
const REDUCTION_STEP: i32 = 10;

impl Course<'_> {
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
            self.write_visit(VisitReason::Review, Some(vec![Done::Photographs]));
            let days = self.streams.visits.whole(FINISH_DAYS.0, FINISH_DAYS.1);
            self.book(What::Finish, days);
        } else if score > accepted * care.conversion_ratio && converts && made > 0 {
            self.convert();
        } else {
            self.refine(score, accepted);
        }
    }

    fn refine(&mut self, score: f64, accepted: f64) {
        self.write_visit(VisitReason::Rescan, Some(vec![Done::Rescan, Done::Photographs]));
        self.measure_series();
        self.assess(AssessmentPurpose::Rescan);
        let causes = self.tracking.movers.iter().fold(Causes::default(), |sum, mover| Causes {
            expression: sum.expression + mover.causes.expression,
            attachment: sum.attachment + mover.causes.attachment,
            room: sum.room + mover.causes.room,
            wear: sum.wear + mover.causes.wear,
        });
        let round = |value: f64| (value * 100.0).round() / 100.0;
        self.truth.refinements.push(RefinementTruth {
            series: self.plans.len() as i32,
            broken_off: self.broken_off,
            left_mm: round(score),
            accepted_mm: round(accepted),
            causes: CauseShares::of(causes),
        });
        let moves = self.seen_remaining();
        let reductions = self.reductions_left();
        let plan = self.make_plan(&moves, reductions);
        self.order(plan);
        self.book_series();
    }

    /// What is left to move, as the scan shows it; what is too small to plan is left alone.
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

    /// Enamel that was planned and is still there, within what a contact may lose.
    fn reductions_left(&self) -> Vec<([Tooth; 2], i32)> {
        let aimed = Self::aimed_reductions(&self.aim);
        let left = aimed.into_iter().filter_map(|(between, planned)| {
            let done = self.enamel.iter().find(|(contact, _)| *contact == between).map_or(0, |(_, amount)| *amount);
            let most = (most_at(&self.recipe.values.plan, between) * 100.0) as i32;
            let amount = (planned.min(most) - done) / REDUCTION_STEP * REDUCTION_STEP;
            (amount >= REDUCTION_STEP).then_some((between, amount))
        });
        left.collect()
    }
}
