//! What became of an attachment: bonded, lost, bonded again, removed, in an order that can be.

use oar_schema::record::{AttachmentChange, SeriesRow};
use oar_schema::time::Date;

use super::attachments::{ids_repeat, place_of};
use super::plan::numbers_are_right;
use super::{Case, known};
use crate::check::marks::Mark;

/// The most attachments that a series can plan.
const MOST: usize = 500;

/// How an attachment stands after its events so far.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum AttachmentState {
    /// Nothing happened to it yet.
    Untouched,
    /// It is on its tooth.
    On,
    /// It came off.
    Off,
    /// It was removed on purpose.
    Removed,
    /// Its events contradict each other, and that was said.
    Unclear,
}

/// What an event does to an attachment, and what is wrong with it.
fn after(before: AttachmentState, event: AttachmentChange) -> (AttachmentState, Option<EventFault>) {
    use AttachmentChange::{Bonded, Debonded, Removed};
    let fault = match (before, event) {
        (AttachmentState::Untouched, Debonded | Removed) => Some(EventFault::NeverBonded),
        (AttachmentState::On, Bonded) => Some(EventFault::BondedTwice),
        (AttachmentState::Removed, _) => Some(EventFault::AfterRemoval),
        _ => None,
    };
    let standing = match event {
        _ if fault.is_some() => AttachmentState::Unclear,
        Debonded if before == AttachmentState::Unclear => AttachmentState::Unclear,
        Bonded => AttachmentState::On,
        Debonded => AttachmentState::Off,
        Removed => AttachmentState::Removed,
    };
    (standing, fault)
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum EventFault {
    NeverBonded,
    BondedTwice,
    AfterRemoval,
}

/// The faults that some event of a record has.
#[derive(Clone, Copy, Default)]
pub(crate) struct EventFaults([bool; 3]);

impl EventFaults {
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

    pub(crate) fn has(self, fault: EventFault) -> bool {
        self.0[fault as usize]
    }

    fn any(self) -> bool {
        self.0.contains(&true)
    }
}

/// The faults of all series together, found once for a record.
pub(crate) fn faults(case: &Case<'_>) -> EventFaults {
    *case.once.event_faults.get_or_init(|| EventFaults::of(case))
}

/// Whether the events can be followed: they are in chronological order, and the numbers of the series are right.
fn are_in_order(case: &Case<'_>) -> bool {
    let events = &case[case.attachment_events];
    !events.is_empty() && events.is_sorted_by_key(|event| event.on) && numbers_are_right(case)
}

/// Follows the events of one series, of attachments that its plan has.
pub(crate) struct Course<'c> {
    case: &'c Case<'c>,
    series: &'c SeriesRow,
    standing: [AttachmentState; MOST],
    /// The event before which it stands.
    at: usize,
    next: usize,
}

impl<'c> Course<'c> {
    /// The events of a series, before the first of them; none where they cannot be followed.
    pub(crate) fn of(case: &'c Case<'c>, series: &'c SeriesRow) -> Option<Self> {
        are_in_order(case).then_some(Self {
            case,
            series,
            standing: [AttachmentState::Untouched; MOST],
            at: 0,
            next: 0,
        })
    }

    /// Takes in the next event of the series up to a day: its place, that of its attachment, and what is wrong with it.
    pub(crate) fn step(&mut self, until: Date) -> Option<(usize, usize, Option<EventFault>)> {
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
    pub(crate) fn up_to(&mut self, day: Date) {
        while self.step(day).is_some() {}
    }

    /// How an attachment of the series stands, by its place in the plan.
    pub(crate) fn standing(&self, attachment: usize) -> AttachmentState {
        self.standing.get(attachment).copied().unwrap_or(AttachmentState::Unclear)
    }
}

/// How the attachments of a series stand at the end; none where that cannot be followed.
pub(crate) fn standing_in<'c>(case: &'c Case<'c>, series: &'c SeriesRow) -> Option<Course<'c>> {
    let mut course = Course::of(case, series)?;
    course.up_to(Date(i32::MAX));
    Some(course)
}

/// Whether the events of a series contradict each other or the plan, which is reported for them.
pub(crate) fn is_reported<'c>(case: &'c Case<'c>, series: &'c SeriesRow) -> bool {
    if !case.heeds(Mark::AttachmentEvents) {
        return false;
    }
    let faulty = |mut course: Course<'c>| {
        std::iter::from_fn(|| course.step(Date(i32::MAX))).any(|(_, _, fault)| fault.is_some())
    };
    let in_events = || faults(case).any() && Course::of(case, series).is_some_and(faulty);
    let work_out = || ids_repeat(case, &case[series.attachments]) || in_events();
    known(&case.once.events_told, series, work_out)
}
