//! Mistakes in the wear log: days, minutes, and what they count.

use oar_schema::record::{Retention, State, WearDay, WearSource};
use oar_schema::time::Date;
use oar_schema::zones::Zone;
use serde_json::Value;

use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "wear_log":
    Many more_than_a_day;
    Many day_logged_twice;
    Many log_out_of_order;
    Many log_outside_treatment;
    Many sources_disagree;
    Many log_too_regular;
    Many unit_looks_wrong;
    Many removals_implausible;
    Many goal_under_floor;
}

fn log<'r>(draft: &Draft<'r>) -> &'r [WearDay] {
    draft.clean.wear_log.as_deref().unwrap_or_default()
}

/// The length of days in the patient's time zone.
fn minutes_of(draft: &Draft<'_>) -> Option<impl Fn(Date) -> i32 + 'static> {
    let zone = Zone::named(&draft.clean.patient.time_zone.0)?;
    Some(move |day: Date| zone.minutes(day))
}

/// The most days in a row for which one source has the same minutes, but for days without wear.
fn longest_run(log: &[WearDay]) -> i64 {
    let sources = [WearSource::Patient, WearSource::Sensor, WearSource::Timer];
    let of = |source: WearSource| log.iter().filter(move |day| day.source == source).map(|day| day.minutes);
    let longest = |source| {
        let minutes: Vec<i32> = of(source).collect();
        let runs = minutes.chunk_by(|one, next| one == next).filter(|run| run[0] > 0);
        runs.map(<[i32]>::len).max().unwrap_or(0)
    };
    sources.map(longest).into_iter().max().unwrap_or(0) as i64
}

/// Days on which minutes are missing though nobody counted a removal.
fn uncounted(log: &[WearDay]) -> i64 {
    log.iter().filter(|day| day.removals == Some(0) && (1..1380).contains(&day.minutes)).count() as i64
}

/// Writes another log, unless it looks filled in, which is another mistake.
fn set_log(draft: &mut Draft<'_>, log: &[WearDay]) -> Option<()> {
    let quiet = longest_run(log) < draft.limits.same_minutes_days && uncounted(log) < draft.limits.uncounted_days;
    draft.set("/wear_log", if quiet { serde_json::to_value(log).ok()? } else { return None })
}

/// A day that was counted from one evening to the next but one.
fn more_than_a_day(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let length = minutes_of(draft)?;
    let days = log(draft).iter().enumerate().map(|(at, day)| (at, length(day.on)));
    let (at, length) = *stream.one_of(&days.filter(|(_, length)| *length < 1500).collect::<Vec<_>>())?;
    let pointer = format!("/wear_log/{at}/minutes");
    draft.set(&pointer, stream.whole(length + 1, 1500))?;
    Some(pointer.into())
}

/// A date that was mistyped as that of the day before, or days that were imported twice.
fn day_logged_twice(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let log = log(draft);
    let last = i32::try_from(log.len()).ok()?.checked_sub(2).filter(|last| *last >= 0)?;
    let at = stream.whole(0, last) as usize;
    let mut twice = log.to_vec();
    if stream.chance(0.4) {
        if log[at].source != log[at + 1].source {
            return None;
        }
        twice[at + 1].on = log[at].on;
        set_log(draft, &twice)?;
        return Some(format!("/wear_log/{}/on", at + 1).into());
    }
    let (first, count) =
        if stream.chance(0.3) { (0, log.len()) } else { (at, (stream.whole(1, 30) as usize).min(log.len() - at)) };
    twice.extend_from_slice(&log[first..first + count]);
    twice.sort_by_key(|day| day.on);
    set_log(draft, &twice)?;
    Some(format!("/wear_log/{}/on", first + 1).into())
}

/// Two days in each other's place, or days that were imported late and stand at the end.
fn log_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let log = log(draft);
    let last = i32::try_from(log.len()).ok()?.checked_sub(2).filter(|last| *last >= 0)?;
    let at = stream.whole(0, last) as usize;
    let mut mixed = log.to_vec();
    let broken = if stream.chance(0.5) {
        mixed.swap(at, at + 1);
        at + 1
    } else {
        let count = (stream.whole(1, 30) as usize).min(log.len() - at - 1);
        mixed[at..].rotate_left(count);
        log.len() - count
    };
    if mixed[broken].on >= mixed[broken - 1].on {
        return None;
    }
    set_log(draft, &mixed)?;
    Some(format!("/wear_log/{broken}/on").into())
}

/// A clock that was days behind, days on which trays were only tried, or a log that ran on after the last tray.
fn log_outside_treatment(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (old, begin) = (log(draft), draft.clean.wear_periods.first()?.from);
    if let Some(end) = end(draft)
        && stream.chance(0.6)
    {
        return log_after(draft, stream, end);
    }
    let days = stream.whole(1, 9);
    let mut new = old.to_vec();
    if stream.chance(0.5) {
        for day in &mut new {
            day.on = day.on.plus_days(-days);
        }
    } else {
        let tried = old.iter().take(days as usize).zip((1..=days).rev());
        new = tried.map(|(day, ago)| WearDay { on: begin.plus_days(-ago), ..day.clone() }).collect();
        new.extend_from_slice(old);
    }
    let length = minutes_of(draft)?;
    let first = new.iter().position(|day| day.on < begin && day.minutes > 0)?;
    if new.iter().any(|day| day.minutes + day.removals.unwrap_or(0) > length(day.on)) {
        return None;
    }
    set_log(draft, &new)?;
    Some(format!("/wear_log/{first}/on").into())
}

/// The day on which the last tray was taken out, when treatment and log have ended.
fn end(draft: &Draft<'_>) -> Option<Date> {
    let worn = &draft.clean.wear_periods;
    let end = worn.iter().filter_map(|worn| worn.to).max()?;
    let open = draft.clean.status.state == State::Active || worn.iter().any(|worn| worn.to.is_none());
    (!open && log(draft).last()?.on <= end).then_some(end)
}

fn log_after(draft: &mut Draft<'_>, stream: &mut RandomStream, end: Date) -> Option<FaultLocation> {
    let (old, days) = (log(draft), stream.whole(1, 20));
    let retained = |retention: &Retention| retention.from.days_since(end) <= days;
    if end.plus_days(days) > draft.today() || draft.clean.retention.as_ref().is_some_and(retained) {
        return None;
    }
    let mut new = old.to_vec();
    new.extend(
        (1..=days)
            .zip(old.iter().filter(|day| day.minutes > 0).rev())
            .map(|(after, day)| WearDay { on: end.plus_days(after), ..day.clone() }),
    );
    let length = minutes_of(draft)?;
    let fits = |day: &WearDay| day.minutes + day.removals.unwrap_or(0) <= length(day.on);
    if new.len() == old.len() || !new[old.len()..].iter().all(fits) {
        return None;
    }
    set_log(draft, &new)?;
    Some(format!("/wear_log/{}/on", old.len()).into())
}

/// What the patient tells beside the sensor, or a sensor that was in a drawer beside what the patient tells.
fn sources_disagree(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (log, least) = (log(draft), draft.limits.sources_apart_minutes as i32 + 1);
    let count = (stream.whole(1, draft.limits.unit_days as i32 - 1) as usize).min(log.len());
    let first = stream.whole(0, i32::try_from(log.len() - count).ok().filter(|_| count > 0)?) as usize;
    let wrong = stream.whole(0, count as i32 - 1) as usize;
    let mut new = log.to_vec();
    for (number, day) in log[first..first + count].iter().enumerate().rev() {
        let minutes = match day.minutes {
            minutes if number < wrong => minutes - stream.whole(0, minutes.min(60)),
            minutes if minutes >= least => stream.whole(0, minutes - least),
            minutes => stream.whole(minutes + least, 1300),
        };
        let source = if day.source == WearSource::Sensor { WearSource::Patient } else { WearSource::Sensor };
        new.insert(first + number + 1, WearDay { on: day.on, minutes, source, removals: None });
    }
    set_log(draft, &new)?;
    Some(format!("/wear_log/{}/minutes", first + 2 * wrong + 1).into())
}

/// Weeks that were filled in with the goal.
fn log_too_regular(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (log, least) = (log(draft), draft.limits.same_minutes_days as i32);
    let count = stream.whole(least, least + 30).min(i32::try_from(log.len()).ok()?);
    if count < least {
        return None;
    }
    let first = stream.whole(0, log.len() as i32 - count) as usize;
    let days = first..first + count as usize;
    let (goal, source) = (draft.clean.prescription.wear_goal_minutes, log[first].source);
    let around = [first.checked_sub(1), Some(days.end)].into_iter().flatten().filter_map(|at| log.get(at));
    let counted = |day: &WearDay| day.removals.unwrap_or(0) > 1380 - goal;
    let low = |day: &WearDay| day.minutes < draft.clean.prescription.wear_minimum_minutes;
    let mixed = log[days.clone()].iter().any(|day| day.source != source || counted(day) || low(day));
    if !(1..=1380).contains(&goal) || mixed || around.into_iter().any(|day| day.minutes == goal) {
        return None;
    }
    for at in days {
        draft.set(&format!("/wear_log/{at}/minutes"), goal)?;
    }
    Some(format!("/wear_log/{first}/minutes").into())
}

/// A log in hours or in percent of the day, or a prescription in hours.
fn unit_looks_wrong(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (log, limits) = (log(draft), draft.limits);
    if log.is_empty() || stream.chance(0.3) {
        for field in ["wear_goal_minutes", "wear_minimum_minutes"] {
            let pointer = format!("/prescription/{field}");
            let hours = draft.get(&pointer)?.as_i64()? / 60;
            draft.set(&pointer, hours)?;
        }
        return Some("/prescription/wear_goal_minutes".into());
    }
    let (parts, least) =
        if stream.chance(0.6) { (24, limits.unit_mean_hours) } else { (100, limits.unit_mean_percent) };
    let in_parts = |day: &WearDay| (day.minutes * parts + 720) / 1440;
    let minutes: Vec<i64> = log.iter().map(|day| i64::from(in_parts(day))).collect();
    let (days, most) = (minutes.len() as i64, *minutes.iter().max()?);
    let looks = minutes.iter().sum::<i64>() >= least * days && most <= i64::from(parts) && (parts == 24 || most > 24);
    if days < limits.unit_days || !looks || log.iter().any(|day| day.source != log[0].source) {
        return None;
    }
    for (at, minutes) in minutes.into_iter().enumerate() {
        draft.set(&format!("/wear_log/{at}/minutes"), minutes)?;
    }
    Some("/wear_log/0/minutes".into())
}

/// A digit too many, or a field that nobody filled and that a program wrote as 0.
fn removals_implausible(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let log = log(draft);
    let slips = log.iter().enumerate().filter_map(|(at, day)| Some((at, day.removals? * 10 + day.removals? % 10)));
    let most = draft.limits.most_removals as i32;
    let slips: Vec<_> = slips.filter(|(_, removals)| (most + 1..=200).contains(removals)).collect();
    if !slips.is_empty() && stream.chance(0.5) {
        let (at, removals) = *stream.one_of(&slips)?;
        let pointer = format!("/wear_log/{at}/removals");
        draft.set(&pointer, removals)?;
        return Some(pointer.into());
    }
    let first = stream.whole(0, i32::try_from(log.len()).ok()?.checked_sub(1)?.max(0)) as usize;
    let mut filled = log.to_vec();
    for day in filled.iter_mut().skip(first) {
        day.removals = Some(0);
    }
    if uncounted(&filled) < draft.limits.uncounted_days {
        return None;
    }
    let at = filled.iter().position(|day| uncounted(std::slice::from_ref(day)) > 0)?;
    draft.set("/wear_log", serde_json::to_value(&filled).ok()?)?;
    Some(format!("/wear_log/{at}/removals").into())
}

/// Goal and floor in each other's place, or a floor that is mistyped.
fn goal_under_floor(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let prescription = &draft.clean.prescription;
    let (goal, floor) = (prescription.wear_goal_minutes, prescription.wear_minimum_minutes);
    if goal >= 1440 {
        return None;
    }
    if goal > floor && floor > 24 && stream.chance(0.6) {
        draft.set("/prescription/wear_goal_minutes", floor)?;
        draft.set("/prescription/wear_minimum_minutes", goal)?;
    } else {
        draft.set("/prescription/wear_minimum_minutes", Value::from(stream.whole(goal + 1, 1440)))?;
    }
    Some("/prescription/wear_goal_minutes".into())
}
