//! What comes next by the record: check-ins, and decisions that still stand.

use oar_schema::derived::course;
use oar_schema::record::{CheckIn, Decision, DecisionKind, Record};
use oar_schema::time::Date;

/// The day on which the next check-in is asked for: counted from the last check-in or visit, or from the first tray. None without a
/// rhythm, and when no tray is in.
pub(super) fn check_in(record: &Record) -> Option<Date> {
    course::current(record)?;
    let every = record.prescription.check_in_every_days?;
    let seen = record.check_ins.iter().flatten().map(|check_in| check_in.at.written_date()).max();
    let since = seen.max(last_visit(record)).or(record.worn.first().map(|worn| worn.from))?;
    Some(since.plus_days(every))
}

/// The last visit that was kept.
pub(super) fn last_visit(record: &Record) -> Option<Date> {
    record.visits.iter().flatten().filter(|visit| visit.attended).map(|visit| visit.on).max()
}

/// The latest check-in with the tray that is in, since it was put in.
pub(super) fn latest(record: &Record) -> Option<&CheckIn> {
    let worn = course::current(record)?;
    let latest = record.check_ins.as_ref()?.last()?;
    let same = (latest.series, latest.tray) == (worn.series, worn.tray);
    (same && latest.at.written_date() >= worn.from).then_some(latest)
}

/// What the latest check-in with the tray that is in decided.
pub(super) fn decision(record: &Record) -> Option<&Decision> {
    latest(record).map(|check_in| &check_in.decision)
}

/// Whether the latest check-in asked to see the patient, and no visit has been kept since.
pub(super) fn to_be_seen(record: &Record) -> bool {
    let Some(latest) = record.check_ins.iter().flatten().next_back() else { return false };
    let asked = latest.decision.kind == DecisionKind::SeeInPerson;
    asked && last_visit(record).is_none_or(|visit| visit < latest.at.written_date())
}

/// The day up to which a decision holds the tray that is in, when it is still to come.
pub(super) fn held_until(record: &Record, today: Date) -> Option<Date> {
    let is_hold = decision(record).is_some_and(|decision| decision.kind == DecisionKind::Hold);
    course::tray_due(record).filter(|due| is_hold && *due > today)
}

/// The tray after the one that is in; none when it is the last of its series.
pub(super) fn tray(record: &Record) -> Option<i32> {
    let left = course::trays_left(record)?;
    course::current(record).filter(|_| left > 0).map(|worn| worn.tray + 1)
}

/// Whether deliveries are on record and none of them has the next tray.
pub(super) fn is_not_delivered(record: &Record) -> bool {
    let (Some(next), Some(worn)) = (tray(record), course::current(record)) else { return false };
    let mut deliveries = record.deliveries.iter().flatten().filter(|one| one.series == worn.series).peekable();
    deliveries.peek().is_some() && !deliveries.any(|one| (one.from_tray..=one.to_tray).contains(&next))
}
