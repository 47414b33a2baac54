//! The report for programs: JSON that follows `schema/v1/realism.schema.json`.

use serde_json::{Map, Value, json};

use super::published::{Comparable, Tag};
use super::{Asked, Compared, Report, TimeTo, Verdict, measures};
use crate::statistics::json::curve_members;
use crate::statistics::numbers::steady;
use crate::statistics::{Estimate, LEVEL};

/// The report as one JSON document, with a line break at its end.
pub fn json(report: &Report<'_>) -> String {
    let cohort = report.cohort;
    let recipes: Map<String, Value> =
        cohort.recipes.iter().filter(|(name, _)| !name.is_empty()).map(|(name, n)| (name.clone(), json!(n))).collect();
    let counts = |count: &dyn Fn(Verdict) -> usize| -> Map<String, Value> {
        let each = |verdict: &Verdict| (verdict_name(*verdict).to_owned(), json!(count(*verdict)));
        Verdict::ALL.iter().map(each).collect()
    };
    let rows: Vec<Value> = report.rows.iter().map(|row| row_value(row, report.is_tuned(row))).collect();
    let document = json!({
        "report": "realism",
        "version": "1.0",
        "caution": report.caution(),
        "cohort": {"records": cohort.records, "left_out": cohort.left_out, "recipes": recipes},
        "level": LEVEL,
        "least": report.least,
        "verdicts": counts(&|verdict| report.count(verdict, |_| true)),
        "verdicts_by_data_set": counts(&|verdict| report.count_by_data(verdict)),
        "verdicts_at_best": counts(&|verdict| report.count_at_best(verdict)),
        "statistics": rows,
        "curves": report.curves.iter().map(curve_value).collect::<Vec<_>>(),
        "measures": measure_values(report),
    });
    format!("{document:#}\n")
}

pub(crate) const fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Inside => "inside",
        Verdict::Near => "near",
        Verdict::Outside => "outside",
        Verdict::NotComparable => "not_comparable",
    }
}

const fn tag_name(tag: Tag) -> &'static str {
    match tag {
        Tag::Verified => "verified",
        Tag::Secondary => "secondary",
        Tag::Derived => "derived",
        Tag::MemoryHigh => "memory_high",
        Tag::MemoryMedium => "memory_medium",
        Tag::MemoryLow => "memory_low",
        Tag::Practice => "practice",
    }
}

const fn comparable_name(comparable: Comparable) -> &'static str {
    match comparable {
        Comparable::Yes => "yes",
        Comparable::Caution => "caution",
        Comparable::No => "no",
    }
}

fn estimate_value(estimate: &Estimate) -> Value {
    let (low, high) = estimate.interval.unzip();
    json!({
        "value": steady(estimate.value), "low": low.map(steady), "high": high.map(steady), "n": estimate.n,
        "interval": estimate.how,
    })
}

fn row_value(row: &Compared<'_>, tuned: bool) -> Value {
    let published = row.published;
    let definition = Asked::parse(published.statistic.split_whitespace().nth(1).unwrap_or_default());
    let definition = measures::find(&definition.name[0]).map(|measure| measure.definition);
    json!({
        "id": published.id,
        "theme": published.theme,
        "what": published.what,
        "unit": published.unit,
        "statistic": published.statistic,
        "definition": definition,
        "cohort": row.cohort.as_ref().map(estimate_value),
        "published": {
            "value": published.value, "low": published.low, "high": published.high,
            "interval_from": published.interval_from, "spread_kind": published.spread_kind, "spread": published.spread,
            "n": published.n, "n_of": published.n_of, "population": published.population, "family": published.family, "data_set": published.data_set,
        },
        "source": {
            "authors": published.authors, "journal": published.journal, "year": published.year, "doi": published.doi,
            "place": published.place, "tag": tag_name(published.tag),
        },
        "comparable": comparable_name(published.comparable),
        "note": published.note,
        "tuned": tuned,
        "verdict": verdict_name(row.verdict),
        "reason": row.reason,
    })
}

fn curve_value(shown: &TimeTo) -> Value {
    let definition = measures::find(shown.measure).map(|measure| measure.definition);
    let mut value = Map::new();
    value.insert("measure".to_owned(), json!(shown.measure));
    value.insert("definition".to_owned(), json!(definition));
    value.extend(curve_members(&shown.curve));
    Value::Object(value)
}

/// The mean of every measure that was observed, whether or not anything was published about it.
fn measure_values(report: &Report<'_>) -> Vec<Value> {
    let mut values = Vec::new();
    for measure in measures::all() {
        for part in report.cohort.parts(&Asked::parse(measure.name)) {
            let Some(mean) = report.cohort.mean(&part) else { continue };
            let name = part.name.join(":");
            let mut value = estimate_value(&mean);
            value["name"] = json!(name.trim_end_matches(':'));
            value["unit"] = json!(measure.unit);
            if let Some(tally) = report.cohort.tally(&part) {
                value["sd"] = json!(tally.sd().map(steady));
                let quantiles = [0.05, 0.25, 0.5, 0.75, 0.95].map(|p| tally.quantile(p).map(steady));
                value["quantiles"] = json!(quantiles);
            }
            values.push(value);
        }
    }
    values
}
