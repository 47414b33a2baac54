//! Attachments: by their ids, and whether something names one that the plan does not have.

use std::collections::BTreeSet;

use oar_schema::record::{AttachmentEventRow, AttachmentRow, SeriesRow};
use oar_schema::rows::Str;

use super::plan::series_numbered;
use super::{Case, known};
use crate::check::marks::Mark;

/// The place of the attachment of that id among `attachments`. It looks from `from` on first, since events often follow
/// the order of the plan.
pub(crate) fn place_of(case: &Case<'_>, attachments: &[AttachmentRow], id: &[u8], from: usize) -> Option<usize> {
    let (before, after) = attachments.split_at_checked(from)?;
    let is_it = |attachment: &AttachmentRow| case.text(attachment.id) == id;
    after.iter().position(is_it).map(|at| at + from).or_else(|| before.iter().position(is_it))
}

/// So many attachments are compared by sorting their ids; fewer are compared in pairs, which allocates nothing.
const MANY_IDS: usize = 64;

/// Whether two attachments have the same id. Events of either cannot be told apart then.
pub(crate) fn ids_repeat(case: &Case<'_>, attachments: &[AttachmentRow]) -> bool {
    if !case.heeds(Mark::AttachmentIds) {
        return false;
    }
    let repeat = || {
        if attachments.len() < MANY_IDS {
            let is_earlier = |j: usize| place_of(case, &attachments[..j], case.text(attachments[j].id), 0).is_some();
            return (0..attachments.len()).any(is_earlier);
        }
        let mut seen = BTreeSet::new();
        !attachments.iter().all(|attachment| seen.insert(case.text(attachment.id)))
    };
    !attachments.is_empty() && known(&case.once.ids_repeat, attachments.as_ptr(), repeat)
}

/// Whether an event or a check-in of a series names an attachment that its plan does not have, or an event names one
/// of its attachments with another series: that is reported already, and it may be meant for any of them.
pub(crate) fn names_unknown(case: &Case<'_>, series: &SeriesRow) -> bool {
    if !case.heeds(Mark::UnknownAttachments) {
        return false;
    }
    known(&case.once.unknown_named, series, || find_unknown_named(case, series))
}

fn find_unknown_named(case: &Case<'_>, series: &SeriesRow) -> bool {
    let attachments = &case[series.attachments];
    let is_planned = |id: Str| place_of(case, attachments, case.text(id), 0).is_some();
    let planned_there = |event: &AttachmentEventRow| {
        let there = series_numbered(case, event.series).map(|(_, other)| &case[other.attachments]);
        there.is_some_and(|there| place_of(case, there, case.text(event.attachment), 0).is_some())
    };
    let stray = |event: &AttachmentEventRow| {
        (event.series == series.number || is_planned(event.attachment)) && !planned_there(event)
    };
    let seen = case[case.check_ins].iter().filter(|check_in| check_in.series == series.number);
    case[case.attachment_events].iter().any(stray)
        || seen.flat_map(|check_in| &case[check_in.attachments_debonded]).any(|id| !is_planned(*id))
}
