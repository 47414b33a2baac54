//! Events against visits and the end of the treatment.

use oar_schema::record::{Appointment, AttachmentChange, Procedure, State};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use super::super::{Draft, FaultLocation};
use super::events::{events, same};
use super::planned::attachments;
use crate::random::RandomStream;

fn visits<'r>(draft: &Draft<'r>) -> &'r [Appointment] {
    draft.clean.appointments.as_deref().unwrap_or_default()
}

fn is_kept_on(draft: &Draft<'_>, day: Date) -> bool {
    visits(draft).iter().any(|visit| visit.on == day && visit.attended)
}

/// An event that is a day or some off, or a visit that is missing.
pub(super) fn bonding_without_visit(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let bonds =
        |visit: &&Appointment| visit.procedures.iter().flatten().any(|done| *done == Procedure::AttachmentBonding);
    if visits(draft).iter().filter(bonds).count() < 2 {
        return None;
    }
    if stream.chance(0.5) { mistype_day(draft, stream) } else { forget_visit(draft, stream) }
}

fn mistype_day(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let events = events(draft);
    let mut choices = Vec::new();
    for (at, event) in events.iter().enumerate().filter(|(_, event)| event.event != AttachmentChange::Debonded) {
        let before = at.checked_sub(1).map_or(Date(i32::MIN), |before| events[before].on);
        let after = events.get(at + 1).map_or(draft.today(), |after| after.on);
        let days = [-3, -2, -1, 1, 2, 3].map(|by| event.on.plus_days(by));
        let between = days.into_iter().filter(|day| before <= *day && *day <= after && !is_kept_on(draft, *day));
        choices.extend(between.map(|day| (at, day)));
    }
    let (at, day) = *stream.one_of(&choices)?;
    let pointer = format!("/attachment_events/{at}/on");
    draft.set(&pointer, day.to_string())?;
    Some(pointer.into())
}

fn forget_visit(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let events = events(draft);
    let alone = |day: Date| visits(draft).iter().filter(|visit| visit.on == day).count() == 1;
    let first = |day: Date| events.iter().position(|it| it.on == day && it.event != AttachmentChange::Debonded);
    let plain = |visit: &Appointment| {
        let loud = [
            Procedure::InterproximalReduction,
            Procedure::Scan,
            Procedure::RetainerDelivery,
            Procedure::BondedRetainer,
        ];
        visit.attended && alone(visit.on) && !visit.procedures.iter().flatten().any(|done| loud.contains(done))
    };
    let plain = visits(draft).iter().enumerate().filter(|(_, visit)| plain(visit));
    let choices: Vec<(usize, usize)> = plain.filter_map(|(at, visit)| Some((at, first(visit.on)?))).collect();
    let (visit, event) = *stream.one_of(&choices)?;
    draft.remove(&format!("/appointments/{visit}"))?;
    Some(format!("/attachment_events/{event}/on").into())
}

/// One removal, or all of the last day of removals, that nobody wrote down.
pub(super) fn left_after_finish(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let status = &draft.clean.status;
    let long = i64::from(draft.today().days_since(status.since)) > draft.limits.left_on_days;
    if status.state != State::Finished || !long {
        return None;
    }
    let events = events(draft);
    let removed: Vec<usize> = (0..events.len()).filter(|at| events[*at].event == AttachmentChange::Removed).collect();
    let dropped: Vec<usize> = if stream.chance(0.4) {
        let last = events[*removed.last()?].on;
        removed.into_iter().filter(|at| events[*at].on == last).collect()
    } else {
        vec![*stream.one_of(&removed)?]
    };
    let left = first_left(draft, &dropped)?;
    for at in dropped.iter().rev() {
        draft.remove(&format!("/attachment_events/{at}"))?;
    }
    let earlier = dropped.iter().filter(|at| **at < left).count();
    Some(format!("/attachment_events/{}/event", left - earlier).into())
}

/// The last event that is left of the first attachment, in the order of the plan, that the dropped removals leave on its
/// tooth. None when all of those teeth have a later attachment that was removed, or were lost.
fn first_left(draft: &Draft<'_>, dropped: &[usize]) -> Option<usize> {
    let (record, events) = (draft.clean, events(draft));
    let kept: Vec<usize> = (0..events.len()).filter(|at| !dropped.contains(at)).collect();
    let last = |series: usize, id: &str| {
        let number = record.series[series].number;
        kept.iter().copied().rfind(|at| events[*at].series == number && events[*at].attachment.0 == id)
    };
    let removed_later = |from: usize, tooth: Tooth| {
        attachments(record).into_iter().any(|(i, _, it)| {
            let event = last(i, &it.id.0);
            i > from && it.tooth == tooth && event.is_some_and(|at| events[at].event == AttachmentChange::Removed)
        })
    };
    let taken_out = |tooth: Tooth| record.dentition.extracted.iter().flatten().any(|row| row.tooth == tooth);
    attachments(record).into_iter().find_map(|(i, _, it)| {
        let at = last(i, &it.id.0)?;
        let on = events[at].event == AttachmentChange::Bonded;
        let dropped = dropped.iter().any(|removal| same(&events[*removal], &events[at]));
        (on && dropped && !taken_out(it.tooth) && !removed_later(i, it.tooth)).then_some(at)
    })
}
