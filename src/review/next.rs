//! What comes next according to the record: check-ins, and decisions that are still in force.

use oar_schema::derived::arches::{self, Tray};
use oar_schema::derived::course;
use oar_schema::record::{CheckIn, Decision, DecisionKind, Record};
use oar_schema::time::Date;

/// The day on which the next check-in is due, counted from the last check-in or visit, or from the first tray. None without a
/// prescribed interval, and when no tray is in.
pub(super) fn check_in(record: &Record) -> Option<Date> {
    course::current(record)?;
    let every = record.prescription.check_in_interval_days?;
    let seen = record.check_ins.iter().flatten().map(|check_in| check_in.at.written_date()).max();
    let since = seen.max(last_visit(record)).or(record.wear_periods.first().map(|worn| worn.from))?;
    Some(since.plus_days(every))
}

/// The last attended visit.
pub(super) fn last_visit(record: &Record) -> Option<Date> {
    record.appointments.iter().flatten().filter(|visit| visit.attended).map(|visit| visit.on).max()
}

/// The latest check-in with its index, if it was of a current tray and after that tray was put in. Check-ins of a different
/// tray in the other arch are skipped.
pub(super) fn latest<'r>(record: &'r Record, tray: &Tray<'_>) -> Option<(usize, &'r CheckIn)> {
    let with = |check_in: &CheckIn, tray: &Tray<'_>| {
        let worn = tray.worn;
        (check_in.series, check_in.tray) == (worn.series, worn.tray) && check_in.at.written_date() >= worn.from
    };
    let trays = arches::trays(record);
    let of_other = |check_in: &CheckIn| trays.iter().any(|other| other.place != tray.place && with(check_in, other));
    let check_ins = record.check_ins.as_deref().unwrap_or_default();
    let latest = check_ins.iter().enumerate().rfind(|(_, check_in)| with(check_in, tray) || !of_other(check_in));
    latest.filter(|(_, check_in)| with(check_in, tray))
}

/// The decision of the latest check-in of a current tray.
pub(super) fn decision<'r>(record: &'r Record, tray: &Tray<'_>) -> Option<&'r Decision> {
    latest(record, tray).map(|(_, check_in)| &check_in.decision)
}

/// Whether the latest check-in requested a visit, and no visit has been attended since.
pub(super) fn to_be_seen(record: &Record) -> bool {
    let Some(latest) = record.check_ins.iter().flatten().next_back() else { return false };
    let asked = latest.decision.kind == DecisionKind::SeeInPerson;
    asked && last_visit(record).is_none_or(|visit| visit < latest.at.written_date())
}

/// The day until which a decision holds a current tray, if it is still to come.
pub(super) fn held_until(record: &Record, tray: &Tray<'_>, today: Date) -> Option<Date> {
    let is_hold = decision(record, tray).is_some_and(|decision| decision.kind == DecisionKind::Hold);
    Some(course::due(record, tray.worn)).filter(|due| is_hold && *due > today)
}

/// The tray after a current tray; none when that is the last of its series.
pub(super) fn tray(tray: &Tray<'_>) -> Option<i32> {
    (tray.left > 0).then_some(tray.worn.tray + 1)
}

/// Whether deliveries are on record and none of them includes the tray after a current tray.
pub(super) fn is_not_delivered(record: &Record, worn: &Tray<'_>) -> bool {
    let (Some(next), number) = (tray(worn), worn.worn.series) else { return false };
    let mut deliveries = record.deliveries.iter().flatten().filter(|one| one.series == number).peekable();
    deliveries.peek().is_some() && !deliveries.any(|one| (one.from_tray..=one.to_tray).contains(&next))
}
