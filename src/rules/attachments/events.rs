//! What became of an attachment: bonded, lost, bonded again, removed, in an order that can be.

use oar_schema::record::{AttachmentChange, AttachmentEventRow};
use oar_schema::words::Words;

use super::super::plan::{numbers_are_right, series_numbered};
use super::{ids_repeat, place_of};
use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;

/// The most attachments that a series can plan.
const MOST: usize = 500;

/// How an attachment stands after its events so far.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    /// Nothing happened to it yet.
    Untouched,
    /// It is on its tooth.
    On,
    /// It came off.
    Off,
    /// It was taken off on purpose.
    Removed,
    /// Its events contradict each other, and that was said.
    Unclear,
}

/// What an event does to an attachment, and what is wrong with it.
fn after(before: Standing, event: AttachmentChange) -> (Standing, Option<Fault>) {
    use AttachmentChange::{Bonded, Lost, Rebonded, Removed};
    let fault = match (before, event) {
        (Standing::Untouched, Lost | Rebonded | Removed) => Some(Fault::NeverBonded),
        (Standing::On, Bonded | Rebonded) | (Standing::Off, Bonded) => Some(Fault::BondedTwice),
        (Standing::Removed, _) => Some(Fault::AfterRemoval),
        _ => None,
    };
    let standing = match event {
        _ if fault.is_some() => Standing::Unclear,
        Lost if before == Standing::Unclear => Standing::Unclear,
        Bonded | Rebonded => Standing::On,
        Lost => Standing::Off,
        Removed => Standing::Removed,
    };
    (standing, fault)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Fault {
    NeverBonded,
    BondedTwice,
    AfterRemoval,
}

pub(super) fn lost_before_bonded(case: &Case<'_>, found: &mut Found) {
    add_each(case, found, Fault::NeverBonded);
}

pub(super) fn bonded_twice(case: &Case<'_>, found: &mut Found) {
    add_each(case, found, Fault::BondedTwice);
}

pub(super) fn event_after_removal(case: &Case<'_>, found: &mut Found) {
    add_each(case, found, Fault::AfterRemoval);
}

/// States every event with that fault. Where numbers of series or the order of events are wrong, nothing can be said.
fn add_each(case: &Case<'_>, found: &mut Found, wanted: Fault) {
    let events = &case[case.attachment_events];
    let out_of_order = events.windows(2).any(|pair| pair[1].on < pair[0].on);
    if events.is_empty() || out_of_order || !numbers_are_right(case) {
        return;
    }
    for series in &case[case.series] {
        let attachments = &case[series.attachments];
        let mut standing = [Standing::Untouched; MOST];
        let mut next = 0;
        for (i, event) in events.iter().enumerate().filter(|(_, event)| event.series == series.number) {
            let id = case.text(event.attachment);
            let Some(at) = place_of(case, attachments, id, next).filter(|at| *at < MOST) else { continue };
            next = at + 1;
            let (now, fault) = after(standing[at], event.event);
            standing[at] = now;
            if fault == Some(wanted) && !ids_repeat(case, attachments) && !has_stray_event(case, event) {
                add(case, found, i, event);
            }
        }
    }
}

/// Whether an event names the same attachment in a series that does not have it: that is told already, and the event may
/// belong here.
fn has_stray_event(case: &Case<'_>, event: &AttachmentEventRow) -> bool {
    let id = case.text(event.attachment);
    case[case.attachment_events].iter().any(|other| {
        let planned = series_numbered(case, other.series);
        let has_it = planned.is_some_and(|(_, series)| place_of(case, &case[series.attachments], id, 0).is_some());
        other.series != event.series && case.text(other.attachment) == id && !has_it
    })
}

fn add(case: &Case<'_>, found: &mut Found, i: usize, event: &AttachmentEventRow) {
    let events = &case[case.attachment_events];
    let same = |other: &AttachmentEventRow| {
        other.series == event.series && case.text(other.attachment) == case.text(event.attachment)
    };
    let mut args = args!["id" = case.id(event.attachment), "event" = event.event.word(), "on" = event.on];
    let before = events[..i].iter().rposition(same);
    if let Some(before) = before {
        let event = &events[before];
        args.extend(match event.event {
            AttachmentChange::Lost => args!["lost_on" = event.on],
            other => args!["before" = other.word(), "before_on" = event.on],
        });
    }
    let stated = found.add(at!["attachment_events", i, "event"], args);
    if let Some(before) = before {
        stated.related(at!["attachment_events", before, "event"]);
    }
}
