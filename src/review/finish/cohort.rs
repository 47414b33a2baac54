//! Predictions of the end of treatments from a cohort. Only counts are kept, so memory does not grow with the records.

use std::collections::BTreeMap;

use oar_schema::derived::as_of::as_of;
use oar_schema::derived::course;
use oar_schema::record::{CheckIn, Dentition, Record, Series, State};
use oar_schema::time::Date;

use super::{Ahead, DayRange, PERCENT};

/// A class with fewer treatments gives no prediction.
pub const LEAST_TREATMENTS: u64 = 20;
/// The interval in days at which treatments are sampled, so that long ones count in proportion to their length.
const EVERY_DAYS: i32 = 28;
/// The first such day.
const FIRST_DAY: i32 = 14;
/// Days beyond the projection are counted up to here, either way.
const FURTHEST: i32 = 10_000;
/// The classes: first or later series; in the first, second or last third of its trays, or with the last tray in.
const CLASSES: usize = 8;

/// Treatments that are over: for many days of their courses, by how many days the truth was later than the projection.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PastTreatments {
    /// Treatments that are over, and all records.
    over: u64,
    records: u64,
    /// By class: for the end of the series and for the finish of the treatment.
    series: [Later; CLASSES],
    treatment: [Later; CLASSES],
}

/// How much a cohort can predict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Readiness {
    /// Records without errors.
    pub records: u64,
    /// Those whose treatment is over.
    pub over: u64,
    /// The number of classes with enough treatments to predict the end of a series.
    pub series: usize,
    /// The same for the finish of the treatment.
    pub treatment: usize,
    /// The number of all classes.
    pub classes: usize,
}

/// Days by which the truth was later than the projection.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Later {
    treatments: u64,
    days: BTreeMap<i32, u64>,
    n: u64,
}

impl PastTreatments {
    /// Counts a record as it was exported. Only treatments that are over contribute.
    pub fn add(&mut self, record: &Record) {
        self.records += 1;
        let Some(first) = record.wear_periods.first().map(|worn| worn.from) else { return };
        if matches!(record.status.state, State::Planned | State::Active | State::Paused) {
            return;
        }
        self.over += 1;
        let (end, course) = (record.status.since, course_of(record));
        let finish = (record.status.state == State::Finished).then_some(end);
        let mut seen = [[false; CLASSES]; 2];
        let mut day = first.plus_days(FIRST_DAY);
        while day < end {
            self.look(&course, day, finish, &mut seen);
            day = day.plus_days(EVERY_DAYS);
        }
        for (all, seen) in [&mut self.series, &mut self.treatment].into_iter().zip(seen) {
            all.iter_mut().zip(seen).for_each(|(class, seen)| class.treatments += u64::from(seen));
        }
    }

    /// Samples a treatment as it stood on a day.
    fn look(&mut self, course: &Record, day: Date, finish: Option<Date>, seen: &mut [[bool; CLASSES]; 2]) {
        let then = as_of(course.clone(), day);
        let Some((ahead, worn)) = Ahead::of(&then, day).zip(course::current(&then)) else { return };
        let (class, projected) = (ahead.class(), day.plus_days(ahead.projected));
        if let Some(end) = course::series_end(course, worn.series).filter(|_| ahead.left > 0) {
            self.series[class].add(end.days_since(projected));
            seen[0][class] = true;
        }
        if let Some(finish) = finish {
            self.treatment[class].add(finish.days_since(projected));
            seen[1][class] = true;
        }
    }

    /// Adds the counts of other records.
    pub fn merge(&mut self, other: &Self) {
        self.records += other.records;
        self.over += other.over;
        self.series.iter_mut().zip(&other.series).for_each(|(own, others)| own.merge(others));
        self.treatment.iter_mut().zip(&other.treatment).for_each(|(own, others)| own.merge(others));
    }

    /// How much it can predict.
    pub fn readiness(&self) -> Readiness {
        let ready = |all: &[Later]| all.iter().filter(|one| one.treatments >= LEAST_TREATMENTS).count();
        let (series, treatment) = (ready(&self.series), ready(&self.treatment));
        Readiness { records: self.records, over: self.over, series, treatment, classes: CLASSES }
    }

    /// The end of the series; none with the last tray in.
    pub(super) fn series(&self, today: Date, ahead: Ahead) -> Option<DayRange> {
        self.series[ahead.class()].span(today, ahead.projected)
    }

    /// The finish of the treatment.
    pub(super) fn treatment(&self, today: Date, ahead: Ahead) -> Option<DayRange> {
        self.treatment[ahead.class()].span(today, ahead.projected)
    }
}

/// The part of a record that describes the course of its trays.
fn course_of(record: &Record) -> Record {
    let series =
        |one: &Series| Series { scanned_on: one.scanned_on, ..Series::new(one.number, one.trays.clone(), Vec::new()) };
    let check_in = |one: &CheckIn| CheckIn::new(one.at, one.series, one.tray, one.mode, one.decision.clone());
    let part = Record::new(
        record.id.clone(),
        record.source.clone(),
        record.patient.clone(),
        Dentition::new(Vec::new()),
        record.prescription.clone(),
        record.series.iter().map(series).collect(),
        record.wear_periods.clone(),
        record.status.clone(),
    );
    Record { check_ins: record.check_ins.as_ref().map(|all| all.iter().map(check_in).collect()), ..part }
}

impl Ahead {
    fn class(self) -> usize {
        let part = if self.left == 0 { 3 } else { ((self.tray - 1) * 3 / self.trays.max(1)).clamp(0, 2) as usize };
        part + if self.later_series { 4 } else { 0 }
    }
}

impl Later {
    fn add(&mut self, days: i32) {
        *self.days.entry(days.clamp(-FURTHEST, FURTHEST)).or_default() += 1;
        self.n += 1;
    }

    fn merge(&mut self, other: &Self) {
        self.treatments += other.treatments;
        self.n += other.n;
        for (days, count) in &other.days {
            *self.days.entry(*days).or_default() += count;
        }
    }

    /// The interval starts at the day by which a tenth had ended, and holds 8 tenths. One more treatment is counted than there
    /// are: the one that is predicted (conformal prediction).
    fn span(&self, today: Date, projected: i32) -> Option<DayRange> {
        if self.treatments < LEAST_TREATMENTS {
            return None;
        }
        let all = self.n + 1;
        let low = self.ranked(|by| 10 * by >= all)?;
        let before: u64 = self.days.range(..low).map(|(_, count)| count).sum();
        let high = self.ranked(|by| 100 * by.saturating_sub(before) >= u64::from(PERCENT) * all)?;
        let at = |later: i32| today.plus_days((projected + later).max(0));
        Some(DayRange { low: at(low), high: at(high), n: self.treatments, from: "treatments" })
    }

    /// The first value for which the count up to it meets a condition.
    fn ranked(&self, holds: impl Fn(u64) -> bool) -> Option<i32> {
        let mut by = 0;
        self.days.iter().find_map(|(days, count)| {
            by += count;
            holds(by).then_some(*days)
        })
    }
}
