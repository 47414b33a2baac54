//! Mistakes about when something happened and where the treatment stands.

use oar_schema::record::{AppointmentReason, Procedure, State, StateReason, WearEnd};
use oar_schema::time::{Date, Instant};
use serde_json::Value;

use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "time_and_state":
    Many after_export;
    Many before_birth;
    Many date_far_off;
    Many very_young;
    Many very_old;
    Many list_out_of_order;
    Many retention_backwards;
    Many state_contradicts_trays;
    Few finished_with_trays_left;
    Many finished_without_retention;
    Many retention_before_finish;
    Many clock_change_ignored;
}

/// The days of the lists that no other list follows from: the way to each, and the day.
fn loose_days(draft: &Draft<'_>) -> Vec<(String, Date)> {
    let comfort = draft.clean.comfort.iter().flatten().enumerate();
    let comfort = comfort.map(|(at, entry)| (format!("/comfort/{at}/on"), entry.on));
    let assessments = draft.clean.assessments.iter().flatten().enumerate();
    comfort.chain(assessments.map(|(at, entry)| (format!("/assessments/{at}/on"), entry.on))).collect()
}

/// The same day of another year.
pub(super) fn in_year(day: Date, year: i32) -> Option<Date> {
    let (_, month, of_month) = day.civil();
    Date::new(year, month, of_month)
}

/// Writes a day that is loose in another year, the first of some that fits.
fn mistype_year(
    draft: &mut Draft<'_>,
    stream: &mut RandomStream,
    years: &[i32],
    fits: impl Fn(Date) -> bool,
) -> Option<FaultLocation> {
    let mistyped = |day: Date| {
        let years = years.iter().filter_map(|years| in_year(day, day.civil().0 + years));
        years.into_iter().find(|day| fits(*day))
    };
    let days = loose_days(draft);
    let choices: Vec<(String, Date)> =
        days.into_iter().filter_map(|(pointer, day)| Some((pointer, mistyped(day)?))).collect();
    let (pointer, day) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, day.to_string())?;
    Some(pointer.into())
}

/// A year that is one too great, as in January.
fn after_export(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let today = draft.today();
    mistype_year(draft, stream, &[1, 2, 3], |day| day > today)
}

/// A wrong century.
fn before_birth(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let born = draft.clean.patient.birth_year;
    mistype_year(draft, stream, &[-100], |day| day.civil().0 < born)
}

/// A wrong decade.
fn date_far_off(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let born = draft.clean.patient.birth_year;
    mistype_year(draft, stream, &[-10], |day| day.civil().0 >= born)
}

/// The year of the first tray, or of the state before there was one.
fn start_year(draft: &Draft<'_>) -> i32 {
    let first = draft.clean.wear_periods.first().map_or(draft.clean.status.since, |worn| worn.from);
    first.civil().0
}

/// Writes another year of birth.
fn mistype_birth(draft: &mut Draft<'_>, year: i32) -> Option<FaultLocation> {
    let pointer = "/patient/birth_year";
    draft.set(pointer, year)?;
    Some(pointer.into())
}

/// The year of birth of a sibling.
fn very_young(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let age = stream.whole(2, draft.limits.youngest_years as i32 - 1);
    mistype_birth(draft, start_year(draft) - age)
}

/// A year of birth in the wrong century.
fn very_old(draft: &mut Draft<'_>, _: &mut RandomStream) -> Option<FaultLocation> {
    let year = draft.clean.patient.birth_year - 100;
    let age = start_year(draft) - year - 1;
    if year < 1900 || i64::from(age) <= draft.limits.oldest_years {
        return None;
    }
    mistype_birth(draft, year)
}

/// Two entries of a list that were sorted by something else.
fn list_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let comfort: Vec<Date> = draft.clean.comfort.iter().flatten().map(|entry| entry.on).collect();
    let assessments: Vec<Date> = draft.clean.assessments.iter().flatten().map(|entry| entry.on).collect();
    let breaks = |list: &'static str, field: &'static str, days: &[Date]| -> Vec<_> {
        let pairs = days.windows(2).enumerate().filter(|(_, pair)| pair[0] < pair[1]);
        pairs.map(|(at, _)| (list, at, field)).collect()
    };
    let choices = [breaks("comfort", "on", &comfort), breaks("assessments", "on", &assessments)].concat();
    let (list, at, field) = *stream.one_of(&choices)?;
    draft.swap(&format!("/{list}"), at, at + 1)?;
    Some(format!("/{list}/{}/{field}", at + 1).into())
}

/// The end of the retention in the year before its beginning.
fn retention_backwards(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let from = draft.clean.retention.as_ref()?.from;
    let until = in_year(from, from.civil().0 - stream.whole(1, 2))?;
    draft.set("/retention/until", until.to_string())?;
    Some("/retention/until".into())
}

/// A state that was changed before the last tray was entered, or that nobody changed.
fn state_contradicts_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let last = draft.clean.wear_periods.last()?;
    let waits = matches!(last.ended, Some(WearEnd::Lost | WearEnd::Broken));
    let others: &[State] = match draft.clean.status.state {
        State::Active if last.to.is_none() => &[State::Finished, State::Paused, State::Planned],
        State::Finished | State::Discontinued if last.to.is_some() && !waits => &[State::Active],
        _ => return None,
    };
    draft.set("/status/state", stream.one_of(others)?.as_str())?;
    Some("/status/state".into())
}

/// Whether trays of the last series were never worn.
fn has_trays_left(draft: &Draft<'_>) -> bool {
    let Some(planned) = draft.clean.series.iter().max_by_key(|series| series.number) else { return false };
    let worn = draft.clean.wear_periods.iter().filter(|worn| worn.series == planned.number).map(|worn| worn.tray);
    worn.max().unwrap_or(0) < planned.trays.upper.max(planned.trays.lower)
}

/// A treatment that was broken off, closed as if it were done; or one that is done early, and nobody wrote why.
fn finished_with_trays_left(draft: &mut Draft<'_>, _: &mut RandomStream) -> Option<FaultLocation> {
    let status = &draft.clean.status;
    let last = draft.clean.wear_periods.last()?;
    if last.to.is_none() || !has_trays_left(draft) {
        return None;
    }
    match (status.state, status.reason) {
        (State::Discontinued, reason) if reason != Some(StateReason::GoalReached) => {
            draft.set("/status/state", State::Finished.as_str())?;
        }
        (State::Finished, Some(StateReason::GoalReached)) => drop(draft.remove("/status/reason")?),
        _ => return None,
    }
    Some("/status/state".into())
}

/// An export without the retention sheet: neither the phase nor the visits and procedures of it.
fn finished_without_retention(draft: &mut Draft<'_>, _: &mut RandomStream) -> Option<FaultLocation> {
    let status = &draft.clean.status;
    if status.state != State::Finished || draft.clean.retention.is_none() {
        return None;
    }
    if has_trays_left(draft) && status.reason != Some(StateReason::GoalReached) {
        return None;
    }
    draft.remove("/retention")?;
    let kept = [Procedure::RetainerDelivery.as_str(), Procedure::BondedRetainer.as_str()];
    if let Some(visits) = draft.tree.pointer_mut("/appointments").and_then(Value::as_array_mut) {
        visits.retain(|visit| visit["reason"] != AppointmentReason::Retention.as_str());
        for done in visits.iter_mut().filter_map(|visit| visit.get_mut("procedures")?.as_array_mut()) {
            done.retain(|done| !kept.iter().any(|word| done == word));
        }
    }
    Some("/status/state".into())
}

/// A month that was mistyped: retention begins while trays are worn.
fn retention_before_finish(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    let (first, last) = (worn.first()?.from, worn.last()?.to?);
    let from = draft.clean.retention.as_ref()?.from.plus_days(-30 * stream.whole(1, 3));
    if from <= first || from >= last {
        return None;
    }
    draft.set("/retention/from", from.to_string())?;
    Some("/retention/from".into())
}

/// A check-in whose offset is that of the other season, the clock being right.
fn clock_change_ignored(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let instants: Vec<Instant> = draft.clean.check_ins.iter().flatten().map(|check_in| check_in.at).collect();
    let other = |at: &Instant| instants.iter().map(|at| at.offset_minutes).find(|offset| *offset != at.offset_minutes);
    let choices: Vec<(usize, Instant)> = instants
        .iter()
        .enumerate()
        .filter_map(|(place, at)| Some((place, in_offset(*at, other(at)?))))
        .filter(|(_, at)| at.offset_minutes != 0)
        .collect();
    let (place, at) = *stream.one_of(&choices)?;
    let pointer = format!("/check_ins/{place}/at");
    draft.set(&pointer, at.to_string())?;
    Some(pointer.into())
}

/// The same time on the clock, with another offset.
fn in_offset(at: Instant, offset_minutes: i16) -> Instant {
    let seconds = at.seconds + i64::from(at.offset_minutes - offset_minutes) * 60;
    Instant { seconds, offset_minutes, ..at }
}
