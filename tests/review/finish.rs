//! How often projected ends hold the truth: treatments of generated cohorts that are over are cut at several days, and what is projected
//! then is compared with what came.

use std::sync::Arc;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::Recipe;
use oar_schema::derived::course;
use oar_testing::is_thorough;
use open_aligner_record::record::{Record, State};
use open_aligner_record::review::finish::{DayRange, PastTreatments};
use open_aligner_record::review::{Review, Reviewer};
use open_aligner_record::time::Date;

/// Patients of the cohort that is learned from, and of those that are asked about.
fn patients() -> u64 {
    if is_thorough() { 2_000 } else { 300 }
}
/// The seeds; the numbers in `own.rs` were chosen on others (11 and 12).
const LEARNED: u64 = 501;
const ASKED: u64 = 502;
/// Other days than those on which the cohort is looked at.
const FIRST_DAY: i32 = 9;
const EVERY_DAYS: i32 = 37;

fn records(recipe: &str, seed: u64) -> impl Iterator<Item = Record> {
    let cohort = SyntheticCohort::new(Recipe::load(recipe, &[]).unwrap(), seed);
    (0..patients()).map(move |index| {
        let (mut record, _) = cohort.patient(index);
        // What no projection looks at, to be quick.
        (record.wear_log, record.comfort, record.assessments) = (None, None, None);
        record
    })
}

fn learned(recipe: &str, seed: u64) -> Arc<PastTreatments> {
    let mut cohort = PastTreatments::default();
    records(recipe, seed).for_each(|record| cohort.add(&record));
    Arc::new(cohort)
}

/// How often intervals held the truth, and how often it came before and after.
#[derive(Default)]
struct Held {
    inside: u32,
    before: u32,
    after: u32,
    width: i64,
}

impl Held {
    fn add(&mut self, span: Option<DayRange>, truth: Option<Date>) {
        let Some((span, truth)) = span.zip(truth) else { return };
        self.before += u32::from(truth < span.low);
        self.after += u32::from(truth > span.high);
        self.inside += u32::from((span.low..=span.high).contains(&truth));
        self.width += i64::from(span.high.days_since(span.low));
    }

    fn n(&self) -> u32 {
        self.inside + self.before + self.after
    }

    fn percent(&self, part: u32) -> f64 {
        100.0 * f64::from(part) / f64::from(self.n().max(1))
    }

    #[expect(clippy::cast_precision_loss, reason = "days of a test")]
    fn row(&self, what: &str) -> String {
        let parts = [self.inside, self.before, self.after].map(|part| format!("{:.1} %", self.percent(part)));
        let width = self.width as f64 / f64::from(self.n().max(1));
        format!("| {what} | {} | {} | {width:.0} days |", self.n(), parts.join(" | "))
    }
}

/// Of the series at the patient's own pace, of the series in the cohort, of the treatment in the cohort.
fn held(recipe: &str, of: &str) -> [Held; 3] {
    let mut held = [Held::default(), Held::default(), Held::default()];
    // Both ways, since what one half has more of the other has less of.
    for (asked, seed) in [(ASKED, LEARNED), (LEARNED, ASKED)] {
        let reviewer = Reviewer::default().cohort(Some(learned(of, seed)));
        ask(recipe, asked, &reviewer, &mut held);
    }
    held
}

fn ask(recipe: &str, seed: u64, reviewer: &Reviewer, held: &mut [Held; 3]) {
    for record in records(recipe, seed) {
        let over = !matches!(record.status.state, State::Planned | State::Active | State::Paused);
        let Some(first) = record.wear_periods.first().map(|worn| worn.from).filter(|_| over) else { continue };
        let mut day = first.plus_days(FIRST_DAY);
        while day < record.status.since {
            look(&record, &reviewer.review(record.clone(), Some(day)), held);
            day = day.plus_days(EVERY_DAYS);
        }
    }
}

fn look(record: &Record, review: &Review, held: &mut [Held; 3]) {
    let Some((finish, worn)) = review.finish.zip(course::current(&review.record)) else { return };
    let series = course::series_end(record, worn.series);
    let treatment = Some(record.status.since).filter(|_| record.status.state == State::Finished);
    assert!(
        [finish.series_own_pace, finish.series_cohort, finish.treatment_cohort]
            .iter()
            .flatten()
            .all(|span| { review.day <= span.low && span.low <= span.high })
    );
    held[0].add(finish.series_own_pace, series);
    held[1].add(finish.series_cohort, series);
    held[2].add(finish.treatment_cohort, treatment);
}

const WHAT: [&str; 3] = ["series, own pace", "series, cohort", "treatment, cohort"];

/// The rows of the table in docs/how-to/review.md; `cargo test --test review finish:: -- --nocapture` shows them.
#[expect(clippy::print_stdout, reason = "the figures of the documentation")]
fn tell(asked: &str, learned: &str, held: &[Held; 3]) {
    for (what, held) in WHAT.iter().zip(held) {
        println!("{}", held.row(&format!("{asked} | {learned} | {what}")));
    }
}

fn assert_between(held: &Held, what: &str, low: f64, high: f64) {
    let percent = held.percent(held.inside);
    assert!(held.n() > 500, "{what}: only {} were asked", held.n());
    assert!((low..=high).contains(&percent), "{what}: {percent:.1} % of {}", held.n());
}

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let held = held("general", "general");
    tell("general", "general", &held);
    for (held, what) in held.iter().zip(WHAT) {
        assert_between(held, what, 75.0, 86.0);
    }
}

/// Patients that the cohort was not made of: the own pace holds, the cohort's finish does not have to.
#[test]
fn own_pace_holds_for_patients_of_other_recipes() {
    for recipe in ["low-wear", "teenagers", "complex-adults"] {
        let held = held(recipe, "general");
        tell(recipe, "general", &held);
        assert_between(&held[0], recipe, 70.0, 88.0);
    }
}

/// A cohort of the same kind fixes what another one says.
#[test]
fn a_cohort_of_the_same_kind_says_what_is_true_of_it() {
    let held = held("low-wear", "low-wear");
    tell("low-wear", "low-wear", &held);
    assert_between(&held[1], "series", 75.0, 88.0);
    assert_between(&held[2], "treatment", 72.0, 88.0);
}

#[test]
fn few_treatments_say_nothing() {
    let mut cohort = PastTreatments::default();
    records("general", LEARNED).take(12).for_each(|record| cohort.add(&record));
    let ready = cohort.readiness();
    assert_eq!((ready.series, ready.treatment), (0, 0));
    let reviewer = Reviewer::default().cohort(Some(Arc::new(cohort)));
    for record in records("live", ASKED).take(20) {
        let finish = reviewer.review(record, None).finish;
        assert!(finish.is_none_or(|finish| finish.series_cohort.is_none() && finish.treatment_cohort.is_none()));
    }
}

/// Counts of parts are those of the whole, in whatever order.
#[test]
fn parts_come_to_the_whole() {
    let (mut whole, mut parts) = (PastTreatments::default(), [PastTreatments::default(), PastTreatments::default()]);
    for (index, record) in records("general", LEARNED).take(30).enumerate() {
        whole.add(&record);
        parts[index % 2].add(&record);
    }
    let [mut one, mut other] = parts;
    let first = one.clone();
    one.merge(&other);
    other.merge(&first);
    assert_eq!((&one, &other), (&whole, &whole));
}
