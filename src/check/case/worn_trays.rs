//! Worn trays: those that the plan does not have, those passed over, and days without a tray.

use oar_schema::record::{WearEnd, WearPeriodRow};
use oar_schema::teeth::Arch;

use super::Case;
use super::movements::ends_idle;
use super::plan::{last_tray_told, numbers_are_right, trays_in};
use super::wear_periods::{self, backwards, covers, followers, planned};
use crate::check::marks::Mark;

/// The arch of a wear period in which the series has trays, but fewer, with their number; the one with the fewest if both do.
pub(crate) fn beyond_in(case: &Case<'_>, worn: &WearPeriodRow) -> Option<(Arch, i32)> {
    let series = planned(case, worn.series)?;
    if untreated(case, worn).is_some() {
        return None;
    }
    let treated = Arch::ALL.map(|arch| (arch, trays_in(series, arch)));
    let beyond = treated.into_iter().filter(|(arch, count)| {
        covers(worn.arches, *arch) && *count > 0 && wear_periods::is_beyond(case, series, *arch, worn.tray)
    });
    beyond.min_by_key(|(_, count)| *count)
}

/// Whether a rule reports that a wear period has the wrong tray or the wrong arches.
pub(crate) fn is_reported(case: &Case<'_>, worn: &WearPeriodRow) -> bool {
    if !case.heeds(Mark::UnplannedTrays) {
        return false;
    }
    beyond_in(case, worn).is_some() || untreated(case, worn).is_some()
}

/// The arch in which a wear period was worn though its series treats the other arch only. Where the series moves teeth of
/// that arch, its count of trays is reported as wrong.
pub(crate) fn untreated(case: &Case<'_>, worn: &WearPeriodRow) -> Option<Arch> {
    let series = planned(case, worn.series).filter(|series| wear_periods::longest(series) > 0)?;
    let untreated = |arch: &Arch| trays_in(series, *arch) == 0 && last_tray_told(case, series, *arch) == 0;
    Arch::ALL.into_iter().find(|arch| covers(worn.arches, *arch) && untreated(arch))
}

/// How far an arch has come: the series, and the furthest tray that was in the mouth there.
#[derive(Clone, Copy, Default)]
struct Reach {
    series: i32,
    /// None when it is not known, at the beginning and after an entry that another rule doubts.
    tray: Option<i32>,
    begun: bool,
    /// Whether the wear period before contradicts the one after it.
    doubted: bool,
}

impl Reach {
    /// The first tray that was skipped, if one was; then takes the wear period in.
    fn take(&mut self, worn: &WearPeriodRow, doubted: bool) -> Option<i32> {
        if worn.series != self.series {
            let next_series = self.begun && worn.series > self.series;
            self.tray = next_series.then_some(0);
        }
        let skipped = self.tray.filter(|tray| worn.tray > tray + 1).map(|tray| tray + 1);
        let furthest = self.tray.map_or(worn.tray, |tray| tray.max(worn.tray));
        let known = !doubted && !self.doubted;
        *self = Self { series: worn.series, tray: known.then_some(furthest), begun: known, doubted };
        skipped
    }
}

/// Gives each wear period before which trays were skipped, with the first of those trays.
pub(crate) fn each_skip(case: &Case<'_>, mut tell: impl FnMut(usize, i32)) {
    let mut reach = [Reach::default(); 2];
    for (i, here) in case[case.wear_periods].iter().enumerate() {
        if !wear_periods::in_plan(case, here) {
            reach = <[Reach; 2]>::default();
            continue;
        }
        let arches = Arch::ALL.into_iter().zip(&mut reach).filter(|(arch, _)| covers(here.arches, *arch));
        if backwards(here) {
            arches.for_each(|(_, reach)| *reach = Reach::default());
            continue;
        }
        let contradicts = case.heeds(Mark::WornTrays) && wear_periods::contradiction(case, i).is_some();
        let doubted = contradicts || !wear_periods::in_order(&case[case.wear_periods], i);
        let skipped = arches.fold(None, |skipped: Option<i32>, (_, reach)| reach.take(here, doubted).or(skipped));
        let told = |first: &i32| doubted || is_after_gap(case, i) || is_entered_later(case, i, *first);
        if let Some(first) = skipped.filter(|first| !told(first)) {
            tell(i, first);
        }
    }
}

/// Whether the tray that was skipped before the wear period at `i` stands further down in the list, out of order.
fn is_entered_later(case: &Case<'_>, i: usize, tray: i32) -> bool {
    let worn = &case[case.wear_periods];
    let same = |other: &WearPeriodRow| (other.series, other.tray) == (worn[i].series, tray);
    worn[i + 1..].iter().any(|other| same(other) && other.from < worn[i].from)
}

/// Which wear periods have a number that another rule doubts.
pub(crate) fn doubted_trays(case: &Case<'_>) -> Vec<bool> {
    if !case.heeds(Mark::WornTrays) {
        return vec![false; case[case.wear_periods].len()];
    }
    let worn = &case[case.wear_periods];
    let is_doubted = |i: usize| wear_periods::is_doubted(case, i) || !wear_periods::in_plan(case, &worn[i]);
    let mut doubted: Vec<bool> = (0..worn.len()).map(is_doubted).collect();
    each_skip(case, |i, _| doubted[i] = true);
    doubted
}

/// Days without a tray between the wear period at `i` and the one at `n` that follows it, when they are too many and the
/// record does not tell why.
pub(crate) fn gap(case: &Case<'_>, i: usize, n: usize) -> Option<i32> {
    let days = wear_periods::days_between(case, &case[case.wear_periods][i], &case[case.wear_periods][n])?;
    let too_many = i64::from(days) > case.limits.days_without_tray;
    (too_many && !gap_is_told(case, i, n) && !is_doubtful_gap(case, i, n)).then_some(days)
}

/// Whether days without a tray lie before the wear period at `n`: then one is missing there, and that is reported already.
pub(crate) fn is_after_gap(case: &Case<'_>, n: usize) -> bool {
    if !case.heeds(Mark::DaysWithoutTray) {
        return false;
    }
    let worn = &case[case.wear_periods];
    Arch::ALL
        .into_iter()
        .filter(|arch| covers(worn[n].arches, *arch))
        .any(|arch| wear_periods::previous(worn, n, arch).is_some_and(|i| gap(case, i, n).is_some()))
}

/// Whether days without a tray lie before or after the wear period at `i`: its own days may be mistyped, and that is reported
/// already.
pub(crate) fn is_beside_gap(case: &Case<'_>, i: usize) -> bool {
    is_after_gap(case, i) || followers(&case[case.wear_periods], i).any(|n| gap(case, i, n).is_some())
}

/// Whether another rule reports the numbers of the plan, the place of a wear period beside the gap, or the arches or tray of one within it.
fn is_doubtful_gap(case: &Case<'_>, i: usize, n: usize) -> bool {
    let worn = &case[case.wear_periods];
    let misplaced = !wear_periods::in_order(worn, i) || !wear_periods::in_order(worn, n);
    misplaced
        || wear_periods::is_filled_later(worn, i, n)
        || !numbers_are_right(case)
        || worn[i + 1..=n].iter().any(|worn| is_reported(case, worn))
}

/// Whether the record itself tells why no tray followed at once: a stop, a loss, a break, or an arch that was through
/// with its series while the other went on.
fn gap_is_told(case: &Case<'_>, i: usize, n: usize) -> bool {
    let worn = &case[case.wear_periods];
    let here = &worn[i];
    if matches!(here.ended, Some(WearEnd::Stopped | WearEnd::Lost | WearEnd::Broken)) {
        return true;
    }
    let Some(series) = planned(case, here.series) else { return false };
    let in_gap = |arch: &Arch| covers(here.arches, *arch) && wear_periods::next(worn, i, *arch) == Some(n);
    let was_last =
        |arch: &Arch| !in_gap(arch) || trays_in(series, *arch) <= here.tray || ends_idle(case, series, *arch);
    let through = here.series != worn[n].series && Arch::ALL.iter().all(was_last);
    let went_on = |other: &WearPeriodRow| other.from < worn[n].from && other.to.is_none_or(|to| Some(to) > here.to);
    // One that ends before it begins is reported already, and may have gone on as well.
    through && (worn.iter().any(went_on) || worn[i + 1..n].iter().any(backwards))
}
