//! Wear periods: in which arch, what follows, and which of them can be relied on.
//!
//! One mistake is reported once: what one rule reports (a wear period that ends before it begins, a series that is not in the
//! plan) other rules leave alone, and here they ask whether they may.

use oar_schema::record::{Arches, SeriesRow, WearEnd, WearPeriodRow};
use oar_schema::teeth::Arch;

use super::Case;
use super::plan::{last_tray_told, trays_in};
use crate::check::marks::Mark;

/// Whether a tray that was worn in `arches` was in `arch`.
pub(crate) fn covers(arches: Arches, arch: Arch) -> bool {
    match arches {
        Arches::Both => true,
        Arches::Upper => arch == Arch::Upper,
        Arches::Lower => arch == Arch::Lower,
    }
}

/// The planned series of that number.
pub(crate) fn planned<'c>(case: &'c Case<'_>, number: i32) -> Option<&'c SeriesRow> {
    case[case.series].iter().find(|series| series.number == number)
}

/// The number of the last tray of a series, in the arch that has more.
pub(crate) fn longest(series: &SeriesRow) -> i32 {
    series.trays.upper.max(series.trays.lower)
}

/// Whether a wear period ends before it begins.
pub(crate) fn backwards(worn: &WearPeriodRow) -> bool {
    worn.to.is_some_and(|to| to < worn.from)
}

/// Whether a tray lies beyond those that a series has in an arch. Where the plan moves teeth further than it has trays,
/// the count of trays may be too low, which is reported for the movements.
pub(crate) fn is_beyond(case: &Case<'_>, series: &SeriesRow, arch: Arch, tray: i32) -> bool {
    tray > trays_in(series, arch) && tray > last_tray_told(case, series, arch)
}

/// Whether the plan has the tray of a wear period in every arch in which it was worn.
pub(crate) fn in_plan(case: &Case<'_>, worn: &WearPeriodRow) -> bool {
    if !case.heeds(Mark::UnplannedTrays) {
        return planned(case, worn.series).is_some();
    }
    let beyond = |series, arch: Arch| covers(worn.arches, arch) && is_beyond(case, series, arch, worn.tray);
    planned(case, worn.series).is_some_and(|series| !Arch::ALL.into_iter().any(|arch| beyond(series, arch)))
}

/// The next wear period in an arch after the one at `i`, in the order of the list.
pub(crate) fn next(worn: &[WearPeriodRow], i: usize, arch: Arch) -> Option<usize> {
    (i + 1..worn.len()).find(|n| covers(worn[*n].arches, arch))
}

/// The former wear period in an arch before the one at `i`, in the order of the list.
pub(crate) fn previous(worn: &[WearPeriodRow], i: usize, arch: Arch) -> Option<usize> {
    (0..i).rev().find(|before| covers(worn[*before].arches, arch))
}

/// The wear periods that follow the one at `i` in its arches: one, or two when the arches go different ways.
pub(crate) fn followers(worn: &[WearPeriodRow], i: usize) -> impl Iterator<Item = usize> {
    let [upper, lower] = Arch::ALL.map(|arch| if covers(worn[i].arches, arch) { next(worn, i, arch) } else { None });
    upper.into_iter().chain(lower.filter(|_| lower != upper))
}

/// Days from the end of a wear period to the beginning of one that follows it; none when the days of the two do not
/// follow each other or are wrong by themselves, which other rules report.
pub(crate) fn days_between(case: &Case<'_>, worn: &WearPeriodRow, next: &WearPeriodRow) -> Option<i32> {
    if backwards(worn) || backwards(next) || !case.trusts(next.from) {
        return None;
    }
    let to = worn.to.filter(|to| case.trusts(*to))?;
    Some(next.from.days_since(to)).filter(|days| *days >= 0)
}

/// Whether the wear period at `i` begins no earlier than the one before it in the list, and no later than the one after it.
pub(crate) fn in_order(worn: &[WearPeriodRow], i: usize) -> bool {
    worn[i.saturating_sub(1)..worn.len().min(i + 2)].is_sorted_by_key(|worn| worn.from)
}

/// Whether a wear period that stands further down in the list, out of order, lies between the one at `i` and the one at `n`
/// that follows it.
pub(crate) fn is_filled_later(worn: &[WearPeriodRow], i: usize, n: usize) -> bool {
    let (from, to) = (worn[i].from, worn[n].from);
    let shared = |arch: &Arch| covers(worn[i].arches, *arch) && covers(worn[n].arches, *arch);
    let meets =
        |other: &WearPeriodRow| Arch::ALL.iter().filter(|arch| shared(arch)).all(|arch| covers(other.arches, *arch));
    worn[n + 1..].iter().any(|other| !backwards(other) && from <= other.from && other.from < to && meets(other))
}

/// The wear period that follows the one at `i` and cannot, by the word for how it ended. A wear period in both arches has one
/// word for two ways to go on: one of them that fits is enough. After days without a tray the word may be right for a
/// wear period that is missing.
pub(crate) fn contradiction(case: &Case<'_>, i: usize) -> Option<usize> {
    let any = || (0..case[case.wear_periods].len()).any(|i| find_contradiction(case, i).is_some());
    if *case.once.any_contradiction.get_or_init(any) { find_contradiction(case, i) } else { None }
}

fn find_contradiction(case: &Case<'_>, i: usize) -> Option<usize> {
    let worn = &case[case.wear_periods];
    let ended = worn[i].ended?;
    let mut first = None;
    for n in followers(worn, i) {
        if !contradicts(case, ended, &worn[i], &worn[n]) || is_filled_later(worn, i, n) {
            return None;
        }
        first = first.or(Some(n));
    }
    first
}

fn contradicts(case: &Case<'_>, ended: WearEnd, worn: &WearPeriodRow, next: &WearPeriodRow) -> bool {
    let Some(days) = days_between(case, worn, next) else { return false };
    let (here, there) = ((worn.series, worn.tray), (next.series, next.tray));
    let wrong = match ended {
        WearEnd::Advanced => there <= here,
        WearEnd::SteppedBack => there >= here,
        WearEnd::ReplacedBySeries => next.series <= worn.series,
        WearEnd::Stopped => true,
        WearEnd::Lost | WearEnd::Broken => false,
    };
    let at_once = i64::from(days) <= case.limits.days_without_tray;
    wrong && at_once && in_plan(case, worn) && in_plan(case, next)
}

/// Whether no other rule reports the place of the wear period at `i` among those before it.
pub(crate) fn in_place(worn: &[WearPeriodRow], i: usize) -> bool {
    let here = &worn[i];
    let after = |before: &WearPeriodRow| {
        let apart = !Arch::ALL.iter().any(|arch| covers(before.arches, *arch) && covers(here.arches, *arch));
        before.from <= here.from && (apart || before.to.is_none_or(|to| to <= here.from))
    };
    !backwards(here) && (i == 0 || backwards(&worn[i - 1]) || after(&worn[i - 1]))
}

/// Whether the wear period at `i` contradicts the one before or after it, so that its tray may be mistyped.
pub(crate) fn is_doubted(case: &Case<'_>, i: usize) -> bool {
    if !case.heeds(Mark::WornTrays) {
        return false;
    }
    let before = i.checked_sub(1).is_some_and(|before| contradiction(case, before) == Some(i));
    before || contradiction(case, i).is_some()
}

/// A goal of so few minutes a day is a goal in hours.
pub(crate) const HOURS_OF_A_DAY: i32 = 24;
