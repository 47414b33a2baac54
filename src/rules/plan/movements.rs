//! Movements: in which trays, in which arch, and whether they move anything.

use oar_schema::number::Hundredths;
use oar_schema::record::{MovementRow, SeriesRow};
use oar_schema::teeth::{Arch, Tooth};

use super::speed::is_too_fast;
use super::trays_in;
use crate::case::Case;
use crate::finding::{Args, args, at};
use crate::rule::Found;
use crate::rules::teeth::moves_after;

/// The fields of a movement that say how far, in the order of [`axes`].
pub(super) const AXES: [&str; 6] = ["mesial_mm", "facial_mm", "occlusal_mm", "rotation_deg", "tip_deg", "torque_deg"];

/// The units of the axes.
pub(super) const UNITS: [&str; 6] = ["mm", "mm", "mm", "degrees", "degrees", "degrees"];

/// How far a movement goes along each axis, in hundredths; 0 where it says nothing.
pub(in crate::rules) fn axes(movement: &MovementRow) -> [i32; 6] {
    let MovementRow { mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg, .. } = *movement;
    [mesial_mm, facial_mm, occlusal_mm, rotation_deg, tip_deg, torque_deg]
        .map(|axis: Option<Hundredths>| axis.map_or(0, |value| value.0))
}

pub(super) fn movement_outside_trays(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    for (i, series) in case[case.series].iter().enumerate() {
        let movements = &case[series.movements];
        for arch in Arch::ALL {
            let trays = trays_in(series, arch);
            let outside = |movement: &MovementRow| {
                trays > 0
                    && movement.to_tray > trays
                    && movement.from_tray <= movement.to_tray
                    && movement.tooth.arch() == arch
                    && !collides(movements, movement)
            };
            let args = |movement: &MovementRow| {
                args!["tooth" = movement.tooth, "tray" = movement.to_tray, "arch" = arch.as_str(), "trays" = trays]
            };
            add_together(found, (i, movements), "to_tray", outside, args);
        }
    }
}

/// Whether another movement moves the tooth along the same axis with a tray of this one: then the tooth may be wrong, and
/// that is told already.
fn collides(movements: &[MovementRow], movement: &MovementRow) -> bool {
    movements.iter().any(|other| {
        let shared = other.from_tray <= movement.to_tray && movement.from_tray <= other.to_tray;
        let both = |(one, other): (i32, i32)| one != 0 && other != 0;
        let same_axis = || axes(other).into_iter().zip(axes(movement)).any(both);
        other.tooth == movement.tooth && shared && !std::ptr::eq(other, movement) && same_axis()
    })
}

pub(super) fn movement_in_untreated_arch(case: &Case<'_>, found: &mut Found) {
    if case.doubt.is_some() {
        return;
    }
    for (i, series) in case[case.series].iter().enumerate() {
        let treated = Arch::ALL.map(|arch| trays_in(series, arch) > 0);
        let untreated = match treated {
            [true, false] => Arch::Lower,
            [false, true] => Arch::Upper,
            _ => continue,
        };
        let args = |movement: &MovementRow| args!["tooth" = movement.tooth, "arch" = untreated.as_str()];
        let there = |movement: &MovementRow| movement.tooth.arch() == untreated;
        add_together(found, (i, &case[series.movements]), "tooth", there, args);
    }
}

/// States one finding for all movements of a series that share a fault: the first, with the others related to it.
fn add_together(
    found: &mut Found,
    (series, movements): (usize, &[MovementRow]),
    field: &'static str,
    faulty: impl Fn(&MovementRow) -> bool,
    args: impl Fn(&MovementRow) -> Args,
) {
    let mut faulty = movements.iter().enumerate().filter(|(_, movement)| faulty(movement));
    let Some((first, movement)) = faulty.next() else { return };
    let others: Vec<usize> = faulty.map(|(j, _)| j).collect();
    let mut args = args(movement);
    if !others.is_empty() {
        args.extend(args!["others" = others.len()]);
    }
    let stated = found.add(at!["series", series, "movements", first, field], args);
    for j in others {
        stated.related(at!["series", series, "movements", j, field]);
    }
}

pub(super) fn movement_backwards(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, movement) in case[series.movements].iter().enumerate() {
            if movement.from_tray > movement.to_tray {
                let args =
                    args!["tooth" = movement.tooth, "from_tray" = movement.from_tray, "to_tray" = movement.to_tray];
                found.add(at!["series", i, "movements", j, "to_tray"], args);
            }
        }
    }
}

pub(super) fn empty_movement(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        for (j, movement) in case[series.movements].iter().enumerate() {
            if axes(movement) == [0; 6] {
                found.add(at!["series", i, "movements", j], args!["tooth" = movement.tooth]);
            }
        }
    }
}

/// Whether a rule of its own minds a movement of one of these teeth in a series: what follows from it is not to be told
/// again. It looks at all movements, so it is asked last.
pub(in crate::rules) fn told_in_movements(
    case: &Case<'_>,
    series: &SeriesRow,
    of_these: impl Fn(Tooth) -> bool,
) -> bool {
    let movements = &case[series.movements];
    let is_told = |movement: &MovementRow| {
        movement.from_tray > movement.to_tray
            || movement.to_tray > trays_in(series, movement.tooth.arch())
            || is_too_fast(case, movement)
            || axes(movement) == [0; 6]
    };
    let mut told = movements.iter().any(|movement| of_these(movement.tooth) && is_told(movement));
    each_twice(movements, |j, _| told |= of_these(movements[j].tooth));
    told
}

/// Whether a series names a tooth that it cannot move, which is told of the tooth: another may be meant.
pub(in crate::rules) fn moves_the_immovable(case: &Case<'_>, series: &SeriesRow) -> bool {
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

pub(super) fn movement_twice(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        let movements = &case[series.movements];
        each_twice(movements, |j, (axis, tray)| {
            let tooth = movements[j].tooth;
            let other = movements.iter().position(|other| moves(other, tooth, axis, tray)).unwrap_or(j);
            let mut args = args!["tooth" = tooth, "axis" = AXES[axis], "tray" = tray];
            if holds_total(&movements[other], &movements[j], axis) {
                args.extend(args!["total" = "total"]);
            }
            let stated = found.add(at!["series", i, "movements", j, AXES[axis]], args);
            stated.related(at!["series", i, "movements", other, AXES[axis]]);
        });
    }
}

/// Whether a movement looks as if it held all that the tooth moves from the first tray on, an earlier one included.
fn holds_total(earlier: &MovementRow, later: &MovementRow, axis: usize) -> bool {
    let [before, after] = [earlier, later].map(|movement| axes(movement)[axis]);
    earlier.from_tray == later.from_tray
        && earlier.to_tray < later.to_tray
        && before.signum() == after.signum()
        && before.abs() < after.abs()
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
pub(super) type Trays = [u64; 4];

/// Gives each movement that moves its tooth along an axis with a tray of an earlier one, with that axis and tray.
fn each_twice(movements: &[MovementRow], mut tell: impl FnMut(usize, (usize, i32))) {
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
pub(super) fn trays_of(movement: &MovementRow) -> Trays {
    let through = |tray: i32, word: i32| match tray - word * 64 {
        ..0 => 0,
        bit @ 0..63 => (1 << (bit + 1)) - 1,
        63.. => u64::MAX,
    };
    [0, 1, 2, 3].map(|word| through(movement.to_tray, word) & !through(movement.from_tray - 1, word))
}

/// Trays of either set.
pub(super) fn union(one: Trays, other: Trays) -> Trays {
    std::array::from_fn(|word| one[word] | other[word])
}

/// Whether a set has a tray.
pub(super) fn has(trays: Trays, tray: i32) -> bool {
    trays.get(tray as usize / 64).is_some_and(|word| word >> (tray % 64) & 1 == 1)
}

fn first_shared(one: Trays, other: Trays) -> Option<i32> {
    let shared = one.iter().zip(other).map(|(one, other)| one & other);
    shared.zip(0..).find(|(word, _)| *word != 0).map(|(word, at)| at * 64 + word.trailing_zeros() as i32)
}

fn moves(movement: &MovementRow, tooth: Tooth, axis: usize, tray: i32) -> bool {
    movement.tooth == tooth && axes(movement)[axis] != 0 && (movement.from_tray..=movement.to_tray).contains(&tray)
}
