//! Time and state: what can have happened when.
//!
//! One rule reports a date that is wrong in itself, the first of these: after the export (`after_export`), before the
//! birth (`before_birth`), far from all other dates (`date_far_off`). Rules about the order of dates ignore such dates.

mod clock;
mod dates;
mod order;
mod state;

use super::table::rules;
use crate::check::case::state::{start_year, too_old};
use crate::check::rules::prelude::*;
use oar_schema::record::State;

use clock::clock_change_ignored;
use dates::{after_export, before_birth, date_far_off};
use order::{list_out_of_order, retention_backwards};
use state::{finished_with_trays_left, finished_without_retention, retention_before_finish, state_contradicts_trays};

rules! { "time_and_state":
    Error after_export (source, patient, dentition, series, wear_periods, status, assessments, deliveries, wear_log, check_ins, attachment_events, appointments, comfort, retention) needs (source.exported_at, check_ins.at);
    Error before_birth (source, patient, dentition, series, wear_periods, status, assessments, deliveries, wear_log, check_ins, attachment_events, appointments, comfort, retention) needs (patient.birth_year);
    Warning date_far_off (source, patient, dentition, series, wear_periods, status, assessments, deliveries, wear_log, check_ins, attachment_events, appointments, comfort, retention) needs (source.exported_at, status.state) unless (dates);
    Warning very_young (source, patient, wear_periods, status) needs (patient.birth_year) unless (dates);
    Warning very_old (source, patient, wear_periods, status) needs (patient.birth_year) unless (dates);
    Error list_out_of_order (source, patient, assessments, attachment_events, comfort) needs (assessments, attachment_events, comfort) unless (dates);
    Error retention_backwards (source, patient, retention) needs () unless (dates);
    Error state_contradicts_trays (status, wear_periods, source, patient) needs (status.state, status.since, wear_periods, wear_periods.to, wear_periods.ended) unless (dates);
    Warning finished_with_trays_left (status, series, wear_periods) needs (status.state, status.reason, wear_periods, series);
    Note finished_without_retention (status, series, wear_periods, appointments, retention) needs (status.state, status.reason, appointments, appointments.procedures, retention);
    Error retention_before_finish (status, wear_periods, retention, source, patient) needs (status.state, status.since, wear_periods) unless (dates);
    Note clock_change_ignored (source, patient, check_ins, wear_periods) needs (patient.time_zone, check_ins.at) unless (dates, check_in_trays);
}

fn very_young(case: &Case<'_>, found: &mut Found) {
    let Some(year) = start_year(case) else { return };
    let age = year - case.patient.birth_year;
    if age >= 0 && i64::from(age) < case.limits.youngest_years {
        let args = args!["age" = age, "year" = year, "limit" = case.limits.youngest_years];
        found.add(at!["patient", "birth_year"], args);
    }
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
