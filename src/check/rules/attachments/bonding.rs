//! Attachments that were not bonded, not removed, or bonded without a visit.

use oar_schema::record::{AppointmentRow, AttachmentChange, AttachmentEventRow, AttachmentRow, Procedure, SeriesRow};
use oar_schema::teeth::{Arch, Tooth, ToothSet};

use crate::check::args::args;
use crate::check::case::appointments::lists_work;
use crate::check::case::attachments::names_unknown;
use crate::check::case::events::{AttachmentState, is_reported, standing_in};
use crate::check::case::events_by_name::last_of;
use crate::check::case::plan::numbers_are_right;
use crate::check::case::state::is_plainly_through;
use crate::check::case::wear_periods::{backwards, covers};
use crate::check::case::{Case, known};
use crate::check::found::Found;
use crate::check::marks::Mark;
use crate::check::path::at;

/// Indices in [`standing_teeth`]: teeth that keep their attachment from an earlier series, and teeth from which one
/// was removed.
const KEPT: usize = 0;
const REMOVED: usize = 1;

pub(super) fn never_bonded(case: &Case<'_>, found: &mut Found) {
    if case.attachment_events.is_none() || !numbers_are_right(case) {
        return;
    }
    for (i, series) in case[case.series].iter().enumerate() {
        let course = standing_in(case, series);
        if case[series.attachments].is_empty() || (course.is_none() && !case[case.attachment_events].is_empty()) {
            continue;
        }
        let due = due_trays(case, series);
        let missing = |(j, attachment): &(usize, &AttachmentRow)| {
            let untouched = course.as_ref().is_none_or(|course| course.standing(*j) == AttachmentState::Untouched);
            untouched && is_due(case, i, attachment, due)
        };
        let mut places = case[series.attachments].iter().enumerate().filter(missing).map(|(j, _)| j);
        if let Some(first) = places.next().filter(|_| !is_reported(case, series) && !names_unknown(case, series)) {
            tell_never(case, found, i, (first, &places.collect::<Vec<_>>()));
        }
    }
}

/// Whether an attachment is due on its tooth by now, and the tooth keeps none from an earlier series.
fn is_due(case: &Case<'_>, i: usize, attachment: &AttachmentRow, due: [i32; 2]) -> bool {
    attachment.from_tray <= due[attachment.tooth.arch() as usize]
        && attachment.from_tray <= attachment.to_tray
        && case.standing.contains(attachment.tooth)
        && !stands_on(case, &case[case.series][..i], attachment.tooth, KEPT)
}

fn tell_never(case: &Case<'_>, found: &mut Found, i: usize, (first, others): (usize, &[usize])) {
    let series = &case[case.series][i];
    let attachment = &case[series.attachments][first];
    let mut args = args![
        "id" = case.id(attachment.id),
        "tooth" = attachment.tooth,
        "series" = series.number,
        "tray" = attachment.from_tray
    ];
    if !others.is_empty() {
        args.extend(args!["others" = others.len()]);
    }
    let stated = found.add(at!["series", i, "attachments", first], args);
    for j in others {
        stated.related(at!["series", i, "attachments", *j]);
    }
}

/// The last tray of each arch of a series that was put in so long ago that its attachments are due.
fn due_trays(case: &Case<'_>, series: &SeriesRow) -> [i32; 2] {
    let last = case.trusted.1;
    let due = case[case.wear_periods].iter().filter(|worn| {
        let long = || i64::from(last.days_since(worn.from)) > case.limits.unbonded_days;
        worn.series == series.number && case.trusts(worn.from) && !backwards(worn) && long()
    });
    let mut trays = [0; 2];
    for worn in due {
        for arch in Arch::ALL.into_iter().filter(|arch| covers(worn.arches, *arch)) {
            trays[arch as usize] = trays[arch as usize].max(worn.tray);
        }
    }
    trays
}

/// Whether one of these series has an attachment on that tooth in the wanted state.
fn stands_on(case: &Case<'_>, series: &[SeriesRow], tooth: Tooth, wanted: usize) -> bool {
    series.iter().any(|series| {
        let steps = case[series.attachments].len() * case[case.attachment_events].len();
        let teeth = || standing_teeth(case, series);
        // For usual records, following the events again is cheaper than keeping the result.
        let teeth = if steps < MANY_STEPS { teeth() } else { known(&case.once.standing, series, teeth) };
        teeth.is_some_and(|teeth| teeth[wanted].contains(tooth))
    })
}

/// From this many comparisons of an event with an attachment on, the result is kept.
const MANY_STEPS: usize = 1 << 14;

/// The teeth of a series whose attachment is on or lost, and those whose attachment was removed.
fn standing_teeth(case: &Case<'_>, series: &SeriesRow) -> Option<[ToothSet; 2]> {
    let course = standing_in(case, series)?;
    let mut teeth = <[ToothSet; 2]>::default();
    for (j, attachment) in case[series.attachments].iter().enumerate() {
        let place = match course.standing(j) {
            AttachmentState::On | AttachmentState::Off => KEPT,
            AttachmentState::Removed => REMOVED,
            _ => continue,
        };
        teeth[place].insert(attachment.tooth);
    }
    Some(teeth)
}

/// Whether the treatment was finished so long ago that its attachments are due to be removed.
fn is_long_finished(case: &Case<'_>) -> bool {
    let since = case.status.since;
    let long = i64::from(case.today.days_since(since)) > case.limits.left_on_days;
    let late_export = case.far_apart(case.days.1, case.today);
    long && case.trusts(since) && !late_export && is_plainly_through(case)
}

pub(super) fn left_after_finish(case: &Case<'_>, found: &mut Found) {
    if !is_long_finished(case) {
        return;
    }
    let mut left: Vec<usize> = Vec::new();
    for (i, series) in case[case.series].iter().enumerate() {
        let Some(course) = standing_in(case, series) else { return };
        for (j, attachment) in case[series.attachments].iter().enumerate() {
            if course.standing(j) == AttachmentState::On && !is_off(case, i, attachment.tooth) {
                left.extend(last_event(case, series.number, attachment));
            }
        }
    }
    let reported = |series: &SeriesRow| is_reported(case, series) || names_unknown(case, series);
    if !left.is_empty() && !case[case.series].iter().any(reported) {
        tell_left(case, found, &left);
    }
}

/// Whether the attachment of a tooth is gone without an event of its own: the tooth was extracted, or the attachment
/// of a later series was removed.
fn is_off(case: &Case<'_>, i: usize, tooth: Tooth) -> bool {
    let taken_out = case[case.dentition.extracted].iter().any(|row| row.tooth == tooth);
    taken_out || stands_on(case, &case[case.series][i + 1..], tooth, REMOVED)
}

/// The index of the last event of an attachment.
fn last_event(case: &Case<'_>, series: i32, attachment: &AttachmentRow) -> Option<usize> {
    last_of(case, series, case.text(attachment.id))
}

fn tell_left(case: &Case<'_>, found: &mut Found, left: &[usize]) {
    let event = &case[case.attachment_events][left[0]];
    let mut args = args![
        "id" = case.id(event.attachment),
        "event" = event.event.as_str(),
        "on" = event.on,
        "since" = case.status.since
    ];
    let taken_off = |visit: &&AppointmentRow| {
        visit.attended && visit.on > event.on && case[visit.procedures].contains(&Procedure::AttachmentRemoval)
    };
    if let Some(visit) = case[case.appointments].iter().rfind(taken_off) {
        args.extend(args!["visit" = visit.on]);
    }
    if left.len() > 1 {
        args.extend(args!["others" = left.len() - 1]);
    }
    let stated = found.add(at!["attachment_events", left[0], "event"], args);
    stated.related(at!["status", "since"]);
    for i in &left[1..] {
        stated.related(at!["attachment_events", *i, "event"]);
    }
}

pub(super) fn bonding_without_visit(case: &Case<'_>, found: &mut Found) {
    let (events, visits) = (&case[case.attachment_events], &case[case.appointments]);
    let bonds = |visit: &AppointmentRow| case[visit.procedures].contains(&Procedure::AttachmentBonding);
    let usable = visits.is_sorted_by_key(|visit| visit.on) && events.is_sorted_by_key(|event| event.on);
    if !usable || !visits.iter().any(bonds) {
        return;
    }
    let mut alone = events.iter().enumerate().filter(|(_, event)| is_without_visit(case, event));
    let Some((i, event)) = alone.next() else { return };
    let reported = |series: &SeriesRow| is_reported(case, series) || names_unknown(case, series);
    if !visits.iter().all(|visit| case.trusts(visit.on)) || case[case.series].iter().any(reported) {
        return;
    }
    let mut last = event.on;
    let new_day = |(_, event): &(usize, &AttachmentEventRow)| std::mem::replace(&mut last, event.on) != event.on;
    let days: Vec<usize> = alone.filter(new_day).map(|(i, _)| i).collect();
    let missed = visits.iter().position(|visit| visit.on == event.on);
    let mut args = args!["id" = case.id(event.attachment), "event" = event.event.as_str(), "on" = event.on];
    if missed.is_some() {
        args.extend(args!["missed" = event.on]);
    }
    if !days.is_empty() {
        args.extend(args!["days" = days.len()]);
    }
    let stated = found.add(at!["attachment_events", i, "on"], args);
    if let Some(missed) = missed {
        stated.related(at!["appointments", missed, "attended"]);
    }
    for i in days {
        stated.related(at!["attachment_events", i, "on"]);
    }
}

/// Whether an attachment was bonded, rebonded or removed on a day without an attended visit. If a missed visit of
/// that day lists work, another rule reports it.
fn is_without_visit(case: &Case<'_>, event: &AttachmentEventRow) -> bool {
    let visits = &case[case.appointments];
    let kept = |visit: &AppointmentRow| visit.attended || (case.heeds(Mark::MissedVisits) && lists_work(case, visit));
    let from = visits.partition_point(|visit| visit.on < event.on);
    let mut that_day = visits[from..].iter().take_while(|visit| visit.on == event.on);
    event.event != AttachmentChange::Debonded && case.trusts(event.on) && !that_day.any(kept)
}
