//! Trays in which no tooth of their arch moves.

use oar_schema::record::{MovementRow, SeriesRow};
use oar_schema::teeth::Arch;

use crate::check::case::movements::{Trays, has, last_moving, told_in_movements, trays_of, union};
use crate::check::case::plan::trays_in;
use crate::check::rules::prelude::*;

pub(super) fn idle_trays(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        let last = Arch::ALL.map(|arch| last_moving(&case[series.movements], arch));
        let all_last = last[0].max(last[1]);
        for (arch, last) in Arch::ALL.into_iter().zip(last).filter(|(_, last)| *last > 0) {
            idle_between(case, found, (i, series), arch, last);
            let trays = trays_in(series, arch);
            if i64::from(trays - all_last) > case.limits.idle_run_trays && !is_reported(case, series, arch) {
                let args = args!["from" = all_last + 1, "to" = trays, "arch" = arch.as_str(), "end" = trays];
                found.add(at!["series", i, "trays", arch.as_str()], args);
                break;
            }
        }
    }
}

/// Whether another rule reports movements of the arch in this series.
fn is_reported(case: &Case<'_>, series: &SeriesRow, arch: Arch) -> bool {
    told_in_movements(case, series, |tooth| tooth.arch() == arch)
}

/// Reports idle trays between two that move teeth.
fn idle_between(case: &Case<'_>, found: &mut Found, (i, series): (usize, &SeriesRow), arch: Arch, last: i32) {
    let moving = moving(&case[series.movements], arch);
    let mut idle_from = None;
    for tray in 1..=last {
        if has(moving, tray) {
            let from: Option<i32> = idle_from.take();
            let idle = from.filter(|from| *from > 1 && i64::from(tray - from) > case.limits.idle_run_trays);
            if let Some(from) = idle.filter(|_| !is_reported(case, series, arch)) {
                let next = |movement: &MovementRow| movement.tooth.arch() == arch && movement.from_tray == tray;
                let at = case[series.movements].iter().position(next).unwrap_or_default();
                let args = args!["from" = from, "to" = tray - 1, "arch" = arch.as_str(), "next" = tray];
                found.add(at!["series", i, "movements", at, "from_tray"], args);
            }
        } else {
            idle_from = idle_from.or(Some(tray));
        }
    }
}

/// The trays that move teeth of an arch.
fn moving(movements: &[MovementRow], arch: Arch) -> Trays {
    let of_arch = movements.iter().filter(|movement| movement.tooth.arch() == arch);
    of_arch.fold(Trays::default(), |moving, movement| union(moving, trays_of(movement)))
}
