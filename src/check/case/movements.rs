//! Movements: how far along which axis, with which trays, and which of them a rule doubts.

use oar_schema::number::Hundredths;
use oar_schema::record::{MovementRow, SeriesRow};
use oar_schema::teeth::{Arch, Tooth};
use oar_schema::time::Date;

use super::Case;
use super::plan::trays_in;
use super::wear_periods::covers;
use crate::check::marks::Mark;

/// The fields of a movement that say how far, in the order of [`axes`].
pub(crate) const AXES: [&str; 6] = ["mesial_mm", "facial_mm", "occlusal_mm", "rotation_deg", "tip_deg", "torque_deg"];

/// The units of the axes.
pub(crate) const UNITS: [&str; 6] = ["mm", "mm", "mm", "degrees", "degrees", "degrees"];

/// How far a movement goes along each axis, in hundredths; 0 where it says nothing.
pub(crate) fn axes(movement: &MovementRow) -> [i32; 6] {
    let MovementRow { mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg, .. } = *movement;
    [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg]
        .map(|axis: Option<Hundredths>| axis.map_or(0, |value| value.0))
}

/// Whether a rule of its own reports a movement of one of these teeth in a series: what follows from it is not to be reported
/// again. It looks at all movements, so it is asked last.
pub(crate) fn told_in_movements(case: &Case<'_>, series: &SeriesRow, of_these: impl Fn(Tooth) -> bool) -> bool {
    if !case.heeds(Mark::Movements) {
        return false;
    }
    let movements = &case[series.movements];
    let is_reported = |movement: &MovementRow| {
        movement.from_tray > movement.to_tray
            || movement.to_tray > trays_in(series, movement.tooth.arch())
            || is_too_fast(case, movement)
            || axes(movement) == [0; 6]
    };
    let mut reported = movements.iter().any(|movement| of_these(movement.tooth) && is_reported(movement));
    each_twice(movements, |j, _| reported |= of_these(movements[j].tooth));
    reported
}

/// Whether a series names a tooth that it cannot move, which is reported for the tooth: another may be meant.
pub(crate) fn moves_the_immovable(case: &Case<'_>, series: &SeriesRow) -> bool {
    if !case.heeds(Mark::FixedTeeth) {
        return false;
    }
    let dentition = &case.dentition;
    let fixed = |tooth: Tooth| {
        !case.standing.contains(tooth)
            || case[dentition.implants].contains(&tooth)
            || case[dentition.pontics].contains(&tooth)
    };
    let extracted = &case[dentition.extracted];
    case[series.movements].iter().any(|movement| fixed(movement.tooth))
        || extracted.iter().any(|row| moves_after(case, series, row.tooth, row.on))
}

/// Whether the movements of each tooth along each axis follow one another, so that no two of them share a tray.
fn each_axis_in_order(movements: &[MovementRow]) -> bool {
    let mut last = [[0i32; AXES.len()]; Tooth::COUNT];
    movements.iter().all(|movement| {
        let mut axes = axes(movement).into_iter().zip(&mut last[movement.tooth.index()]);
        axes.all(|(amount, last)| {
            let follows = amount == 0 || movement.from_tray > *last;
            if amount != 0 {
                *last = movement.to_tray;
            }
            follows
        })
    })
}

/// The trays of a series, one bit each.
pub(crate) type Trays = [u64; 4];

/// Gives each movement that moves its tooth along an axis with a tray of an earlier one, with that axis and tray.
pub(crate) fn each_twice(movements: &[MovementRow], mut tell: impl FnMut(usize, (usize, i32))) {
    if each_axis_in_order(movements) {
        return;
    }
    let mut moved = [[Trays::default(); AXES.len()]; Tooth::COUNT];
    for (j, movement) in movements.iter().enumerate() {
        let trays = trays_of(movement);
        let mut twice = None;
        for (axis, moved) in moved[movement.tooth.index()].iter_mut().enumerate() {
            if axes(movement)[axis] != 0 {
                twice = twice.or(first_shared(trays, *moved).map(|tray| (axis, tray)));
                *moved = union(*moved, trays);
            }
        }
        if let Some(twice) = twice {
            tell(j, twice);
        }
    }
}

/// The trays of a movement.
pub(crate) fn trays_of(movement: &MovementRow) -> Trays {
    let through = |tray: i32, word: i32| match tray - word * 64 {
        ..0 => 0,
        bit @ 0..63 => (1 << (bit + 1)) - 1,
        63.. => u64::MAX,
    };
    [0, 1, 2, 3].map(|word| through(movement.to_tray, word) & !through(movement.from_tray - 1, word))
}

/// Trays of either set.
pub(crate) fn union(one: Trays, other: Trays) -> Trays {
    std::array::from_fn(|word| one[word] | other[word])
}

/// Whether a set has a tray.
pub(crate) fn has(trays: Trays, tray: i32) -> bool {
    trays.get(tray as usize / 64).is_some_and(|word| word >> (tray % 64) & 1 == 1)
}

fn first_shared(one: Trays, other: Trays) -> Option<i32> {
    let shared = one.iter().zip(other).map(|(one, other)| one & other);
    shared.zip(0..).find(|(word, _)| *word != 0).map(|(word, at)| at * 64 + word.trailing_zeros() as i32)
}

/// What one tray may ask for along each axis, in hundredths.
pub(crate) type PerTray = [i64; 6];

/// What a tray asks of a tooth on purpose. A round tooth that is not there may be a mistyped one that is not round; that is
/// told of its number.
pub(crate) fn usual(case: &Case<'_>, tooth: Tooth) -> PerTray {
    let limits = case.limits;
    let round = (tooth.kind().is_canine() || tooth.kind().is_premolar()) && case.standing.contains(tooth);
    let rotation = if round { limits.tray_rotation_round_deg } else { limits.tray_rotation_deg };
    let linear = limits.tray_linear_mm;
    [linear, linear, limits.tray_vertical_mm, rotation, limits.tray_tip_deg, limits.tray_torque_deg]
}

/// The axis along which a movement goes furthest beyond what a tray may ask for, if any.
pub(crate) fn furthest_beyond(movement: &MovementRow, per_tray: &PerTray) -> Option<usize> {
    let trays = tray_count(movement);
    let mut furthest: Option<usize> = None;
    let totals = axes(movement).map(|total| i64::from(total.abs()));
    let beyond: [bool; AXES.len()] = std::array::from_fn(|axis| totals[axis] > per_tray[axis] * trays);
    if trays <= 0 || beyond == [false; AXES.len()] {
        return None;
    }
    for axis in 0..totals.len() {
        if beyond[axis] && furthest.is_none_or(|other| totals[axis] * per_tray[other] > totals[other] * per_tray[axis])
        {
            furthest = Some(axis);
        }
    }
    furthest
}

pub(crate) fn tray_count(movement: &MovementRow) -> i64 {
    i64::from(movement.to_tray - movement.from_tray) + 1
}

/// Whether one tray asks for more than it does on purpose.
pub(crate) fn is_too_fast(case: &Case<'_>, movement: &MovementRow) -> bool {
    furthest_beyond(movement, &usual(case, movement.tooth)).is_some()
}

/// Whether a movement moves its tooth; `empty_movement` reports one that does not.
pub(crate) fn moves(movement: &MovementRow) -> bool {
    let MovementRow { mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg, .. } = *movement;
    [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg]
        .into_iter()
        .any(|axis: Option<Hundredths>| axis.is_some_and(|axis| axis.0 != 0))
}

/// Whether a series moves a tooth after it was extracted: it was planned on a later scan, or the trays that move the tooth
/// were put in later, one of them perhaps on that day. When some were put in before, the tooth was lost on the way, and
/// the plan is as it was made. Dates that other rules report are skipped.
pub(crate) fn moves_after(case: &Case<'_>, series: &SeriesRow, tooth: Tooth, on: Date) -> bool {
    let movements = || case[series.movements].iter().filter(|movement| movement.tooth == tooth && moves(movement));
    if movements().next().is_none() {
        return false;
    }
    if series.scanned_on.is_some_and(|scan| case.out_of_order(scan, on)) {
        return true;
    }
    let worn =
        case[case.wear_periods].iter().filter(|worn| worn.series == series.number && covers(worn.arches, tooth.arch()));
    let moving = worn.filter(|worn| movements().any(|movement| has_tray(movement, worn.tray)));
    let (mut before, mut after) = (false, false);
    for worn in moving {
        before |= worn.from < on;
        after |= case.out_of_order(worn.from, on);
    }
    after && !before
}

fn has_tray(movement: &MovementRow, tray: i32) -> bool {
    (movement.from_tray..=movement.to_tray).contains(&tray)
}

/// Whether so many of the last trays of an arch move no tooth that the count of trays may be too high, which is reported.
pub(crate) fn ends_idle(case: &Case<'_>, series: &SeriesRow, arch: Arch) -> bool {
    if !case.heeds(Mark::IdleTrays) {
        return false;
    }
    let last = Arch::ALL.map(|arch| last_moving(&case[series.movements], arch));
    let idle = trays_in(series, arch) - last[0].max(last[1]);
    last[arch as usize] > 0 && i64::from(idle) > case.limits.idle_run_trays
}

/// The last tray that moves a tooth of an arch; 0 when none does.
pub(crate) fn last_moving(movements: &[MovementRow], arch: Arch) -> i32 {
    let of_arch = movements.iter().filter(|movement| movement.tooth.arch() == arch);
    of_arch.map(|movement| movement.to_tray).max().unwrap_or_default()
}
