//! Attachments on missing teeth, and teeth that a check-in cannot have observed.

use oar_schema::record::{CheckInRow, ObservationKind};
use oar_schema::teeth::{Tooth, ToothSet};

use super::Mouth;
use super::ages::may_erupt;
use super::fitted::{ToothUse, is_extraction_told, is_told_before, tell_gone};
use super::moved::{extracted_before, gone_args, is_gone_in, is_measured, tell_together};
use crate::check::case::appointments::agrees_with_worn;
use crate::check::rules::prelude::*;

pub(super) fn absent_tooth_with_attachment(case: &Case<'_>, found: &mut Found) {
    let mouth = Mouth::of(case);
    let mut told = ToothSet::new();
    let (mut unlisted, mut absent) = (Vec::new(), Vec::new());
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, attachment) in case[series.attachments].iter().enumerate() {
            let (tooth, path) = (attachment.tooth, || at!["series", i, "attachments", j, "tooth"]);
            if case.moved.contains(tooth) {
                continue;
            }
            if mouth.gone().contains(tooth) {
                let places = if mouth.absent.contains(tooth) { &mut absent } else { &mut unlisted };
                places.extend(is_gone_in(case, tooth, i).then(|| (tooth, path())));
            } else if let Some(on) = extracted_before(case, tooth, series.scanned_on).filter(|_| told.insert(tooth)) {
                found.add(path(), args!["tooth" = tooth, "on" = on]);
            }
        }
    }
    let teeth = unlisted.iter().map(|(tooth, _)| *tooth).collect();
    if mouth.unlisted().intersection(case.moved).is_empty() && !mouth.is_slip(case, teeth) {
        tell_together(found, unlisted, |tooth| gone_args(&mouth, tooth));
    }
    tell_together(found, absent, |tooth| gone_args(&mouth, tooth));
}

pub(super) fn absent_tooth_seen(case: &Case<'_>, found: &mut Found) {
    let mouth = Mouth::of(case);
    let suspects = mouth.gone().union(mouth.extracted);
    let mut unseen: Vec<(Tooth, Path)> = Vec::new();
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        each_seen(case, check_in, suspects, |tooth, list, j| {
            if is_hidden(case, &mouth, check_in, tooth) && !is_told_elsewhere(case, &mouth, tooth) {
                unseen.push((tooth, at!["check_ins", i, list, j, "tooth"]));
            }
        });
    }
    if !unseen.is_empty() {
        tell_unseen(case, found, &mouth, &unseen);
    }
}

/// Adds one finding for the unlisted primary teeth, one for the absent teeth, and one for each extracted tooth.
fn tell_unseen(case: &Case<'_>, found: &mut Found, mouth: &Mouth, unseen: &[(Tooth, Path)]) {
    tell_gone(case, found, mouth, unseen);
    for extracted in &case[case.dentition.extracted] {
        let places = unseen.iter().filter(|(tooth, _)| *tooth == extracted.tooth).cloned().collect();
        tell_together(found, places, |tooth| args!["tooth" = tooth, "on" = extracted.on]);
    }
}

/// Calls `visit` with each of the suspected teeth that a check-in observed, with the list and the entry. A tray can
/// crack and gums can swell where no tooth is. But a gap and a lifting tray are observed at a tooth, and an unlisted
/// primary tooth is mistyped in any case.
fn each_seen(
    case: &Case<'_>,
    check_in: &CheckInRow,
    suspects: ToothSet,
    mut visit: impl FnMut(Tooth, &'static str, usize),
) {
    for (j, gap) in case[check_in.fit_gaps].iter().enumerate() {
        if suspects.contains(gap.tooth) {
            visit(gap.tooth, "fit_gaps", j);
        }
    }
    for (j, seen) in case[check_in.observations].iter().enumerate() {
        if let Some(tooth) = seen.tooth.filter(|tooth| suspects.contains(*tooth))
            && (seen.what == ObservationKind::NotSeated || tooth.is_primary())
        {
            visit(tooth, "observations", j);
        }
    }
}

/// Whether a tooth cannot be observed at a check-in. A check-in that names another tray than the one worn may have the
/// wrong day.
fn is_hidden(case: &Case<'_>, mouth: &Mouth, check_in: &CheckInRow, tooth: Tooth) -> bool {
    if !mouth.extracted.contains(tooth) {
        return tooth.is_primary() || !(may_erupt(case, tooth) || is_measured(case, tooth));
    }
    let mut extracted = case[case.dentition.extracted].iter().filter(|row| row.tooth == tooth);
    let day = case.day_of(check_in.at);
    let only = extracted.next().filter(|_| extracted.next().is_none());
    only.is_some_and(|row| case.out_of_order(day, row.on)) && agrees_with_worn(case, check_in)
}

/// Whether the tooth is reported elsewhere: where it is moved or measured, or has an attachment or an elastic.
fn is_told_elsewhere(case: &Case<'_>, mouth: &Mouth, tooth: Tooth) -> bool {
    if mouth.extracted.contains(tooth) {
        is_extraction_told(case, tooth)
    } else {
        is_told_before(case, mouth, tooth, ToothUse::Observation)
    }
}
