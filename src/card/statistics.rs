//! Published statistics, with those of the cohort.

use super::{Realism, Row};
use crate::realism::published::Comparable;
use crate::realism::{Compared, Report, Verdict, Verdicts};
use crate::statistics::json::Estimated;

pub(super) fn realism(report: &Report<'_>) -> Realism {
    Realism {
        caution: report.caution(),
        least: report.least,
        studies: Verdicts::of(|verdict| report.count(verdict, |_| true)),
        data_sets: Verdicts::of(|verdict| report.count_by_data(verdict)),
        statistics: Verdicts::of(|verdict| report.count_at_best(verdict)),
        rows: report.rows.iter().map(|row| row_of(row, report.is_tuned(row))).collect(),
    }
}

fn row_of(row: &Compared<'_>, tuned: bool) -> Row {
    let published = row.published;
    let remark = match row.verdict {
        Verdict::NotComparable => row.reason.clone(),
        _ if published.comparable == Comparable::Caution => published.note.clone(),
        _ => String::new(),
    };
    Row {
        id: published.id.clone(),
        theme: published.theme.clone(),
        what: published.what.clone(),
        unit: published.unit.clone(),
        cohort: row.cohort.as_ref().map(Estimated::of),
        published: published.value,
        low: published.low,
        high: published.high,
        verdict: row.verdict,
        remark,
        tuned,
        source: published.short(),
        doi: published.doi.clone(),
        came: published.tag.to_string(),
    }
}
