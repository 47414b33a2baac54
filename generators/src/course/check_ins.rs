//! Check-ins: the observed fit gaps, and the decision.

use oar_schema::number::Hundredths;
use oar_schema::record::{Advice, CheckIn, CheckInMode, Decision, DecisionKind, FitGap, Observation, ObservationKind};
use oar_schema::teeth::Tooth;

use super::bonds::Urgency;
use super::visits::Purpose;
use super::{Current, Phase, Treatment};
use crate::key::{CauseShares, HoldTruth};
use crate::layers::response::Causes;
use crate::maths::hundredths;

/// Fit gaps are read to a tenth of a millimetre.
const GAP_STEP: f64 = 10.0;
/// A back tooth is recorded when its fit gap is at least this wide.
const BACK_SEEN_MM: f64 = 0.2;
/// Minutes from midnight between which patients make check-ins, and clinics look in the mouth.
const EVENING: (i32, i32) = (1050, 1320);
const DAYTIME: (i32, i32) = (510, 990);

impl Treatment<'_> {
    /// A remote check-in on the evening before the tray is due, at its interval; and the comfort of the day.
    pub(super) fn evening(&mut self) {
        self.feel();
        let Some(current) = self.current.filter(|_| self.phase == Phase::Wearing && self.habits.remote && !self.waits)
        else {
            return;
        };
        let in_rhythm = current.watched || current.number % self.habits.check_in_trays == 0;
        if current.frozen || !in_rhythm || current.due.days_since(self.today) != 1 {
            return;
        }
        if self.streams.check_ins.chance(self.recipe.values.care.missed_check_in_share) {
            return;
        }
        self.look(CheckInMode::Remote);
    }

    /// Examines the teeth and decides. Returns the decision.
    pub(super) fn look(&mut self, mode: CheckInMode) -> Option<DecisionKind> {
        let current = self.current?;
        self.tracking.settle(&self.recipe.values.response);
        let gaps = self.measure_gaps();
        let widest = gaps.iter().max_by_key(|gap| (gap.gap_mm, std::cmp::Reverse(gap.tooth))).cloned();
        let attachments_off = self.find_off();
        let need = self.need();
        let decision = self.decide(current, widest.as_ref().map_or(0, |gap| gap.gap_mm.0), need, mode);
        self.keep_cause(current, &decision, widest.as_ref());
        let mut advice = self.advise(widest.as_ref(), !attachments_off.is_empty());
        let (beside, care) = self.sights(self.today.days_since(current.from));
        advice.extend(care);
        let mut seen = seen(&gaps);
        seen.extend(beside);
        let hours = if mode == CheckInMode::Remote { EVENING } else { DAYTIME };
        let minute = self.streams.check_ins.whole(hours.0, hours.1);
        let note = self.check_in_note(&decision);
        let kind = decision.kind;
        let check_in = CheckIn {
            at: self.zone.instant(self.today, minute),
            series: current.series as i32,
            tray: current.number,
            mode,
            decision,
            fit_gaps: Some(gaps),
            attachments_debonded: Some(attachments_off).filter(|off| !off.is_empty()),
            observations: Some(seen).filter(|seen| !seen.is_empty()),
            advice: Some(advice).filter(|advice| !advice.is_empty()),
            note,
            extensions: None,
        };
        self.record.check_ins.get_or_insert_default().push(check_in);
        Some(kind)
    }

    /// The fit gaps of front teeth, and of back teeth if wide, with measurement errors.
    fn measure_gaps(&mut self) -> Vec<FitGap> {
        let values = &self.recipe.values;
        let treated = self.current.map_or([false; 2], |current| current.arches);
        let mut gaps = Vec::new();
        for tooth in
            Tooth::all().filter(|tooth| treated[tooth.arch() as usize] && self.person.mouth.natural.contains(*tooth))
        {
            let mover = self.tracking.movers.iter().find(|mover| mover.tooth == tooth);
            let lag = mover.map_or(0.0, |mover| mover.gap(&values.response, self.person.mouth.widths[tooth.index()]));
            let front = tooth.kind().is_anterior();
            if !front && lag < BACK_SEEN_MM {
                continue;
            }
            let seating = (values.response.seating_sd_mm * self.streams.check_ins.normal()).abs();
            let error = values.care.gap_error_mm * self.streams.check_ins.normal();
            let tenths = ((lag + seating + error).max(0.0) * GAP_STEP).round() as i32;
            if !self.aim.rooms.iter().any(|room| room.extracted.contains(&tooth)) {
                gaps.push(FitGap { tooth, gap_mm: Hundredths(tenths * 10) });
            }
        }
        gaps
    }

    fn decide(&mut self, current: Current, widest: i32, need: Urgency, mode: CheckInMode) -> Decision {
        let care = &self.recipe.values.care;
        let gap = f64::from(widest) / 100.0;
        if need == Urgency::Now && mode == CheckInMode::Remote {
            self.freeze();
            self.ask_to_come(need);
            return Decision::new(DecisionKind::SeeInPerson);
        }
        if gap < care.hold_from_mm {
            return Decision::new(DecisionKind::Advance);
        }
        let can_go_back = current.number > 1 && !self.stepped_back && self.replacing.is_none();
        let held_enough = self.holds >= care.holds_in_a_row;
        if can_go_back && (gap >= care.back_from_mm || held_enough) {
            let to = current.number - 1;
            self.pending.back_to = Some(to);
            self.pending.furthest = current.number;
            return Decision::new(DecisionKind::StepBack).to_tray(to);
        }
        if held_enough {
            self.freeze();
            self.break_off();
            return Decision::new(DecisionKind::SeeInPerson);
        }
        let days = if gap < care.hold_from_mm.midpoint(care.back_from_mm) { 3 } else { 5 };
        let days = days + self.habits.change_interval_days / 7;
        self.holds += 1;
        if let Some(current) = &mut self.current {
            current.due = current.due.plus_days(days);
            current.watched = true;
        }
        Decision::new(DecisionKind::Hold).days(days)
    }

    fn freeze(&mut self) {
        if let Some(current) = &mut self.current {
            current.frozen = true;
        }
    }

    /// The trays no longer fit: the patient comes for a scan before the series is completed.
    fn break_off(&mut self) {
        self.waits = true;
        self.broken_off = true;
        if !self.has_booked(Purpose::Rescan) {
            self.cancel(Purpose::Review);
            let days = self.streams.visits.whole(4, 14);
            self.book(Purpose::Rescan, days);
        }
    }

    fn keep_cause(&mut self, current: Current, decision: &Decision, widest: Option<&FitGap>) {
        if decision.kind == DecisionKind::Advance {
            return;
        }
        let tooth = widest.map(|gap| gap.tooth);
        let mover = self.tracking.movers.iter().find(|mover| Some(mover.tooth) == tooth);
        let width = tooth.map_or(0.0, |tooth| self.person.mouth.widths[tooth.index()]);
        let gap = mover.map_or(0.0, |mover| mover.gap(&self.recipe.values.response, width));
        self.truth.holds.push(HoldTruth {
            on: self.today,
            series: current.series as i32,
            tray: current.number,
            decision: decision.kind.as_str(),
            tooth: tooth.filter(|_| gap > 0.0),
            gap_mm: hundredths(gap),
            causes: CauseShares::of(
                mover.map_or(Causes::default(), |mover| mover.gap_causes(&self.recipe.values.response, width)),
            ),
        });
    }

    /// The advice to the patient.
    fn advise(&mut self, widest: Option<&FitGap>, off: bool) -> Vec<Advice> {
        let mut advice = Vec::new();
        if widest.is_some_and(|gap| gap.gap_mm.0 >= 30) {
            advice.push(Advice::SeatMore);
        }
        if off {
            advice.push(Advice::Call);
        }
        let (minutes, days) = self.logged;
        let goal = f64::from(self.record.prescription.wear_goal_minutes * days);
        if days >= 3 && f64::from(minutes) < self.recipe.values.care.told_below_share * goal {
            advice.push(Advice::WearMore);
            self.wearer.tell(self.today);
        }
        advice
    }
}

/// The tooth at which the tray lifts most, if it clearly does.
fn seen(gaps: &[FitGap]) -> Vec<Observation> {
    let lifted = gaps.iter().filter(|gap| gap.gap_mm.0 >= 50);
    lifted.map(|gap| Observation { what: ObservationKind::NotSeated, tooth: Some(gap.tooth) }).collect()
}
