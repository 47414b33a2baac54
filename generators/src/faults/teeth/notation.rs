//! Tooth numbers that are written in another notation.

use std::collections::BTreeSet;

use oar_schema::teeth::{Tooth, ToothSet};

use super::super::field_locations::all_teeth;
use super::super::record_queries::{listed, moved};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// This many different numbers that are not FDI numbers show another notation; fewer may be typing errors.
const LEAST_NUMBERS: usize = 4;
/// Numbers up to this one may be positions within a quadrant.
const POSITIONS: u64 = 8;
/// So many third molars among the absent teeth do.
const LEAST_THIRD_MOLARS: usize = 3;

/// The number of a permanent tooth in the Universal notation.
fn in_universal(tooth: u64) -> Option<u64> {
    Tooth::new(u8::try_from(tooth).ok()?)?.universal().parse().ok()
}

fn is_fdi(number: u64) -> bool {
    u8::try_from(number).is_ok_and(|number| Tooth::new(number).is_some())
}

/// Every number in the Universal notation, or every one with its digits swapped.
pub(super) fn other_notation(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let teeth = all_teeth(&draft.tree);
    if !listed(draft.clean.dentition.primary.as_ref()).is_empty() || teeth.len() < 3 {
        return None;
    }
    if stream.chance(0.5) { to_universal(draft, &teeth) } else { to_swapped(draft, &teeth) }
}

fn rewrite(draft: &mut Draft<'_>, teeth: &[(String, u64)], write: impl Fn(u64) -> Option<u64>) -> Option<()> {
    let numbers: Vec<u64> = teeth.iter().map(|(_, tooth)| write(*tooth)).collect::<Option<_>>()?;
    for ((pointer, _), number) in teeth.iter().zip(numbers) {
        draft.set(pointer, number)?;
    }
    Some(())
}

/// The list of teeth, or of entries with teeth, that a pointer leads into.
fn list_of(pointer: &str) -> &str {
    let entry = pointer.split("/between/").next().unwrap_or(pointer);
    let is_place = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let mut ends = entry.match_indices('/').map(|(at, _)| at).collect::<Vec<_>>();
    ends.push(entry.len());
    let last = ends.windows(2).rev().find(|pair| is_place(&entry[pair[0] + 1..pair[1]]));
    last.map_or("", |pair| &entry[..pair[0]])
}

fn to_universal(draft: &mut Draft<'_>, teeth: &[(String, u64)]) -> Option<FaultLocation> {
    let is_foreign = |tooth: u64| in_universal(tooth).is_some_and(|number| !is_fdi(number));
    let foreign: Vec<&(String, u64)> = teeth.iter().filter(|(_, tooth)| is_foreign(*tooth)).collect();
    let first = foreign.first()?.0.clone();
    let numbers: BTreeSet<u64> = foreign.iter().filter_map(|(_, tooth)| in_universal(*tooth)).collect();
    let lists: BTreeSet<&str> = foreign.iter().map(|(pointer, _)| list_of(pointer)).collect();
    if numbers.len() < LEAST_NUMBERS || numbers.last().is_none_or(|most| *most <= POSITIONS) || lists.len() < 2 {
        return None;
    }
    rewrite(draft, teeth, in_universal)?;
    Some(first.into())
}

fn swapped(tooth: u64) -> u64 {
    tooth % 10 * 10 + tooth / 10
}

fn to_swapped(draft: &mut Draft<'_>, teeth: &[(String, u64)]) -> Option<FaultLocation> {
    let record = draft.clean;
    let age = i64::from(draft.today().civil().0 - record.patient.birth_year);
    let absent: ToothSet = record.dentition.absent.iter().copied().collect();
    let third_molars = absent.iter().filter(|tooth| tooth.position() == 8).count();
    let back = absent.union(moved(record)).iter().filter(|tooth| tooth.position() > 4).count();
    if back < 3 || (age <= draft.limits.retained_years && third_molars < LEAST_THIRD_MOLARS) {
        return None;
    }
    let is_list = |pointer: &str, list: &str| pointer.starts_with(list);
    let is_movement = |pointer: &str| is_list(pointer, "/series/") && pointer.split('/').nth(3) == Some("movements");
    let told = |fits: &dyn Fn(&str) -> bool| {
        teeth.iter().find(|(pointer, tooth)| fits(pointer) && tooth % 10 > 4).map(|(pointer, _)| pointer.clone())
    };
    let first = told(&|pointer| is_list(pointer, "/dentition/absent/")).or_else(|| told(&is_movement))?;
    rewrite(draft, teeth, |tooth| Some(swapped(tooth)))?;
    Some(first.into())
}
