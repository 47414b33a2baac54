//! Attachments: their number, and how long they stay on.

use oar_schema::record::{AttachmentChange, AttachmentEvent};

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};
use crate::statistics::Outcome;

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "attachments",
        unit: "attachments",
        definition: "attachments of the first series, for patients whose plan lists attachments",
        observe: attachments,
    },
    Measure {
        name: "attachments_lost",
        unit: "losses",
        definition: "losses of attachments in completed treatments",
        observe: attachments_lost,
    },
    Measure {
        name: "to_attachment_loss",
        unit: "days",
        definition: "days from bonding to the first loss of each attachment. Removal on purpose is a competing event; the end of the treatment and the export censor. Attachments of one patient are counted as if they were independent",
        observe: to_attachment_loss,
    },
];

fn attachments(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(planned) = patient.first_series().and_then(|series| series.attachments.as_ref()) {
        seen.value(plain("attachments"), 100 * planned.len() as i64);
    }
}

fn attachments_lost(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some(events) = patient.record.attachment_events.as_ref().filter(|_| patient.is_completed()) {
        let lost = events.iter().filter(|event| event.event == AttachmentChange::Debonded).count();
        seen.value(plain("attachments_lost"), 100 * lost as i64);
    }
}

fn to_attachment_loss(patient: &Patient<'_>, seen: &mut Seen) {
    let events = patient.record.attachment_events.as_deref().unwrap_or_default();
    for (place, bonded) in events.iter().enumerate().filter(|(_, event)| event.event == AttachmentChange::Bonded) {
        let same = |event: &&AttachmentEvent| {
            event.series == bonded.series
                && event.attachment == bonded.attachment
                && matches!(event.event, AttachmentChange::Debonded | AttachmentChange::Removed)
        };
        let (day, outcome) = match events[place..].iter().find(same) {
            Some(next) if next.event == AttachmentChange::Debonded => (next.on, Outcome::Event),
            Some(next) => (next.on, Outcome::Other),
            None => (patient.until, Outcome::Cut),
        };
        seen.time(plain("to_attachment_loss"), day.days_since(bonded.on), outcome);
    }
}
