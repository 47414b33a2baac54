//! The chart of published intervals with the statistics of the cohort, one line each.

use super::text::{cohort_numbers, published_numbers};
use super::{Compared, Verdict};
use crate::html::{Drawing, Markup, Scale};
use crate::statistics::numbers::short;

const LINE: f64 = 20.0;
const LABELS: f64 = 330.0;
const WIDTH: f64 = 860.0;
const TOP: f64 = 12.0;

/// The shape of the cohort's mark: a full dot inside, an open dot near, a cross outside.
fn mark(drawing: &mut Drawing, verdict: Verdict, at: (f64, f64)) {
    match verdict {
        Verdict::Inside => drawing.circle(at, 4.0, "cohort"),
        Verdict::Near => drawing.circle(at, 4.0, "cohort-open"),
        _ => drawing.cross(at, "cohort-cross"),
    }
}

/// One row: the published interval as a bar with a tick at the value, the cohort's as a line with its mark.
fn row(drawing: &mut Drawing, scale: &Scale, row: &Compared<'_>, y: f64) {
    let published = row.published;
    let (low, high) = (published.low.unwrap_or(f64::MIN), published.high.unwrap_or(f64::MAX));
    let (from, to) = (scale.at(low), scale.at(high));
    let bar = [("x", from), ("y", y - 5.0), ("width", (to - from).max(2.0)), ("height", 10.0), ("rx", 2.0)];
    drawing.shape("rect", "published", &bar);
    if let Some(x) = published.value.map(|value| scale.at(value)) {
        drawing.line((x, y - 5.0), (x, y + 5.0), "published-value");
    }
    let Some(seen) = row.cohort.filter(|_| row.verdict != Verdict::NotComparable) else { return };
    if let Some((low, high)) = seen.interval {
        drawing.line((scale.at(low), y), (scale.at(high), y), "cohort-line");
    }
    mark(drawing, row.verdict, (scale.at(seen.value), y));
}

/// What a row says in words.
fn told(row: &Compared<'_>) -> String {
    format!("{}; published {}", cohort_numbers(row), published_numbers(row))
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
pub(super) fn forest(title: &str, unit: &str, rows: &[&Compared<'_>]) -> Markup {
    let (low, high) = range(rows);
    let pad = (high - low) * 0.04;
    let scale = Scale::new(low - pad, high + pad, LABELS, WIDTH - 20.0);
    let floor = TOP + LINE * rows.len() as f64;
    let mut drawing = Drawing::new((WIDTH, floor + 46.0));
    for tick in scale.ticks(8.0) {
        let x = scale.at(tick);
        drawing.line((x, TOP), (x, floor), "grid");
        drawing.text((x, floor + 16.0), "middle", "tick", &short(tick));
    }
    for (place, compared) in rows.iter().enumerate() {
        let y = TOP + LINE * (place as f64 + 0.5);
        let label = shortened(&compared.published.what, &compared.published.short());
        drawing.group(&told(compared), |drawing| {
            drawing.text((LABELS - 10.0, y + 4.0), "end", "label", &label);
            row(drawing, &scale, compared, y);
        });
    }
    drawing.text(((LABELS + WIDTH - 20.0) / 2.0, floor + 36.0), "middle", "axis-title", unit);
    drawing.svg(title)
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
pub(super) fn strip(compared: &Compared<'_>) -> Markup {
    const SIZE: (f64, f64) = (180.0, 22.0);
    let (low, high) = range(&[compared]);
    if !low.is_finite() {
        return Markup::default();
    }
    let pad = ((high - low) * 0.15).max(1e-6);
    let scale = Scale::new(low - pad, high + pad, 8.0, SIZE.0 - 8.0);
    let mut drawing = Drawing::new(SIZE);
    drawing.line((0.0, 11.0), (SIZE.0, 11.0), "grid");
    row(&mut drawing, &scale, compared, 11.0);
    drawing.svg(&told(compared))
}
