//! How a treatment ends or is interrupted: finish, retention, pauses, moves, conversions.

use oar_schema::record::{
    AppointmentReason, AssessmentPurpose, Procedure, Retention, State, StateReason, Status, WearEnd,
};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use super::visits::Purpose;
use super::{Phase, Treatment};
use crate::layers::population::{YEAR, day_of_week};

/// Days after the finish on which retention is reviewed.
const RETENTION_DAYS: [i32; 4] = [90, 180, 365, 730];
/// Minutes a day of retainer wear: like trays at first, or at night.
const RETAINER_MINUTES: i32 = 1320;

/// Events that are still to come, and decisions for later.
#[derive(Clone, Debug, Default)]
pub(super) struct Pending {
    leaves: Option<Date>,
    moves: Option<Date>,
    pauses: Option<Date>,
    /// The day on which teeth are extracted.
    pub(super) extraction: Option<Date>,
    /// The day of the scan on which the ordered plan was made.
    pub(super) scanned: Option<Date>,
    /// The tray to which the patient steps back tomorrow.
    pub(super) back_to: Option<i32>,
    /// The furthest tray of the series.
    pub(super) furthest: i32,
    /// Days that the next change comes late.
    pub(super) late: i32,
    /// Contacts of this series that were reduced.
    pub(super) reduced: Vec<[Tooth; 2]>,
}

impl Treatment<'_> {
    /// Draws when personal events would end or interrupt the treatment, from the first tray on.
    pub(super) fn draw_pending(&mut self) {
        let care = &self.recipe.values.care;
        let mut day = |per_year: f64| {
            let days = self.streams.ends.exponential(YEAR / per_year.max(1e-6));
            Some(self.today.plus_days(days.min(100_000.0) as i32))
        };
        (self.pending.leaves, self.pending.moves, self.pending.pauses) =
            (day(care.leaves_per_year), day(care.moves_per_year), day(care.pauses_per_year));
    }

    pub(super) fn life(&mut self) {
        let today = self.today;
        if day_of_week(today) >= 5 {
            return;
        }
        let is_due = |day: Option<Date>| day.is_some_and(|day| day <= today);
        if let Phase::Paused(until) = self.phase {
            if until <= today {
                self.resume();
            }
        } else if self.phase == Phase::Wearing && self.current.is_some_and(|current| current.from < today) {
            if is_due(self.pending.moves) {
                self.stop(State::Transferred, StateReason::MovedAway);
            } else if is_due(self.pending.leaves) {
                self.break_treatment_off();
            } else if is_due(self.pending.pauses) && !self.waits && self.replacing.is_none() {
                self.pause();
            }
        }
    }

    /// No tray follows: the treatment continues elsewhere, in another way, or not at all.
    fn stop(&mut self, state: State, reason: StateReason) {
        self.close_worn(WearEnd::Stopped);
        self.settle_series();
        self.record.status = Status { state, since: self.today, reason: Some(reason) };
        self.appointments.clear();
        self.ordered = None;
        self.phase = Phase::Over;
    }

    fn break_treatment_off(&mut self) {
        let mut done = vec![Procedure::Photographs];
        if self.remove_all() {
            done.extend([Procedure::AttachmentRemoval, Procedure::Polishing]);
        }
        self.write_visit(AppointmentReason::Finish, Some(done));
        self.stop(State::Discontinued, StateReason::PatientWish);
    }

    pub(super) fn convert(&mut self) {
        self.measure_series();
        self.assess(AssessmentPurpose::Rescan);
        let mut done = vec![Procedure::Scan, Procedure::Photographs];
        if self.remove_all() {
            done.extend([Procedure::AttachmentRemoval, Procedure::Polishing]);
        }
        self.write_visit(AppointmentReason::Rescan, Some(done));
        self.stop(State::Fixed, StateReason::PoorFit);
    }

    fn pause(&mut self) {
        self.pending.pauses = None;
        self.pending.back_to = None;
        self.close_worn(WearEnd::Stopped);
        let days = self.streams.ends.exponential(self.recipe.values.care.pause_days).clamp(7.0, 500.0) as i32;
        self.record.status = Status { state: State::Paused, since: self.today, reason: Some(StateReason::PatientWish) };
        self.appointments.clear();
        self.phase = Phase::Paused(self.today.plus_days(days));
        self.tracking.relapse(&self.recipe.values.response, days);
    }

    /// The previous tray goes back in.
    fn resume(&mut self) {
        let Some(current) = self.current else { return };
        self.record.status = Status { state: State::Active, since: self.today, reason: None };
        self.phase = Phase::Wearing;
        self.put_in(current.number);
        if let Some(current) = &mut self.current {
            current.watched = true;
        }
        if !self.has_booked(Purpose::Rescan) {
            let days = self.streams.visits.whole(7, 21);
            self.book(Purpose::Review, days);
        }
    }

    /// The result is accepted: attachments removed, retainers in.
    pub(super) fn finish(&mut self) {
        if self.phase != Phase::Wearing {
            return;
        }
        let last = self.plan().map_or(0, crate::layers::plan::SeriesPlan::longest);
        let early = self.current.is_some_and(|current| current.number < last);
        self.measure_series();
        self.assess(AssessmentPurpose::Finish);
        let mut done = Vec::new();
        if self.remove_all() {
            done.extend([Procedure::AttachmentRemoval, Procedure::Polishing]);
        }
        done.extend([Procedure::RetainerDelivery, Procedure::Photographs]);
        if self.streams.visits.chance(0.5) {
            done.push(Procedure::BondedRetainer);
        }
        self.write_visit(AppointmentReason::Finish, Some(done));
        self.close_worn(WearEnd::Stopped);
        self.settle_series();
        let reason = (early || self.streams.ends.chance(0.5)).then_some(StateReason::GoalReached);
        self.record.status = Status { state: State::Finished, since: self.today, reason };
        self.record.retention = Some(Retention { from: self.today, wear_goal_minutes: RETAINER_MINUTES, until: None });
        self.appointments.clear();
        self.phase = Phase::Retained;
        if self.streams.visits.chance(self.recipe.values.care.retention_visits_share) {
            for days in RETENTION_DAYS {
                self.book(Purpose::Retention, days);
            }
        }
    }
}
