//! Clean records from cohorts, from which cases are made.

use oar_generators::cohort::SyntheticCohort;
use oar_generators::recipe::{BUILT_IN, Recipe};
use oar_schema::record::Record;
use serde_json::{Map, Value};

use crate::check::Checker;

/// Settings for short records: patients who start early, and an export in their first year.
const SHORT: [&str; 2] = ["clinic.intake_days=40", "clinic.cut_days=300"];

/// Settings for shorter records: almost nobody has started.
const EARLY: [&str; 2] = ["clinic.intake_days=40", "clinic.cut_days=25"];

/// A record without findings.
#[derive(Clone)]
pub(super) struct Clean {
    /// The number of the patient.
    pub(super) index: u64,
    pub(super) record: Record,
    pub(super) text: Vec<u8>,
    pub(super) derived: Map<String, Value>,
}

/// Cohorts whose patients are generated in turn.
pub(super) struct CleanRecords {
    cohorts: Vec<SyntheticCohort>,
    next: u64,
}

impl CleanRecords {
    /// The patients of some recipes, each early in treatment and at the end of the run.
    pub(super) fn new(recipes: &[&str], seed: u64) -> Self {
        let short = SHORT.map(str::to_owned);
        let of = |recipe: &&str| {
            [&short[..], &[]].into_iter().filter_map(|sets| Recipe::load(recipe, sets).ok()).collect::<Vec<_>>()
        };
        let cohorts = recipes.iter().flat_map(of).map(|recipe| SyntheticCohort::new(recipe, seed)).collect();
        Self { cohorts, next: 0 }
    }

    /// The patients of all recipes.
    pub(super) fn all(seed: u64) -> Self {
        let names: Vec<&str> = BUILT_IN.iter().map(|(name, _)| *name).collect();
        Self::new(&names, seed)
    }

    /// The patients of a recipe before they start, or in their first days.
    pub(super) fn early(recipe: &str, seed: u64) -> Self {
        let recipe = Recipe::load(recipe, &EARLY.map(str::to_owned)).ok();
        Self { cohorts: recipe.into_iter().map(|recipe| SyntheticCohort::new(recipe, seed)).collect(), next: 0 }
    }

    /// The next record, unless it has findings.
    pub(super) fn next(&mut self, checker: &mut Checker) -> Option<Clean> {
        let cohorts = self.cohorts.len().max(1) as u64;
        let (cohort, index) = ((self.next % cohorts) as usize, self.next / cohorts);
        self.next += 1;
        let (record, truth) = self.cohorts.get(cohort)?.patient(index);
        let text = serde_json::to_vec(&record).ok()?;
        let derived = serde_json::to_value(&truth.derived).ok()?.as_object()?.clone();
        checker.is_clean(&text).then_some(Clean { index, record, text, derived })
    }

    /// The first clean records among a limited number.
    pub(super) fn take(&mut self, count: u64, among: u64, checker: &mut Checker) -> Vec<Clean> {
        let mut taken = Vec::new();
        for _ in 0..among {
            if taken.len() as u64 == count {
                break;
            }
            taken.extend(self.next(checker));
        }
        taken
    }
}

/// The values that follow from a record.
pub(super) fn derived(record: &Record) -> Map<String, Value> {
    let derived = oar_generators::derived::of(record, record.source.exported_at.written_date());
    serde_json::to_value(derived).ok().and_then(|value| value.as_object().cloned()).unwrap_or_default()
}
