//! Attachments that a check-in found debonded, compared with the events.

use oar_schema::record::{AttachmentChange, CheckInRow, SeriesRow};
use oar_schema::rows::Str;
use oar_schema::time::Date;

use crate::check::case::appointments::agrees_with_worn;
use crate::check::case::attachments::{names_unknown, place_of};
use crate::check::case::events::{AttachmentState, Course, is_reported};
use crate::check::case::events_by_name::around;
use crate::check::rules::prelude::*;

pub(super) fn check_in_disagrees_with_events(case: &Case<'_>, found: &mut Found) {
    let check_ins = &case[case.check_ins];
    if case[case.attachment_events].is_empty() || check_ins.iter().all(|check_in| off(case, check_in).is_empty()) {
        return;
    }
    if !check_ins.is_sorted_by_key(|check_in| (check_in.at.seconds, check_in.at.nanoseconds)) {
        return;
    }
    for series in &case[case.series] {
        let Some(mut course) = Course::of(case, series) else { return };
        let seen = check_ins.iter().enumerate().filter(|(_, check_in)| check_in.series == series.number);
        for (i, check_in) in seen.filter(|(_, check_in)| !off(case, check_in).is_empty()) {
            course.up_to(Date(case.day_of(check_in.at).0 - 1));
            for (j, id) in off(case, check_in).iter().enumerate() {
                let at = place_of(case, &case[series.attachments], case.text(*id), 0);
                if at.is_some_and(|at| is_no_loss(course.standing(at))) {
                    look(case, found, (i, j), *id, series);
                }
            }
        }
    }
}

/// The attachments that a check-in found debonded.
fn off<'c>(case: &'c Case<'_>, check_in: &CheckInRow) -> &'c [Str] {
    &case[check_in.attachments_debonded]
}

/// Whether an attachment in this state cannot be found debonded.
fn is_no_loss(standing: AttachmentState) -> bool {
    matches!(standing, AttachmentState::Untouched | AttachmentState::On | AttachmentState::Removed)
}

/// Reports a debonded attachment unless its loss is recorded soon, or another rule reports its events.
fn look(case: &Case<'_>, found: &mut Found, (i, j): (usize, usize), id: Str, series: &SeriesRow) {
    let check_in = &case[case.check_ins][i];
    let day = case.day_of(check_in.at);
    let events = &case[case.attachment_events];
    let same = |of: i32, other: Str| of == series.number && case.text(other) == case.text(id);
    let (before, after) = around(case, series.number, case.text(id), day);
    let Some(event) = before.or(after) else { return };
    let soon = |then: Date| i64::from(then.days_since(day)) <= case.limits.loss_told_days;
    let since = before.map_or(Date(i32::MIN), |at| events[at].on);
    let seen_before = |(check_in, of): (&CheckInRow, Str)| same(check_in.series, of);
    // The check-ins are in order in time, as the events are.
    let since_then = case[case.check_ins][..i].iter().rev().take_while(|row| case.day_of(row.at) > since);
    let mut earlier = since_then.flat_map(|row| off(case, row).iter().map(move |of| (row, *of)));
    let followed = soon(case.today) || after.is_some_and(|at| soon(events[at].on));
    if followed || !case.trusts(day) || !agrees_with_worn(case, check_in) || earlier.any(seen_before) {
        return;
    }
    if !is_reported(case, series) && !names_unknown(case, series) {
        tell(case, found, (i, j), (id, day), (event, before.is_none()));
    }
}

fn tell(
    case: &Case<'_>,
    found: &mut Found,
    (i, j): (usize, usize),
    (id, day): (Str, Date),
    (at, is_later): (usize, bool),
) {
    let event = &case[case.attachment_events][at];
    let mut args = args!["id" = case.id(id), "day" = day];
    args.extend(match event.event {
        _ if is_later => args!["bonded" = event.on],
        AttachmentChange::Removed => args!["removed" = event.on],
        other => args!["event" = other.as_str(), "on" = event.on],
    });
    found.add(at!["check_ins", i, "attachments_debonded", j], args).related(at!["attachment_events", at, "event"]);
}
