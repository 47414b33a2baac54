//! The chart of published intervals with the statistics of the cohort, one line each.

use std::fmt::Write;

use super::text::{cohort_numbers, published_numbers};
use super::{Compared, Verdict};
use crate::html::{Scale, escaped, svg};
use crate::statistics::numbers::short;

const LINE: f64 = 20.0;
const LABELS: f64 = 330.0;
const WIDTH: f64 = 860.0;
const TOP: f64 = 12.0;

/// The shape of the cohort's mark: a full dot inside, an open dot near, a cross outside.
fn mark(body: &mut String, verdict: Verdict, x: f64, y: f64) {
    let _ = match verdict {
        Verdict::Inside => write!(body, r#"<circle class="cohort" cx="{x:.1}" cy="{y:.1}" r="4"/>"#),
        Verdict::Near => write!(body, r#"<circle class="cohort-open" cx="{x:.1}" cy="{y:.1}" r="4"/>"#),
        _ => {
            let (left, top) = (x - 4.0, y - 4.0);
            write!(body, r#"<path class="cohort-cross" d="M{left:.1} {top:.1}l8 8m0 -8l-8 8"/>"#)
        }
    };
}

/// One row: the published interval as a bar with a tick at the value, the cohort's as a line with its mark.
fn row(body: &mut String, scale: &Scale, row: &Compared<'_>, y: f64) {
    let published = row.published;
    let (low, high) = (published.low.unwrap_or(f64::MIN), published.high.unwrap_or(f64::MAX));
    let (from, to) = (scale.at(low), scale.at(high));
    let (top, width) = (y - 5.0, (to - from).max(2.0));
    let _ =
        write!(body, r#"<rect class="published" x="{from:.1}" y="{top:.1}" width="{width:.1}" height="10" rx="2"/>"#);
    if let Some(value) = published.value {
        let (x, bottom) = (scale.at(value), y + 5.0);
        let _ =
            write!(body, r#"<line class="published-value" x1="{x:.1}" x2="{x:.1}" y1="{top:.1}" y2="{bottom:.1}"/>"#);
    }
    let Some(seen) = row.cohort.filter(|_| row.verdict != Verdict::NotComparable) else { return };
    if let Some((low, high)) = seen.interval {
        let (from, to) = (scale.at(low), scale.at(high));
        let _ = write!(body, r#"<line class="cohort-line" x1="{from:.1}" x2="{to:.1}" y1="{y:.1}" y2="{y:.1}"/>"#);
    }
    mark(body, row.verdict, scale.at(seen.value), y);
}

/// The smallest and largest number on the axis.
fn range(rows: &[&Compared<'_>]) -> (f64, f64) {
    let published = rows.iter().flat_map(|row| [row.published.low, row.published.high, row.published.value]);
    let seen = rows.iter().filter(|row| row.verdict != Verdict::NotComparable).filter_map(|row| row.cohort);
    let own = seen.flat_map(|seen| {
        let (low, high) = seen.interval.unwrap_or((seen.value, seen.value));
        [seen.value, low, high]
    });
    let all = published.flatten().chain(own).filter(|value| value.is_finite());
    all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}

/// A chart of rows that share a unit.
pub(super) fn forest(title: &str, unit: &str, rows: &[&Compared<'_>]) -> String {
    let (low, high) = range(rows);
    let pad = (high - low) * 0.04;
    let scale = Scale::new(low - pad, high + pad, LABELS, WIDTH - 20.0);
    let floor = TOP + LINE * rows.len() as f64;
    let mut body = String::new();
    for tick in scale.ticks(8.0) {
        let (x, label, below) = (scale.at(tick), short(tick), floor + 16.0);
        let _ = write!(body, r#"<line class="grid" x1="{x:.1}" x2="{x:.1}" y1="{TOP}" y2="{floor:.1}"/>"#);
        let _ = write!(body, r#"<text class="tick" x="{x:.1}" y="{below:.1}" text-anchor="middle">{label}</text>"#);
    }
    for (place, compared) in rows.iter().enumerate() {
        let y = TOP + LINE * (place as f64 + 0.5);
        let (x, below) = (LABELS - 10.0, y + 4.0);
        let label = escaped(&shortened(&compared.published.what, &compared.published.short()));
        let told = escaped(&format!("{}; published {}", cohort_numbers(compared), published_numbers(compared)));
        let _ = write!(body, "<g><title>{told}</title>");
        let _ = write!(body, r#"<text class="label" x="{x:.1}" y="{below:.1}" text-anchor="end">{label}</text>"#);
        row(&mut body, &scale, compared, y);
        body.push_str("</g>");
    }
    let (middle, below) = ((LABELS + WIDTH - 20.0) / 2.0, floor + 36.0);
    let unit = escaped(unit);
    let _ =
        write!(body, r#"<text class="axis-title" x="{middle:.1}" y="{below:.1}" text-anchor="middle">{unit}</text>"#);
    svg((WIDTH, floor + 46.0), title, &body)
}

/// A label, shortened to fit beside the chart.
fn shortened(what: &str, source: &str) -> String {
    const MOST: usize = 52;
    let source = source.replace(" et al.", "");
    let room = MOST.saturating_sub(source.chars().count() + 2);
    if what.chars().count() <= room {
        return format!("{what}, {source}");
    }
    let cut: String = what.chars().take(room.saturating_sub(1)).collect();
    format!("{}…, {source}", cut.trim_end())
}

/// A small chart of one row, for a table.
pub(super) fn strip(compared: &Compared<'_>) -> String {
    const SIZE: (f64, f64) = (180.0, 22.0);
    let (low, high) = range(&[compared]);
    if !low.is_finite() {
        return String::new();
    }
    let pad = ((high - low) * 0.15).max(1e-6);
    let scale = Scale::new(low - pad, high + pad, 8.0, SIZE.0 - 8.0);
    let mut body = format!(r#"<line class="grid" x1="0" x2="{}" y1="11" y2="11"/>"#, SIZE.0);
    row(&mut body, &scale, compared, 11.0);
    let title = format!("{}; published {}", cohort_numbers(compared), published_numbers(compared));
    svg(SIZE, &title, &body)
}
