//! Minutes of wear as numbers: their unit, their spread, and whether anybody measured them.

use oar_schema::record::{WearDayRow, WearSource};

use crate::check::case::wear_periods::HOURS_OF_A_DAY;
use crate::check::rules::prelude::*;

/// A percentage of a day or of a goal is at most this.
const PERCENT: i32 = 100;
/// The minutes of a day without a clock change.
const USUAL_MINUTES: i32 = 1440;
/// How many sources there are.
const SOURCES: usize = 3;

/// The totals of the log of one source.
#[derive(Clone, Copy, Default)]
struct SourceTotals {
    days: i64,
    minutes: i64,
    most: i32,
    first: usize,
}

fn sums(log: &[WearDayRow]) -> [SourceTotals; SOURCES] {
    let mut sums = [SourceTotals::default(); SOURCES];
    for (i, day) in log.iter().enumerate() {
        let sum = &mut sums[day.source as usize];
        if sum.days == 0 {
            sum.first = i;
        }
        sum.days += 1;
        sum.minutes += i64::from(day.minutes);
        sum.most = sum.most.max(day.minutes);
    }
    sums
}

/// The unit that the values of a source look like, if it is not minutes.
fn other_unit(case: &Case<'_>, sum: SourceTotals) -> Option<&'static str> {
    let limits = case.limits;
    if sum.most > PERCENT || sum.days < limits.unit_days {
        return None;
    }
    if sum.most <= HOURS_OF_A_DAY {
        return (sum.minutes >= limits.unit_mean_hours * sum.days).then_some("hours");
    }
    (sum.minutes >= limits.unit_mean_percent * sum.days).then_some("percent")
}

/// Whether the unit of a source's entries is in doubt: other rules then ignore its values.
fn is_in_doubt(case: &Case<'_>, source: WearSource) -> bool {
    case.heeds(Mark::WearUnits) && other_unit(case, sums(&case[case.wear_log])[source as usize]).is_some()
}

pub(super) fn unit_looks_wrong(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    for sum in sums(log) {
        if let Some(unit) = other_unit(case, sum) {
            let args = args!["value" = log[sum.first].minutes, "unit" = unit, "count" = sum.days];
            found.add(at!["wear_log", sum.first, "minutes"], args);
        }
    }
    let prescription = &case.prescription;
    let goal = ("wear_goal_minutes", prescription.wear_goal_minutes);
    let floor = ("wear_minimum_minutes", prescription.wear_minimum_minutes);
    if let Some((field, value)) = [goal, floor].into_iter().find(|(_, value)| (1..=HOURS_OF_A_DAY).contains(value)) {
        found.add(at!["prescription", field], args!["value" = value, "unit" = "hours"]);
    }
}

/// Reports the first such day, and the number of them.
pub(super) fn sources_disagree(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    let apart = |pair: &[WearDayRow]| {
        let differs = i64::from((pair[0].minutes - pair[1].minutes).abs()) > case.limits.sources_apart_minutes;
        pair[0].on == pair[1].on && pair[0].source != pair[1].source && differs
    };
    let Some(i) = log.windows(2).position(apart) else { return };
    if is_in_doubt(case, log[i].source) || is_in_doubt(case, log[i + 1].source) {
        return;
    }
    let more = log[i + 1..].windows(2).filter(|pair| apart(pair)).count();
    let (one, other) = (&log[i], &log[i + 1]);
    let mut args = args![
        "date" = one.on,
        "minutes" = other.minutes,
        "source" = other.source.as_str(),
        "other_minutes" = one.minutes,
        "other_source" = one.source.as_str()
    ];
    if more > 0 {
        args.extend(args!["more" = more]);
    }
    found.add(at!["wear_log", i + 1, "minutes"], args).related(at!["wear_log", i, "minutes"]);
}

/// Days in a row with the same minutes.
#[derive(Clone, Copy, Default)]
struct SameMinutes {
    minutes: i32,
    days: i64,
    first: usize,
}

/// The longest run in the log, of one source. Days without wear are equal for good reason and do not count.
fn longest_run(log: &[WearDayRow]) -> SameMinutes {
    let mut runs = [SameMinutes::default(); SOURCES];
    let mut longest = SameMinutes::default();
    for (i, day) in log.iter().enumerate() {
        let run = &mut runs[day.source as usize];
        if run.minutes != day.minutes || run.days == 0 {
            *run = SameMinutes { minutes: day.minutes, days: 0, first: i };
        }
        run.days += 1;
        if run.days > longest.days && run.minutes > 0 {
            longest = *run;
        }
    }
    longest
}

pub(super) fn log_too_regular(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    let run = longest_run(log);
    if run.days >= case.limits.same_minutes_days && !is_in_doubt(case, log[run.first].source) {
        let args = args!["minutes" = run.minutes, "days" = run.days, "source" = log[run.first].source.as_str()];
        found.add(at!["wear_log", run.first, "minutes"], args);
    }
}

/// Reports the first day with too many, and the first of many days with none.
pub(super) fn removals_implausible(case: &Case<'_>, found: &mut Found) {
    let log = &case[case.wear_log];
    let too_many = |(_, day): &(usize, &WearDayRow)| {
        let removals = day.removals.unwrap_or(0);
        i64::from(removals) > case.limits.most_removals || removals > minutes_out(case, day)
    };
    let mut days = log.iter().enumerate().filter(too_many);
    if let Some((i, day)) = days.next() {
        let removals = day.removals.unwrap_or(0);
        let mut args = args!["removals" = removals, "date" = day.on];
        if i64::from(removals) <= case.limits.most_removals {
            args.extend(args!["out" = minutes_out(case, day)]);
        }
        let more = days.count();
        if more > 0 {
            args.extend(args!["more" = more]);
        }
        found.add(at!["wear_log", i, "removals"], args);
    }
    tell_uncounted(case, found);
}

/// Minutes of the day without trays; without a bound for a day with more minutes than it has, which another rule
/// reports.
fn minutes_out(case: &Case<'_>, day: &WearDayRow) -> i32 {
    let removals = day.removals.unwrap_or(0);
    if removals <= USUAL_MINUTES - day.minutes {
        return USUAL_MINUTES - day.minutes;
    }
    let length = case.zone.map_or(USUAL_MINUTES, |zone| zone.minutes(day.on));
    if day.minutes > length && case.heeds(Mark::LogMinutes) { i32::MAX } else { length - day.minutes }
}

fn tell_uncounted(case: &Case<'_>, found: &mut Found) {
    let uncounted =
        |(_, day): &(usize, &WearDayRow)| day.removals == Some(0) && (1..USUAL_MINUTES - 60).contains(&day.minutes);
    let mut days = case[case.wear_log].iter().enumerate().filter(uncounted);
    let Some((i, day)) = days.next() else { return };
    let count = days.count() as i64 + 1;
    if count >= case.limits.uncounted_days {
        let args = args!["uncounted" = count, "minutes" = day.minutes];
        found.add(at!["wear_log", i, "removals"], args);
    }
}
