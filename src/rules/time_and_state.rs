//! Time and state: what can have happened when.
//!
//! A date that is wrong by itself belongs to one rule, in this order: after the export (`after_export`), before the birth
//! (`before_birth`), far from all other dates (`date_far_off`). Rules about the order of dates leave such dates alone.

mod clock;
mod dates;
mod order;
mod state;

use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::{Found, rules};
use oar_schema::record::State;

use clock::clock_change_ignored;
use dates::{after_export, before_birth, date_far_off};
use order::{list_out_of_order, retention_backwards};
pub(super) use state::is_plainly_through;
use state::{finished_with_trays_left, finished_without_retention, retention_before_finish, state_contradicts_trays};

rules! { "time_and_state":
    Error after_export (source, patient, dentition, series, worn, status, assessments, deliveries, wear_log, check_ins, attachment_events, visits, comfort, retention) needs (source.exported_at, check_ins.at);
    Error before_birth (source, patient, dentition, series, worn, status, assessments, deliveries, wear_log, check_ins, attachment_events, visits, comfort, retention) needs (patient.birth_year);
    Warning date_far_off (source, patient, dentition, series, worn, status, assessments, deliveries, wear_log, check_ins, attachment_events, visits, comfort, retention) needs (source.exported_at, status.state);
    Warning very_young (source, patient, worn, status) needs (patient.birth_year);
    Warning very_old (source, patient, worn, status) needs (patient.birth_year);
    Error list_out_of_order (source, patient, assessments, attachment_events, comfort) needs (assessments, attachment_events, comfort);
    Error retention_backwards (source, patient, retention) needs ();
    Error state_contradicts_trays (status, worn, source, patient) needs (status.state, status.since, worn, worn.to, worn.ended);
    Warning finished_with_trays_left (status, series, worn) needs (status.state, status.reason, worn, series);
    Note finished_without_retention (status, series, worn, visits, retention) needs (status.state, status.reason, visits, visits.done, retention);
    Error retention_before_finish (status, worn, retention, source, patient) needs (status.state, status.since, worn);
    Note clock_change_ignored (source, patient, check_ins, worn) needs (patient.time_zone, check_ins.at);
}

/// The year in which the treatment started: that of the first tray, or of the state where none was worn. Dates of which
/// other rules tell are passed over.
pub(super) fn start_year(case: &Case<'_>) -> Option<i32> {
    let worn = case[case.worn].iter().map(|worn| worn.from);
    let mut days = worn.chain([case.status.since]);
    days.find(|day| case.trusts(*day)).map(|day| day.civil().0)
}

fn very_young(case: &Case<'_>, found: &mut Found) {
    let Some(year) = start_year(case) else { return };
    let age = year - case.patient.birth_year;
    if age >= 0 && i64::from(age) < case.limits.youngest_years {
        let args = args!["age" = age, "year" = year, "limit" = case.limits.youngest_years];
        found.add(at!["patient", "birth_year"], args);
    }
}

/// The year in which the treatment started, and the age then, if that is so great that the year of birth is rather wrong.
fn too_old(case: &Case<'_>) -> Option<(i32, i32)> {
    let year = start_year(case)?;
    let age = year - case.patient.birth_year - 1;
    (i64::from(age) > case.limits.oldest_years).then_some((year, age))
}

/// Whether the year of birth is told to be wrong.
pub(super) fn is_very_old(case: &Case<'_>) -> bool {
    too_old(case).is_some()
}

fn very_old(case: &Case<'_>, found: &mut Found) {
    if let Some((year, age)) = too_old(case) {
        let args = args!["age" = age, "year" = year, "limit" = case.limits.oldest_years];
        found.add(at!["patient", "birth_year"], args);
    }
}

/// Whether a treatment in that state goes on, or has not begun.
fn goes_on(state: State) -> bool {
    matches!(state, State::Planned | State::Active | State::Paused)
}
