//! What a letter may say of a record. Nothing is told that the record does not hold, and no change of trays that is not clear.

use oar_schema::derived::bonds::{Standing, standing};
use oar_schema::derived::course;
use oar_schema::record::{DecisionKind, Record, Retention, Series, State};
use oar_schema::time::Date;

use super::template::Facts;
use crate::review::{Review, next};

/// The names, what each says, and whether it has a text.
pub(super) const NAMES: &[(&str, &str, bool)] = &[
    ("record", "the id of the record", true),
    ("patient", "the id of the patient", true),
    ("day", "the day of the review", true),
    ("since", "the day since which the state of the treatment holds", true),
    ("tray", "the tray that is in", true),
    ("trays", "the trays of its series, of the longer arch", true),
    ("next_tray", "the tray after it", true),
    ("hours", "the hours of wear a day that are prescribed", true),
    ("due_day", "the day on which the tray that is in may be changed", true),
    (
        "change_day",
        "the day of the next change, when it is still to come and nothing on record speaks against it",
        true,
    ),
    ("hold_day", "the day up to which a decision holds the tray, when it is still to come", true),
    ("back_tray", "the tray that the latest check-in asked to go back to, while it is not in", true),
    ("check_in_day", "the day of the next check-in, when it is still to come", true),
    ("retention_from", "the first day of retention, unless its last day is past", true),
    ("retention_hours", "the hours a day that retainers are to be worn, unless the last day is past", true),
    ("planned", "no tray was worn yet", false),
    ("active", "trays are being worn", false),
    ("paused", "the treatment is paused", false),
    ("finished", "the treatment ended as planned", false),
    ("ended", "it ended before the plan was through, with fixed appliances, or at another clinic", false),
    ("retention_over", "the last day of retention is past", false),
    ("late", "the day of the change is past", false),
    ("last_tray", "the tray that is in is the last of its series", false),
    ("earlier_tray", "another tray of its series was worn before", false),
    ("not_delivered", "deliveries are on record, and none has the next tray", false),
    ("to_be_seen", "the latest check-in asked to see the patient, and there was no visit since", false),
    ("check_in_open", "the day of the next check-in is today or past", false),
    ("rescan", "few trays are left, no later series is there and no scan for one is on record", false),
    ("reductions", "a planned reduction that is due is not on record", false),
    ("attachments", "an attachment is on a tooth, or one of the series that is worn has come off", false),
    ("attachment_needed", "an attachment is off that the trays need now", false),
    ("elastics", "elastics are planned with the tray that is in", false),
    ("synthetic", "the record is made up", false),
];

/// Facts as they are gathered.
struct Told(Facts);

impl Told {
    fn value(&mut self, name: &'static str, value: Option<impl ToString>) {
        if let Some(value) = value {
            self.0.insert(name, value.to_string());
        }
    }

    fn flag(&mut self, name: &'static str, is_so: bool) {
        self.value(name, is_so.then_some(""));
    }

    fn day(&mut self, name: &'static str, day: Option<Date>) {
        self.value(name, day.map(in_words));
    }
}

/// Everything that a letter may say.
pub(super) fn facts(review: &Review) -> Facts {
    let record = &review.record;
    let mut told = Told(Facts::new());
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

fn state(record: &Record, told: &mut Told) {
    let name = match record.status.state {
        State::Planned => "planned",
        State::Active => "active",
        State::Paused => "paused",
        State::Finished => "finished",
        State::Discontinued | State::Converted | State::Transferred => "ended",
    };
    told.flag(name, true);
}

/// The tray that is in and how it goes on.
fn trays(review: &Review, told: &mut Told) {
    let record = &review.record;
    let next = next::tray(record);
    let due = review.values.tray_due;
    let held = next::held_until(record, review.day);
    let seen = next::to_be_seen(record);
    let late = due.is_some_and(|due| due < review.day) && next.is_some();
    let back = back_tray(record);
    let current = course::current(record);
    told.value("tray", current.map(|worn| worn.tray));
    told.value("trays", current.zip(review.values.trays_left).map(|(worn, left)| worn.tray + left));
    told.value("next_tray", next);
    told.value("hours", Some(hours(record.prescription.wear_goal_minutes)));
    told.day("due_day", due);
    told.day("hold_day", held.filter(|_| !seen));
    told.value("back_tray", back.filter(|_| !seen));
    told.flag("to_be_seen", seen);
    told.flag("last_tray", next.is_none());
    told.flag(
        "earlier_tray",
        current.is_some_and(|worn| record.worn.iter().any(|one| one.series == worn.series && one.tray != worn.tray)),
    );
    told.flag("late", late && !seen && back.is_none());
    told.flag("not_delivered", next::is_not_delivered(record));
    told.flag("attachment_needed", misses(review));
    told.flag("reductions", is_reduction_open(review));
    let clear = next.is_some() && held.is_none() && back.is_none() && !seen && !late;
    let clear = clear && !next::is_not_delivered(record) && !misses(review) && !is_reduction_open(review);
    told.day("change_day", due.filter(|_| clear && decision_allows(record)));
}

/// Whether the latest check-in with the tray that is in, if there was one, lets it go on in its time.
fn decision_allows(record: &Record) -> bool {
    next::decision(record).is_none_or(|decision| matches!(decision.kind, DecisionKind::Advance | DecisionKind::Hold))
}

/// The tray to go back to, as the latest check-in with the tray that is in asked.
fn back_tray(record: &Record) -> Option<i32> {
    next::decision(record).filter(|decision| decision.kind == DecisionKind::StepBack)?.to_tray
}

fn misses(review: &Review) -> bool {
    review.values.attachments_off.iter().flatten().any(|off| off.needed == "now")
}

fn is_reduction_open(review: &Review) -> bool {
    review.values.reductions_due.as_ref().is_some_and(|due| !due.is_empty())
}

/// What check-ins and visits are to come, and what is on the teeth.
fn visits(review: &Review, told: &mut Told) {
    let record = &review.record;
    let check_in = next::check_in(record);
    told.day("check_in_day", check_in.filter(|day| *day > review.day));
    told.flag("check_in_open", check_in.is_some_and(|day| day <= review.day));
    told.flag("rescan", review.raised.iter().any(|raised| raised.signal.name == "rescan_due"));
    let Some(worn) = course::current(record) else { return };
    let Some(series) = course::series_of(record, worn) else { return };
    let with_tray = |from: i32, to: i32| (from..=to).contains(&worn.tray);
    told.flag("elastics", series.elastics.iter().flatten().any(|one| with_tray(one.from_tray, one.to_tray)));
    let is_on = |series: &Series| {
        let mut listed = series.attachments.iter().flatten();
        listed.any(|one| standing(record, series, one).0 == Standing::Bonded)
    };
    let off = review.values.attachments_off.as_ref().is_some_and(|off| !off.is_empty());
    told.flag("attachments", off || record.series.iter().any(is_on));
}

/// Hours as people write them: 22, or 22.5.
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
