//! The cohort of the general recipe against published statistics: most are met, and none of those that matter is missed.

use std::collections::BTreeSet;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::Recipe;
use open_aligner_record::realism::published::{self, TABLE};
use open_aligner_record::realism::{Observations, Report, Verdict};

/// Patients that are looked at, in two threads.
const PATIENTS: u64 = 2_000;
/// How many statistics lie inside at least. Fewer means that a mechanism has gone astray.
const INSIDE: usize = 100;
/// Of them those that the recipe was not tuned on.
const INSIDE_UNTUNED: usize = 20;

fn cohort(sets: &[&str]) -> Observations {
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    let generator = SyntheticCohort::new(Recipe::load("general", &sets).unwrap(), 1);
    let part = |numbers: std::ops::Range<u64>| {
        let mut cohort = Observations::default();
        numbers.for_each(|index| cohort.add(&generator.patient(index).0));
        cohort
    };
    std::thread::scope(|scope| {
        let first = scope.spawn(|| part(0..PATIENTS / 2));
        let mut second = part(PATIENTS / 2..PATIENTS);
        second.merge(first.join().unwrap());
        second
    })
}

#[test]
fn the_general_cohort_is_like_published_ones_where_it_matters() {
    let (cohort, table) = (cohort(&[]), published::read(TABLE).unwrap());
    let report = Report::new(&cohort, &table, 20);
    let verdict = |row: &open_aligner_record::realism::Compared<'_>| {
        format!("{} {:?} {:?}", row.published.id, row.cohort.map(|seen| seen.value), row.verdict)
    };
    let matter = || report.rows.iter().filter(|row| !row.published.matters.is_empty());
    let missed: Vec<String> =
        matter().filter(|row| !matches!(row.verdict, Verdict::Inside | Verdict::Near)).map(verdict).collect();
    assert!(missed.is_empty(), "{missed:#?}");
    let subjects: BTreeSet<&str> = matter().map(|row| row.published.matters.as_str()).collect();
    assert_eq!(subjects.len(), 13, "{subjects:?}");
    let inside = report.count_at_best(Verdict::Inside);
    assert!(inside >= INSIDE, "{inside} statistics lie inside, {INSIDE} are held");
    let untuned = report.count(Verdict::Inside, |row| !report.is_tuned(row));
    assert!(untuned >= INSIDE_UNTUNED, "{untuned} that it was not tuned on lie inside, {INSIDE_UNTUNED} are held");
}
