//! The plan: series by their numbers, and how many trays they have.

use oar_schema::record::SeriesRow;
use oar_schema::teeth::Arch;

use super::{Case, known};
use crate::check::marks::Mark;

/// How many trays a series has in an arch.
pub(crate) fn trays_in(series: &SeriesRow, arch: Arch) -> i32 {
    match arch {
        Arch::Upper => series.trays.upper,
        Arch::Lower => series.trays.lower,
    }
}

/// So many movements are gone through once for all that ask.
const MANY_MOVEMENTS: usize = 200;

/// The last tray that an arch of a series has or, where the plan moves teeth beyond it, the last one that it speaks of.
pub(crate) fn last_tray_told(case: &Case<'_>, series: &SeriesRow, arch: Arch) -> i32 {
    if !case.heeds(Mark::ArchCounts) {
        return trays_in(series, arch);
    }
    let movements = &case[series.movements];
    let last = |arch: Arch| {
        let moved = movements.iter().filter(|movement| movement.tooth.arch() == arch);
        moved.map(|movement| movement.to_tray).fold(trays_in(series, arch), i32::max)
    };
    if movements.len() < MANY_MOVEMENTS {
        return last(arch);
    }
    known(&case.once.last_trays, series, || Arch::ALL.map(last))[arch as usize]
}

/// Whether a tray lies beyond those that a series has, and beyond those in which it moves teeth: if only the count of
/// trays is too low, that is said of the movements.
pub(crate) fn is_beyond_both(case: &Case<'_>, series: &SeriesRow, tray: i32) -> bool {
    tray > series.trays.upper.max(series.trays.lower)
        && Arch::ALL.iter().all(|arch| tray > last_tray_told(case, series, *arch))
}

/// The series of that number, with its place in the plan.
pub(crate) fn series_numbered<'c>(case: &'c Case<'_>, number: i32) -> Option<(usize, &'c SeriesRow)> {
    case[case.series].iter().enumerate().find(|(_, series)| series.number == number)
}

/// Whether the series count 0, 1, 2 …
pub(crate) fn numbers_are_right(case: &Case<'_>) -> bool {
    if !case.heeds(Mark::SeriesNumbers) {
        return true;
    }
    count_from_zero(case)
}

/// Whether the series count 0, 1, 2 …, whatever reports it.
pub(crate) fn count_from_zero(case: &Case<'_>) -> bool {
    case[case.series].iter().zip(0..).all(|(series, number)| series.number == number)
}

/// The first series whose number is not above that of the series before it.
pub(crate) fn first_out_of_order(case: &Case<'_>) -> Option<usize> {
    let pairs = case[case.series].windows(2).position(|pair| pair[1].number <= pair[0].number);
    pairs.map(|at| at + 1)
}
