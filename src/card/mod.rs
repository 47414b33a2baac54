//! The dataset card of a synthetic cohort: what it is, how it was generated, how it compares with published studies, and what it
//! is not for.
//!
//! Its content is [gathered](Gathered) while the cohort is generated: counts and sums, no record, so memory does not grow with
//! the cohort. [`json`](Card::json) writes the card for programs, [`markdown`](Card::markdown) the same for people.

mod counts;
mod declared;
mod markdown;
mod statistics;
mod words;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::json_objects::HasSchema;
use oar_generators::key::Truth;
use oar_generators::truths;
use oar_schema::record::{Record, VERSION};
use oar_schema::time::Date;
use sha2::{Digest, Sha256};

use crate::realism::published::Published;
use crate::realism::{Observations, Report, Verdict};

/// A statistic with a lower count is not compared, as in `oar realism`.
const LEAST: u64 = 20;

truths! {
    /// A dataset card of a synthetic cohort of Open Aligner Records.
    Card {
        /// The kind of file: always `dataset`.
        card: &'static str,
        /// The version of this format.
        version: &'static str,
        /// Cautions.
        cautions: Vec<&'static str>,
        /// The licence of the records, an SPDX identifier.
        licence: &'static str,
        /// The day on which the cohort was created, if it was given; the generator reads no clock.
        made_on: Option<Date>,
        /// The generator.
        tool: Tool,
        /// The recipe.
        recipe: RecipeTold,
        /// The range of patients.
        patients: PatientsTold,
        /// Options of `oar generate` that generate the same records again.
        options: Vec<String>,
        /// The files that were written with this card.
        files: Vec<FileTold>,
        /// Counts of the content of the records.
        counts: Vec<Count>,
        /// Declared values of the recipe, with the realised ones.
        distributions: Vec<Distribution>,
        /// Published statistics, with those of the cohort.
        realism: Realism,
        /// Planted faults by the rule that finds them; none in a clean cohort.
        faults: Vec<Count>,
        /// Known differences from real records.
        unrealism: Vec<String>,
        /// Intended uses of the cohort.
        uses: Vec<&'static str>,
        /// Uses that must be avoided.
        avoid: Vec<&'static str>,
    }

    /// The generator of the cohort.
    Tool {
        /// Its name.
        name: &'static str,
        /// Its version.
        version: &'static str,
        /// The version of the format of the records.
        format: String,
    }

    /// The recipe that was used.
    RecipeTold {
        /// Its name.
        name: String,
        /// Its version.
        version: String,
        /// Its summary.
        summary: String,
        /// SHA-256 of its name, version and values, including those set for the run. The same digest, tool version, seed and
        /// numbers of patients mean the same records.
        digest: String,
        /// Values that were set for this run, as `group.name=value`.
        set: Vec<String>,
        /// The publications that its values cite.
        references: Vec<String>,
    }

    /// The patients of the cohort.
    PatientsTold {
        /// The seed.
        seed: u64,
        /// The number of the first one.
        from: u64,
        /// One more than the number of the last one.
        to: u64,
        /// The first day on which a patient can come.
        anchor: Date,
        /// The day of the export.
        exported_on: Date,
    }

    /// A file that was written.
    FileTold {
        /// Its name without folders; for a folder of records, a pattern for all of them.
        name: String,
        /// Its content: `records` or `key`.
        holds: &'static str,
        /// Its size in bytes.
        bytes: u64,
        /// SHA-256 of its bytes; for a folder, of its files one after another.
        sha256: String,
    }

    /// A count.
    Count {
        /// What is counted.
        what: String,
        /// The count.
        count: u64,
    }

    /// A declared value of the recipe, with the realised one.
    Distribution {
        /// The value of the recipe, by its key.
        key: &'static str,
        /// What is compared.
        what: &'static str,
        /// The unit of both.
        unit: &'static str,
        /// The declared value.
        declared: f64,
        /// The realised value; null when no record contains it.
        realised: Option<Estimated>,
        /// Why the two may differ by more than chance; empty otherwise.
        remark: &'static str,
    }

    /// A statistic of the cohort.
    Estimated {
        /// Its value.
        value: f64,
        /// The lower end of its 95 % interval, if there is one.
        low: Option<f64>,
        /// The upper end.
        high: Option<f64>,
        /// The count: patients, or other units that it counts.
        n: u64,
    }

    /// The comparison of the cohort with published statistics, as in `oar realism`. Records are used as they were before faults
    /// were planted.
    Realism {
        /// The caution for the comparison.
        caution: String,
        /// A statistic with a lower count is not compared.
        least: u64,
        /// How many published statistics lie how.
        studies: Verdicts,
        /// How many sets of data, each counted once for what it measures: publications of the same patients are not independent.
        data_sets: Verdicts,
        /// How many different ones, each by the study that it is nearest to.
        statistics: Verdicts,
        /// Each published statistic.
        rows: Vec<Row>,
    }

    /// Counts by verdict.
    Verdicts {
        /// In the published interval.
        inside: u64,
        /// Near it.
        near: u64,
        /// Further away.
        outside: u64,
        /// Not comparable.
        not_comparable: u64,
    }

    /// A published statistic and the cohort's.
    Row {
        /// Its id in the table of published statistics.
        id: String,
        /// Its theme.
        theme: String,
        /// Its subject.
        what: String,
        /// The unit.
        unit: String,
        /// The cohort's; null when no record contains it.
        cohort: Option<Estimated>,
        /// The published value, if there is one.
        published: Option<f64>,
        /// The lower end of the interval that is compared.
        low: Option<f64>,
        /// The upper end.
        high: Option<f64>,
        /// `inside`, `near`, `outside` or `not_comparable`.
        verdict: &'static str,
        /// Why it is not comparable, or what differs; empty otherwise.
        remark: String,
        /// Whether the recipe was tuned on it.
        tuned: bool,
        /// Authors and year.
        source: String,
        /// Digital object identifier; empty if not known.
        doi: String,
        /// How the number was obtained.
        came: String,
    }
}

/// The JSON Schema of a card.
pub fn schema() -> serde_json::Value {
    let mut schema = serde_json::json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "https://open-aligner-record.example.org/schema/v1.0/card.schema.json",
        "title": "Dataset card of a synthetic cohort 1.0",
        "$comment": "CC0-1.0. Generated from the types; do not edit.",
    });
    if let (Some(own), serde_json::Value::Object(card)) = (schema.as_object_mut(), Card::schema()) {
        own.extend(card);
    }
    schema
}

/// Totals that are gathered for each patient while a cohort is generated. Parts can be added in any order.
#[derive(Clone, Debug, Default)]
pub struct CardTotals {
    cohort: Observations,
    declared: declared::DeclaredTallies,
    counts: counts::NamedCounts,
}

impl CardTotals {
    /// Adds a patient: the record without faults, and the truth behind it.
    pub fn add(&mut self, record: &Record, truth: &Truth) {
        self.cohort.add(record);
        self.declared.add(record, truth);
        self.counts.add(record, truth);
    }

    /// Adds another part of the cohort.
    pub fn merge(&mut self, other: Self) {
        self.cohort.merge(other.cohort);
        self.declared.merge(other.declared);
        self.counts.merge(other.counts);
    }
}

/// The content of a card that does not come from the records.
#[derive(Clone, Debug, Default)]
pub struct Made {
    /// Values that were set.
    pub set: Vec<String>,
    /// The patients, from the first to before the last.
    pub span: (u64, u64),
    /// Options that generate the same records again.
    pub options: Vec<String>,
    /// The files.
    pub files: Vec<FileTold>,
    /// The day, if it is given.
    pub made_on: Option<Date>,
}

impl Card {
    /// The card from the totals that were gathered while a cohort was generated.
    pub fn new(generator: &SyntheticCohort, gathered: &CardTotals, published: &[Published], made: Made) -> Self {
        let recipe = generator.recipe();
        let report = Report::new(&gathered.cohort, published, LEAST);
        let clinic = &recipe.values.clinic;
        Self {
            card: "dataset",
            version: "1.0",
            cautions: words::CAUTIONS.to_vec(),
            licence: "CC0-1.0",
            made_on: made.made_on,
            tool: Tool { name: "oar", version: env!("CARGO_PKG_VERSION"), format: VERSION.to_string() },
            recipe: RecipeTold {
                name: recipe.name.0.clone(),
                version: recipe.version.0.clone(),
                summary: recipe.summary.clone(),
                digest: hex(Sha256::digest(recipe.text()).as_slice()),
                set: made.set,
                references: recipe.references.values().cloned().collect(),
            },
            patients: PatientsTold {
                seed: generator.seed(),
                from: made.span.0,
                to: made.span.1,
                anchor: clinic.anchor,
                exported_on: clinic.anchor.plus_days(clinic.cut_days),
            },
            options: made.options,
            files: made.files,
            counts: gathered.counts.told(),
            distributions: gathered.declared.told(&recipe.values, &gathered.cohort),
            unrealism: words::unrealism(&recipe.name.0, &report),
            realism: statistics::realism(&report),
            faults: gathered.counts.faults(),
            uses: words::USES.to_vec(),
            avoid: words::AVOID.to_vec(),
        }
    }

    /// The card for programs.
    pub fn json(&self) -> serde_json::Result<String> {
        Ok(serde_json::to_string_pretty(self)? + "\n")
    }

    /// The card for people.
    pub fn markdown(&self) -> String {
        markdown::markdown(self)
    }
}

/// Bytes in hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    let digit = |digit: u8| char::from_digit(digit.into(), 16).unwrap_or_default();
    bytes.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 0xf)]).collect()
}

impl Verdicts {
    fn of(count: impl Fn(Verdict) -> usize) -> Self {
        let count = |verdict| count(verdict) as u64;
        Self {
            inside: count(Verdict::Inside),
            near: count(Verdict::Near),
            outside: count(Verdict::Outside),
            not_comparable: count(Verdict::NotComparable),
        }
    }
}
