//! Values about the course of a treatment, one function for each definition. Shares are fractions of 1. A function returns
//! `None` when the record does not contain what it needs.

use super::arches;
use crate::record::{CheckIn, PlannedReduction, Record, Series, WearDay, WearPeriod, WearSource};
use crate::teeth::{Arch, Tooth};
use crate::time::Date;

pub use super::wear_periods::{completed_in, due, pace_in, series_of};

/// A rescan is due when at most this many trays are left (common practice).
pub const RESCAN_TRAYS: i32 = 3;

/// The current wear period: the last one of an arch, when it has no end. When the arches wear different trays, that of the leading arch.
pub fn current(record: &Record) -> Option<&WearPeriod> {
    arches::trays(record).first().map(|tray| tray.worn)
}

/// Whole days from the first tray to a day; the first day is 0.
pub fn treatment_day(record: &Record, day: Date) -> Option<i32> {
    record.wear_periods.first().map(|worn| day.days_since(worn.from))
}

fn share(part: i64, whole: i64) -> Option<f64> {
    (whole > 0).then(|| f64::from(part as i32) / f64::from(whole as i32))
}

/// The minutes of each logged day, in chronological order. A day with several entries has those of the sensor, or else of the timer.
pub fn logged(log: &[WearDay]) -> Vec<(Date, i32)> {
    let told = |source| match source {
        WearSource::Sensor => 0,
        WearSource::Timer => 1,
        WearSource::Patient => 2,
    };
    let mut entries: Vec<(Date, i32, i32)> = log.iter().map(|day| (day.on, told(day.source), day.minutes)).collect();
    entries.sort_by_key(|(date, source, _)| (*date, *source));
    entries.dedup_by_key(|(date, ..)| *date);
    entries.into_iter().map(|(date, _, minutes)| (date, minutes)).collect()
}

/// Logged minutes over goal minutes times days logged.
pub fn wear_share(log: &[WearDay], goal_minutes: i32) -> Option<f64> {
    let days = logged(log);
    let minutes = days.iter().map(|(_, minutes)| i64::from(*minutes)).sum();
    share(minutes, i64::from(goal_minutes) * days.len() as i64)
}

/// Share of logged days that reach the wear minimum.
pub fn days_at_minimum(log: &[WearDay], floor_minutes: i32) -> Option<f64> {
    let days = logged(log);
    share(days.iter().filter(|(_, minutes)| *minutes >= floor_minutes).count() as i64, days.len() as i64)
}

/// The longest run of consecutive logged days below the wear minimum.
pub fn low_run(log: &[WearDay], floor_minutes: i32) -> Option<i32> {
    let (mut longest, mut run) = (0, 0);
    let mut last: Option<Date> = None;
    for (date, minutes) in logged(log) {
        let follows = last.is_some_and(|last| date == last.plus_days(1));
        run = match (minutes < floor_minutes, follows) {
            (true, true) => run + 1,
            (true, false) => 1,
            (false, _) => 0,
        };
        longest = longest.max(run);
        last = Some(date);
    }
    last.map(|_| longest)
}

/// Of the days on which a tray was in, the share with a log entry; none without a log. A day on which trays are changed
/// counts once. A wear period without an end counts up to and including `today`.
pub fn days_logged(record: &Record, today: Date) -> Option<f64> {
    let days = logged(record.wear_log.as_deref()?);
    let mut counted = Date(i32::MIN);
    let (mut due, mut covered) = (0, 0);
    for worn in &record.wear_periods {
        let end = worn.to.unwrap_or(today.plus_days(1));
        let from = worn.from.max(counted);
        due += i64::from(end.days_since(from).max(0));
        covered += days.iter().filter(|(date, _)| (from..end).contains(date)).count();
        counted = counted.max(end);
    }
    share(covered as i64, due)
}

/// The day from which the current tray may be changed: its first day plus the prescribed days and the days of holds that
/// were decided while it was in. When the arches wear different trays, the earlier day of those that another tray follows.
pub fn tray_due(record: &Record) -> Option<Date> {
    let trays = arches::trays(record);
    let next = trays.iter().filter(|tray| tray.left > 0).map(|tray| due(record, tray.worn)).min();
    next.or(trays.first().map(|tray| due(record, tray.worn)))
}

/// Days for which the tray has been in beyond its due date; none when it is not overdue.
pub fn days_overdue(record: &Record, today: Date) -> Option<i32> {
    tray_due(record).map(|due| today.days_since(due)).filter(|days| *days > 0)
}

/// Trays of the longer arch after the one that is in.
pub fn trays_left(record: &Record) -> Option<i32> {
    let trays = arches::trays(record);
    let tray = trays.first()?;
    series_of(record, tray.worn).map(|_| tray.left)
}

/// The days of the completed trays of both arches, by series and tray. A tray that both arches completed counts once, with
/// the days of the arch in which it took longer.
pub fn completed(record: &Record) -> Vec<i32> {
    let [mut trays, lower] = Arch::ALL.map(|arch| completed_in(record, arch));
    for (tray, days) in lower {
        let longer = trays.entry(tray).or_insert(days);
        *longer = days.max(*longer);
    }
    trays.into_values().collect()
}

/// Median days of the completed trays of the leading arch in the series that it wears.
pub fn pace(record: &Record) -> Option<f64> {
    pace_in(record, current(record)?.series, arches::leading_arch(record)?)
}

/// The day on which a series ends: the last tray of its longer arch has been worn for its days and those of its holds. None
/// when that tray was never put in.
pub fn series_end(record: &Record, number: i32) -> Option<Date> {
    let trays = &record.series.iter().find(|series| series.number == number)?.trays;
    let last = trays.upper.max(trays.lower);
    let worn = record.wear_periods.iter().find(|worn| (worn.series, worn.tray) == (number, last))?;
    Some(due(record, worn))
}

/// Today, plus the days left of the current tray, plus the trays after it at the pace of the series; rounded to a day. When
/// the arches differ, the later of their ends.
pub fn projected_end(record: &Record, today: Date) -> Option<Date> {
    if let Some(arches) = arches::per_arch(record, today) {
        return arches::later_end(&arches, today);
    }
    let left = tray_due(record)?.days_since(today).max(0);
    let rest = f64::from(trays_left(record)?) * pace(record)?;
    Some(today.plus_days(left + rest.round() as i32))
}

/// Whether few trays are left and no later series is planned.
pub fn rescan_due(record: &Record) -> Option<bool> {
    let number = current(record)?.series;
    let later = record.series.iter().any(|series| series.number > number);
    Some(trays_left(record)? <= RESCAN_TRAYS && !later)
}

/// A planned interproximal reduction that is due.
#[derive(Clone, Copy, Debug)]
pub struct DueReduction<'r> {
    /// The index of its series, and its own index in the plan of that series.
    pub places: [usize; 2],
    /// The planned reduction.
    pub reduction: &'r PlannedReduction,
    /// The tray that is in, in the arch of its contact.
    pub tray: i32,
}

/// Planned interproximal reductions of the series that is worn, due before the next tray or earlier, that no visit since its
/// scan records.
pub fn due_reductions(record: &Record) -> Option<Vec<DueReduction<'_>>> {
    current(record)?;
    Some(arches::series_worn(record).flat_map(|(place, series)| due_of(record, place, series)).collect())
}

fn due_of<'r>(record: &'r Record, place: usize, series: &'r Series) -> impl Iterator<Item = DueReduction<'r>> {
    let since = series.scanned_on.unwrap_or(Date(i32::MIN));
    let visits = record.appointments.iter().flatten().filter(move |visit| visit.on >= since);
    let done: Vec<[Tooth; 2]> =
        visits.flat_map(|visit| visit.interproximal_reductions.iter().flatten()).map(|it| it.between).collect();
    let is_done = move |between: [Tooth; 2]| done.contains(&between) || done.contains(&[between[1], between[0]]);
    let trays = Arch::ALL.map(|arch| arches::tray_of(record, series.number, arch));
    let listed =
        series.interproximal_reductions.iter().flatten().enumerate().filter(move |(_, it)| !is_done(it.between));
    listed.filter_map(move |(own, reduction)| {
        let tray = trays[reduction.between[0].arch() as usize]?;
        (reduction.before_tray <= tray + 1).then_some(DueReduction { places: [place, own], reduction, tray })
    })
}

/// The contacts of the [`due_reductions`].
pub fn reductions_due(record: &Record) -> Option<Vec<[Tooth; 2]>> {
    due_reductions(record).map(|due| due.iter().map(|due| due.reduction.between).collect())
}

/// Teeth whose fit gap at the latest check-in is at least `least_gap` hundredths of a millimetre, each with the number of
/// consecutive check-ins for which this has been so.
pub fn lagging_teeth(record: &Record, least_gap: i32) -> Vec<(Tooth, i32)> {
    let check_ins = record.check_ins.as_deref().unwrap_or_default();
    let lags = |check_in: &CheckIn, tooth: Tooth| {
        check_in.fit_gaps.iter().flatten().any(|gap| gap.tooth == tooth && gap.gap_mm.0 >= least_gap)
    };
    let Some(latest) = check_ins.last() else { return Vec::new() };
    let teeth = latest.fit_gaps.iter().flatten().filter(|gap| gap.gap_mm.0 >= least_gap).map(|gap| gap.tooth);
    let running = |tooth| check_ins.iter().rev().take_while(|check_in| lags(check_in, tooth)).count() as i32;
    teeth.map(|tooth| (tooth, running(tooth))).collect()
}
