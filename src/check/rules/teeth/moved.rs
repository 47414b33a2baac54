//! Movements of teeth that cannot be moved: missing teeth, implants, pontics, extracted teeth.

use oar_schema::record::{ExtractionRow, SeriesRow};
use oar_schema::teeth::{Tooth, ToothSet};
use oar_schema::time::Date;

use super::Mouth;
use super::ages::may_erupt;
use crate::check::args::{Args, args};
use crate::check::case::Case;
use crate::check::case::movements::{moves, moves_after};
use crate::check::found::{Found, Stated};
use crate::check::path::{Path, at};

/// Adds one finding for all movements of a tooth in the series that `faulty` selects, at the first of them.
fn tell<'f>(
    case: &Case<'_>,
    found: &'f mut Found,
    tooth: Tooth,
    args: impl FnOnce(Tooth) -> Args,
    faulty: impl Fn(usize, &SeriesRow) -> bool,
) -> Option<&'f mut Stated> {
    let places = places(case, ToothSet::from_iter([tooth]), |i, series, _| faulty(i, series));
    tell_together(found, places, args)
}

/// The movements of some teeth in the series that `faulty` selects.
fn places(case: &Case<'_>, teeth: ToothSet, faulty: impl Fn(usize, &SeriesRow, Tooth) -> bool) -> Vec<(Tooth, Path)> {
    let mut places = Vec::new();
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, movement) in case[series.movements].iter().enumerate() {
            let tooth = movement.tooth;
            if teeth.contains(tooth) && moves(movement) && faulty(i, series, tooth) {
                places.push((tooth, at!["series", i, "movements", j, "tooth"]));
            }
        }
    }
    places
}

/// Adds one finding for all places that name teeth: at the first of them, with the others related and their teeth
/// counted.
pub(super) fn tell_together(
    found: &mut Found,
    places: Vec<(Tooth, Path)>,
    args: impl FnOnce(Tooth) -> Args,
) -> Option<&mut Stated> {
    let others = places.iter().map(|(tooth, _)| *tooth).collect::<ToothSet>().len().saturating_sub(1);
    let mut places = places.into_iter();
    let (tooth, path) = places.next()?;
    let mut args = args(tooth);
    if others > 0 {
        args.extend(args!["others" = others]);
    }
    let stated = found.add(path, args);
    for (_, place) in places {
        stated.related(place);
    }
    Some(stated)
}

/// Whether the series at `i` cannot name a tooth that was missing at the start. A permanent tooth may have erupted
/// before the scan of a later series. `tooth_listed_twice` reports one that cannot have erupted and has a measured
/// crown.
pub(super) fn is_gone_in(case: &Case<'_>, tooth: Tooth, i: usize) -> bool {
    if tooth.is_primary() {
        return true;
    }
    if may_erupt(case, tooth) { i == 0 } else { !is_measured(case, tooth) }
}

/// Whether the width of its crown is listed.
pub(super) fn is_measured(case: &Case<'_>, tooth: Tooth) -> bool {
    case[case.dentition.crown_widths].iter().any(|row| row.tooth == tooth)
}

/// The arguments of a finding about a missing tooth.
pub(super) fn gone_args(mouth: &Mouth, tooth: Tooth) -> Args {
    if mouth.absent.contains(tooth) {
        args!["tooth" = tooth, "list" = "absent"]
    } else {
        args!["primary" = tooth, "name" = tooth.name()]
    }
}

pub(super) fn absent_tooth_moved(case: &Case<'_>, found: &mut Found) {
    let mouth = Mouth::of(case);
    if case.moved.intersection(mouth.gone()).is_empty() {
        return;
    }
    for teeth in [mouth.unlisted(), mouth.listed_absent()].map(|teeth| teeth.intersection(case.moved)) {
        if !mouth.is_slip(case, teeth) {
            let places = places(case, teeth, |i, _, tooth| is_gone_in(case, tooth, i));
            tell_together(found, places, |tooth| gone_args(&mouth, tooth));
        }
    }
}

pub(super) fn implant_moved(case: &Case<'_>, found: &mut Found) {
    if case[case.dentition.implants].is_empty() {
        return;
    }
    let mouth = Mouth::of(case);
    for tooth in case.moved.intersection(mouth.implants.difference(mouth.extracted)) {
        tell(case, found, tooth, |tooth| args!["tooth" = tooth], |_, _| true);
    }
}

pub(super) fn pontic_moved(case: &Case<'_>, found: &mut Found) {
    if case[case.dentition.pontics].is_empty() {
        return;
    }
    let mouth = Mouth::of(case);
    let pontics = mouth.pontics.difference(mouth.extracted.union(mouth.implants));
    for tooth in case.moved.intersection(pontics) {
        tell(case, found, tooth, |tooth| args!["tooth" = tooth], |_, _| true);
    }
}

pub(super) fn extracted_tooth_moved(case: &Case<'_>, found: &mut Found) {
    let extracted = &case[case.dentition.extracted];
    for (i, extraction) in extracted.iter().enumerate() {
        let ExtractionRow { tooth, on } = *extraction;
        let twice = || extracted.iter().filter(|other| other.tooth == tooth).count() > 1;
        if case.moved.contains(tooth) && !twice() {
            let args = |tooth| args!["tooth" = tooth, "on" = on];
            let stated = tell(case, found, tooth, args, |_, series| moves_after(case, series, tooth, on));
            stated.map(|stated| stated.related(at!["dentition", "extracted", i]));
        }
    }
}

/// The day of a tooth's extraction, if that was before the scan.
pub(super) fn extracted_before(case: &Case<'_>, tooth: Tooth, scan: Option<Date>) -> Option<Date> {
    let extracted = case[case.dentition.extracted].iter().find(|row| row.tooth == tooth)?;
    scan.filter(|scan| case.out_of_order(*scan, extracted.on)).map(|_| extracted.on)
}
