//! The dataset card of a synthetic cohort: what it is, how it was generated, how it compares with published studies, and what it
//! is not for.
//!
//! Its content is [gathered](CardTotals) while the cohort is generated: counts and sums, no record, so memory does not grow with
//! the cohort. [`json`](Card::json) writes the card for programs, [`markdown`](Card::markdown) the same for people.

mod counts;
mod declared;
mod markdown;
mod statistics;
mod words;

use oar_generators::cohort::SyntheticCohort;
use oar_generators::key::Truth;
use oar_schema::record::{Record, VERSION};
use oar_schema::time::Date;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::realism::published::Published;
use crate::realism::{Observations, Report, Verdict, Verdicts};
use crate::statistics::json::Estimated;

/// A statistic with a lower count is not compared, as in `oar realism`.
const LEAST: u64 = 20;

/// A dataset card of a synthetic cohort of Open Aligner Records.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Card {
    /// The kind of file: always `dataset`.
    pub card: &'static str,
    /// The version of this format.
    pub version: &'static str,
    /// Cautions.
    pub cautions: Vec<&'static str>,
    /// The licence of the records, an SPDX identifier.
    pub licence: &'static str,
    /// The day on which the cohort was created, if it was given; the generator reads no clock.
    pub made_on: Option<Date>,
    /// The generator.
    pub tool: Tool,
    /// The recipe.
    pub recipe: RecipeTold,
    /// The range of patients.
    pub patients: PatientsTold,
    /// Options of `oar generate` that generate the same records again.
    pub options: Vec<String>,
    /// The files that were written with this card.
    pub files: Vec<FileTold>,
    /// Counts of the content of the records.
    pub counts: Vec<Count>,
    /// Declared values of the recipe, with the realised ones.
    pub distributions: Vec<Distribution>,
    /// Published statistics, with those of the cohort.
    pub realism: Realism,
    /// Planted faults by the rule that finds them; none in a clean cohort.
    pub faults: Vec<Count>,
    /// Known differences from real records.
    pub unrealism: Vec<String>,
    /// Intended uses of the cohort.
    pub uses: Vec<&'static str>,
    /// Uses that must be avoided.
    pub avoid: Vec<&'static str>,
}

/// The generator of the cohort.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Tool {
    /// Its name.
    pub name: &'static str,
    /// Its version.
    pub version: &'static str,
    /// The version of the format of the records.
    pub format: String,
}

/// The recipe that was used.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct RecipeTold {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Its summary.
    pub summary: String,
    /// SHA-256 of its name, version and values, including those set for the run. The same digest, tool version, seed and
    /// numbers of patients mean the same records.
    pub digest: String,
    /// Values that were set for this run, as `group.name=value`.
    pub set: Vec<String>,
    /// The publications that its values cite.
    pub references: Vec<String>,
}

/// The patients of the cohort.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct PatientsTold {
    /// The seed.
    pub seed: u64,
    /// The number of the first one.
    pub from: u64,
    /// One more than the number of the last one.
    pub to: u64,
    /// The first day on which a patient can come.
    pub anchor: Date,
    /// The day of the export.
    pub exported_on: Date,
}

/// A file that was written.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct FileTold {
    /// Its name without folders; for a folder of records, a pattern for all of them.
    pub name: String,
    /// Its content: `records` or `key`.
    pub holds: &'static str,
    /// Its size in bytes.
    pub bytes: u64,
    /// SHA-256 of its bytes; for a folder, of its files one after another.
    pub sha256: String,
}

/// A count.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Count {
    /// What is counted.
    pub what: String,
    /// The count.
    pub count: u64,
}

/// A declared value of the recipe, with the realised one.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Distribution {
    /// The value of the recipe, by its key.
    pub key: &'static str,
    /// What is compared.
    pub what: &'static str,
    /// The unit of both.
    pub unit: &'static str,
    /// The declared value.
    pub declared: f64,
    /// The realised value; null when no record contains it.
    pub realised: Option<Estimated>,
    /// Why the two may differ by more than chance; empty otherwise.
    pub remark: &'static str,
}

/// The comparison of the cohort with published statistics, as in `oar realism`. Records are used as they were before faults
/// were planted.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Realism {
    /// The caution for the comparison.
    pub caution: String,
    /// A statistic with a lower count is not compared.
    pub least: u64,
    /// How many published statistics lie how.
    pub studies: Verdicts,
    /// How many sets of data, each counted once for what it measures: publications of the same patients are not independent.
    pub data_sets: Verdicts,
    /// How many different ones, each by the study that it is nearest to.
    pub statistics: Verdicts,
    /// Each published statistic.
    pub rows: Vec<Row>,
}

/// A published statistic and the cohort's.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Row {
    /// Its id in the table of published statistics.
    pub id: String,
    /// Its theme.
    pub theme: String,
    /// Its subject.
    pub what: String,
    /// The unit.
    pub unit: String,
    /// The cohort's; null when no record contains it.
    pub cohort: Option<Estimated>,
    /// The published value, if there is one.
    pub published: Option<f64>,
    /// The lower end of the interval that is compared.
    pub low: Option<f64>,
    /// The upper end.
    pub high: Option<f64>,
    /// How the cohort's statistic compares with the published one.
    pub verdict: Verdict,
    /// Why it is not comparable, or what differs; empty otherwise.
    pub remark: String,
    /// Whether the recipe was tuned on it.
    pub tuned: bool,
    /// Authors and year.
    pub source: String,
    /// Digital object identifier; empty if not known.
    pub doi: String,
    /// How the number was obtained.
    pub came: String,
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
