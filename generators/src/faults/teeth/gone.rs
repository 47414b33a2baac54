//! Teeth that are named though they are not there: most often a digit was mistyped.

use oar_schema::norms::eruption;
use oar_schema::record::{ElasticPattern, Record};
use oar_schema::teeth::{Tooth, ToothSet};
use oar_schema::time::Date;

use super::super::record_queries::{
    age_at_start, extracted, fitted, listed, moved, movement_at, movements, replaced, same_quadrant,
};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// Teeth of the quadrant that were not there at the start, and the primary one in the place of the tooth, unless
/// anything names them.
fn gone_like(record: &Record, tooth: Tooth, from_the_start: bool) -> ToothSet {
    let primary = listed(record.dentition.primary.as_ref());
    let named = primary.union(replaced(record)).union(extracted(record)).union(moved(record)).union(fitted(record));
    let absent = record.dentition.absent.iter().copied();
    let absent = absent.filter(|other| from_the_start && same_quadrant(*other, tooth));
    let shed = tooth.predecessor().filter(|_| !tooth.is_primary());
    absent.chain(shed).collect::<ToothSet>().difference(named)
}

/// Sets a tooth to one of several; the choices are the ways to a tooth with the tooth that is meant to stand there.
fn mistype(draft: &mut Draft<'_>, stream: &mut RandomStream, choices: &[(String, ToothSet)]) -> Option<FaultLocation> {
    let some: Vec<_> = choices.iter().filter(|(_, teeth)| !teeth.is_empty()).collect();
    let (pointer, teeth) = stream.one_of(&some)?;
    let teeth: Vec<Tooth> = teeth.iter().collect();
    draft.set(pointer, stream.one_of(&teeth)?.fdi())?;
    Some(pointer.as_str().into())
}

/// 48 for 47, or 83 for 43.
pub(super) fn absent_tooth_moved(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let choices: Vec<_> = movements(draft.clean)
        .into_iter()
        .map(|(i, j, movement)| {
            (format!("{}/tooth", movement_at(i, j)), gone_like(draft.clean, movement.tooth, i == 0))
        })
        .collect();
    mistype(draft, stream, &choices)
}

/// Whether an attachment of only one series stands on a tooth.
fn has_one_attachment(record: &Record, tooth: Tooth) -> bool {
    let attachments = record.series.iter().flat_map(|series| series.attachments.iter().flatten());
    attachments.filter(|attachment| attachment.tooth == tooth).count() == 1
}

pub(super) fn absent_tooth_with_attachment(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let mut choices = Vec::new();
    for (i, series) in record.series.iter().enumerate() {
        for (j, attachment) in series.attachments.iter().flatten().enumerate() {
            let tooth = attachment.tooth;
            if has_one_attachment(record, tooth) {
                let gone = gone_like(record, tooth, i == 0).union(taken_out(record, tooth, series.scanned_on));
                choices.push((format!("/series/{i}/attachments/{j}/tooth"), gone));
            }
        }
    }
    mistype(draft, stream, &choices)
}

/// Teeth of the quadrant that were taken out before a day, unless a series moves them or they carry anything.
fn taken_out(record: &Record, tooth: Tooth, day: Option<Date>) -> ToothSet {
    let before = record.dentition.extracted.iter().flatten().filter(|row| day.is_some_and(|day| row.on < day));
    let near = before.map(|row| row.tooth).filter(|other| same_quadrant(*other, tooth));
    near.collect::<ToothSet>().difference(moved(record).union(fitted(record)))
}

pub(super) fn elastic_on_absent_tooth(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let mut choices = Vec::new();
    for (i, series) in record.series.iter().enumerate() {
        for (j, elastic) in series.elastics.iter().flatten().enumerate() {
            let (upper, lower) = (elastic.upper_tooth, elastic.lower_tooth);
            for (field, tooth, other) in [("upper_tooth", upper, lower), ("lower_tooth", lower, upper)] {
                let gone = gone_like(record, tooth, i == 0).union(taken_out(record, tooth, series.scanned_on));
                let before = (elastic.pattern == ElasticPattern::ClassII) == (field == "upper_tooth");
                let pulls = |gone: &Tooth| (gone.position() < other.position()) == before;
                let differ = |gone: &Tooth| gone.position() != other.position();
                let gone = gone.iter().filter(pulls).filter(differ).collect();
                if matches!(elastic.pattern, ElasticPattern::ClassII | ElasticPattern::ClassIII) {
                    choices.push((format!("/series/{i}/elastics/{j}/{field}"), gone));
                }
            }
        }
    }
    mistype(draft, stream, &choices)
}

pub(super) fn absent_tooth_measured(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, series) in draft.clean.series.iter().enumerate() {
        for (j, movement) in series.achieved.iter().flat_map(|achieved| &achieved.movements).enumerate() {
            let pointer = format!("/series/{i}/achieved/movements/{j}/tooth");
            choices.push((pointer, gone_like(draft.clean, movement.tooth, i == 0)));
        }
    }
    mistype(draft, stream, &choices)
}

/// Whether a tooth that was not there at the start cannot have come through since.
fn never_comes(draft: &Draft<'_>, tooth: Tooth) -> bool {
    let (youngest, _) = age_at_start(draft.clean);
    let late = eruption(tooth).is_some_and(|ages| youngest >= i64::from(ages.to) + draft.limits.late_years);
    tooth.is_primary() || (late && !tooth.kind().is_canine())
}

pub(super) fn absent_tooth_seen(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let mut choices = Vec::new();
    for (i, check_in) in record.check_ins.iter().flatten().enumerate() {
        let day = check_in.at.written_date().plus_days(-1);
        let seen: ToothSet = check_in.fit_gaps.iter().flatten().map(|gap| gap.tooth).collect();
        for (j, gap) in check_in.fit_gaps.iter().flatten().enumerate() {
            let gone = gone_like(record, gap.tooth, true).iter().filter(|tooth| never_comes(draft, *tooth));
            let gone = gone.chain(taken_out_by(record, gap.tooth, day).iter()).collect::<ToothSet>();
            choices.push((format!("/check_ins/{i}/fit_gaps/{j}/tooth"), gone.difference(seen)));
        }
    }
    mistype(draft, stream, &choices)
}

/// Teeth of the quadrant that were taken out before a day.
fn taken_out_by(record: &Record, tooth: Tooth, day: Date) -> ToothSet {
    let before = record.dentition.extracted.iter().flatten().filter(|row| row.on < day);
    before.map(|row| row.tooth).filter(|other| same_quadrant(*other, tooth)).collect()
}

/// The neighbour of a tooth that was extracted, with its number.
pub(super) fn extracted_tooth_moved(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let round = |tooth: Tooth| tooth.kind().is_canine() || tooth.kind().is_premolar();
    let mut choices = Vec::new();
    for (i, j, movement) in movements(record) {
        let out = taken_out(record, movement.tooth, record.series[i].scanned_on);
        if round(movement.tooth) {
            choices.push((format!("{}/tooth", movement_at(i, j)), out));
        }
    }
    mistype(draft, stream, &choices)
}
