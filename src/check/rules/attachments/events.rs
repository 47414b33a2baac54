//! The events of an attachment (bonded, debonded, removed) and whether their order is possible.

use std::cell::OnceCell;

use oar_schema::record::{AttachmentChange, AttachmentEventRow, SeriesRow};
use oar_schema::time::Date;

use crate::check::case::attachments::{ids_repeat, place_of};
use crate::check::case::events::{Course, EventFault, faults};
use crate::check::case::events_by_name::{events_of, series_with};
use crate::check::case::plan::series_numbered;
use crate::check::rules::prelude::*;

pub(super) fn lost_before_bonded(case: &Case<'_>, found: &mut Found) {
    add_each(case, found, EventFault::NeverBonded);
}

pub(super) fn bonded_twice(case: &Case<'_>, found: &mut Found) {
    add_each(case, found, EventFault::BondedTwice);
}

pub(super) fn event_after_removal(case: &Case<'_>, found: &mut Found) {
    add_each(case, found, EventFault::AfterRemoval);
}

/// States every event with that fault. Where numbers of series or the order of events are wrong, nothing can be said.
fn add_each(case: &Case<'_>, found: &mut Found, wanted: EventFault) {
    if !faults(case).has(wanted) {
        return;
    }
    for series in &case[case.series] {
        let Some(mut course) = Course::of(case, series) else { return };
        let given = OnceCell::new();
        while let Some((i, _, fault)) = course.step(Date(i32::MAX)) {
            let event = &case[case.attachment_events][i];
            let told = || {
                ids_repeat(case, &case[series.attachments])
                    || has_stray_event(case, event)
                    || given.get_or_init(|| first_given_to_unknown(case, series, wanted)).is_some_and(|given| given < i)
            };
            if fault == Some(wanted) && !told() {
                add(case, found, i, event);
            }
        }
    }
}

/// Whether an event names the same attachment with a series that does not have it. Another rule reports that already,
/// and the event may belong here.
fn has_stray_event(case: &Case<'_>, event: &AttachmentEventRow) -> bool {
    let id = case.text(event.attachment);
    series_with(case, id).any(|other| {
        let has_it = |(_, series): (usize, &SeriesRow)| place_of(case, &case[series.attachments], id, 0).is_some();
        other != event.series && !series_numbered(case, other).is_some_and(has_it)
    })
}

/// The first event that may be the missing one, but names an attachment that the plan of the series does not have.
/// Another rule reports that event.
fn first_given_to_unknown(case: &Case<'_>, series: &SeriesRow, fault: EventFault) -> Option<usize> {
    let missing = match fault {
        EventFault::NeverBonded => AttachmentChange::Bonded,
        EventFault::BondedTwice => AttachmentChange::Debonded,
        EventFault::AfterRemoval => return None,
    };
    let attachments = &case[series.attachments];
    case[case.attachment_events].iter().position(|other| {
        other.series == series.number
            && other.event == missing
            && place_of(case, attachments, case.text(other.attachment), 0).is_none()
    })
}

fn add(case: &Case<'_>, found: &mut Found, i: usize, event: &AttachmentEventRow) {
    let events = &case[case.attachment_events];
    let mut args = args!["id" = case.id(event.attachment), "event" = event.event.as_str(), "on" = event.on];
    let same = events_of(case, event.series, case.text(event.attachment));
    let before = same[..same.partition_point(|at| *at < i)].last().copied();
    if let Some(before) = before {
        let event = &events[before];
        args.extend(args!["before" = event.event.as_str(), "before_on" = event.on]);
    }
    let stated = found.add(at!["attachment_events", i, "event"], args);
    if let Some(before) = before {
        stated.related(at!["attachment_events", before, "event"]);
    }
}
