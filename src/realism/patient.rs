//! One record as the measures read it, and the groups of its patient.

use oar_schema::record::{Assessment, AssessmentPurpose, Record, Series, Sex, State, WearPeriod};
use oar_schema::time::Date;

/// The mean length of a month in days, 365.25 / 12.
const MONTH_DAYS: f64 = 30.4375;

/// The groups of patients for which statistics can be computed, as in `months@extraction`, and their members.
pub const GROUPS: &[(&str, &str)] = &[
    ("all", "every patient"),
    ("female", "sex recorded as female"),
    ("male", "sex recorded as male"),
    ("teen", "10 to under 18 years at the first tray"),
    ("adult", "18 years or more at the first tray"),
    ("from_14_to_29", "14 to under 30 years at the first tray"),
    ("female_from_14_to_29", "those of them whose sex is recorded as female"),
    ("male_from_14_to_29", "those of them whose sex is recorded as male"),
    ("from_18_to_24", "18 to under 25 years at the first tray"),
    ("mild", "fewer than 15 trays in the longer arch of the first series (Meade 2023)"),
    ("moderate", "15 to 29 trays in that arch"),
    ("severe", "more than 29 trays in that arch"),
    ("extraction", "a premolar extracted during the treatment"),
    ("nonextraction", "no premolar extracted during the treatment"),
    ("weekly", "trays prescribed for up to 9 days"),
    ("two_weekly", "trays prescribed for 12 to 16 days"),
    ("remote", "remote check-ins"),
    ("in_person", "no remote check-ins"),
    ("reminders", "patient gets reminders"),
    ("no_reminders", "patient gets no reminders"),
    ("deep_overbite", "overbite of 4 mm or more before the first tray"),
];

/// A record with the facts that many measures need.
pub struct Patient<'r> {
    /// The record.
    pub record: &'r Record,
    /// The first day with a tray, or the best substitute for it.
    pub start: Date,
    /// The day on which the treatment ended, or the day of the export while it lasts.
    pub until: Date,
}

impl<'r> Patient<'r> {
    /// Reads a record.
    pub fn new(record: &'r Record) -> Self {
        let planned = record.series.first().and_then(|series| series.scanned_on.or(series.ordered_on));
        let assessed = record.assessments.iter().flatten().next().map(|assessment| assessment.on);
        let worn = record.wear_periods.first().map(|worn| worn.from);
        let start = worn.or(assessed).or(planned).unwrap_or(record.status.since);
        let ended = is_ended(record.status.state);
        let until = if ended { record.status.since } else { record.source.exported_at.written_date() };
        Self { record, start, until }
    }

    /// Age at the start in years. The format has only the year of birth, so the patient is assumed to be born in the middle of
    /// it.
    pub fn age(&self) -> f64 {
        let year = f64::from(self.start.civil().0) + (f64::from(self.start.civil().1) - 0.5) / 12.0;
        year - f64::from(self.record.patient.birth_year) - 0.5
    }

    /// Whether the treatment was completed here: finished, or converted to fixed appliances.
    pub fn is_completed(&self) -> bool {
        matches!(self.record.status.state, State::Finished | State::Fixed) && !self.record.wear_periods.is_empty()
    }

    /// Whether the treatment is over: completed, discontinued or transferred.
    pub fn is_ended(&self) -> bool {
        is_ended(self.record.status.state)
    }

    /// Days from the first tray to the end, or to the export.
    pub fn days(&self) -> i32 {
        self.until.days_since(self.start)
    }

    /// The first series.
    pub fn first_series(&self) -> Option<&'r Series> {
        self.record.series.iter().find(|series| series.number == 0)
    }

    /// Refinement series.
    pub fn refinements(&self) -> impl Iterator<Item = &'r Series> + use<'r> {
        self.record.series.iter().filter(|series| series.number > 0)
    }

    /// The wear periods of one series.
    pub fn worn(&self, series: i32) -> impl Iterator<Item = &'r WearPeriod> + use<'r> {
        self.record.wear_periods.iter().filter(move |worn| worn.series == series)
    }

    /// The highest tray of a series that was put in before a day, 0 for none.
    pub fn tray_by(&self, series: i32, day: Date) -> i32 {
        self.worn(series).filter(|worn| worn.from < day).map(|worn| worn.tray).max().unwrap_or(0)
    }

    /// The assessment before the first tray.
    pub fn at_start(&self) -> Option<&'r Assessment> {
        self.record.assessments.iter().flatten().find(|assessment| assessment.purpose == AssessmentPurpose::Start)
    }

    /// The groups of [`GROUPS`] that the patient belongs to; `all` is one.
    pub fn groups(&self) -> Vec<&'static str> {
        let mut groups = vec!["all"];
        let (sex, ages) = (self.sex_group(), age_groups(self.age()));
        if ages.contains(&"from_14_to_29") {
            groups.extend(sex.map(|sex| if sex == "female" { "female_from_14_to_29" } else { "male_from_14_to_29" }));
        }
        groups.extend(sex);
        groups.extend(ages);
        groups.extend(self.severity_group());
        let premolars = self.record.dentition.extracted.iter().flatten().any(|out| out.tooth.kind().is_premolar());
        groups.push(if premolars { "extraction" } else { "nonextraction" });
        match self.record.prescription.change_interval_days {
            ..=9 => groups.push("weekly"),
            12..=16 => groups.push("two_weekly"),
            _ => {}
        }
        if let Some(follow) = &self.record.prescription.follow_up {
            groups.push(if follow.remote { "remote" } else { "in_person" });
            groups.push(if follow.reminders { "reminders" } else { "no_reminders" });
        }
        if self.at_start().and_then(|seen| seen.overbite_mm).is_some_and(|overbite| overbite.0 >= 400) {
            groups.push("deep_overbite");
        }
        groups
    }

    fn sex_group(&self) -> Option<&'static str> {
        match self.record.patient.sex? {
            Sex::Female => Some("female"),
            Sex::Male => Some("male"),
            Sex::Other => None,
        }
    }

    /// By trays of the first series, as Meade 2023: mild under 15, moderate to 29, severe above.
    fn severity_group(&self) -> Option<&'static str> {
        let trays = self.first_series().map(longer)?;
        Some(match trays {
            ..=14 => "mild",
            15..=29 => "moderate",
            _ => "severe",
        })
    }
}

fn is_ended(state: State) -> bool {
    matches!(state, State::Finished | State::Fixed | State::Discontinued | State::Transferred)
}

fn age_groups(age: f64) -> Vec<&'static str> {
    let ranges =
        [("teen", 10.0, 18.0), ("adult", 18.0, 130.0), ("from_14_to_29", 14.0, 30.0), ("from_18_to_24", 18.0, 25.0)];
    ranges.into_iter().filter(|(_, from, below)| (*from..*below).contains(&age)).map(|(group, _, _)| group).collect()
}

/// Trays of the longer arch of a series.
pub(super) fn longer(series: &Series) -> i32 {
    series.trays.upper.max(series.trays.lower)
}

/// Days in hundredths of a month.
pub(super) fn months(days: i32) -> i64 {
    (f64::from(days) / MONTH_DAYS * 100.0).round() as i64
}
