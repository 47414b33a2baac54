//! Attachments on teeth that are not there, and teeth that a check-in cannot have seen.

use oar_schema::record::{CheckInRow, Sight};
use oar_schema::teeth::{Tooth, ToothSet};
use oar_schema::time::Date;

use super::Mouth;
use super::ages::may_erupt;
use super::moved::{gone_args, is_gone_in, is_measured, moves_after};
use crate::case::Case;
use crate::finding::{Args, Path, args, at};
use crate::rule::Found;

pub(super) fn absent_tooth_with_attachment(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    let mouth = Mouth::of(case);
    let gone = mouth.gone();
    let mut told = ToothSet::new();
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, attachment) in case[series.attachments].iter().enumerate() {
            let tooth = attachment.tooth;
            let args = if gone.contains(tooth) {
                is_gone_in(case, tooth, i).then(|| gone_args(&mouth, tooth))
            } else if mouth.extracted.contains(tooth) {
                extracted_before(case, tooth, series.scanned_on).map(|on| args!["tooth" = tooth, "on" = on])
            } else {
                None
            };
            if let Some(args) = args
                && !case.moved.contains(tooth)
                && told.insert(tooth)
            {
                found.add(at!["series", i, "attachments", j, "tooth"], args);
            }
        }
    }
}

/// The day on which a tooth was taken out, if that was before the scan.
fn extracted_before(case: &Case<'_>, tooth: Tooth, scan: Option<Date>) -> Option<Date> {
    let extracted = case[case.dentition.extracted].iter().find(|row| row.tooth == tooth)?;
    scan.filter(|scan| case.out_of_order(*scan, extracted.on)).map(|_| extracted.on)
}

pub(super) fn absent_tooth_seen(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    let mouth = Mouth::of(case);
    let suspects = mouth.gone().union(mouth.extracted);
    let mut told = ToothSet::new();
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        each_seen(case, check_in, suspects, |tooth, list, j| {
            if let Some(args) = unseen_args(case, &mouth, check_in, tooth)
                && !is_told_elsewhere(case, &mouth, tooth)
                && told.insert(tooth)
            {
                let stated = found.add(at!["check_ins", i, list, j, "tooth"], args);
                for place in later(case, &mouth, tooth, i) {
                    stated.related(place);
                }
            }
        });
    }
}

/// Calls `visit` with each of the suspected teeth that a check-in saw, with the list and the entry. A tray can crack, and
/// gum can swell, where no tooth is; but a gap and a lifting tray are seen at a tooth, and a primary tooth that is not
/// listed is mistyped anyway.
fn each_seen(
    case: &Case<'_>,
    check_in: &CheckInRow,
    suspects: ToothSet,
    mut visit: impl FnMut(Tooth, &'static str, usize),
) {
    for (j, gap) in case[check_in.gaps].iter().enumerate() {
        if suspects.contains(gap.tooth) {
            visit(gap.tooth, "gaps", j);
        }
    }
    for (j, seen) in case[check_in.seen].iter().enumerate() {
        if let Some(tooth) = seen.tooth.filter(|tooth| suspects.contains(*tooth))
            && (seen.what == Sight::TrayLifting || tooth.is_primary())
        {
            visit(tooth, "seen", j);
        }
    }
}

/// Why a tooth cannot be seen at a check-in, if it cannot.
fn unseen_args(case: &Case<'_>, mouth: &Mouth, check_in: &CheckInRow, tooth: Tooth) -> Option<Args> {
    if !mouth.extracted.contains(tooth) {
        let hidden = tooth.is_primary() || !(may_erupt(case, tooth) || is_measured(case, tooth));
        return hidden.then(|| gone_args(mouth, tooth));
    }
    let extracted = case[case.dentition.extracted].iter().find(|row| row.tooth == tooth)?;
    let after = case.out_of_order(case.day_of(check_in.at), extracted.on);
    after.then(|| args!["tooth" = tooth, "on" = extracted.on])
}

/// Whether a movement or an attachment of the tooth is told already.
fn is_told_elsewhere(case: &Case<'_>, mouth: &Mouth, tooth: Tooth) -> bool {
    if !mouth.extracted.contains(tooth) {
        let mut attachments = case[case.series].iter().flat_map(|series| &case[series.attachments]);
        return case.moved.contains(tooth) || attachments.any(|attachment| attachment.tooth == tooth);
    }
    let extracted = case[case.dentition.extracted].iter().filter(|row| row.tooth == tooth);
    extracted.into_iter().any(|row| case[case.series].iter().any(|series| moves_after(case, series, tooth, row.on)))
}

/// The places where check-ins after the one at `i` say that they saw the tooth.
fn later(case: &Case<'_>, mouth: &Mouth, tooth: Tooth, i: usize) -> Vec<Path> {
    let mut places = Vec::new();
    let only = ToothSet::from_iter([tooth]);
    for (later, check_in) in case[case.check_ins].iter().enumerate().skip(i + 1) {
        if unseen_args(case, mouth, check_in, tooth).is_some() {
            each_seen(case, check_in, only, |_, list, j| places.push(at!["check_ins", later, list, j, "tooth"]));
        }
    }
    places
}
