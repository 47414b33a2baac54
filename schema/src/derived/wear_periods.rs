//! Wear periods by arch: the series of one, the day on which its tray is due, and the completed trays with their days.

use std::collections::BTreeMap;

use crate::record::{Arches, CheckIn, DecisionKind, Record, Series, WearEnd, WearPeriod};
use crate::teeth::Arch;
use crate::time::Date;

/// Whether a wear period is in an arch.
pub const fn covers(arches: Arches, arch: Arch) -> bool {
    matches!((arches, arch), (Arches::Both, _) | (Arches::Upper, Arch::Upper) | (Arches::Lower, Arch::Lower))
}

/// Whether two values share an arch.
pub fn overlap(one: Arches, other: Arches) -> bool {
    Arch::ALL.into_iter().any(|arch| covers(one, arch) && covers(other, arch))
}

/// The trays of an arch in a series.
pub const fn trays_of(series: &Series, arch: Arch) -> i32 {
    match arch {
        Arch::Upper => series.trays.upper,
        Arch::Lower => series.trays.lower,
    }
}

/// The series of a wear period.
pub fn series_of<'r>(record: &'r Record, worn: &WearPeriod) -> Option<&'r Series> {
    record.series.iter().find(|series| series.number == worn.series)
}

/// The day on which the tray of a wear period may be changed.
pub fn due(record: &Record, worn: &WearPeriod) -> Date {
    due_up_to(record, worn, Date(i32::MAX))
}

/// The same, counting only the holds that were decided up to a day.
pub(super) fn due_up_to(record: &Record, worn: &WearPeriod, last: Date) -> Date {
    let during = |check_in: &&CheckIn| {
        let same = check_in.series == worn.series && check_in.tray == worn.tray;
        same && check_in.decision.kind == DecisionKind::Hold && (worn.from..=last).contains(&check_in.at.written_date())
    };
    let held: i32 =
        record.check_ins.iter().flatten().filter(during).filter_map(|check_in| check_in.decision.days).sum();
    worn.from.plus_days(record.prescription.change_interval_days + held)
}

/// The completed trays of an arch and their days, by series and tray. A tray is completed once a wear period of it ended
/// with the next tray; its days are those of all its wear periods.
pub fn completed_in(record: &Record, arch: Arch) -> BTreeMap<(i32, i32), i32> {
    let mut trays: BTreeMap<(i32, i32), (i32, bool)> = BTreeMap::new();
    for worn in record.wear_periods.iter().filter(|worn| covers(worn.arches, arch)) {
        let (days, completed) = trays.entry((worn.series, worn.tray)).or_default();
        *days += worn.to.map_or(0, |to| to.days_since(worn.from));
        *completed |= worn.ended == Some(WearEnd::Advanced);
    }
    let completed = trays.into_iter().filter(|(_, (_, completed))| *completed);
    completed.map(|(tray, (days, _))| (tray, days)).collect()
}

/// Median days of the completed trays of an arch in a series; for an even number, the mean of the middle two.
pub fn pace_in(record: &Record, series: i32, arch: Arch) -> Option<f64> {
    let own = completed_in(record, arch).into_iter().filter(|((number, _), _)| *number == series);
    let mut days: Vec<i32> = own.map(|(_, days)| days).collect();
    days.sort_unstable();
    let middle = days.len() / 2;
    match days.len() {
        0 => None,
        count if count % 2 == 1 => Some(f64::from(days[middle])),
        _ => Some(f64::from(days[middle - 1] + days[middle]) / 2.0),
    }
}
