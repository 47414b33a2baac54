//! Movements and the trays of their series.

use oar_schema::record::{Series, State, StateReason};
use oar_schema::teeth::{Arch, Tooth};
use serde_json::Value;

use super::super::record_queries::{
    AXES, axes, last_moving, longest, mistyped_up, movement_at, movements, natural, trays_in,
};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// Two trays in the wrong fields.
pub(super) fn movement_backwards(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let movements = movements(draft.clean);
    let long: Vec<_> = movements.into_iter().filter(|(.., movement)| movement.from_tray < movement.to_tray).collect();
    let (i, j, movement) = *stream.one_of(&long)?;
    let at = movement_at(i, j);
    draft.set(&format!("{at}/from_tray"), movement.to_tray)?;
    draft.set(&format!("{at}/to_tray"), movement.from_tray)?;
    Some(format!("{at}/to_tray").into())
}

/// A movement that was written twice, one line after the other or later.
pub(super) fn movement_twice(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let movements = movements(draft.clean);
    let (i, j, movement) = *stream.one_of(&movements)?;
    let axis = axes(movement).into_iter().position(|amount| amount != 0)?;
    let last = i32::try_from(draft.clean.series[i].movements.len()).ok()?;
    let to = if stream.chance(0.5) { j + 1 } else { stream.whole(j as i32 + 1, last) as usize };
    let copy = draft.get(&movement_at(i, j))?.clone();
    draft.insert(&movement_at(i, to), copy)?;
    Some(format!("{}/{}", movement_at(i, to), AXES[axis]).into())
}

/// The last tray of a movement with a digit too many.
pub(super) fn movement_outside_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, j, movement) in movements(draft.clean) {
        let series = &draft.clean.series[i];
        let alone = series.movements.iter().filter(|other| other.tooth == movement.tooth).count() == 1;
        let beyond = |tray: &i32| *tray > trays_in(series, movement.tooth.arch()) && *tray <= 200;
        let trays = mistyped_up(movement.to_tray).into_iter().filter(beyond);
        choices.extend(trays.filter(|_| alone).map(|tray| (format!("{}/to_tray", movement_at(i, j)), tray)));
    }
    let (pointer, tray) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// Whether the trays of an arch are used to the last one by its movements, so that all that names those trays is told with
/// them; an arch without trays is.
fn is_used_up(series: &Series, arch: Arch) -> bool {
    last_moving(series, |tooth| tooth.arch() == arch) >= trays_in(series, arch)
}

/// 46 for 16 where only the upper arch has trays; or trays that were not counted.
pub(super) fn movement_in_untreated_arch(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let natural = natural(draft.clean);
    let mut choices: Vec<(String, Value, String)> = Vec::new();
    for (i, series) in draft.clean.series.iter().enumerate() {
        let [upper, lower] = Arch::ALL.map(|arch| trays_in(series, arch));
        for (j, movement) in series.movements.iter().enumerate() {
            let told = format!("{}/tooth", movement_at(i, j));
            let across = across(movement.tooth).filter(|tooth| natural.contains(*tooth));
            if let Some(across) = across.filter(|_| upper == 0 || lower == 0) {
                choices.push((told.clone(), across.fdi().into(), told));
            }
        }
        for arch in Arch::ALL.into_iter().filter(|arch| upper > 0 && lower > 0 && is_used_up(series, *arch)) {
            let first = series.movements.iter().position(|movement| movement.tooth.arch() == arch);
            let counted = format!("/series/{i}/trays/{}", arch.as_str());
            choices.extend(first.map(|j| (counted, 0.into(), format!("{}/tooth", movement_at(i, j)))));
        }
    }
    let (pointer, value, told) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, value)?;
    Some(told.into())
}

/// The tooth that meets a permanent one in the other arch.
fn across(tooth: Tooth) -> Option<Tooth> {
    let other = [0, 40, 30, 20, 10][usize::from(tooth.fdi() / 10).min(4)];
    Tooth::new(other + tooth.position()).filter(|_| !tooth.is_primary())
}

/// Counts of trays that the source did not know, written as 0.
pub(super) fn series_without_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let used_up = |series: &Series| Arch::ALL.into_iter().all(|arch| is_used_up(series, arch));
    let series = draft.clean.series.iter().enumerate().filter(|(_, series)| used_up(series));
    let choices: Vec<usize> = series.map(|(i, _)| i).collect();
    let pointer = format!("/series/{}/trays", stream.one_of(&choices)?);
    draft.set(&format!("{pointer}/upper"), 0)?;
    draft.set(&format!("{pointer}/lower"), 0)?;
    Some(pointer.into())
}

/// Whether nothing is said of trays of a series that were not worn: a later one follows, or the treatment goes on.
fn may_have_more(draft: &Draft<'_>, i: usize) -> bool {
    let status = &draft.clean.status;
    let ended = status.state == State::Finished && status.reason != Some(StateReason::GoalReached);
    i + 1 < draft.clean.series.len() || !ended
}

/// More trays than are moved with: a count with a wrong first digit.
pub(super) fn idle_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, series) in draft.clean.series.iter().enumerate().filter(|(i, _)| may_have_more(draft, *i)) {
        for arch in Arch::ALL {
            let trays = trays_in(series, arch);
            let more = mistyped_up(trays).into_iter().chain([trays + 5]);
            let idle = |trays: &i32| {
                i64::from(trays - longest(series).max(last_moving(series, |_| true))) > draft.limits.idle_run_trays
            };
            if last_moving(series, |tooth| tooth.arch() == arch) > 0 {
                let pointer = format!("/series/{i}/trays/{}", arch.as_str());
                choices.extend(more.filter(idle).filter(|trays| *trays <= 200).map(|trays| (pointer.clone(), trays)));
            }
        }
    }
    let (pointer, trays) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, trays)?;
    Some(pointer.into())
}
