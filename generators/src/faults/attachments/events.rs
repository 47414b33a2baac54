//! Events that were written twice, left out, or given to another attachment.

use oar_schema::record::{AttachmentChange, AttachmentEvent, Record};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;
use serde_json::{Value, json};

use super::super::{Draft, FaultLocation};
use super::planned::attachments;
use crate::random::RandomStream;

use AttachmentChange::{Bonded, Debonded, Removed};

pub(super) fn events<'r>(draft: &Draft<'r>) -> &'r [AttachmentEvent] {
    draft.clean.attachment_events.as_deref().unwrap_or_default()
}

/// Whether two events are of one attachment.
pub(super) fn same(one: &AttachmentEvent, other: &AttachmentEvent) -> bool {
    one.series == other.series && one.attachment == other.attachment
}

/// The event of the same attachment that follows the one at a place.
fn next(events: &[AttachmentEvent], at: usize) -> Option<usize> {
    (at + 1..events.len()).find(|later| same(&events[*later], &events[at]))
}

/// The event of the same attachment before the one at a place.
fn previous(events: &[AttachmentEvent], at: usize) -> Option<usize> {
    (0..at).rev().find(|before| same(&events[*before], &events[at]))
}

fn event_at(place: usize) -> String {
    format!("/attachment_events/{place}")
}

fn told(place: usize) -> FaultLocation {
    format!("{}/event", event_at(place)).into()
}

/// Writes the event at a place twice, the second time right after the first.
fn write_twice(draft: &mut Draft<'_>, place: usize) -> Option<FaultLocation> {
    let copy = draft.get(&event_at(place))?.clone();
    draft.insert(&event_at(place + 1), copy)?;
    Some(told(place + 1))
}

/// An event that was written twice, or a loss that was left out.
pub(super) fn bonded_twice(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let events = events(draft);
    let bonded: Vec<usize> = (0..events.len()).filter(|at| events[*at].event == Bonded).collect();
    let after_loss = |at: &usize| previous(events, *at).is_some_and(|lost| is_single_loss(events, lost));
    let again: Vec<usize> = bonded.iter().copied().filter(after_loss).collect();
    match stream.one_of(&again).copied().filter(|_| stream.chance(0.5)) {
        Some(at) => {
            draft.remove(&event_at(previous(events, at)?))?;
            Some(told(at - 1))
        }
        None => write_twice(draft, *stream.one_of(&bonded)?),
    }
}

/// Whether an event is a loss of what was on its tooth.
fn is_single_loss(events: &[AttachmentEvent], at: usize) -> bool {
    events[at].event == Debonded && previous(events, at).is_some_and(|before| events[before].event != Debonded)
}

/// A removal that was written twice, or a loss that was entered as one.
pub(super) fn event_after_removal(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let events = events(draft);
    let lost = (0..events.len()).filter(|at| events[*at].event == Debonded);
    let followed: Vec<(usize, usize)> = lost.filter_map(|at| Some((at, next(events, at)?))).collect();
    if let Some((at, next)) = stream.one_of(&followed).copied().filter(|_| stream.chance(0.6)) {
        draft.set(&format!("{}/event", event_at(at)), "removed")?;
        return Some(told(next));
    }
    let removed: Vec<usize> = (0..events.len()).filter(|at| events[*at].event == Removed).collect();
    write_twice(draft, *stream.one_of(&removed)?)
}

/// The event with which an attachment was bonded is left out.
pub(super) fn lost_before_bonded(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let events = events(draft);
    let bonded = (0..events.len()).filter(|at| events[*at].event == Bonded);
    let choices: Vec<(usize, usize)> = bonded.filter_map(|at| Some((at, next(events, at)?))).collect();
    let (at, next) = *stream.one_of(&choices)?;
    draft.remove(&event_at(at))?;
    Some(told(next - 1))
}

/// Whether no series but one has an attachment on the tooth of that one.
fn is_alone(record: &Record, series: usize, attachment: usize) -> bool {
    let all = attachments(record);
    let tooth = |(i, j): (usize, usize)| all.iter().find(|it| (it.0, it.1) == (i, j)).map(|it| it.2.tooth);
    let here = tooth((series, attachment));
    all.iter().filter(|it| Some(it.2.tooth) == here).count() == 1
}

/// All events of one attachment are left out.
pub(super) fn never_bonded(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let events = events(draft);
    let last = record.wear_periods.last()?.from;
    let mut choices = Vec::new();
    for (i, j, attachment) in attachments(record) {
        let number = record.series[i].number;
        let is_of = |event: &AttachmentEvent| event.series == number && event.attachment == attachment.id;
        let covers = |arches| match attachment.tooth.arch() {
            Arch::Upper => arches != oar_schema::record::Arches::Lower,
            Arch::Lower => arches != oar_schema::record::Arches::Upper,
        };
        let long_ago = |from: Date| i64::from(last.days_since(from)) > draft.limits.unbonded_days;
        let due = record.wear_periods.iter().any(|worn| {
            worn.series == number && covers(worn.arches) && worn.tray >= attachment.from_tray && long_ago(worn.from)
        });
        let all: Vec<usize> = (0..events.len()).filter(|at| is_of(&events[*at])).collect();
        if due && !all.is_empty() && is_alone(record, i, j) {
            choices.push((format!("/series/{i}/attachments/{j}"), all));
        }
    }
    let (pointer, all) = stream.one_of(&choices)?.clone();
    for at in all.into_iter().rev() {
        draft.remove(&event_at(at))?;
    }
    Some(pointer.into())
}

/// The ids that the plan of a series has.
fn has_id(record: &Record, series: i32, id: &str) -> bool {
    let series = record.series.iter().filter(|planned| planned.number == series);
    series.flat_map(|planned| planned.attachments.iter().flatten()).any(|attachment| attachment.id.0 == id)
}

/// Ids of teeth beside the one of an id, or of the other side, that the plan does not have: A12 for A13.
fn unknown_ids(record: &Record, series: i32, id: &str) -> Vec<String> {
    let Some((letter, tooth)) = id.split_at_checked(1) else { return Vec::new() };
    let Ok(tooth) = tooth.parse::<u8>() else { return Vec::new() };
    let others = [tooth + 1, tooth.saturating_sub(1), tooth + 10, tooth.saturating_sub(10)];
    let teeth = others.into_iter().filter_map(oar_schema::teeth::Tooth::new);
    let ids = teeth.map(|tooth| format!("{letter}{tooth}"));
    ids.filter(|id| !has_id(record, series, id)).collect()
}

/// The id of another tooth, or another series, in one event or at one check-in.
pub(super) fn unknown_attachment(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let mut choices: Vec<(String, Value, String)> = Vec::new();
    for (at, event) in events(draft).iter().enumerate() {
        let told = format!("{}/attachment", event_at(at));
        let ids = unknown_ids(record, event.series, &event.attachment.0);
        choices.extend(ids.into_iter().map(|id| (told.clone(), id.into(), told.clone())));
        for other in [event.series - 1, event.series + 1] {
            let planned = record.series.iter().any(|series| series.number == other);
            if planned && !has_id(record, other, &event.attachment.0) {
                choices.push((format!("{}/series", event_at(at)), other.into(), told.clone()));
            }
        }
    }
    let mut seen = Vec::new();
    for (i, check_in) in record.check_ins.iter().flatten().enumerate() {
        for (j, id) in check_in.attachments_debonded.iter().flatten().enumerate() {
            let told = format!("/check_ins/{i}/attachments_debonded/{j}");
            let ids = unknown_ids(record, check_in.series, &id.0);
            seen.extend(ids.into_iter().map(|id| (told.clone(), id.into(), told.clone())));
        }
    }
    let of = if seen.is_empty() || stream.chance(0.6) { &choices } else { &seen };
    let (pointer, value, told) = stream.one_of(of)?.clone();
    draft.set(&pointer, value)?;
    Some(told.into())
}

/// Another attachment than the one that came off, or one whose loss nobody wrote down.
pub(super) fn check_in_disagrees_with_events(
    draft: &mut Draft<'_>,
    stream: &mut RandomStream,
) -> Option<FaultLocation> {
    let record = draft.clean;
    let check_ins = record.check_ins.as_deref().unwrap_or_default();
    let mut choices = Vec::new();
    for (i, check_in) in check_ins.iter().enumerate() {
        let day = check_in.at.written_date();
        let off = check_in.attachments_debonded.as_deref().unwrap_or_default();
        let worn = record.series.iter().find(|series| series.number == check_in.series);
        for attachment in worn.into_iter().flat_map(|series| series.attachments.iter().flatten()) {
            let id = &attachment.id;
            if !off.contains(id) && is_on(draft, (check_in.series, &id.0), day) {
                choices.push((i, off.len(), id.0.clone()));
            }
        }
    }
    let (i, count, id) = stream.one_of(&choices)?.clone();
    let list = format!("/check_ins/{i}/attachments_debonded");
    let end = i32::try_from(count).ok()?;
    let at = if stream.chance(0.5) { end } else { stream.whole(0, (end - 1).max(0)) };
    let pointer = format!("{list}/{at}");
    if check_ins[i].attachments_debonded.is_none() {
        draft.set(&list, json!([id]))?;
    } else if at == end {
        draft.insert(&pointer, id)?;
    } else {
        draft.set(&pointer, id)?;
    }
    Some(pointer.into())
}

/// Whether an attachment is on its tooth on a day, and nothing says that it came off for a while before or after.
fn is_on(draft: &Draft<'_>, (series, id): (i32, &str), day: Date) -> bool {
    let soon = day.plus_days(draft.limits.loss_told_days as i32 + 1);
    let of_it = |event: &&AttachmentEvent| event.series == series && event.attachment.0 == id;
    let events: Vec<_> = events(draft).iter().filter(of_it).collect();
    let before = events.iter().rfind(|event| event.on < day.plus_days(-1));
    let on = before.is_some_and(|event| event.event == Bonded);
    let quiet = !events.iter().any(|event| (day.plus_days(-1)..=soon).contains(&event.on));
    let seen = draft.clean.check_ins.iter().flatten().any(|check_in| {
        let off = check_in.attachments_debonded.iter().flatten().any(|off| off.0 == id);
        check_in.series == series && off && check_in.at.written_date() <= day
    });
    on && quiet && !seen && soon < draft.today()
}
