//! Clocks: instants that have the zone's offset of another season.

use oar_schema::time::Instant;

use crate::check::case::appointments::agrees_with_worn;
use crate::check::rules::prelude::*;
use crate::zones::Zone;

const DAY: i64 = 86_400;
/// Days before and after an instant at which the other season's offset is found; summer time lasts some seven months.
const OTHER_SEASON: [i64; 4] = [-182, -91, 91, 182];

pub(super) fn clock_change_ignored(case: &Case<'_>, found: &mut Found) {
    let Some(zone) = case.zone else { return };
    let mut season = zone.season(case.source.exported_at);
    let mut wrong: Vec<(Instant, i64, Path)> = Vec::new();
    for (i, check_in) in case[case.check_ins].iter().enumerate() {
        if !season.contains(check_in.at) {
            season = zone.season(check_in.at);
        }
        if is_of_other_season(zone, check_in.at, season.offset) && is_plain(case, i) {
            wrong.push((check_in.at, season.offset, at!["check_ins", i, "at"]));
        }
    }
    let exported = case.source.exported_at;
    let offset = zone.offset(exported);
    if is_of_other_season(zone, exported, offset) && case.days.1 <= case.today {
        wrong.push((exported, offset, at!["source", "exported_at"]));
    }
    add(case, found, wrong);
}

/// Whether a check-in is in order between its neighbours, on a day on which its tray was worn. If not, its month or day
/// is wrong, and with it perhaps the season.
fn is_plain(case: &Case<'_>, i: usize) -> bool {
    let check_ins = &case[case.check_ins];
    let right_day = case.trusts(check_ins[i].at.written_date()) && agrees_with_worn(case, &check_ins[i]);
    right_day
        && check_ins[i.saturating_sub(1)..check_ins.len().min(i + 2)].is_sorted_by_key(|check_in| check_in.at.seconds)
}

/// Whether an instant is written with the offset that the zone has in another season. An instant that is written in UTC
/// or in the time of another place is correct.
fn is_of_other_season(zone: &Zone, at: Instant, offset: i64) -> bool {
    let written = i64::from(at.offset_minutes) * 60;
    let then = |days: &i64| zone.offset(Instant { seconds: at.seconds + days * DAY, ..at });
    written != offset && written != 0 && OTHER_SEASON.iter().any(|days| then(days) == written)
}

/// Whether all instants of the record are written with one offset, as by a system without summer time.
fn keeps_one_offset(case: &Case<'_>) -> bool {
    let (check_ins, offset) = (&case[case.check_ins], case.source.exported_at.offset_minutes);
    !check_ins.is_empty() && check_ins.iter().all(|check_in| check_in.at.offset_minutes == offset)
}

/// An offset as written.
fn written(minutes: i16) -> String {
    let (sign, size) = (if minutes < 0 { '-' } else { '+' }, minutes.unsigned_abs());
    format!("{sign}{:02}:{:02}", size / 60, size % 60)
}

fn add(case: &Case<'_>, found: &mut Found, wrong: Vec<(Instant, i64, Path)>) {
    let mut wrong = wrong.into_iter();
    let Some((at, offset, path)) = wrong.next() else { return };
    let right = Instant { offset_minutes: (offset / 60) as i16, ..at };
    let mut args = args!["at" = at, "right" = right];
    if wrong.len() > 0 {
        args.extend(args!["others" = wrong.len()]);
    }
    if keeps_one_offset(case) {
        args.extend(args!["always" = written(at.offset_minutes)]);
    }
    let stated = found.add(path, args);
    for (_, _, path) in wrong {
        stated.related(path);
    }
}
