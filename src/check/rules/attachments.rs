//! Attachments: where they are planned and what happened to them.

mod bonding;
mod events;
mod purpose;
mod seen_off;

use std::collections::BTreeSet;

use oar_schema::record::AttachmentRow;
use oar_schema::rows::Str;

use super::table::rules;
use crate::check::case::appointments::agrees_with_worn;
use crate::check::case::attachments::{ids_repeat, place_of};
use crate::check::case::events_by_name::events_of;
use crate::check::case::plan::{last_tray_told, numbers_are_right, series_numbered, trays_in};
use crate::check::rules::prelude::*;

use bonding::{bonding_without_visit, left_after_finish, never_bonded};
use events::{bonded_twice, event_after_removal, lost_before_bonded};
use purpose::{attachment_without_purpose, movement_without_attachment};
use seen_off::check_in_disagrees_with_events;

rules! { "attachments":
    Error attachment_id_repeated (series) needs ();
    Error attachment_outside_trays (series) needs () unless (tooth_numbers, tray_counts);
    Error attachment_backwards (series) needs ();
    Error surface_not_on_tooth (series) needs () unless (tooth_numbers);
    Error unknown_attachment (series, attachment_events, check_ins, wear_periods, patient) needs (series, series.attachments, attachment_events.attachment, check_ins.attachments_debonded) unless (series_numbers, attachment_ids, check_in_trays);
    Error lost_before_bonded (series, attachment_events, source, patient) needs (attachment_events, series, series.attachments, attachment_events.attachment) unless (series_numbers, attachment_ids);
    Error bonded_twice (series, attachment_events, source, patient) needs (attachment_events, series, series.attachments, attachment_events.attachment) unless (series_numbers, attachment_ids);
    Error event_after_removal (series, attachment_events, source, patient) needs (attachment_events, series, series.attachments, attachment_events.attachment) unless (series_numbers, attachment_ids);
    Note attachment_without_purpose (series, dentition, assessments, appointments, wear_periods, source, patient) needs (series, series.movements, series.elastics) unless (tooth_numbers, series_numbers, movements, fixed_teeth, squeezed_contacts, opposite_series);
    Note movement_without_attachment (series, dentition, attachment_events, check_ins, wear_periods, source, patient) needs (series, series.attachments, attachment_events, attachment_events.attachment) unless (tooth_numbers, series_numbers, movements, fixed_teeth, opposite_series, unknown_attachments);
    Warning never_bonded (series, attachment_events, wear_periods, dentition, check_ins, source, patient) needs (attachment_events, series, series.attachments, attachment_events.attachment) unless (tooth_numbers, dates, series_numbers, attachment_ids, unknown_attachments, attachment_events);
    Warning left_after_finish (series, attachment_events, status, wear_periods, dentition, appointments, check_ins, source, patient) needs (attachment_events, series, series.attachments, appointments, appointments.procedures, status.state, attachment_events.attachment, source.exported_at, status.reason) unless (tooth_numbers, dates, series_numbers, attachment_ids, unknown_attachments, attachment_events, unfinished_trays);
    Warning check_in_disagrees_with_events (series, attachment_events, check_ins, wear_periods, source, patient) needs (attachment_events, series, series.attachments, attachment_events.attachment, check_ins.attachments_debonded) unless (dates, series_numbers, attachment_ids, unknown_attachments, attachment_events, check_in_trays);
    Note bonding_without_visit (attachment_events, appointments, series, check_ins, source, patient) needs (series, series.attachments, attachment_events, appointments, appointments.procedures, check_ins, check_ins.at, attachment_events.attachment) unless (dates, series_numbers, attachment_ids, unknown_attachments, attachment_events, missed_visits);
}

/// Bits of the marks that ids leave.
const MARKS: usize = 1024;

fn attachment_id_repeated(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        let attachments = &case[series.attachments];
        let mut marks = [0u64; MARKS / 64];
        for (j, attachment) in attachments.iter().enumerate() {
            let mark = mark(case.text(attachment.id));
            let word = &mut marks[mark / 64];
            let maybe_seen = *word >> (mark % 64) & 1 == 1;
            *word |= 1 << (mark % 64);
            if maybe_seen && let Some(first) = place_of(case, &attachments[..j], case.text(attachment.id), 0) {
                let args = args!["id" = case.id(attachment.id), "series" = series.number];
                let stated = found.add(at!["series", i, "attachments", j, "id"], args);
                stated.related(at!["series", i, "attachments", first, "id"]);
            }
        }
    }
}

/// A small hash of an id; equal ids have equal hashes.
fn mark(id: &[u8]) -> usize {
    let mixed = id.iter().fold(0u32, |mixed, byte| (mixed ^ u32::from(*byte)).wrapping_mul(0x0100_0193));
    (mixed >> 16 ^ mixed) as usize % MARKS
}

/// Calls `visit` with each attachment of the plan, with the index of its series and its own index.
fn each_planned(case: &Case<'_>, mut visit: impl FnMut(usize, usize, &AttachmentRow)) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, attachment) in case[series.attachments].iter().enumerate() {
            visit(i, j, attachment);
        }
    }
}

fn attachment_outside_trays(case: &Case<'_>, found: &mut Found) {
    each_planned(case, |i, j, attachment| {
        let series = &case[case.series][i];
        let arch = attachment.tooth.arch();
        let trays = trays_in(series, arch);
        let outside = attachment.to_tray > trays && attachment.from_tray <= attachment.to_tray;
        if outside && attachment.to_tray > last_tray_told(case, series, arch) {
            let args =
                args!["tooth" = attachment.tooth, "tray" = attachment.to_tray, "arch" = arch.as_str(), "trays" = trays];
            found.add(at!["series", i, "attachments", j, "to_tray"], args);
        }
    });
}

fn attachment_backwards(case: &Case<'_>, found: &mut Found) {
    each_planned(case, |i, j, attachment| {
        let (from, to) = (attachment.from_tray, attachment.to_tray);
        if from > to {
            let args = args!["tooth" = attachment.tooth, "from_tray" = from, "to_tray" = to];
            found.add(at!["series", i, "attachments", j, "to_tray"], args);
        }
    });
}

fn surface_not_on_tooth(case: &Case<'_>, found: &mut Found) {
    each_planned(case, |i, j, attachment| {
        if !attachment.tooth.surfaces().contains(&attachment.surface) {
            let there = if attachment.tooth.kind().is_anterior() { "incisal" } else { "occlusal" };
            let args = args!["tooth" = attachment.tooth, "surface" = attachment.surface.as_str(), "there" = there];
            found.add(at!["series", i, "attachments", j, "surface"], args);
        }
    });
}

fn unknown_attachment(case: &Case<'_>, found: &mut Found) {
    if !numbers_are_right(case) {
        return;
    }
    let events = &case[case.attachment_events];
    let (mut next, mut unplanned) = (0, BTreeSet::new());
    for (i, event) in events.iter().enumerate() {
        let id = case.text(event.attachment);
        let Some((_, series)) = series_numbered(case, event.series) else { continue };
        let attachments = &case[series.attachments];
        if let Some(at) = place_of(case, attachments, id, next.min(attachments.len())) {
            next = at + 1;
        } else if attachments.is_empty() {
            add_unplanned(case, found, i, &mut unplanned);
        } else if !named_before(case, i, event.series, id) && !ids_repeat(case, attachments) {
            add_unknown(case, found, at!["attachment_events", i, "attachment"], event.series, event.attachment);
        }
    }
    unknown_in_check_ins(case, found);
}

fn unknown_in_check_ins(case: &Case<'_>, found: &mut Found) {
    let events = case[case.attachment_events].len();
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        for (j, off) in case[check_in.attachments_debonded].iter().enumerate() {
            let Some((_, series)) = series_numbered(case, check_in.series) else { continue };
            let id = case.text(*off);
            let attachments = &case[series.attachments];
            let known = place_of(case, attachments, id, 0).is_some();
            if !known
                && agrees_with_worn(case, check_in)
                && !named_before(case, events, check_in.series, id)
                && !ids_repeat(case, attachments)
            {
                add_unknown(case, found, at!["check_ins", i, "attachments_debonded", j], check_in.series, *off);
            }
        }
    }
}

/// States, once for a series that plans no attachments, that the event at `i` and others after it name some.
fn add_unplanned(case: &Case<'_>, found: &mut Found, i: usize, told: &mut BTreeSet<i32>) {
    let events = &case[case.attachment_events];
    let series = events[i].series;
    if !told.insert(series) {
        return;
    }
    let count = events[i..].iter().filter(|event| event.series == series).count();
    if count == 1 {
        return add_unknown(case, found, at!["attachment_events", i, "attachment"], series, events[i].attachment);
    }
    let args = args!["id" = case.id(events[i].attachment), "in_series" = series, "count" = count];
    found.add(at!["attachment_events", i, "attachment"], args);
}

/// Whether one of the first `count` events names the attachment: then only that event is reported.
fn named_before(case: &Case<'_>, count: usize, series: i32, id: &[u8]) -> bool {
    events_of(case, series, id).first().is_some_and(|first| *first < count)
}

fn add_unknown(case: &Case<'_>, found: &mut Found, path: Path, series: i32, id: Str) {
    let mut args = args!["id" = case.id(id), "in_series" = series];
    let has_it = |at: &usize| place_of(case, &case[case[case.series][*at].attachments], case.text(id), 0).is_some();
    if let Some(other) = (0..case[case.series].len()).find(has_it) {
        args.extend(args!["elsewhere" = case[case.series][other].number]);
    }
    found.add(path, args);
}
