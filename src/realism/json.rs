//! The report for programs: JSON that follows `schema/v1/realism.schema.json`.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::json;

use super::published::{Comparable, Published, Tag};
use super::{Asked, Compared, Report, TimeTo, Verdict, measures};
use crate::statistics::json::{Estimated, Times, quantiles};
use crate::statistics::numbers::steady;
use crate::statistics::{Estimate, LEVEL};

/// The version of the report.
pub(crate) const VERSION: &str = "1.0";

/// A cohort of records compared with published statistics, as `oar realism --output json` writes it.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) struct RealismDocument<'a> {
    #[cfg_attr(feature = "schemas", schemars(extend("const" = "realism")))]
    report: &'static str,
    #[cfg_attr(feature = "schemas", schemars(extend("const" = VERSION)))]
    version: &'static str,
    caution: String,
    cohort: CohortInput<'a>,
    /// The share of samples whose interval covers what it estimates.
    level: f64,
    /// How many a statistic needs to be compared.
    least: u64,
    /// Published statistics by verdict.
    verdicts: Verdicts,
    /// Published statistics by verdict, those of one data set once for each thing that they measure.
    verdicts_by_data_set: Verdicts,
    /// Different statistics by verdict, each by the study that it is nearest to, since studies conflict.
    verdicts_at_best: Verdicts,
    statistics: Vec<StatisticRow<'a>>,
    curves: Vec<EventTimes>,
    measures: Vec<MeasureRow>,
}

/// The records of the cohort.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct CohortInput<'a> {
    /// Records that were read.
    records: u64,
    /// Records with errors.
    left_out: u64,
    /// Records by the recipe that made them.
    recipes: BTreeMap<&'a str, u64>,
}

/// How many have which verdict.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Verdicts {
    /// In the published interval.
    pub inside: u64,
    /// Near it.
    pub near: u64,
    /// Further away.
    pub outside: u64,
    /// With nothing to compare.
    pub not_comparable: u64,
}

impl Verdicts {
    /// By how many there are of each.
    pub(crate) fn of(count: impl Fn(Verdict) -> usize) -> Self {
        let count = |verdict| count(verdict) as u64;
        Self {
            inside: count(Verdict::Inside),
            near: count(Verdict::Near),
            outside: count(Verdict::Outside),
            not_comparable: count(Verdict::NotComparable),
        }
    }
}

/// A statistic of the cohort.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct CohortStatistic {
    #[serde(flatten)]
    estimated: Estimated,
    /// How the interval was made.
    interval: &'static str,
}

impl CohortStatistic {
    fn of(estimate: &Estimate) -> Self {
        Self { estimated: Estimated::of(estimate), interval: estimate.how }
    }
}

/// A published statistic and the cohort's.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct StatisticRow<'a> {
    /// The row of the table of published statistics.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = "^[a-z0-9_]+$")))]
    id: &'a str,
    theme: &'a str,
    what: &'a str,
    unit: &'a str,
    /// What was computed; empty when nothing can be.
    statistic: &'a str,
    /// The measure that it is computed from.
    definition: Option<&'static str>,
    cohort: Option<CohortStatistic>,
    published: PublishedValue<'a>,
    source: PublishedSource<'a>,
    comparable: Comparable,
    note: &'a str,
    /// Whether a recipe of the cohort was tuned on it.
    tuned: bool,
    verdict: Verdict,
    /// Why they are not comparable; empty otherwise.
    reason: &'a str,
}

/// What was published.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct PublishedValue<'a> {
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    interval_from: &'a str,
    spread_kind: &'a str,
    spread: &'a str,
    n: Option<u64>,
    n_of: &'a str,
    population: &'a str,
    family: &'a str,
    /// The data that several publications share; empty when a study has its own.
    data_set: &'a str,
}

/// Where it was published, and how the number was obtained.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct PublishedSource<'a> {
    authors: &'a str,
    journal: &'a str,
    year: &'a str,
    doi: &'a str,
    place: &'a str,
    tag: Tag,
}

/// The times to an event.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct EventTimes {
    measure: &'static str,
    definition: Option<&'static str>,
    #[serde(flatten)]
    times: Times,
}

/// The mean of a measure that was observed, whether or not anything was published about it.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct MeasureRow {
    #[serde(flatten)]
    own: CohortStatistic,
    name: String,
    unit: &'static str,
    #[serde(flatten)]
    spread: Option<Spread>,
}

/// The spread of values around their mean.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct Spread {
    sd: Option<f64>,
    /// At 0.05, 0.25, 0.5, 0.75 and 0.95.
    quantiles: [Option<f64>; 5],
}

/// The report as one JSON document, with a line break at its end.
pub fn json(report: &Report<'_>) -> String {
    let cohort = report.cohort;
    let recipes = cohort.recipes.iter().filter(|(name, _)| !name.is_empty());
    let recipes = recipes.map(|(name, n)| (name.as_str(), *n)).collect();
    let document = RealismDocument {
        report: "realism",
        version: VERSION,
        caution: report.caution(),
        cohort: CohortInput { records: cohort.records, left_out: cohort.left_out, recipes },
        level: LEVEL,
        least: report.least,
        verdicts: Verdicts::of(|verdict| report.count(verdict, |_| true)),
        verdicts_by_data_set: Verdicts::of(|verdict| report.count_by_data(verdict)),
        verdicts_at_best: Verdicts::of(|verdict| report.count_at_best(verdict)),
        statistics: report.rows.iter().map(|row| StatisticRow::of(row, report.is_tuned(row))).collect(),
        curves: report.curves.iter().map(EventTimes::of).collect(),
        measures: measured(report),
    };
    format!("{:#}\n", json!(document))
}

impl<'a> StatisticRow<'a> {
    fn of(row: &'a Compared<'a>, tuned: bool) -> Self {
        let published = row.published;
        let asked = Asked::parse(published.statistic.split_whitespace().nth(1).unwrap_or_default());
        Self {
            id: &published.id,
            theme: &published.theme,
            what: &published.what,
            unit: &published.unit,
            statistic: &published.statistic,
            definition: definition(&asked.name[0]),
            cohort: row.cohort.as_ref().map(CohortStatistic::of),
            published: PublishedValue::of(published),
            source: PublishedSource::of(published),
            comparable: published.comparable,
            note: &published.note,
            tuned,
            verdict: row.verdict,
            reason: &row.reason,
        }
    }
}

fn definition(measure: &str) -> Option<&'static str> {
    measures::find(measure).map(|measure| measure.definition)
}

impl<'a> PublishedValue<'a> {
    fn of(published: &'a Published) -> Self {
        Self {
            value: published.value,
            low: published.low,
            high: published.high,
            interval_from: &published.interval_from,
            spread_kind: &published.spread_kind,
            spread: &published.spread,
            n: published.n,
            n_of: &published.n_of,
            population: &published.population,
            family: &published.family,
            data_set: &published.data_set,
        }
    }
}

impl<'a> PublishedSource<'a> {
    fn of(published: &'a Published) -> Self {
        let Published { authors, journal, year, doi, place, tag, .. } = published;
        Self { authors, journal, year, doi, place, tag: *tag }
    }
}

impl EventTimes {
    fn of(shown: &TimeTo) -> Self {
        Self { measure: shown.measure, definition: definition(shown.measure), times: Times::of(&shown.curve) }
    }
}

fn measured(report: &Report<'_>) -> Vec<MeasureRow> {
    let mut measured = Vec::new();
    for measure in measures::all() {
        for part in report.cohort.parts(&Asked::parse(measure.name)) {
            let Some(mean) = report.cohort.mean(&part) else { continue };
            let name = part.name.join(":").trim_end_matches(':').to_owned();
            let tally = report.cohort.tally(&part);
            let spread = tally.map(|tally| Spread { sd: tally.sd().map(steady), quantiles: quantiles(tally) });
            measured.push(MeasureRow { own: CohortStatistic::of(&mean), name, unit: measure.unit, spread });
        }
    }
    measured
}
