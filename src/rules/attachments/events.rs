//! What became of an attachment: bonded, lost, bonded again, removed, in an order that can be.

use std::cell::OnceCell;

use oar_schema::record::{AttachmentChange, AttachmentEventRow, SeriesRow};
use oar_schema::time::Date;
use oar_schema::words::Words;

use super::super::plan::{numbers_are_right, series_numbered};
use super::named::{events_of, series_with};
use super::{ids_repeat, place_of};
use crate::case::{Case, known};
use crate::finding::{args, at};
use crate::rule::Found;

/// The most attachments that a series can plan.
const MOST: usize = 500;

/// How an attachment stands after its events so far.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
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

/// The faults that some event of a record has.
#[derive(Clone, Copy, Default)]
pub(crate) struct Faults([bool; 3]);

impl Faults {
    fn of(case: &Case<'_>) -> Self {
        let mut faults = Self::default();
        for series in &case[case.series] {
            let Some(mut course) = Course::of(case, series) else { break };
            while let Some((_, _, fault)) = course.step(Date(i32::MAX)) {
                if let Some(fault) = fault {
                    faults.0[fault as usize] = true;
                }
            }
        }
        faults
    }

    fn has(self, fault: Fault) -> bool {
        self.0[fault as usize]
    }

    fn any(self) -> bool {
        self.0.contains(&true)
    }
}

/// The faults of all series together, found once for a record.
fn faults(case: &Case<'_>) -> Faults {
    *case.once.event_faults.get_or_init(|| Faults::of(case))
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

/// Whether the events can be followed: they are in the order of time, and the numbers of the series are right.
fn are_in_order(case: &Case<'_>) -> bool {
    let events = &case[case.attachment_events];
    !events.is_empty() && events.is_sorted_by_key(|event| event.on) && numbers_are_right(case)
}

/// Follows the events of one series, of attachments that its plan has.
pub(super) struct Course<'c> {
    case: &'c Case<'c>,
    series: &'c SeriesRow,
    standing: [Standing; MOST],
    /// The event before which it stands.
    at: usize,
    next: usize,
}

impl<'c> Course<'c> {
    /// The events of a series, before the first of them; none where they cannot be followed.
    pub(super) fn of(case: &'c Case<'c>, series: &'c SeriesRow) -> Option<Self> {
        are_in_order(case).then_some(Self { case, series, standing: [Standing::Untouched; MOST], at: 0, next: 0 })
    }

    /// Takes in the next event of the series up to a day: its place, that of its attachment, and what is wrong with it.
    fn step(&mut self, until: Date) -> Option<(usize, usize, Option<Fault>)> {
        let attachments = &self.case[self.series.attachments];
        while let Some(event) = self.case[self.case.attachment_events].get(self.at).filter(|event| event.on <= until) {
            self.at += 1;
            let id = self.case.text(event.attachment);
            let place = || place_of(self.case, attachments, id, self.next).filter(|at| *at < MOST);
            if event.series == self.series.number
                && let Some(at) = place()
            {
                self.next = at + 1;
                let (now, fault) = after(self.standing[at], event.event);
                self.standing[at] = now;
                return Some((self.at - 1, at, fault));
            }
        }
        None
    }

    /// Takes in all events up to a day.
    pub(super) fn up_to(&mut self, day: Date) {
        while self.step(day).is_some() {}
    }

    /// How an attachment of the series stands, by its place in the plan.
    pub(super) fn standing(&self, attachment: usize) -> Standing {
        self.standing.get(attachment).copied().unwrap_or(Standing::Unclear)
    }
}

/// How the attachments of a series stand at the end; none where that cannot be followed.
pub(super) fn standing_in<'c>(case: &'c Case<'c>, series: &'c SeriesRow) -> Option<Course<'c>> {
    let mut course = Course::of(case, series)?;
    course.up_to(Date(i32::MAX));
    Some(course)
}

/// Whether the events of a series contradict each other or the plan, which is told of them.
pub(super) fn is_told<'c>(case: &'c Case<'c>, series: &'c SeriesRow) -> bool {
    let faulty = |mut course: Course<'c>| {
        std::iter::from_fn(|| course.step(Date(i32::MAX))).any(|(_, _, fault)| fault.is_some())
    };
    let in_events = || faults(case).any() && Course::of(case, series).is_some_and(faulty);
    let work_out = || ids_repeat(case, &case[series.attachments]) || in_events();
    known(&case.once.events_told, series, work_out)
}

/// States every event with that fault. Where numbers of series or the order of events are wrong, nothing can be said.
fn add_each(case: &Case<'_>, found: &mut Found, wanted: Fault) {
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

/// Whether an event names the same attachment in a series that does not have it: that is told already, and the event may
/// belong here.
fn has_stray_event(case: &Case<'_>, event: &AttachmentEventRow) -> bool {
    let id = case.text(event.attachment);
    series_with(case, id).any(|other| {
        let has_it = |(_, series): (usize, &SeriesRow)| place_of(case, &case[series.attachments], id, 0).is_some();
        other != event.series && !series_numbered(case, other).is_some_and(has_it)
    })
}

/// The first event that may be the one that is missing before others, and that names an attachment that the plan of the series
/// does not have; another rule reports that.
fn first_given_to_unknown(case: &Case<'_>, series: &SeriesRow, fault: Fault) -> Option<usize> {
    let missing = match fault {
        Fault::NeverBonded => AttachmentChange::Bonded,
        Fault::BondedTwice => AttachmentChange::Lost,
        Fault::AfterRemoval => return None,
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
    let mut args = args!["id" = case.id(event.attachment), "event" = event.event.word(), "on" = event.on];
    let same = events_of(case, event.series, case.text(event.attachment));
    let before = same[..same.partition_point(|at| *at < i)].last().copied();
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
