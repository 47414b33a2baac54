//! Appointments: booked, attended or missed, and what is done at them.

use oar_schema::number::Hundredths;
use oar_schema::record::{
    Appointment, AppointmentReason, AssessmentPurpose, CheckInMode, Delivery, DoneReduction, Procedure, State, Status,
};
use oar_schema::time::Date;

use super::bonds::Urgency;
use super::{Phase, Treatment};
use crate::layers::population::working_day;

/// Days after which a missed appointment is rebooked, minimum and maximum.
const NEW_DATE_DAYS: (i32, i32) = (5, 16);
/// The step of interproximal reduction carried out, in hundredths of a millimetre.
const REDUCTION_STEP: i32 = 5;
/// Trays left to which a delivery is rounded up.
const FEW_TRAYS: i32 = 3;
/// Days from a scan to the order, least and most.
const ORDER_DAYS: (i32, i32) = (2, 9);

/// What an appointment is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// Pictures, scan and plan.
    Records,
    /// The first trays, or those of a refinement.
    Series,
    Review,
    Repair,
    /// Something urgent.
    Urgent,
    /// The last tray, or trays that no longer fit: scan again, or accept the result.
    Rescan,
    Finish,
    Retention,
}

/// An appointment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Booking {
    on: Date,
    what: Purpose,
}

impl Treatment<'_> {
    pub(super) fn book_first(&mut self) {
        self.appointments.push(Booking { on: self.person.arrival, what: Purpose::Records });
    }

    /// Books an appointment some days ahead, on a working day without another one.
    pub(super) fn book(&mut self, what: Purpose, days: i32) {
        let mut on = working_day(self.today.plus_days(days.max(1)));
        while self.appointments.iter().any(|other| other.on == on) {
            on = working_day(on.plus_days(1));
        }
        self.appointments.push(Booking { on, what });
    }

    /// Cancels appointments of a kind.
    pub(super) fn cancel(&mut self, what: Purpose) {
        self.appointments.retain(|appointment| appointment.what != what);
    }

    pub(super) fn has_booked(&self, what: Purpose) -> bool {
        self.appointments.iter().any(|appointment| appointment.what == what)
    }

    fn wait(&mut self, median: f64) -> i32 {
        (self.streams.visits.log_normal(median, self.recipe.values.care.wait_sigma) as i32).max(14)
    }

    pub(super) fn keep_appointments(&mut self) {
        self.place_order();
        let today = self.today;
        let Some(at) = self.appointments.iter().position(|appointment| appointment.on <= today) else { return };
        let what = self.appointments.swap_remove(at).what;
        let ratio = if what == Purpose::Series { self.recipe.values.care.no_show_bonding_ratio } else { 1.0 };
        let missed = self.streams.visits.chance(self.habits.misses * ratio);
        let missed = missed && !matches!(what, Purpose::Records | Purpose::Urgent);
        if missed {
            self.write_visit(
                reason(what, self.plans.is_empty() || self.plans.len() == 1 && self.current.is_none()),
                None,
            );
            let days = self.streams.visits.whole(NEW_DATE_DAYS.0, NEW_DATE_DAYS.1);
            self.book(what, days);
            return;
        }
        match what {
            Purpose::Records => self.take_records(),
            Purpose::Series => self.start_series(),
            Purpose::Review => self.review(),
            Purpose::Repair => self.repair(),
            Purpose::Urgent => self.write_visit(AppointmentReason::Urgent, Some(vec![Procedure::TrayAdjustment])),
            Purpose::Rescan => self.rescan(),
            Purpose::Finish => self.finish(),
            Purpose::Retention => self.write_visit(AppointmentReason::Retention, Some(vec![Procedure::Photographs])),
        }
    }

    /// Records a visit; without a list of procedures it was missed.
    pub(super) fn write_visit(&mut self, reason: AppointmentReason, done: Option<Vec<Procedure>>) {
        let note = self.visit_note(reason, done.is_some());
        let visit = Appointment {
            on: self.today,
            reason,
            attended: done.is_some(),
            procedures: done,
            interproximal_reductions: None,
            note,
        };
        self.record.appointments.get_or_insert_default().push(visit);
    }

    fn take_records(&mut self) {
        self.assess(AssessmentPurpose::Start);
        self.write_visit(
            AppointmentReason::DentalExamination,
            Some(vec![Procedure::Photographs, Procedure::Radiograph, Procedure::Scan]),
        );
        let plan = self.make_plan(&self.aim.moves.clone(), Self::aimed_reductions(&self.aim));
        self.order(plan);
        let wait = self.wait(self.recipe.values.care.start_wait_days);
        self.book(Purpose::Series, wait);
        self.pending.extraction = (!self.extracted().is_empty()).then(|| self.today.plus_days(wait / 2));
    }

    /// Orders a plan that was made on today's scan.
    pub(super) fn order(&mut self, plan: crate::layers::plan::SeriesPlan) {
        let days = self.streams.visits.whole(ORDER_DAYS.0, ORDER_DAYS.1);
        self.pending.scanned = Some(self.today);
        self.ordered = Some((self.today.plus_days(days), plan));
    }

    /// Books the visit at which the trays of the next series are handed over.
    pub(super) fn book_series(&mut self) {
        let wait = self.wait(self.recipe.values.care.rescan_wait_days);
        self.book(Purpose::Series, wait);
    }

    /// The first trays of a series: old attachments off, new ones on, trays handed over, the first one in.
    fn start_series(&mut self) {
        let first = self.current.is_none();
        if !first {
            self.end_series();
        }
        let mut done = Vec::new();
        if self.remove_all() {
            done.extend([Procedure::AttachmentRemoval, Procedure::Polishing]);
        }
        self.begin_series();
        if !self.bonds.is_empty() {
            done.push(Procedure::AttachmentBonding);
        }
        if self.plan().is_some_and(|plan| !plan.elastics.is_empty()) && first {
            done.push(Procedure::ElasticPlacement);
        }
        done.push(Procedure::TrayDelivery);
        let reason = if first { AppointmentReason::Start } else { AppointmentReason::Bonding };
        self.write_visit(reason, Some(done));
        self.hand_over();
        self.put_in(1);
        if first {
            self.record.status = Status { state: State::Active, since: self.today, reason: None };
            self.draw_pending();
        }
        self.phase = Phase::Wearing;
        self.book(Purpose::Review, self.habits.review_days);
    }

    /// Hands over the trays until the next visit, after the reductions that they need.
    fn hand_over(&mut self) {
        let Some(plan) = self.plan() else { return };
        let (last, number) = (plan.longest(), self.series as i32);
        let tray = self.current.filter(|current| current.series as i32 == number).map_or(1, |current| current.number);
        let needed = self.habits.review_days / self.habits.change_interval_days + 2;
        let mut to = tray + needed.max(self.recipe.values.care.trays_at_a_time);
        if to + FEW_TRAYS >= last {
            to = last;
        }
        if to <= self.handed {
            return;
        }
        let delivery = Delivery { on: self.today, series: number, from_tray: self.handed + 1, to_tray: to };
        self.handed = to;
        self.record.deliveries.get_or_insert_default().push(delivery);
        self.reduce(to);
    }

    /// Removes the enamel that is due before the delivered trays; usually less than planned.
    fn reduce(&mut self, to_tray: i32) {
        let Some(plan) = self.plan() else { return };
        let due: Vec<_> = plan.reductions.iter().filter(|it| it.before_tray <= to_tray + 1).copied().collect();
        let care = &self.recipe.values.care;
        let evenness = care.reduction_done_evenness;
        let (alpha, beta) = (care.reduction_done_mean * evenness, (1.0 - care.reduction_done_mean) * evenness + 1e-6);
        let mut reductions = Vec::new();
        for planned in due {
            if self.pending.reduced.contains(&planned.between) {
                continue;
            }
            self.pending.reduced.push(planned.between);
            let share = self.streams.visits.beta(alpha, beta);
            let steps = (share * f64::from(planned.amount) / f64::from(REDUCTION_STEP)).round() as i32;
            let amount = (steps * REDUCTION_STEP).clamp(REDUCTION_STEP, planned.amount);
            self.note_enamel(planned.between, amount);
            reductions.push(DoneReduction { between: planned.between, amount_mm: Hundredths(amount) });
            let room = f64::from(amount) / f64::from(planned.amount);
            for mover in self.tracking.movers.iter_mut().filter(|mover| planned.between.contains(&mover.tooth)) {
                mover.room = mover.room.min(room);
            }
        }
        let Some(visit) =
            self.record.appointments.as_mut().and_then(|visits| visits.last_mut()).filter(|_| !reductions.is_empty())
        else {
            return;
        };
        visit.procedures.get_or_insert_default().push(Procedure::InterproximalReduction);
        visit.interproximal_reductions = Some(reductions);
    }

    fn note_enamel(&mut self, between: [oar_schema::teeth::Tooth; 2], amount: i32) {
        match self.enamel.iter_mut().find(|(contact, _)| *contact == between) {
            Some((_, sum)) => *sum += amount,
            None => self.enamel.push((between, amount)),
        }
    }

    fn review(&mut self) {
        let Some(current) = self.current.filter(|_| !self.waits && self.phase == Phase::Wearing) else { return };
        let look = if self.habits.remote { None } else { self.look(CheckInMode::Chairside) };
        let mut done = Vec::new();
        if self.rebond() {
            done.push(Procedure::AttachmentBonding);
            self.thaw();
        }
        let left = self.plan().map_or(0, |plan| plan.longest() - self.handed);
        if left > 0 {
            done.push(Procedure::TrayDelivery);
        }
        if done.is_empty() {
            done.push(if look.is_some() { Procedure::Photographs } else { Procedure::Cleaning });
        }
        self.write_visit(AppointmentReason::Review, Some(done));
        self.hand_over();
        if !self.has_booked(Purpose::Rescan)
            && current.number < self.plan().map_or(0, crate::layers::plan::SeriesPlan::longest)
        {
            self.book(Purpose::Review, self.habits.review_days);
        }
    }

    /// Something debonded or went missing and is repaired.
    fn repair(&mut self) {
        let mut done = Vec::new();
        if self.rebond() {
            done.push(Procedure::AttachmentBonding);
        }
        if let Some(tray) = self.replacing.take() {
            done.push(Procedure::TrayReplacement);
            let series = self.series as i32;
            let delivery = Delivery { on: self.today, series, from_tray: tray, to_tray: tray };
            self.record.deliveries.get_or_insert_default().push(delivery);
            if self.phase == Phase::Without {
                self.phase = Phase::Wearing;
                self.put_in(tray);
            }
        }
        self.thaw();
        if done.is_empty() {
            done.push(Procedure::TrayAdjustment);
        }
        self.write_visit(AppointmentReason::Repair, Some(done));
    }

    /// The patient has come: what waited for that may continue.
    fn thaw(&mut self) {
        let today = self.today;
        if let Some(current) = self.current.as_mut().filter(|current| current.frozen) {
            current.frozen = false;
            current.due = current.due.max(today);
        }
    }

    /// After a check-in: the patient is asked to come if something is urgent.
    pub(super) fn ask_to_come(&mut self, need: Urgency) {
        if need == Urgency::Now && !self.has_booked(Purpose::Repair) {
            let days = self.streams.visits.log_normal(self.recipe.values.care.repair_days, 0.4) as i32;
            self.book(Purpose::Repair, days.clamp(1, 21));
        }
    }
}

fn reason(what: Purpose, first: bool) -> AppointmentReason {
    match what {
        Purpose::Records => AppointmentReason::DentalExamination,
        Purpose::Series if first => AppointmentReason::Start,
        Purpose::Series => AppointmentReason::Bonding,
        Purpose::Review | Purpose::Rescan => AppointmentReason::Review,
        Purpose::Repair => AppointmentReason::Repair,
        Purpose::Urgent => AppointmentReason::Urgent,
        Purpose::Finish => AppointmentReason::Finish,
        Purpose::Retention => AppointmentReason::Retention,
    }
}
