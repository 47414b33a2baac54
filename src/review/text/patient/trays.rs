//! Trays as a timeline: each series as a ribbon of days.

use std::collections::BTreeSet;

use oar_schema::derived::arches::covers;
use oar_schema::record::{Arches, AttachmentChange, CheckIn, DecisionKind, Record, Series, WearEnd, WearPeriod};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::lines::WrappedLines;
use super::ribbon::{NOTHING, Ribbon, UNNUMBERED};
use crate::review::Review;
use crate::review::arches::{overlaps, waits};

const BOTH: char = '─';
const UPPER: char = '▔';
const LOWER: char = '▁';
const HELD: char = '═';
const OVER: char = '~';

/// Every mark, in the order of the legend.
const LEGEND: [(char, &str); 18] = [
    (BOTH, "tray in"),
    (UPPER, "in the upper arch only"),
    (LOWER, "in the lower arch only"),
    (HELD, "on hold"),
    (OVER, "overdue"),
    (UNNUMBERED, "a tray goes in"),
    (NOTHING, "no tray in"),
    ('B', "back to an earlier tray"),
    ('L', "tray lost"),
    ('X', "tray broken"),
    ('A', "attachment debonded"),
    ('V', "visit"),
    ('M', "missed visit"),
    ('c', "check-in: next tray may start"),
    ('h', "check-in: hold"),
    ('b', "check-in: step back"),
    ('p', "check-in: visit requested"),
    ('S', "trays stopped"),
];

pub(super) fn tell(review: &Review, lines: &mut WrappedLines) {
    let record = &review.record;
    lines.title("trays");
    let mut used = BTreeSet::new();
    let mut scale = None;
    for series in &record.series {
        lines.told("  ", &heading(record, series));
        for (arch, ribbon) in ribbons(review, series, lines.width) {
            if let Some(arch) = arch {
                lines.told("  ", &format!("{} arch", arch.as_str()));
            }
            ribbon.write(lines, &mut used);
            scale = Some(scale.map_or(ribbon.scale(), |scale: (i32, usize)| scale.max(ribbon.scale())));
        }
    }
    let Some((step, columns)) = scale else {
        lines.told("  ", "no tray has been worn yet");
        return;
    };
    let a_column = if step == 1 { "a day".to_owned() } else { format!("up to {step} days") };
    lines.blank();
    lines.told("  ", &format!("a column is {a_column}, a row {columns} columns; a number is the tray that goes in"));
    lines.legend(LEGEND.into_iter().filter(|(mark, _)| used.contains(mark)));
}

/// The series, its trays, and how many of them the patient has.
fn heading(record: &Record, series: &Series) -> String {
    let kind = if series.number == 0 { "first plan" } else { "refinement" };
    let trays = format!("{} upper and {} lower trays", series.trays.upper, series.trays.lower);
    let told = |word: &str, day: Option<Date>| day.map_or(String::new(), |day| format!(", {word} {day}"));
    let delivered = record.deliveries.iter().flatten().filter(|delivery| delivery.series == series.number);
    let delivered = delivered.map(|delivery| delivery.to_tray).max();
    let delivered = delivered.map_or(String::new(), |last| format!(", delivered up to tray {last}"));
    let dates = [told("scanned", series.scanned_on), told("ordered", series.ordered_on)].concat();
    format!("series {} ({kind}): {trays}{dates}{delivered}", series.number)
}

/// The ribbon of a series; one for each arch when they wore different trays on the same days.
fn ribbons(review: &Review, series: &Series, width: usize) -> Vec<(Option<Arch>, Ribbon)> {
    let worn: Vec<&WearPeriod> =
        review.record.wear_periods.iter().filter(|worn| worn.series == series.number).collect();
    if !overlaps(worn.iter().copied()) {
        return ribbon(review, series, None, &worn, width).map(|ribbon| (None, ribbon)).into_iter().collect();
    }
    let of = |arch: Arch| {
        let own: Vec<&WearPeriod> = worn.iter().copied().filter(|worn| covers(worn.arches, arch)).collect();
        Some((Some(arch), ribbon(review, series, Some(arch), &own, width)?))
    };
    Arch::ALL.into_iter().filter_map(of).collect()
}

/// The ribbon of wear periods of a series: of all, or of those in one arch.
fn ribbon(review: &Review, series: &Series, arch: Option<Arch>, worn: &[&WearPeriod], width: usize) -> Option<Ribbon> {
    let record = &review.record;
    let today = review.day;
    let start = worn.first()?.from;
    let end = worn.iter().map(|worn| end(worn, today)).max()?;
    let is_last = record.wear_periods.last().is_some_and(|last| last.series == series.number)
        && worn.iter().all(|worn| worn.to.is_some());
    let whole = if is_last { end.plus_days(1) } else { end };
    let mut ribbon = Ribbon::new(start, whole, width);
    for worn in worn {
        draw(&mut ribbon, review, worn);
    }
    let is_here = |check_in: &CheckIn| arch.is_none() || worn.iter().any(|worn| worn.tray == check_in.tray);
    for (day, mark) in marks(record, series.number, worn, is_here) {
        if (start..whole).contains(&day) || mark.is_uppercase() && day == whole {
            ribbon.mark(day, mark);
        }
    }
    Some(ribbon)
}

/// The day after the last one on which it was in.
fn end(worn: &WearPeriod, today: Date) -> Date {
    worn.to.unwrap_or(today.plus_days(1))
}

fn draw(ribbon: &mut Ribbon, review: &Review, worn: &WearPeriod) {
    let record = &review.record;
    let end = end(worn, review.day);
    let waits = waits(review, worn);
    let held: i32 = record.check_ins.iter().flatten().filter_map(|check_in| hold(check_in, worn, end)).sum();
    let planned = worn.from.plus_days(record.prescription.change_interval_days);
    ribbon.draw(worn.tray, worn.from, end, |day| match worn.arches {
        _ if waits.is_none_or(|since| day < since) && day >= planned.plus_days(held) => OVER,
        _ if (planned..planned.plus_days(held)).contains(&day) => HELD,
        Arches::Both => BOTH,
        Arches::Upper => UPPER,
        Arches::Lower => LOWER,
    });
}

/// The days of holds that were decided in that wear period.
fn hold(check_in: &CheckIn, worn: &WearPeriod, end: Date) -> Option<i32> {
    let here = (check_in.series, check_in.tray) == (worn.series, worn.tray)
        && (worn.from..=end).contains(&check_in.at.written_date());
    (here && check_in.decision.kind == DecisionKind::Hold).then_some(check_in.decision.days?)
}

/// The events of each day: of trays, then at check-ins of drawn trays, of attachments, and at visits.
fn marks(record: &Record, series: i32, worn: &[&WearPeriod], is_here: impl Fn(&CheckIn) -> bool) -> Vec<(Date, char)> {
    let mut marks = Vec::new();
    marks.extend(worn.iter().filter_map(|worn| Some((worn.to?, ending(worn.ended?)?))));
    let check_ins = record.check_ins.iter().flatten().filter(|check_in| check_in.series == series);
    for check_in in check_ins.filter(|check_in| is_here(check_in)) {
        let day = check_in.at.written_date();
        marks.push((day, decision(check_in.decision.kind)));
        marks.extend(check_in.attachments_debonded.iter().flatten().map(|_| (day, 'A')));
    }
    let lost = record.attachment_events.iter().flatten().filter(|event| event.event == AttachmentChange::Debonded);
    marks.extend(lost.filter(|event| event.series == series).map(|event| (event.on, 'A')));
    marks.extend(record.appointments.iter().flatten().map(|visit| (visit.on, if visit.attended { 'V' } else { 'M' })));
    marks
}

const fn ending(ended: WearEnd) -> Option<char> {
    match ended {
        WearEnd::SteppedBack => Some('B'),
        WearEnd::Lost => Some('L'),
        WearEnd::Broken => Some('X'),
        WearEnd::Stopped => Some('S'),
        WearEnd::Advanced | WearEnd::ReplacedBySeries => None,
    }
}

const fn decision(kind: DecisionKind) -> char {
    match kind {
        DecisionKind::Advance => 'c',
        DecisionKind::Hold => 'h',
        DecisionKind::StepBack => 'b',
        DecisionKind::SeeInPerson => 'p',
    }
}
