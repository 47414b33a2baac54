//! Attachments: which are debonded, and whether the current or a later tray needs them.

use crate::record::{Attachment, AttachmentChange, Movement, Record, Series, Support};
use crate::teeth::Arch;
use crate::time::Date;

use super::{arches, course};

/// The state of an attachment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// It was never bonded.
    Planned,
    /// It is on its tooth.
    Bonded,
    /// It debonded, and was neither bonded again nor removed on purpose.
    Off,
    /// It was removed on purpose.
    Removed,
}

/// Whether a debonded attachment is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Need {
    /// The current or the next tray makes a movement that it supports.
    Now,
    /// A later tray makes one.
    Later,
    /// No further tray makes one.
    Not,
}

impl Need {
    /// The word for it in outputs.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Now => "now",
            Self::Later => "later",
            Self::Not => "not",
        }
    }
}

/// A debonded attachment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off<'r> {
    /// The index of its series, and its own index in the series' list.
    pub places: [usize; 2],
    /// The tray that is in, in its arch.
    pub tray: i32,
    /// The attachment.
    pub attachment: &'r Attachment,
    /// The day on which it was recorded as debonded.
    pub since: Date,
    /// Whether it is needed.
    pub need: Need,
}

/// The state of an attachment of a series, and since when: from its last event, or from a later check-in of the series that
/// found it debonded. When an event and a check-in are on the same day, the event counts.
pub fn standing(record: &Record, series: &Series, attachment: &Attachment) -> (Standing, Option<Date>) {
    let events = record.attachment_events.iter().flatten();
    let own = events.filter(|event| event.series == series.number && event.attachment == attachment.id);
    let last = own.max_by_key(|event| event.on);
    let (by_event, on) = last.map_or((Standing::Planned, None), |event| (after(event.event), Some(event.on)));
    if by_event == Standing::Removed {
        return (by_event, on);
    }
    let check_ins = record.check_ins.iter().flatten().filter(|check_in| check_in.series == series.number);
    let mut sights = check_ins
        .filter(|check_in| check_in.attachments_debonded.iter().flatten().any(|id| *id == attachment.id))
        .map(|check_in| check_in.at.written_date())
        .filter(|seen| on.is_none_or(|on| *seen > on));
    match sights.next() {
        Some(seen) if by_event != Standing::Off => (Standing::Off, Some(seen)),
        _ => (by_event, on),
    }
}

const fn after(change: AttachmentChange) -> Standing {
    match change {
        AttachmentChange::Bonded => Standing::Bonded,
        AttachmentChange::Debonded => Standing::Off,
        AttachmentChange::Removed => Standing::Removed,
    }
}

/// The debonded attachments of the series that is worn, in the order of the plan; none when no tray is in.
pub fn off(record: &Record) -> Option<Vec<Off<'_>>> {
    course::current(record)?;
    Some(arches::series_worn(record).flat_map(|(place, series)| off_in(record, place, series)).collect())
}

fn off_in<'r>(record: &'r Record, place: usize, series: &'r Series) -> impl Iterator<Item = Off<'r>> {
    let trays = Arch::ALL.map(|arch| arches::tray_of(record, series.number, arch));
    let listed = series.attachments.iter().flatten().enumerate();
    listed.filter_map(move |(own, attachment)| {
        let tray = trays[attachment.tooth.arch() as usize]?;
        let (Standing::Off, Some(since)) = standing(record, series, attachment) else { return None };
        Some(Off { places: [place, own], attachment, since, tray, need: need(series, attachment, tray) })
    })
}

/// Whether an attachment is needed with a tray. When the plan does not say what it supports, it supports every movement of
/// its tooth. One for anchorage is needed as long as trays fit over it.
pub fn need(series: &Series, attachment: &Attachment, tray: i32) -> Need {
    let own = series.movements.iter().filter(|movement| movement.tooth == attachment.tooth);
    let supported = own.filter(|movement| supports(attachment, movement)).map(|it| (it.from_tray, it.to_tray));
    let anchors = attachment.supports.iter().flatten().any(|support| *support == Support::Anchorage);
    let held = anchors.then_some((attachment.from_tray, attachment.to_tray));
    let mut need = Need::Not;
    for (from, to) in supported.chain(held).filter(|(_, to)| *to >= tray) {
        need = need.min(if from <= tray + 1 && to >= tray { Need::Now } else { Need::Later });
    }
    need
}

fn supports(attachment: &Attachment, movement: &Movement) -> bool {
    let Some(listed) = &attachment.supports else { return true };
    let sign = |value: Option<crate::number::Hundredths>| value.map_or(0, |value| value.0.signum());
    listed.iter().any(|support| match support {
        Support::Mesial => sign(movement.mesial_mm) > 0,
        Support::Distal => sign(movement.mesial_mm) < 0,
        Support::Facial => sign(movement.facial_mm) > 0,
        Support::Lingual => sign(movement.facial_mm) < 0,
        Support::Extrusion => sign(movement.occlusal_mm) > 0,
        Support::Intrusion => sign(movement.occlusal_mm) < 0,
        Support::Rotation => sign(movement.rotation_deg) != 0,
        Support::Tip => sign(movement.tip_deg) != 0,
        Support::Torque => sign(movement.torque_deg) != 0,
        Support::Anchorage => false,
    })
}
