//! Lists of the dentition that do not fit each other, the patient's age or the plan.

use oar_schema::norms::eruption;
use oar_schema::record::Record;
use oar_schema::teeth::{Tooth, ToothSet};
use serde_json::json;

use super::super::record_queries::{
    age_at_start, axes, extracted, listed, moved, movement_at, movements, natural, replaced, same_quadrant, standing,
};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// Adds a tooth to a list of the dentition that may be left out, at the end. Gives its pointer.
fn add_to(draft: &mut Draft<'_>, list: &str, tooth: Tooth) -> Option<String> {
    let pointer = format!("/dentition/{list}");
    let count = draft.get(&pointer).and_then(|list| list.as_array()).map(Vec::len);
    match count {
        Some(count) => draft.insert(&format!("{pointer}/{count}"), tooth.fdi())?,
        None => draft.set(&pointer, json!([tooth.fdi()]))?,
    }
    Some(format!("{pointer}/{}", count.unwrap_or_default()))
}

/// An entry of the absent teeth that stands there twice, or a width with the number of another tooth.
pub(super) fn tooth_listed_twice(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let absent = &draft.clean.dentition.absent;
    let widths = draft.clean.dentition.crown_widths.as_ref().map_or(0, Vec::len);
    if !absent.is_empty() && (widths < 2 || stream.chance(0.5)) {
        let last = i32::try_from(absent.len()).ok()? - 1;
        let from = stream.whole(0, last);
        let to = stream.whole(from, last) + 1;
        let pointer = format!("/dentition/absent/{to}");
        draft.insert(&pointer, absent[from as usize].fdi())?;
        return Some(pointer.into());
    }
    let last = i32::try_from(widths).ok()? - 1;
    if last < 1 {
        return None;
    }
    let (one, by) = (stream.whole(0, last), stream.whole(1, last));
    let other = (one + by) % (last + 1);
    let number = draft.get(&format!("/dentition/crown_widths/{other}/tooth"))?.clone();
    draft.set(&format!("/dentition/crown_widths/{one}/tooth"), number)?;
    Some(format!("/dentition/crown_widths/{}/tooth", one.max(other)).into())
}

/// 13 for 53, whether or not 53 is there.
pub(super) fn permanent_tooth_in_primary(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let primary = draft.clean.dentition.primary.as_deref().unwrap_or_default();
    if let Some(tooth) = stream.one_of(primary) {
        let at = primary.iter().position(|other| other == tooth)?;
        let pointer = format!("/dentition/primary/{at}");
        draft.set(&pointer, tooth.successor()?.fdi())?;
        return Some(pointer.into());
    }
    let successors: Vec<Tooth> = natural(draft.clean).iter().filter(|tooth| tooth.predecessor().is_some()).collect();
    let tooth = *stream.one_of(&successors)?;
    add_to(draft, "primary", tooth).map(FaultLocation::from)
}

/// The first movement of each tooth that moves, unless it carries a movement of nothing.
fn first_movements(record: &Record) -> Vec<(usize, usize, Tooth)> {
    let mut seen = ToothSet::new();
    let first = movements(record).into_iter().filter(|(_, _, movement)| axes(movement) != [0; 6]);
    first.map(|(i, j, movement)| (i, j, movement.tooth)).filter(|(_, _, tooth)| seen.insert(*tooth)).collect()
}

/// Either a natural tooth that is listed among those that cannot move, or a movement with the number of one that is.
fn immovable_moved(
    draft: &mut Draft<'_>,
    stream: &mut RandomStream,
    list: &str,
    teeth: ToothSet,
) -> Option<FaultLocation> {
    let record = draft.clean;
    let near = |tooth: Tooth| teeth.iter().filter(move |other| same_quadrant(*other, tooth));
    let mistyped: Vec<(usize, usize, Tooth)> = movements(record)
        .into_iter()
        .flat_map(|(i, j, movement)| near(movement.tooth).map(move |other| (i, j, other)))
        .collect();
    if let Some((i, j, other)) = stream.one_of(&mistyped) {
        let pointer = format!("{}/tooth", movement_at(*i, *j));
        draft.set(&pointer, other.fdi())?;
        return Some(pointer.into());
    }
    let natural = natural(record);
    let first: Vec<_> = first_movements(record).into_iter().filter(|(_, _, tooth)| natural.contains(*tooth)).collect();
    let (i, j, tooth) = *stream.one_of(&first)?;
    add_to(draft, list, tooth)?;
    Some(format!("{}/tooth", movement_at(i, j)).into())
}

pub(super) fn implant_moved(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let implants = listed(draft.clean.dentition.implants.as_ref());
    immovable_moved(draft, stream, "implants", implants)
}

pub(super) fn pontic_moved(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let pontics = listed(draft.clean.dentition.pontics.as_ref());
    immovable_moved(draft, stream, "pontics", pontics)
}

/// A primary tooth that fell out is still listed; or its successor, which waits beneath, is not.
pub(super) fn primary_beside_successor(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let primary = record.dentition.primary.as_deref().unwrap_or_default();
    let waits =
        |tooth: &Tooth| tooth.successor().and_then(|it| record.dentition.absent.iter().position(|at| *at == it));
    let forgotten: Vec<(usize, usize)> =
        primary.iter().enumerate().filter_map(|(at, tooth)| Some((at, waits(tooth)?))).collect();
    if let Some((at, successor)) = stream.one_of(&forgotten) {
        draft.remove(&format!("/dentition/absent/{successor}"))?;
        return Some(format!("/dentition/primary/{at}").into());
    }
    let successors: Vec<Tooth> = natural(record).iter().filter_map(Tooth::predecessor).collect();
    let tooth = *stream.one_of(&successors)?;
    add_to(draft, "primary", tooth).map(FaultLocation::from)
}

/// A primary tooth in the place of one that a grown patient lacks, though it fell out long ago.
pub(super) fn primary_tooth_in_adult(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    if age_at_start(record).0 < draft.limits.retained_years || !listed(record.dentition.primary.as_ref()).is_empty() {
        return None;
    }
    let elsewhere = replaced(record).union(extracted(record)).union(moved(record));
    let absent = record.dentition.absent.iter().filter(|tooth| !elsewhere.contains(**tooth));
    let free = absent.filter(|tooth| !is_bridged(record, **tooth));
    let primary: Vec<Tooth> = free.filter_map(|tooth| tooth.predecessor()).collect();
    let tooth = *stream.one_of(&primary)?;
    add_to(draft, "primary", tooth).map(FaultLocation::from)
}

/// Whether enamel is removed between the neighbours of an absent tooth.
fn is_bridged(record: &Record, tooth: Tooth) -> bool {
    let planned =
        record.series.iter().flat_map(|series| series.interproximal_reductions.iter().flatten()).map(|it| it.between);
    let done = record
        .appointments
        .iter()
        .flatten()
        .flat_map(|visit| visit.interproximal_reductions.iter().flatten())
        .map(|it| it.between);
    let slot = super::super::record_queries::slot;
    planned.chain(done).any(|[one, other]| {
        one.arch() == tooth.arch() && (slot(one).min(slot(other))..slot(one).max(slot(other))).contains(&slot(tooth))
    })
}

/// One third molar of a child is not listed as absent, or none of them is.
pub(super) fn early_tooth(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let (_, oldest) = age_at_start(record);
    let early = |tooth: Tooth| {
        eruption(tooth).is_some_and(|ages| oldest + 1 + draft.limits.early_years <= i64::from(ages.from))
    };
    let none_early = !natural(record).iter().any(early);
    let third: Vec<Tooth> = record.dentition.absent.iter().copied().filter(|tooth| tooth.position() == 8).collect();
    if !none_early || third.is_empty() || !third.iter().all(|tooth| early(*tooth)) {
        return None;
    }
    let forgotten = if stream.chance(0.5) { third.clone() } else { vec![*stream.one_of(&third)?] };
    let kept = record.dentition.absent.iter().filter(|tooth| !forgotten.contains(tooth));
    let kept: Vec<u8> = kept.map(|tooth| tooth.fdi()).collect();
    debug_assert!(!standing(record).contains(forgotten[0]));
    draft.set("/dentition/absent", kept)?;
    Some("/dentition/absent".into())
}
