//! The facts of a record for a letter. Only what the record contains is stated, and no change of trays that is not clear.

use std::collections::BTreeMap;

use oar_schema::derived::arches::{self, Tray, in_arch};
use oar_schema::derived::bonds::{Standing, standing};
use oar_schema::derived::course;
use oar_schema::record::{DecisionKind, Record, Retention, Series, State, WearPeriod};
use oar_schema::time::Date;

use crate::review::{Review, next};

/// The known facts, by name; a true condition may have no text.
pub(super) type LetterFacts = BTreeMap<&'static str, Option<String>>;

/// The names, the meaning of each, and whether it has a text.
pub(super) const NAMES: &[(&str, &str, bool)] = &[
    ("record", "the id of the record", true),
    ("patient", "the id of the patient", true),
    ("day", "the day of the review", true),
    ("since", "the day from which the state of the treatment applies", true),
    ("tray", "the current tray; when each arch wears its own, it has no text but is true as a condition", true),
    ("trays", "the number of trays of its series, of the longer arch", true),
    ("next_tray", "the tray after it", true),
    ("hours", "the prescribed hours of wear a day", true),
    ("due_day", "the day from which the current tray may be changed", true),
    ("change_day", "the day of the next change, if it is still to come and nothing on record speaks against it", true),
    ("hold_day", "the day until which a decision holds the tray, if it is still to come", true),
    ("back_tray", "the tray to return to, as the latest check-in decided, while it is not in", true),
    ("check_in_day", "the day of the next check-in, if it is still to come", true),
    ("retention_from", "the first day of retention, unless its last day is past", true),
    ("retention_hours", "the prescribed hours of retainer wear a day, unless the last day is past", true),
    ("upper_tray", "the tray of the upper arch, if the arches differ", true),
    ("upper_trays", "the number of trays of that arch in its series", true),
    ("upper_next_tray", "the tray after it", true),
    ("upper_due_day", "the day from which it may be changed", true),
    ("upper_change_day", "the day of its next change, like `change_day`", true),
    ("upper_hold_day", "the day until which a decision holds it, like `hold_day`", true),
    ("upper_back_tray", "the tray to return to in that arch, like `back_tray`", true),
    ("lower_tray", "the tray of the lower arch, if the arches differ", true),
    ("lower_trays", "the number of trays of that arch in its series", true),
    ("lower_next_tray", "the tray after it", true),
    ("lower_due_day", "the day from which it may be changed", true),
    ("lower_change_day", "the day of its next change, like `change_day`", true),
    ("lower_hold_day", "the day until which a decision holds it, like `hold_day`", true),
    ("lower_back_tray", "the tray to return to in that arch, like `back_tray`", true),
    ("planned", "no tray has been worn yet", false),
    ("active", "trays are being worn", false),
    ("paused", "the treatment is paused", false),
    ("finished", "the treatment ended as planned", false),
    ("ended", "it ended before the plan was completed, or continued with fixed appliances or at another clinic", false),
    ("retention_over", "the last day of retention is past", false),
    ("late", "the day of the change is past", false),
    ("last_tray", "the current tray is the last of its series", false),
    ("earlier_tray", "another tray of its series was worn before", false),
    ("not_delivered", "deliveries are on record, and none includes the next tray", false),
    ("arches_differ", "the arches wear different trays, or have different numbers of trays", false),
    ("upper_late", "the day of the upper arch's change is past, if the arches differ", false),
    ("upper_last_tray", "the tray of the upper arch is its last, if the arches differ", false),
    (
        "upper_not_delivered",
        "deliveries are on record, and none includes the next upper tray, if the arches differ",
        false,
    ),
    ("upper_none", "no tray is in the upper arch, if the arches differ", false),
    ("lower_late", "the day of the lower arch's change is past, if the arches differ", false),
    ("lower_last_tray", "the tray of the lower arch is its last, if the arches differ", false),
    (
        "lower_not_delivered",
        "deliveries are on record, and none includes the next lower tray, if the arches differ",
        false,
    ),
    ("lower_none", "no tray is in the lower arch, if the arches differ", false),
    ("to_be_seen", "the latest check-in requested a visit, and there has been none since", false),
    ("check_in_open", "the day of the next check-in is today or past", false),
    ("rescan", "few trays are left, and no later series and no scan for one are on record", false),
    ("reductions", "a planned reduction that is due is not on record", false),
    ("attachments", "an attachment is bonded, or one of the current series has debonded", false),
    ("attachment_needed", "an attachment that the trays need now has debonded", false),
    ("elastics", "elastics are planned with the current tray", false),
    ("synthetic", "the record is synthetic", false),
];

/// The facts gathered so far.
struct FactsSoFar(LetterFacts);

impl FactsSoFar {
    fn value(&mut self, name: &'static str, value: Option<impl ToString>) {
        if let Some(value) = value {
            self.0.insert(name, Some(value.to_string()));
        }
    }

    fn flag(&mut self, name: &'static str, is_so: bool) {
        if is_so {
            self.0.insert(name, None);
        }
    }

    fn day(&mut self, name: &'static str, day: Option<Date>) {
        self.value(name, day.map(in_words));
    }
}

/// All facts for a letter.
pub(super) fn facts(review: &Review) -> LetterFacts {
    let record = &review.record;
    let mut told = FactsSoFar(LetterFacts::new());
    told.value("record", Some(&record.id.0));
    told.value("patient", Some(&record.patient.id.0));
    told.day("day", Some(review.day));
    told.day("since", Some(record.status.since));
    told.flag("synthetic", record.source.synthetic.is_some());
    state(record, &mut told);
    let is_over = |retention: &&Retention| retention.until.is_some_and(|until| until < review.day);
    told.flag("retention_over", record.retention.as_ref().is_some_and(|retention| is_over(&retention)));
    let retention = record.retention.as_ref().filter(|retention| !is_over(retention));
    told.day("retention_from", retention.map(|retention| retention.from));
    told.value("retention_hours", retention.map(|retention| hours(retention.wear_goal_minutes)));
    if record.status.state == State::Active && course::current(record).is_some() {
        trays(review, &mut told);
        visits(review, &mut told);
    }
    told.0
}

fn state(record: &Record, told: &mut FactsSoFar) {
    let name = match record.status.state {
        State::Planned => "planned",
        State::Active => "active",
        State::Paused => "paused",
        State::Finished => "finished",
        State::Discontinued | State::Fixed | State::Transferred => "ended",
    };
    told.flag(name, true);
}

/// The names for one tray and what follows it.
struct Names {
    tray: &'static str,
    trays: &'static str,
    next_tray: &'static str,
    due_day: &'static str,
    change_day: &'static str,
    hold_day: &'static str,
    back_tray: &'static str,
    late: &'static str,
    last_tray: &'static str,
    not_delivered: &'static str,
}

macro_rules! names {
    ($before:literal) => {
        Names {
            tray: concat!($before, "tray"),
            trays: concat!($before, "trays"),
            next_tray: concat!($before, "next_tray"),
            due_day: concat!($before, "due_day"),
            change_day: concat!($before, "change_day"),
            hold_day: concat!($before, "hold_day"),
            back_tray: concat!($before, "back_tray"),
            late: concat!($before, "late"),
            last_tray: concat!($before, "last_tray"),
            not_delivered: concat!($before, "not_delivered"),
        }
    };
}

/// For the tray of both arches, or of the only arch that has one.
const JOINT: Names = names!("");
/// For each arch, when the arches differ.
const OF_ARCH: [Names; 2] = [names!("upper_"), names!("lower_")];

/// The current trays and what follows them. When each arch wears its own, no text describes both.
fn trays(review: &Review, told: &mut FactsSoFar) {
    let record = &review.record;
    let trays = arches::trays(record);
    match trays.as_slice() {
        [tray] => one_tray(review, tray, &JOINT, told),
        _ => told.flag("tray", true),
    }
    if let Some(of_arches) = &review.values.per_arch {
        told.flag("arches_differ", true);
        for ((arch, names), none) in of_arches.iter().zip(&OF_ARCH).zip(["upper_none", "lower_none"]) {
            match in_arch(record, arch.arch) {
                Some(tray) => one_tray(review, &tray, names, told),
                None => told.flag(none, true),
            }
        }
    }
    told.value("hours", Some(hours(record.prescription.wear_goal_minutes)));
    told.flag("to_be_seen", next::to_be_seen(record));
    let earlier =
        |one: &WearPeriod| trays.iter().any(|tray| one.series == tray.worn.series && one.tray != tray.worn.tray);
    told.flag("earlier_tray", record.wear_periods.iter().any(earlier));
    told.flag("attachment_needed", misses(review));
    told.flag("reductions", is_reduction_open(review));
}

/// One tray and what follows it.
fn one_tray(review: &Review, tray: &Tray<'_>, names: &Names, told: &mut FactsSoFar) {
    let record = &review.record;
    let next = next::tray(tray);
    let due = course::due(record, tray.worn);
    let held = next::held_until(record, tray, review.day);
    let seen = next::to_be_seen(record);
    let late = due < review.day && next.is_some();
    let back = back_tray(record, tray);
    let missing = next::is_not_delivered(record, tray);
    told.value(names.tray, Some(tray.worn.tray));
    told.value(names.trays, Some(tray.worn.tray + tray.left));
    told.value(names.next_tray, next);
    told.day(names.due_day, Some(due));
    told.day(names.hold_day, held.filter(|_| !seen));
    told.value(names.back_tray, back.filter(|_| !seen));
    told.flag(names.last_tray, next.is_none());
    told.flag(names.late, late && !seen && back.is_none());
    told.flag(names.not_delivered, missing);
    let clear = next.is_some() && held.is_none() && back.is_none() && !seen && !late;
    let clear = clear && !missing && !misses(review) && !is_reduction_open(review);
    told.day(names.change_day, Some(due).filter(|_| clear && decision_allows(record, tray)));
}

/// Whether the latest check-in of a current tray, if there was one, allows the change on time.
fn decision_allows(record: &Record, tray: &Tray<'_>) -> bool {
    let goes_on = |kind| matches!(kind, DecisionKind::Advance | DecisionKind::Hold);
    next::decision(record, tray).is_none_or(|decision| goes_on(decision.kind))
}

/// The tray to return to, as the latest check-in of a current tray decided.
fn back_tray(record: &Record, tray: &Tray<'_>) -> Option<i32> {
    next::decision(record, tray).filter(|decision| decision.kind == DecisionKind::StepBack)?.to_tray
}

fn misses(review: &Review) -> bool {
    review.values.attachments_debonded.iter().flatten().any(|off| off.needed == "now")
}

fn is_reduction_open(review: &Review) -> bool {
    review.values.reductions_due.as_ref().is_some_and(|due| !due.is_empty())
}

/// The check-ins and visits to come, and what is bonded to the teeth.
fn visits(review: &Review, told: &mut FactsSoFar) {
    let record = &review.record;
    let check_in = next::check_in(record);
    told.day("check_in_day", check_in.filter(|day| *day > review.day));
    told.flag("check_in_open", check_in.is_some_and(|day| day <= review.day));
    told.flag("rescan", review.raised.iter().any(|raised| raised.signal.name == "rescan_due"));
    let trays = arches::trays(record);
    told.flag("elastics", trays.iter().any(|tray| has_elastics(record, tray.worn)));
    let is_on = |series: &Series| {
        let mut listed = series.attachments.iter().flatten();
        listed.any(|one| standing(record, series, one).0 == Standing::Bonded)
    };
    let off = review.values.attachments_debonded.as_ref().is_some_and(|off| !off.is_empty());
    told.flag("attachments", off || record.series.iter().any(is_on));
}

/// Whether elastics are planned with the tray of a wear period.
fn has_elastics(record: &Record, worn: &WearPeriod) -> bool {
    let series = course::series_of(record, worn);
    let mut planned = series.iter().flat_map(|series| series.elastics.iter().flatten());
    planned.any(|one| (one.from_tray..=one.to_tray).contains(&worn.tray))
}

/// Hours for people: 22, or 22.5.
fn hours(minutes: i32) -> String {
    let hours = format!("{:.1}", f64::from(minutes) / 60.0);
    hours.strip_suffix(".0").map_or(hours.clone(), str::to_owned)
}

/// A day in plain words: `Monday 12 May 2031`.
fn in_words(day: Date) -> String {
    const DAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let (year, month, number) = day.civil();
    let weekday = DAYS[(day.0 + 3).rem_euclid(7) as usize];
    format!("{weekday} {number} {} {year}", MONTHS[(month - 1) as usize])
}
