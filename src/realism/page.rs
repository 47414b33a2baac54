//! The plots of the page, each with the table behind it.

use super::{Asked, Report, TimeTo, measures};
use crate::html::{Chart, Markup, band, capital, figure, plain_table as table, stairs};
use crate::statistics::numbers::{short, with_unit};
use crate::statistics::{Curve, Tally};
use crate::text::counted;

const SIZE: (f64, f64) = (420.0, 250.0);
/// The approximate number of bars of a histogram.
const BARS: f64 = 24.0;
/// Distributions that are drawn: the measure and its title.
const DISTRIBUTIONS: &[(&str, &str)] = &[
    ("age", "Age at the first tray"),
    ("trays_in_all", "Trays in total"),
    ("months", "Months of treatment"),
    ("refinements", "Refinement series"),
    ("attachments", "Attachments of the first series"),
    ("irregularity:lower", "Little's index, lower arch"),
];

fn definition(measure: &str) -> &'static str {
    measures::find(measure).map_or("", |measure| measure.definition)
}

/// All distributions that the cohort has.
pub(super) fn distributions(report: &Report<'_>) -> Vec<Markup> {
    let drawn = |(name, title): &(&str, &str)| {
        let asked = Asked::parse(name);
        report.cohort.tally(&asked).map(|tally| histogram(report, &asked, title, tally))
    };
    DISTRIBUTIONS.iter().filter_map(drawn).collect()
}

/// Equal steps that hold all values, and how many values are in each.
fn bins(tally: &Tally) -> Vec<(f64, f64, u64)> {
    let low = tally.counts().next().map_or(0.0, |(value, _)| value);
    let high = tally.counts().last().map_or(0.0, |(value, _)| value);
    let whole = tally.counts().all(|(value, _)| value.fract() == 0.0);
    let step = ((high - low) / BARS).max(if whole { 1.0 } else { 0.1 });
    let step = if whole { step.ceil() } else { step };
    let count = ((high - low) / step).floor() as usize + 1;
    let mut bins: Vec<(f64, f64, u64)> =
        (0..count).map(|bin| (low + step * bin as f64, low + step * (bin + 1) as f64, 0)).collect();
    for (value, n) in tally.counts() {
        let bin = (((value - low) / step).floor() as usize).min(count - 1);
        bins[bin].2 += n;
    }
    bins
}

fn histogram(report: &Report<'_>, asked: &Asked, title: &str, tally: &Tally) -> Markup {
    let bins = bins(tally);
    let most = bins.iter().map(|bin| bin.2).max().unwrap_or(1) as f64;
    let unit = measures::find(&asked.name[0]).map_or("", |measure| measure.unit);
    let centres: Vec<f64> = report
        .rows
        .iter()
        .filter(|row| is_centre(&row.published.statistic, asked))
        .filter_map(|row| row.published.value)
        .collect();
    let low = centres.iter().copied().fold(bins[0].0, f64::min);
    let high = centres.iter().copied().fold(bins[bins.len() - 1].1, f64::max);
    let mut chart = Chart::new(SIZE, (low, high, unit), (0.0, most * 1.05, "count"));
    for (from, to, n) in &bins {
        chart.bar((*from, 0.0), (*to, *n as f64), "bar");
    }
    for value in &centres {
        chart.upright(*value, "published-value");
    }
    let mut rows = vec![["from", "below", "count"].map(str::to_owned).to_vec()];
    rows.extend(bins.iter().map(|(from, to, n)| vec![short(*from), short(*to), n.to_string()]));
    let mean = tally.mean().map_or(String::new(), |mean| with_unit(mean, unit));
    let title = format!("{title}: {} counted, mean {mean}; lines mark the mean or median of studies", tally.n());
    figure(&title, &chart.svg(&title), &table(&rows), definition(&asked.name[0]))
}

/// Whether a statistic is the mean or median of that measure.
fn is_centre(statistic: &str, asked: &Asked) -> bool {
    let Some((how, of)) = statistic.split_once(' ') else { return false };
    matches!(how, "mean" | "median") && Asked::parse(of).name == asked.name
}

/// The curves of times to an event.
pub(super) fn curves(report: &Report<'_>) -> Vec<Markup> {
    report.curves.iter().filter(|shown| !shown.curve.steps.is_empty()).map(curve).collect()
}

fn curve(shown: &TimeTo) -> Markup {
    let curve = &shown.curve;
    let mut chart = Chart::new(SIZE, (0.0, f64::from(curve.last_day), "days"), (0.0, 100.0, "% without it"));
    chart.area(&band(curve), "band");
    chart.path(&stairs(curve, |step| 100.0 * step.without, 100.0), "curve");
    chart.path(&stairs(curve, |step| 100.0 * (1.0 - step.with), 100.0), "curve-other");
    let [events, others, cut] = curve.ended;
    let title = format!(
        "{}: {}, {}, {others} ended otherwise, {cut} censored",
        capital(shown.title),
        counted(curve.n, "time"),
        counted(events, "event")
    );
    let about = format!(
        "{}. Solid line: Kaplan–Meier with its 95 % band, other ends counted as censored. Dashed line: 100 minus Aalen–Johansen's share with the event, other ends counted as competing events.",
        definition(shown.measure)
    );
    figure(&title, &chart.svg(&title), &curve_table(curve), &about)
}

/// The curve at about forty of its steps.
fn curve_table(curve: &Curve) -> Markup {
    let head = ["day", "at risk", "% without", "from", "to", "% with, others competing"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let every = curve.steps.len().div_ceil(40).max(1);
    let kept = |place: usize| place.is_multiple_of(every) || place + 1 == curve.steps.len();
    for (_, step) in curve.steps.iter().enumerate().filter(|(place, _)| kept(*place)) {
        let (low, high) = step.interval.unzip();
        let percent = |share: f64| format!("{:.1}", 100.0 * share);
        rows.push(vec![
            step.day.to_string(),
            step.at_risk.to_string(),
            percent(step.without),
            low.map_or(String::new(), percent),
            high.map_or(String::new(), percent),
            percent(step.with),
        ]);
    }
    table(&rows)
}

/// Mean pain by day, with the first tray and with later ones.
pub(super) fn pain(report: &Report<'_>) -> Vec<Markup> {
    let course = |measure: &str| -> Vec<(f64, crate::statistics::Estimate)> {
        let days = report.cohort.parts(&Asked::parse(measure));
        days.iter().filter_map(|day| Some((day.name[1].parse().ok()?, report.cohort.mean(day)?))).collect()
    };
    let (first, later) = (course("pain_first_tray"), course("pain_later_trays"));
    if first.is_empty() && later.is_empty() {
        return Vec::new();
    }
    let most = first.iter().chain(&later).map(|(_, mean)| mean.value).fold(1.0, f64::max);
    let mut chart = Chart::new(SIZE, (1.0, 14.0, "day; the day of the tray is 1"), (0.0, most * 1.1, "pain of 10"));
    let mut rows = vec![["tray", "day", "mean pain", "patients"].map(str::to_owned).to_vec()];
    for (name, class, days) in [("first", "curve", &first), ("later", "curve-other", &later)] {
        chart.path(&days.iter().map(|(day, mean)| (*day, mean.value)).collect::<Vec<_>>(), class);
        for (day, mean) in days {
            chart.dot((*day, mean.value), if class == "curve" { "cohort" } else { "cohort-open" });
            rows.push(vec![name.to_owned(), short(*day), short(mean.value), mean.n.to_string()]);
        }
    }
    let title = "Mean pain by day: solid line with the first tray, dashed line with later trays";
    vec![figure(title, &chart.svg(title), &table(&rows), definition("pain_first_tray"))]
}
