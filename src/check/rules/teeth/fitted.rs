//! Elastics on missing teeth, and measured movements of missing teeth.
//!
//! A missing tooth may be named in many places. It is reported only in the first kind of place: movements, attachments,
//! elastics, measured movements, check-ins.

use oar_schema::teeth::{Tooth, ToothSet};

use super::Mouth;
use super::moved::{extracted_before, gone_args, is_gone_in, tell_together};
use crate::check::case::elastics::hangs_as_its_pattern_says;
use crate::check::case::movements::moves_after;
use crate::check::rules::prelude::*;

/// Kinds of places that name teeth, in the order in which a missing tooth is reported in them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum ToothUse {
    Elastics,
    Measured,
    Observation,
}

/// Whether an earlier kind of place names the tooth or, for an unlisted primary tooth, any such tooth.
pub(super) fn is_told_before(case: &Case<'_>, mouth: &Mouth, tooth: Tooth, place: ToothUse) -> bool {
    let unlisted = mouth.unlisted();
    let same = if unlisted.contains(tooth) { unlisted } else { ToothSet::from_iter([tooth]) };
    let mut named = case.moved;
    for series in &case[case.series] {
        named.extend(case[series.attachments].iter().map(|row| row.tooth));
        if place > ToothUse::Elastics {
            named.extend(case[series.elastics].iter().flat_map(|row| [row.upper_tooth, row.lower_tooth]));
        }
        if place > ToothUse::Measured {
            let achieved = series.achieved.as_ref().map(|achieved| achieved.movements);
            named.extend(case[achieved].iter().map(|row| row.tooth));
        }
    }
    !named.intersection(same).is_empty()
}

/// Adds one finding for the unlisted primary teeth, and one for the absent teeth.
pub(super) fn tell_gone(case: &Case<'_>, found: &mut Found, mouth: &Mouth, places: &[(Tooth, Path)]) {
    for teeth in [mouth.unlisted(), mouth.listed_absent()] {
        let own: Vec<(Tooth, Path)> = places.iter().filter(|(tooth, _)| teeth.contains(*tooth)).cloned().collect();
        if !mouth.is_slip(case, own.iter().map(|(tooth, _)| *tooth).collect()) {
            tell_together(found, own, |tooth| gone_args(mouth, tooth));
        }
    }
}

pub(super) fn elastic_on_absent_tooth(case: &Case<'_>, found: &mut Found) {
    if case[case.series].iter().all(|series| case[series.elastics].is_empty()) {
        return;
    }
    let mouth = Mouth::of(case);
    let (mut gone, mut told) = (Vec::new(), ToothSet::new());
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, elastic) in case[series.elastics].iter().enumerate() {
            for (tooth, field) in [(elastic.upper_tooth, "upper_tooth"), (elastic.lower_tooth, "lower_tooth")] {
                let path = || at!["series", i, "elastics", j, field];
                if !mouth.may_be_missing(tooth)
                    || (case.heeds(Mark::Elastics) && !hangs_as_its_pattern_says(elastic))
                    || is_told_before(case, &mouth, tooth, ToothUse::Elastics)
                {
                    continue;
                }
                if let Some(on) = extracted_before(case, tooth, series.scanned_on) {
                    if told.insert(tooth) {
                        found.add(path(), args!["tooth" = tooth, "on" = on]);
                    }
                } else if mouth.gone().contains(tooth) && is_gone_in(case, tooth, i) {
                    gone.push((tooth, path()));
                }
            }
        }
    }
    tell_gone(case, found, &mouth, &gone);
}

pub(super) fn absent_tooth_measured(case: &Case<'_>, found: &mut Found) {
    let mouth = Mouth::of(case);
    let (mut gone, mut told) = (Vec::new(), ToothSet::new());
    for (i, series) in case[case.series].iter().enumerate() {
        let Some(achieved) = &series.achieved else { continue };
        for (j, movement) in case[achieved.movements].iter().enumerate() {
            let (tooth, path) = (movement.tooth, || at!["series", i, "achieved", "movements", j, "tooth"]);
            if !mouth.may_be_missing(tooth) {
                continue;
            }
            if let Some(on) = extracted_before(case, tooth, Some(achieved.on)) {
                if !is_moved_after(case, tooth) && told.insert(tooth) {
                    found.add(path(), args!["tooth" = tooth, "on" = on]);
                }
            } else if mouth.gone().contains(tooth)
                && is_gone_in(case, tooth, i)
                && !is_told_before(case, &mouth, tooth, ToothUse::Measured)
            {
                gone.push((tooth, path()));
            }
        }
    }
    tell_gone(case, found, &mouth, &gone);
}

/// Whether a series moves the tooth after its extraction.
fn is_moved_after(case: &Case<'_>, tooth: Tooth) -> bool {
    let mut extracted = case[case.dentition.extracted].iter().filter(|row| row.tooth == tooth);
    extracted.any(|row| case[case.series].iter().any(|series| moves_after(case, series, tooth, row.on)))
}

/// Whether planned or measured movements of an extracted tooth are reported.
pub(super) fn is_extraction_told(case: &Case<'_>, tooth: Tooth) -> bool {
    let measured_after = case[case.series].iter().filter_map(|series| series.achieved.as_ref()).any(|achieved| {
        let measured = case[achieved.movements].iter().any(|row| row.tooth == tooth);
        measured && extracted_before(case, tooth, Some(achieved.on)).is_some()
    });
    measured_after || is_moved_after(case, tooth)
}
