//! A record as it stood on an earlier day.

use crate::record::{Record, State, Status, WearPeriod};
use crate::time::Date;

/// The record as it stood at the end of a day: everything dated later is removed. A wear period that ended later is the
/// current one. A series that was scanned later does not exist yet. A status that was reached later is replaced: the
/// treatment is active once a tray was in, and planned before. Undated data (the plan of a series, the prescription, the
/// teeth at the start) stays as it is.
#[must_use]
pub fn as_of(mut record: Record, day: Date) -> Record {
    record.series.retain(|series| series.scanned_on.is_none_or(|scanned| scanned <= day));
    for series in &mut record.series {
        series.ordered_on.take_if(|ordered| *ordered > day);
        series.achieved.take_if(|achieved| achieved.on > day);
    }
    record.wear_periods.retain(|worn| worn.from <= day);
    record.wear_periods.iter_mut().for_each(|worn| reopen(worn, day));
    keep(&mut record.dentition.extracted, |extraction| extraction.on <= day);
    keep(&mut record.assessments, |assessment| assessment.on <= day);
    keep(&mut record.deliveries, |delivery| delivery.on <= day);
    keep(&mut record.wear_log, |entry| entry.on <= day);
    keep(&mut record.check_ins, |check_in| check_in.at.written_date() <= day);
    keep(&mut record.attachment_events, |event| event.on <= day);
    keep(&mut record.appointments, |visit| visit.on <= day);
    keep(&mut record.comfort, |comfort| comfort.on <= day);
    record.retention.take_if(|retention| retention.from > day);
    if record.status.since > day {
        let first = record.wear_periods.first().map(|worn| worn.from);
        record.status = match first {
            Some(since) => Status { state: State::Active, since, reason: None },
            None => Status { state: State::Planned, since: day, reason: None },
        };
    }
    record
}

/// A wear period that ended after the day is still open on that day. The day of a change belongs to the next tray.
fn reopen(worn: &mut WearPeriod, day: Date) {
    if worn.to.is_some_and(|to| to > day) {
        (worn.to, worn.ended) = (None, None);
    }
}

fn keep<T>(list: &mut Option<Vec<T>>, keeps: impl FnMut(&T) -> bool) {
    if let Some(list) = list {
        list.retain(keeps);
    }
}
