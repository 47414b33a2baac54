//! The state of each arch, when the two wear different trays or have different numbers of trays.

use super::wear_periods::{due, due_up_to, pace_in, series_of};
use crate::record::{Arches, Record, Series, WearEnd, WearPeriod};
use crate::teeth::Arch;
use crate::time::Date;

pub use super::wear_periods::{covers, overlap, trays_of};

/// A tray that is in.
#[derive(Clone, Copy, Debug)]
pub struct Tray<'r> {
    /// The arches in which it is.
    pub arches: Arches,
    /// The index of its wear period in the list.
    pub place: usize,
    /// Its wear period.
    pub worn: &'r WearPeriod,
    /// Trays after it; those of the longer arch when it is in both.
    pub left: i32,
}

impl Tray<'_> {
    /// The arch with more trays after it; the upper one when both have the same number.
    pub fn longer_arch(&self, record: &Record) -> Arch {
        let lower = covers(self.arches, Arch::Lower) && left_of(record, self.worn, Arch::Lower) == self.left;
        let upper = covers(self.arches, Arch::Upper) && left_of(record, self.worn, Arch::Upper) == self.left;
        if lower && !upper { Arch::Lower } else { Arch::Upper }
    }
}

/// The trays that are in: one when the arches wear the same, two when they do not. The first is that of the leading arch.
pub fn trays(record: &Record) -> Vec<Tray<'_>> {
    let [upper, lower] = Arch::ALL.map(|arch| in_arch(record, arch));
    match (upper, lower) {
        (Some(upper), Some(lower)) if is_same(upper.worn, lower.worn) => {
            let place = upper.place.max(lower.place);
            let left = upper.left.max(lower.left);
            vec![Tray { arches: Arches::Both, place, worn: &record.wear_periods[place], left }]
        }
        (Some(upper), Some(lower)) if leads(record, &lower, &upper) => vec![lower, upper],
        _ => [upper, lower].into_iter().flatten().collect(),
    }
}

/// The arch whose tray is used when one tray has to represent the treatment.
pub fn leading_arch(record: &Record) -> Option<Arch> {
    trays(record).first().map(|tray| tray.longer_arch(record))
}

fn is_same(one: &WearPeriod, other: &WearPeriod) -> bool {
    (one.series, one.tray, one.from) == (other.series, other.tray, other.from)
}

/// Whether a lower tray leads an upper one.
fn leads(record: &Record, lower: &Tray<'_>, upper: &Tray<'_>) -> bool {
    let rank = |tray: &Tray<'_>, arch| (tray.left, first_day(record, tray.worn, arch), tray.worn.series);
    rank(lower, Arch::Lower) > rank(upper, Arch::Upper)
}

/// The wear periods in an arch, with their indices.
fn stretches(record: &Record, arch: Arch) -> impl DoubleEndedIterator<Item = (usize, &WearPeriod)> {
    record.wear_periods.iter().enumerate().filter(move |(_, worn)| covers(worn.arches, arch))
}

/// The wear periods of the same tray in an arch.
fn of_tray<'r>(record: &'r Record, worn: &WearPeriod, arch: Arch) -> impl Iterator<Item = &'r WearPeriod> {
    let tray = (worn.series, worn.tray);
    stretches(record, arch).map(|(_, one)| one).filter(move |one| (one.series, one.tray) == tray)
}

/// The day on which the tray of a wear period was first put in an arch.
fn first_day(record: &Record, worn: &WearPeriod, arch: Arch) -> Date {
    of_tray(record, worn, arch).map(|one| one.from).min().unwrap_or(worn.from)
}

/// The tray that is in an arch, with the trays after it in that arch.
pub fn in_arch(record: &Record, arch: Arch) -> Option<Tray<'_>> {
    let (place, worn) = stretches(record, arch).next_back().filter(|(_, worn)| worn.to.is_none())?;
    let arches = if arch == Arch::Upper { Arches::Upper } else { Arches::Lower };
    Some(Tray { arches, place, worn, left: left_of(record, worn, arch) })
}

fn left_of(record: &Record, worn: &WearPeriod, arch: Arch) -> i32 {
    series_of(record, worn).map_or(0, |series| (trays_of(series, arch) - worn.tray).max(0))
}

/// The tray with which the teeth of an arch in a series are assessed: that of the arch, or the current tray when the arch
/// has none in. None when that tray belongs to another series.
pub fn tray_of(record: &Record, series: i32, arch: Arch) -> Option<i32> {
    let trays = trays(record);
    let own = trays.iter().find(|tray| covers(tray.arches, arch)).or(trays.first())?;
    (own.worn.series == series).then_some(own.worn.tray)
}

/// The series that are worn, with their indices in the list: one, or two when the arches wear different ones.
pub fn series_worn(record: &Record) -> impl Iterator<Item = (usize, &Series)> {
    let trays = trays(record);
    let worn = move |series: &Series| trays.iter().any(|tray| tray.worn.series == series.number);
    record.series.iter().enumerate().filter(move |(_, series)| worn(series))
}

/// The state of one arch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct OfArch {
    /// The arch.
    pub arch: Arch,
    /// The series of its last wear period, or the series that is worn when it has none.
    pub series: i32,
    /// Its trays in that series.
    pub trays: i32,
    /// The tray that is in.
    pub tray: Option<i32>,
    /// Trays after it; 0 when the arch is finished.
    pub left: Option<i32>,
    /// The day from which the next tray may be put in; none when no tray follows.
    pub due: Option<Date>,
    /// The day on which it will be finished at its pace; none when it is finished.
    pub projected_end: Option<Date>,
    /// The day on which it finished its trays.
    pub finished_on: Option<Date>,
}

/// The state of each arch, upper first, when the arches differ. None when they go together, when only one arch is treated,
/// and when no tray is in.
pub fn per_arch(record: &Record, today: Date) -> Option<[OfArch; 2]> {
    let trays = trays(record);
    let series = series_of(record, trays.first()?.worn)?;
    let is_even = series.trays.upper == series.trays.lower;
    if matches!(trays.as_slice(), [tray] if tray.arches == Arches::Both) && is_even {
        return None;
    }
    let [upper, lower] = Arch::ALL.map(|arch| of_arch(record, series, arch, today));
    Some([upper?, lower?])
}

/// None for an arch that is not treated.
fn of_arch(record: &Record, worn: &Series, arch: Arch, today: Date) -> Option<OfArch> {
    let last = stretches(record, arch).next_back().map(|(_, worn)| worn);
    let series = last.map_or(Some(worn), |last| series_of(record, last))?;
    let trays = trays_of(series, arch);
    if last.is_none() && trays == 0 {
        return None;
    }
    let finished_on = last.and_then(|last| finished_on(record, last, arch, today));
    let tray = in_arch(record, arch);
    let follows = |tray: &Tray<'_>| tray.left > 0 || has_later(record, tray.worn.series, arch);
    Some(OfArch {
        arch,
        series: series.number,
        trays,
        tray: tray.map(|tray| tray.worn.tray),
        left: tray.map(|tray| tray.left).or(finished_on.map(|_| 0)),
        due: tray.filter(follows).map(|tray| due(record, tray.worn)),
        projected_end: tray.filter(|_| finished_on.is_none()).and_then(|tray| end(record, &tray, arch, today)),
        finished_on,
    })
}

/// Whether a later series has trays for an arch.
fn has_later(record: &Record, series: i32, arch: Arch) -> bool {
    record.series.iter().any(|later| later.number > series && trays_of(later, arch) > 0)
}

/// The day on which an arch finished its trays: its last one was worn for its days, or ended because another tray followed.
fn finished_on(record: &Record, last: &WearPeriod, arch: Arch, today: Date) -> Option<Date> {
    let series = series_of(record, last)?;
    if last.tray != trays_of(series, arch) || has_later(record, series.number, arch) {
        return None;
    }
    let reached = |worn: &WearPeriod| {
        let end = worn.to.unwrap_or(today);
        Some(due_up_to(record, worn, end)).filter(|due| *due <= end)
    };
    let went_on = matches!(last.ended, Some(WearEnd::Advanced | WearEnd::ReplacedBySeries));
    of_tray(record, last, arch).filter_map(reached).min().or(last.to.filter(|_| went_on))
}

/// The day on which an arch with a tray in will be finished.
fn end(record: &Record, tray: &Tray<'_>, arch: Arch, today: Date) -> Option<Date> {
    let days = due(record, tray.worn).days_since(today).max(0);
    let rest = match tray.left {
        0 => 0.0,
        left => f64::from(left) * pace_in(record, tray.worn.series, arch)?,
    };
    Some(today.plus_days(days + rest.round() as i32))
}

/// The latest end of arches that differ: each with a tray in has its own, or today when it is finished.
pub(super) fn later_end(arches: &[OfArch], today: Date) -> Option<Date> {
    let with_tray = arches.iter().filter(|arch| arch.tray.is_some());
    let ends = with_tray.map(|arch| arch.projected_end.or(arch.finished_on.map(|_| today)));
    ends.collect::<Option<Vec<Date>>>()?.into_iter().max()
}
