//! Attachments: which are off, and whether that matters to the trays to come.

use crate::record::{Attachment, AttachmentChange, Movement, Record, Series, Support};
use crate::teeth::Arch;
use crate::time::Date;

use super::{arches, course};

/// How an attachment stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// It was never bonded.
    Planned,
    /// It is on its tooth.
    Bonded,
    /// It came off, and was neither bonded again nor taken off on purpose.
    Off,
    /// It was taken off on purpose.
    Removed,
}

/// Whether an attachment that is off is missed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Need {
    /// A movement that it supports runs with the tray that is in or the next one.
    Now,
    /// One runs with a later tray.
    Later,
    /// None does any more.
    Not,
}

impl Need {
    /// As it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Now => "now",
            Self::Later => "later",
            Self::Not => "not",
        }
    }
}

/// An attachment that is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off<'r> {
    /// The place of its series, and its own place in the series' list.
    pub places: [usize; 2],
    /// The tray that is in, in its arch.
    pub tray: i32,
    /// The attachment.
    pub attachment: &'r Attachment,
    /// The day on which it was told.
    pub since: Date,
    /// Whether it is missed.
    pub need: Need,
}

/// How an attachment of a series stands, and since when: by its last event, or by a check-in of the series after that which saw it
/// off. An event and a check-in of one day do not contradict each other: the event counts.
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
        .filter(|check_in| check_in.attachments_off.iter().flatten().any(|id| *id == attachment.id))
        .map(|check_in| check_in.at.written_date())
        .filter(|seen| on.is_none_or(|on| *seen > on));
    match sights.next() {
        Some(seen) if by_event != Standing::Off => (Standing::Off, Some(seen)),
        _ => (by_event, on),
    }
}

const fn after(change: AttachmentChange) -> Standing {
    match change {
        AttachmentChange::Bonded | AttachmentChange::Rebonded => Standing::Bonded,
        AttachmentChange::Lost => Standing::Off,
        AttachmentChange::Removed => Standing::Removed,
    }
}

/// The attachments of the series that is worn which are off, in the order of the plan; none when no tray is in.
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

/// Whether an attachment is missed with a tray. When the plan does not say what it supports, that is every movement of its tooth.
/// One for anchorage is missed as long as trays hold it.
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
