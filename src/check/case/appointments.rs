//! Check-ins and visits: whether they agree with what was worn, and whether they needed the patient.

use oar_schema::record::{AppointmentRow, CheckInRow, Procedure, WearPeriodRow};
use oar_schema::time::Date;

use super::Case;
use crate::check::marks::Mark;

/// Whether a wear period lasts on a day; on the day of a change both trays do.
pub(crate) fn lasts_on(worn: &WearPeriodRow, day: Date) -> bool {
    worn.from <= day && worn.to.is_none_or(|to| day <= to)
}

pub(crate) fn is_of(worn: &WearPeriodRow, check_in: &CheckInRow) -> bool {
    worn.series == check_in.series && worn.tray == check_in.tray
}

/// Whether the tray of a check-in was in the mouth on its day, or no list of worn trays says otherwise.
pub(crate) fn agrees_with_worn(case: &Case<'_>, check_in: &CheckInRow) -> bool {
    if !case.heeds(Mark::CheckInTrays) {
        return true;
    }
    let (worn, day) = (&case[case.wear_periods], case.day_of(check_in.at));
    worn.is_empty() || worn.iter().any(|worn| is_of(worn, check_in) && lasts_on(worn, day))
}

/// Whether a visit lists something that cannot be done without the patient.
pub(crate) fn lists_work(case: &Case<'_>, visit: &AppointmentRow) -> bool {
    !case[visit.interproximal_reductions].is_empty() || case[visit.procedures].iter().copied().any(needs_the_patient)
}

/// Whether something can only be done where the patient is: trays go by post or with a relative, teeth are extracted elsewhere,
/// photographs are sent, and vibration is applied at home.
pub(crate) fn needs_the_patient(done: Procedure) -> bool {
    match done {
        Procedure::AttachmentBonding
        | Procedure::AttachmentRemoval
        | Procedure::InterproximalReduction
        | Procedure::Scan
        | Procedure::ElasticPlacement
        | Procedure::Polishing
        | Procedure::Cleaning
        | Procedure::MicroOsteoperforation
        | Procedure::Radiograph
        | Procedure::BondedRetainer => true,
        Procedure::TrayDelivery
        | Procedure::TrayReplacement
        | Procedure::TrayAdjustment
        | Procedure::ExtractionByReferral
        | Procedure::Vibration
        | Procedure::Photographs
        | Procedure::RetainerDelivery => false,
    }
}
