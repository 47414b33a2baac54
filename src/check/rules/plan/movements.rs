//! Movements: their trays, their arch, and whether they move anything.

use oar_schema::record::MovementRow;
use oar_schema::teeth::{Arch, Tooth};

use crate::check::args::{Args, args};
use crate::check::case::movements::{AXES, axes, each_twice};
use crate::check::case::plan::trays_in;
use crate::check::rules::prelude::*;

pub(super) fn movement_outside_trays(case: &Case<'_>, found: &mut Found) {
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

/// Whether another movement moves the same tooth along the same axis in a tray of this one. Then the tooth may be
/// wrong, which another rule reports.
fn collides(movements: &[MovementRow], movement: &MovementRow) -> bool {
    movements.iter().any(|other| {
        let shared = other.from_tray <= movement.to_tray && movement.from_tray <= other.to_tray;
        let both = |(one, other): (i32, i32)| one != 0 && other != 0;
        let same_axis = || axes(other).into_iter().zip(axes(movement)).any(both);
        other.tooth == movement.tooth && shared && !std::ptr::eq(other, movement) && same_axis()
    })
}

pub(super) fn movement_in_untreated_arch(case: &Case<'_>, found: &mut Found) {
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

/// Reports one finding for all movements of a series that share a fault: at the first, pointing to the others.
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

/// Whether the later movement looks like the total since the first tray, including the earlier movement.
fn holds_total(earlier: &MovementRow, later: &MovementRow, axis: usize) -> bool {
    let [before, after] = [earlier, later].map(|movement| axes(movement)[axis]);
    earlier.from_tray == later.from_tray
        && earlier.to_tray < later.to_tray
        && before.signum() == after.signum()
        && before.abs() < after.abs()
}

fn moves(movement: &MovementRow, tooth: Tooth, axis: usize, tray: i32) -> bool {
    movement.tooth == tooth && axes(movement)[axis] != 0 && (movement.from_tray..=movement.to_tray).contains(&tray)
}
