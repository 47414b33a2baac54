//! The state of the treatment: when it began, and whether its trays agree that it is finished.

use oar_schema::record::{SeriesRow, State, StateReason, WearPeriodRow};

use super::Case;
use super::wear_periods::longest;
use crate::check::marks::Mark;

/// The year in which the treatment started: that of the first tray, or of the state where none was worn. Dates that
/// other rules report are skipped.
pub(crate) fn start_year(case: &Case<'_>) -> Option<i32> {
    let worn = case[case.wear_periods].iter().map(|worn| worn.from);
    let mut days = worn.chain([case.status.since]);
    days.find(|day| case.trusts(*day)).map(|day| day.civil().0)
}

/// The year in which the treatment started, and the age then, if that is so great that the year of birth is rather wrong.
pub(crate) fn too_old(case: &Case<'_>) -> Option<(i32, i32)> {
    let year = start_year(case)?;
    let age = year - case.patient.birth_year - 1;
    (i64::from(age) > case.limits.oldest_years).then_some((year, age))
}

/// Whether the year of birth is reported as wrong.
pub(crate) fn is_very_old(case: &Case<'_>) -> bool {
    if !case.heeds(Mark::BirthYear) {
        return false;
    }
    too_old(case).is_some()
}

/// Whether a tray is still in the mouth. One that ended without a day is reported by another rule.
fn is_open(worn: &WearPeriodRow) -> bool {
    worn.to.is_none() && worn.ended.is_none()
}

/// The last tray, if it is still in the mouth, by its place in the list.
pub(crate) fn open_tray(case: &Case<'_>) -> Option<usize> {
    let worn = &case[case.wear_periods];
    worn.last().filter(|last| is_open(last)).map(|_| worn.len() - 1)
}

/// Whether the treatment is finished and its trays agree with that.
pub(crate) fn plainly_finished(case: &Case<'_>) -> bool {
    case.status.state == State::Finished && !case[case.wear_periods].is_empty() && open_tray(case).is_none()
}

/// Whether the treatment is finished, its trays agree with that, and none is left.
pub(crate) fn is_plainly_through(case: &Case<'_>) -> bool {
    if !case.heeds(Mark::UnfinishedTrays) {
        return case.status.state == State::Finished;
    }
    plainly_finished(case) && trays_left(case).is_none()
}

/// The last series when the treatment is finished before its last tray, with the last tray that was worn.
pub(crate) fn trays_left<'c>(case: &'c Case<'_>) -> Option<(&'c SeriesRow, i32)> {
    if !plainly_finished(case) || case.status.reason == Some(StateReason::GoalReached) {
        return None;
    }
    let planned = case[case.series].iter().max_by_key(|series| series.number)?;
    let last = case[case.wear_periods].iter().filter(|worn| worn.series == planned.number).map(|worn| worn.tray).max();
    let last = last.unwrap_or(0);
    (last < longest(planned)).then_some((planned, last))
}
