//! Other recorded data: logs, comfort, notes, and the export.

use oar_schema::record::{AppointmentReason, Comfort, Decision, DecisionKind, Speech, WearDay, WearSource};

use super::Treatment;
use super::trays::USUAL_DAY;

/// The clock time of the export, in minutes from midnight.
pub(super) const EXPORT_MINUTE: i32 = 18 * 60;
/// Days of a tray in which patients are asked how they feel.
const ASKED_DAYS: i32 = 3;
/// Days of the very first tray in which they are asked.
const ASKED_DAYS_AT_FIRST: i32 = 7;
/// Share of the days until speech is back to normal in which it is clearly changed.
const PLAINLY_CHANGED: f64 = 0.3;
/// Sensors rarely miss a day.
const SENSOR_COVERAGE: f64 = 0.985;

impl Treatment<'_> {
    /// Logs a day of `day` minutes, with a number of true minutes without trays.
    pub(super) fn log(&mut self, out: i32, day: i32) {
        let Some(source) = self.habits.log else { return };
        let report = &self.recipe.values.report;
        let stream = &mut self.streams.logging;
        let coverage = if source == WearSource::Sensor { SENSOR_COVERAGE } else { report.coverage_share };
        let (written, noise) = (stream.chance(coverage), stream.normal());
        let removals = 1 + stream.poisson((report.removals - 1.0).max(0.0));
        if !written {
            return;
        }
        let told = f64::from(out) * (1.0 - self.habits.flattery);
        let told = match source {
            WearSource::Sensor => told + 3.0 * noise,
            WearSource::Timer => told + 8.0 * noise,
            WearSource::Patient => {
                let step = f64::from(report.rounding_minutes);
                ((told + 20.0 * noise) / step).round() * step
            }
        };
        let told = if out >= USUAL_DAY { USUAL_DAY } else { (told as i32).clamp(removals, USUAL_DAY) };
        let minutes = (day - told).max(0);
        let counted = source != WearSource::Patient;
        let removals = counted.then_some(if minutes == 0 { 0 } else { removals.min(20) });
        self.logged = (self.logged.0 + USUAL_DAY - told, self.logged.1 + 1);
        self.record.wear_log.get_or_insert_default().push(WearDay { on: self.today, minutes, source, removals });
    }

    /// The comfort of the day, in the first days of a tray.
    pub(super) fn feel(&mut self) {
        let (Some(person), Some(current)) = (self.habits.comfort, self.current) else { return };
        let day = self.today.days_since(current.from);
        let report = &self.recipe.values.report;
        let first = current.number == 1 && current.series == 0;
        if day >= ASKED_DAYS && !(first && day < ASKED_DAYS_AT_FIRST) {
            return;
        }
        let told = self.streams.reporting.chance(if first { 0.9 } else { 0.35 });
        let strength = if first { report.first_pain } else { report.later_pain };
        let kept = (0..day).fold(1.0, |kept, _| kept * report.pain_kept);
        let noise = self.streams.reporting.normal();
        if !told {
            return;
        }
        let pain = (strength * person * kept + 0.8 * noise).round().clamp(0.0, 10.0) as i32;
        let since = self.record.wear_periods.first().map_or(0, |worn| self.today.days_since(worn.from));
        let speech = match since {
            _ if f64::from(since) < PLAINLY_CHANGED * self.habits.speech_days => Speech::Changed,
            _ if f64::from(since) < self.habits.speech_days => Speech::SlightlyChanged,
            _ => Speech::Unchanged,
        };
        let comfort = Comfort { on: self.today, pain_0_10: pain, speech: Some(speech) };
        self.record.comfort.get_or_insert_default().push(comfort);
    }

    fn notes(&mut self) -> bool {
        self.streams.reporting.chance(self.recipe.values.report.note_share)
    }

    fn one_of(&mut self, phrases: &[&str]) -> String {
        let place = self.streams.reporting.whole(0, phrases.len() as i32 - 1);
        phrases[place as usize].to_owned()
    }

    /// A note about a visit: a clinical phrase, and nothing that identifies the patient.
    pub(super) fn visit_note(&mut self, reason: AppointmentReason, attended: bool) -> Option<String> {
        if !self.notes() {
            return None;
        }
        let phrases: &[&str] = match reason {
            _ if !attended => {
                &["did not come, new date given", "did not come, called", "cancelled late, new date given"]
            }
            AppointmentReason::Start => {
                &["insertion and removal practised", "wear and care explained", "first trays fit well"]
            }
            AppointmentReason::Review => {
                &["fit checked", "hygiene good", "hygiene fair, shown again", "contacts checked", "on track"]
            }
            AppointmentReason::Repair => &["attachment bonded again", "edge smoothed", "new tray fits"],
            AppointmentReason::Rescan => &["scan for refinement", "refinement discussed", "bite checked, scan taken"],
            AppointmentReason::Bonding => &["refinement begun", "old attachments off, new ones on"],
            AppointmentReason::Finish => &["retainers fit", "pleased with the result", "wear of retainers explained"],
            AppointmentReason::Retention => &["stable", "retainers fit", "slight shift, watched"],
            _ => &["findings explained", "plan discussed"],
        };
        Some(self.one_of(phrases))
    }

    /// A note about a check-in.
    pub(super) fn check_in_note(&mut self, decision: &Decision) -> Option<String> {
        if !self.notes() {
            return None;
        }
        let phrases: &[&str] = match decision.kind {
            DecisionKind::Advance => &["fits well", "seats fully", "small space, seen again next time"],
            DecisionKind::Hold => &["not fully seated", "a few days more", "seats late in front"],
            DecisionKind::StepBack => &["does not seat, one tray back"],
            DecisionKind::SeeInPerson => &["asked to come in", "does not seat, to be seen"],
        };
        Some(self.one_of(phrases))
    }

    /// The export, and lists that a system keeps even when they are empty.
    pub(super) fn finish_record(&mut self) {
        self.place_order();
        self.record.source.exported_at = self.zone.instant(self.today, EXPORT_MINUTE);
        let record = &mut self.record;
        record.assessments.get_or_insert_default();
        record.deliveries.get_or_insert_default();
        record.check_ins.get_or_insert_default();
        record.attachment_events.get_or_insert_default();
        record.appointments.get_or_insert_default();
        self.truth.derived = crate::derived::of(&self.record, self.today);
    }
}
